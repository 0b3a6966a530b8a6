"""A rig on the bench: which faults it may have, where gauges can be put, and what they would read at given faults."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.bounds import Mistakes, nearest
from hydrokit.network import solve
from hydrokit.parts.barriers import Barrier
from hydrokit.rig import replaced, spec_at, value_at
from hydrokit.rules import State
from hydrokit.rules.drawing import fed_pumps
from hydrokit.studies.diagnosis.faults import faults_of, loadable
from hydrokit.studies.diagnosis.gauges import Bench, Spot, spots_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from hydrokit.bounds import Array
    from hydrokit.network import Solution
    from hydrokit.rig import Reading, Rig

__all__ = ["FILTERS", "Workbench"]

FILTERS: Final = "filters"
"""Where a pressure is read that is taken before the first or after the last of all filters and lamps."""

_EVEN: Final = 3.0**-0.5
"""Standard deviation of what lies anywhere within ± 1."""


class Workbench:
    """One rig in one mode, made ready to be varied.

    Parameters
    ----------
    rig : Rig
    mode : str, optional
        Name of a mode; the rig's first where none is named.
    changed : mapping of address to float, optional
        Values that stand in front of the rig's own, SI.
    """

    def __init__(self, rig: Rig, mode: str | None, changed: Mapping[str, float] | None) -> None:
        self.mode, chosen = rig.mode(mode)
        self.stated_rig = replaced(rig, {**chosen.values, **(changed or {})})
        self.rig = loadable(self.stated_rig)
        self.state = State(solve(self.rig, self.mode, self._loadings()))
        self.faults = faults_of(self.state)
        self.spots = spots_of(self.state)
        self.worst: Solution = self.state.solution

    def _loadings(self) -> dict[str, float]:
        """Return the loadings of the rig that is fitted, to stand in front of those that the mode sets."""
        own = self.rig.mode(self.mode)[1].values
        return {address: float(value_at(self.rig, address) or 0.0) for address in own if address.endswith(".loading")}

    def bench(self, grades: Array, also: Mapping[str, Array] | None = None) -> Bench:
        """Return the rig with gauges on it, for grades of its faults, shape (n, P)."""
        varied: dict[str, Any] = {
            fault.address: fault.varied(grades[:, place]) for place, fault in enumerate(self.faults)
        }
        solution = solve(self.rig, self.mode, {**self._loadings(), **varied, **(also or {})})
        if solution.flows.energy_residual.max() > self.worst.flows.energy_residual.max():
            self.worst = solution
        return Bench(State(solution))

    def foretold(self, grades: Array, spots: Sequence[Spot]) -> Array:
        """Return what would be read at some spots, shape (n, spots), for grades, shape (n, P)."""
        return self.bench(grades).read(spots)

    def foretold_loosely(self, grades: Array, spots: Sequence[Spot]) -> tuple[Array, Array]:
        """Return what would be read, (n, spots), and how each tolerance of the rig shifts it, (T, spots).

        The first grades are those of the rig as stated. A tolerance is a range in which the value lies anywhere; its
        shift is that of one standard deviation.
        """
        taken = {fault.address for fault in self.faults}
        shifts: dict[str, tuple[float, float]] = {}
        for address, tolerance in self.rig.tolerances.items():
            value = value_at(self.rig, address)
            if value is None or address in taken or tolerance <= 0.0:
                continue
            spec, step = spec_at(self.rig, address), tolerance * _EVEN
            shifted = value + step if value + step <= spec.high else value - step
            if spec.low <= shifted <= spec.high:
                shifts[address] = value, shifted
        rows = np.concatenate([grades, np.zeros((len(shifts), grades.shape[1]))])
        also = {}
        for place, (address, (value, shifted)) in enumerate(shifts.items(), start=len(grades)):
            also[address] = np.full(len(rows), value)
            also[address][place] = shifted
        found = self.bench(rows, also).read(spots)
        return found[: len(grades)], np.nan_to_num(found[len(grades) :] - found[0])

    def spots_read(self, readings: Sequence[Reading]) -> tuple[Spot, ...]:
        """Return where each reading was taken.

        Raises
        ------
        InputError
            If a place is unknown, or what is read there cannot be foretold; every mistake at once.
        """
        mistakes = Mistakes()
        spots = [self._spot(reading, mistakes) for reading in readings]
        mistakes.settle()
        return tuple(spot for spot in spots if spot is not None)

    def _spot(self, reading: Reading, mistakes: Mistakes) -> Spot | None:
        if reading.gauge.at == "end":
            return self._end(reading, mistakes)
        if reading.gauge.at == "pump":
            return self._pump(reading, mistakes)
        if reading.at == FILTERS:
            return self._train(reading, mistakes)
        address = self._part(reading, mistakes)
        return None if address is None else Spot(reading.kind, address, reading.side)

    def _end(self, reading: Reading, mistakes: Mistakes) -> Spot | None:
        if reading.at and reading.at not in self.state.deliveries:
            ends = [*self.state.deliveries]
            expected = f"a tank or outlet that is filled: {', '.join(ends)}"
            _add(mistakes, reading, repr(reading.at), expected, nearest(reading.at, ends))
            return None
        return Spot(reading.kind, reading.at)

    def _pump(self, reading: Reading, mistakes: Mistakes) -> Spot | None:
        spots = [spot for spot in self.spots if spot.kind == reading.kind]
        if reading.at:
            spots = [spot for spot in spots if reading.at in (spot.at, spot.at.rpartition(".")[2])]
        if len(spots) == 1:
            return spots[0]
        pumps = [self.state.plan.elements[pump].address for pump in fed_pumps(self.state)]
        if len(spots) > 1:
            _add(mistakes, reading, "several pumps that run", f"the one that is meant: {', '.join(pumps)}")
        elif not any(spot.kind == reading.kind for spot in self.spots):
            needed = {
                "volts": "a pump that runs, with currents and a battery, or a rated_voltage",
                "battery_volts": "a pump that runs, with currents and a battery",
                "amps": "a pump that runs, with currents and a battery",
                "dead_head": "a motor pump that draws from a source or tank",
            }.get(reading.kind, "a pump that runs and is fed")
            _add(mistakes, reading, "a reading that cannot be foretold", f"{needed}, in the rig and this mode")
        else:
            _add(
                mistakes, reading, repr(reading.at), f"a pump that runs: {', '.join(pumps)}", nearest(reading.at, pumps)
            )
        return None

    def _train(self, reading: Reading, mistakes: Mistakes) -> Spot | None:
        found = [(index, element) for index, element in self.state.elements(Barrier)]
        if not found or len({self.state.line_at(index) for index, _ in found}) > 1:
            what = "filters in several lines" if found else "no filter in use"
            _add(mistakes, reading, what, "before or after one part, by name")
            return None
        _, element = found[0] if reading.side == "before" else found[-1]
        return Spot(reading.kind, element.address, reading.side)

    def _part(self, reading: Reading, mistakes: Mistakes) -> str | None:
        known = [element.address for _, element in self.state.elements(object) if element.part is not None]
        alike = [address for address in known if reading.at in (address, address.rpartition(".")[2])]
        if len(alike) == 1:
            return alike[0]
        if alike:
            _add(
                mistakes, reading, f"{reading.at!r}, of which there are several", f"one of {', '.join(alike)}", alike[0]
            )
        else:
            labels = [address.rpartition(".")[2] for address in known]
            expected = f"{FILTERS}, or a part in use: {', '.join(dict.fromkeys(labels))}"
            _add(mistakes, reading, repr(reading.at), expected, nearest(reading.at, [*labels, FILTERS]))
        return None


def _add(mistakes: Mistakes, reading: Reading, found: str, expected: str, instead: str = "") -> None:
    mistakes.add(f"readings, {reading.name}", found, expected, instead, reading.line)
