"""What may have gone wrong with a rig that once worked: each fault one condition of one part, from as stated to very bad.

Every fault is graded from 0, as the rig states it, to 1; the grade stretches the condition so that each step costs the
flow a like amount. The rig that is fitted differs from the stated one in nothing but the scale on which its filters load:
an element that a builder has left in for years is far past the drop at which it should have been changed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.errors import InputError
from hydrokit.laws.media import fit_drop, medium_drop
from hydrokit.network import build_plan
from hydrokit.network.batteries import rated_voltage, stated_currents
from hydrokit.network.coefficients import DATA_SHEET_TEMPERATURE
from hydrokit.parts import CentrifugalPump, Filter, FootValve, PoweredPump, Strainer
from hydrokit.rules.drawing import fed_pumps
from hydrokit.water import water

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from hydrokit.bounds import Array
    from hydrokit.rig import Rig
    from hydrokit.rules import State

__all__ = ["Fault", "faults_of", "loadable"]

_SCALE: Final = 50.0
"""How much further than its end drop a filter of the fitted rig loads at a loading of 1."""
_LEAST_STEP: Final = 1e3
"""Pa; the step in which a filter without any clean drop loads."""
_MOST_BLOCKED: Final = 0.99
_MOST_AIR: Final = 0.9
_MOST_WORN: Final = 0.9
_LEAST_SPEED: Final = 0.2


@dataclass(frozen=True, slots=True)
class Fault:
    """One condition of one part.

    ``value`` turns grades, 0 to 1, into the condition as people state it; ``scale`` times that stands at the address in
    the fitted rig. ``also`` are parts whose blockage reads the same.
    """

    kind: str
    place: str
    field: str
    value: Callable[[Array], Array]
    scale: float = 1.0
    also: tuple[str, ...] = ()

    @property
    def address(self) -> str:
        """Where the condition stands."""
        return f"{self.place}.{self.field}"

    def varied(self, grade: Array) -> Array:
        """Return what stands at the address in the fitted rig, for grades, shape (n,)."""
        return np.asarray(self.scale * self.value(grade), np.float64)


def _growing(now: float, step: float, ratio: float) -> Callable[[Array], Array]:
    """Return a condition that grows from what it is now, first by steps and then by ratios."""
    return lambda grade: now + step * np.expm1(grade * np.log1p(ratio))


def _blocking(now: float) -> Callable[[Array], Array]:
    """Return a blockage whose loss grows by ratios."""
    top = max(_MOST_BLOCKED, now)
    return lambda grade: np.clip(1.0 - (1.0 - now) ** (1.0 - grade) * (1.0 - top) ** grade, 0.0, top)


def _rising(now: float, top: float) -> Callable[[Array], Array]:
    return lambda grade: now + grade * (max(top, now) - now)


def _falling(now: float, bottom: float) -> Callable[[Array], Array]:
    return lambda grade: now - grade * (now - min(bottom, now))


def _with_end_drop(part: Filter) -> Filter:
    """Return a filter that loads on the wider scale; one that states no end drop loads in multiples of its clean drop."""
    stated = DATA_SHEET_TEMPERATURE if part.points_temperature is None else part.points_temperature
    sheet = water(stated)
    liquid = {"viscosity": float(sheet.viscosity), "density": float(sheet.density)}
    fit = fit_drop(points=part.points, **liquid)
    flow = max(part.points)[0] if part.end_drop is None else part.end_drop[0][0]
    clean = float(medium_drop(fit, flow=flow, **liquid))
    end = max(2.0 * clean, clean + _LEAST_STEP) if part.end_drop is None else part.end_drop[0][1]
    return replace(part, end_drop=((flow, clean + _SCALE * (end - clean)),), loading=part.loading / _SCALE)


def loadable(rig: Rig) -> Rig:
    """Return the rig whose filters load on the wider scale; otherwise the same."""
    lines = {
        name: replace(
            line, parts=tuple(_with_end_drop(part) if isinstance(part, Filter) else part for part in line.parts)
        )
        for name, line in rig.lines.items()
    }
    return replace(rig, lines=lines)


def _flowing(state: State, *kinds: type) -> list[tuple[int, Any]]:
    return [
        (index, element.part)
        for index, element in state.elements(*kinds)
        if not state.stands_still(state.flow_at(index)).all()
    ]


def _strainers(state: State) -> Iterator[Fault]:
    """Yield one fault for each line: what stands in it one after the other reads the same when blocked."""
    of_line: dict[int, list[tuple[int, Any]]] = {}
    for index, part in _flowing(state, Strainer, FootValve):
        of_line.setdefault(state.line_at(index), []).append((index, part))
    for found in of_line.values():
        places = [state.plan.elements[index].address for index, _ in found]
        yield Fault("blocked strainer", places[0], "blockage", _blocking(found[0][1].blockage), also=tuple(places[1:]))


def _filters(state: State) -> Iterator[Fault]:
    for index, part in _flowing(state, Filter):
        address = state.plan.elements[index].address
        yield Fault(
            "loaded filter", address, "loading", _growing(part.loading * _SCALE, 0.1, 900.0), scale=1.0 / _SCALE
        )


def _worst_resistance(rig: Rig, mode: str, address: str, now: float, most: float) -> float:
    """Return a resistance near the wanted one that still leaves the pump a falling curve."""
    for _ in range(8):
        try:
            build_plan(rig, mode, {address: now + most})
        except InputError:
            most *= 0.5
        else:
            return most
    return most


def _electrical(state: State, address: str, part: PoweredPump) -> Iterator[Fault]:
    rig = state.rig
    figures = stated_currents(part)[1]
    if not part.battery:
        yield Fault("slow pump", address, "speed", _falling(part.speed, _LEAST_SPEED))
        return
    if figures.size:
        volts = float(rated_voltage(rig, state.plan.values, address, part))
        amps = float(state.drawn.current[0, state.on[_index(state, address)]])
        most = 2.0 * volts / amps if np.isfinite(amps) and amps > 0.0 else 2.0
        place = f"{address}.contact_resistance"
        most = _worst_resistance(rig, state.plan.mode, place, part.contact_resistance, most)
        yield Fault("bad cable", address, "contact_resistance", _growing(part.contact_resistance, most / 50.0, 50.0))
    battery = rig.batteries[part.battery]
    if battery.voltage_when_empty < battery.voltage_when_full and battery.charge > 0.0:
        yield Fault("flat battery", f"batteries.{part.battery}", "charge", _falling(battery.charge, 0.0))


def _index(state: State, address: str) -> int:
    return next(index for index in state.on if state.plan.elements[index].address == address)


def _pumps(state: State) -> Iterator[Fault]:
    for index in fed_pumps(state):
        part, address = state.pump_of(index), state.plan.elements[index].address
        if not isinstance(part, PoweredPump):
            continue
        wear: float = getattr(part, "wear", 0.0)
        rotodynamic = isinstance(part, CentrifugalPump)
        yield Fault(
            "worn pump", address, "wear", _rising(wear, _MOST_WORN) if rotodynamic else _growing(wear, 0.05, 150.0)
        )
        yield Fault("air leak", address, "air", _rising(part.air, _MOST_AIR))
        yield from _electrical(state, address, part)


def faults_of(state: State) -> tuple[Fault, ...]:
    """Return every fault that the parts in use may have, state being that of the rig as stated and loadable."""
    found = [*_strainers(state), *_filters(state), *_pumps(state)]
    return tuple({fault.address: fault for fault in found}.values())  # one battery may feed several pumps
