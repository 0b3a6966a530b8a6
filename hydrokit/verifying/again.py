"""A rig solved once more by another method, one number at a time, with nothing of the network's own solver."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from hydrokit.errors import SolverError
from hydrokit.parts import Joint
from hydrokit.rig import replaced
from hydrokit.verifying.heads import Balance
from hydrokit.verifying.lines import line_laws
from hydrokit.verifying.motors import voltage_at_rest
from hydrokit.verifying.roots import root_between

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hydrokit.rig import Rig
    from hydrokit.verifying.heads import Balanced
    from hydrokit.verifying.lines import LineLaw

__all__ = ["Again", "solved_again"]

_ROUNDS: Final = 30
_SETTLED: Final = 1e-12  # of the voltage at rest
_LOWEST: Final = 1e-3  # V
_FEWER: Final = 0.9  # share of the volts at which the bracketing goes on downwards


@dataclass(frozen=True, slots=True, kw_only=True)
class Again:
    """What the other method finds.

    Parameters
    ----------
    flows : mapping of line to float
        [m^3/s]
    grains : mapping of line to float
        What the rounding of heads leaves open of each flow; much only in a line that hardly resists. [m^3/s]
    heads : mapping of joint to float
        Of the joints whose head the lines settle. [m]
    size : float
        Largest head in play: the span of all heads, or what one line loses. [m]
    method : str
        How it was found.
    untold : tuple of str
        Joints that lines at rest cut off, so that their head is not settled.
    """

    flows: Mapping[str, float]
    grains: Mapping[str, float]
    heads: Mapping[str, float]
    size: float
    method: str
    untold: tuple[str, ...]


class _Again:
    """One rig and mode, its shared batteries at any voltage."""

    def __init__(self, rig: Rig, mode: str | None, changed: Mapping[str, float]) -> None:
        chosen = rig.mode(mode)[1]
        self.rig = replaced(rig, {**chosen.values, **changed})
        self.laws = line_laws(self.rig, chosen)
        self.demands = {name: end.demand for name, end in self.rig.ends().items() if isinstance(end, Joint)}
        self.near: dict[str, float] | None = None  # heads to begin from: those at the voltages before
        fed = Counter(pump.battery for law in self.laws.values() for pump in law.pumps)
        self.shared = {
            name: voltage_at_rest(battery)
            for name, battery in self.rig.batteries.items()
            if fed[name] > 1 and battery.inner_resistance > 0.0
        }

    def at(self, volts: Mapping[str, float]) -> tuple[dict[str, LineLaw], Balanced]:
        """Return the lines' laws and their balance with shared batteries at the given voltages."""
        laws = dict(self.laws)
        for name, law in laws.items():
            if not any(pump.battery in volts for pump in law.pumps):
                continue
            fed = [
                replace(
                    pump,
                    motor=pump.motor.fed(volts[pump.battery], self.rig.batteries[pump.battery].inner_resistance),
                )
                if pump.motor is not None and pump.battery in volts
                else pump
                for pump in law.pumps
            ]
            laws[name] = replace(law, pumps=fed)
        found = Balance(laws, self.demands).solved(self.near)
        self.near = found.heads
        return laws, found

    def drawn(self, battery: str, volts: Mapping[str, float]) -> float:
        """Return the current that all pumps on a battery draw at some voltages, A."""
        laws, found = self.at(volts)
        return sum(
            pump.current(found.flows[name])
            for name, law in laws.items()
            for pump in law.pumps
            if pump.battery == battery
        )

    def voltages(self) -> dict[str, float]:
        """Return the voltage that each shared battery keeps under all that it feeds, one after the other."""
        volts = dict(self.shared)
        for _ in range(_ROUNDS):
            before = dict(volts)
            for name, rest in self.shared.items():
                inner = self.rig.batteries[name].inner_resistance

                def spare(at: float, name: str = name, rest: float = rest, inner: float = inner) -> float:
                    return rest - inner * self.drawn(name, {**volts, name: at}) - at

                low = _FEWER * rest
                while spare(low) <= 0.0:
                    low *= _FEWER
                    if low < _LOWEST:
                        raise SolverError(f"battery {name} is brought down altogether by what it feeds")
                volts[name] = root_between(spare, low, rest, xtol=1e-13, rtol=1e-13)
            if len(volts) < 2 or all(abs(volts[name] - before[name]) <= _SETTLED * volts[name] for name in volts):
                return volts
        raise SolverError(f"the voltages of {', '.join(self.shared)} do not settle")


def _size(laws: Mapping[str, LineLaw], found: Balanced) -> float:
    known = [head for law in laws.values() for head in (law.fixed_start, law.fixed_end) if head is not None]
    heads = [*known, *(found.heads[name] for name in found.told)]
    lost = [abs(law.resisted(found.flows[name])) for name, law in laws.items()]
    return max(max(heads) - min(heads), *lost, 1e-3)


def solved_again(rig: Rig, mode: str | None = None, changed: Mapping[str, float] | None = None) -> Again:
    """Return flows and heads of a rig in one mode, found by a method that shares nothing with the network's solver.

    Line laws are put together from the parts and ``fluids``, one flow at a time, and turned round by bracketing. A line
    between fixed heads needs no more; where lines meet, the heads are those at which the convex dual of the network is
    least; what batteries feed several pumps is bracketed around it all.

    Parameters
    ----------
    rig : Rig
    mode : str, optional
        Name of a mode; the rig's first where none is named.
    changed : mapping of address to float, optional
        Values that stand in front of the rig's own, SI.

    Raises
    ------
    InputError
        If a mode or an address is unknown or a value is not possible.
    SolverError
        If the method does not settle, or what it is asked for has no steady answer.
    """
    whole = _Again(rig, mode, changed or {})
    laws, found = whole.at(whole.voltages() if whole.shared else {})
    for name, law in laws.items():
        if any(pump.battery in whole.shared and pump.starved(found.flows[name]) for pump in law.pumps):
            raise SolverError(f"a driver in line {name} gets less power than it takes: no current of it is steady")
    method = "each line's flow by bracketing"
    if whole.demands:
        method += ", heads at the joints by minimising the convex dual"
    if whole.shared:
        method += ", voltages of shared batteries by bracketing around both"
    return Again(
        flows=found.flows,
        grains=found.grains,
        heads={name: found.heads[name] for name in whole.demands if name in found.told},
        size=_size(laws, found),
        method=method,
        untold=tuple(name for name in whole.demands if name not in found.told),
    )
