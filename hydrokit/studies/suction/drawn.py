"""A pump and the water it draws from: which they are, and the same rig with that water at another depth.

Lift is the height of the pump's inlet above the surface of the water, negative where the pump is flooded.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from hydrokit.bounds import Mistakes, nearest
from hydrokit.errors import InputError
from hydrokit.network import solve
from hydrokit.parts import Hose, Source, Tank
from hydrokit.rules import State
from hydrokit.rules.drawing import drawn_end, suction_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy.typing as npt

    from hydrokit.bounds import Array, Real
    from hydrokit.rig import Rig

__all__ = ["Drawn", "drawn_water"]


@dataclass(frozen=True, slots=True)
class Drawn:
    """One running pump and the water it draws from.

    Parameters
    ----------
    rig, mode, changed
        As asked.
    state : State
        Of the rig as it stands, the pump held at the height where it stands.
    pump : int
        Its element index.
    name, end
        Of the source or tank.
    upstream : tuple of int
        Elements between the pump and that water, the nearest to the pump first.
    held : bool
        Whether a foot or non-return valve keeps the suction hose full when the pump stops.
    """

    rig: Rig
    mode: str
    changed: Mapping[str, float]
    state: State
    pump: int
    name: str
    end: Source | Tank
    upstream: tuple[int, ...]
    held: bool

    @property
    def address(self) -> str:
        """Where the pump stands."""
        return self.state.plan.elements[self.pump].address

    @property
    def water(self) -> str:
        """Address of the source or tank."""
        return f"{'sources' if isinstance(self.end, Source) else 'tanks'}.{self.name}"

    @property
    def surface(self) -> float:
        """Height of the water, m."""
        return float(self.surface_in(self.state)[0])

    def pump_in(self, state: State) -> int:
        """Return the pump's element index in a state of the same rig, where a varied bore may have added elements."""
        return next(index for index in state.running if state.plan.elements[index].address == self.address)

    def surface_in(self, state: State) -> Array:
        """Return the height of the water in every variant of the same rig, m."""
        return state.surface_of(self.name)

    def pressure_in(self, state: State) -> Real:
        """Return the pressure kept up on the water, gauge, Pa."""
        if isinstance(self.end, Tank):
            return 0.0
        found: Real = state.plan.values.of(f"sources.{self.name}", self.end, "pressure")
        return found

    @property
    def pump_height(self) -> float:
        """Height of the pump's inlet, m."""
        return float(self.state.walk.height[0, self.state.inlet(self.pump)])

    @property
    def lift(self) -> float:
        """Height of the pump above the water, m."""
        return self.pump_height - self.surface

    def hoses(self) -> tuple[str, ...]:
        """Return the addresses of the hoses on the suction side, the one next to the pump first."""
        elements = self.state.plan.elements
        return tuple(
            elements[index].address
            for index in suction_of(self.state, self.pump).elements
            if isinstance(elements[index].part, Hose)
        )

    def value(self, address: str) -> float | None:
        """Return a value as it stands in front of everything; None where it is left out."""
        owner, _, field = address.rpartition(".")
        for index in (self.pump, *self.upstream):
            element = self.state.plan.elements[index]
            if element.address == owner and element.part is not None:  # not a change of bore beside it
                found = self.state.of(element, field)
                return None if found is None else float(np.ravel(found)[0])
        return None

    def at_surface(self, surface: Array) -> dict[str, Array]:
        """Return the values that put the water at other heights; a tank goes up or down as a whole."""
        if isinstance(self.end, Source):
            return {f"sources.{self.name}.surface": surface}
        moved = surface - self.surface
        place, values = f"tanks.{self.name}", self.state.plan.values
        found = {}
        for field in ("floor", "inlet_height", "outlet_height"):
            height = values.of(place, self.end, field)
            if height is not None:
                found[f"{place}.{field}"] = height + moved
        return found

    def solved(self, cases: Mapping[str, Array], rows: npt.NDArray[np.intp], surface: Array) -> State:
        """Return some cases, one each row, with the water at the height given for it."""
        varied: dict[str, Real] = {address: values[rows] for address, values in cases.items()}
        return State(solve(self.rig, self.mode, {**self.changed, **varied, **self.at_surface(surface)}))


def _candidates(state: State) -> dict[str, int]:
    return {state.plan.elements[index].address: index for index in state.running}


def _chosen(state: State, pump: str | None) -> int:
    """Return the element index of the pump asked for, else of the only one that draws from a source or tank."""
    found, mistakes = _candidates(state), Mistakes()
    if pump is not None:
        named = [address for address in found if pump in (address, address.rpartition(".")[2])]
        if len(named) != 1:
            expected = f"one of the pumps that run: {', '.join(found) or 'none'}"
            names = [*found, *(address.rpartition(".")[2] for address in found)]
            mistakes.add("pump", repr(pump), expected, nearest(pump, names))
            mistakes.settle()
        return found[named[0]]
    drawing = {address: index for address, index in found.items() if drawn_end(state, index) is not None}
    from_water = {
        address: index for address, index in drawing.items() if isinstance(_start(state, index)[1], Source)
    } or drawing
    if len(from_water) != 1:
        told = f"{len(from_water)} running pumps that draw from open water or a tank" if from_water else "none"
        expected = "the pump in question" if from_water else f"a pump that runs in mode {state.plan.mode}"
        mistakes.add("pump", told, expected, " or ".join(from_water))
        mistakes.settle()
    return next(iter(from_water.values()))


def _start(state: State, index: int) -> tuple[str, Any]:
    start = drawn_end(state, index)
    if start is None:
        place = state.plan.elements[index].address
        mistakes = Mistakes()
        mistakes.add("pump", f"{place}, which several lines feed", "a pump that one line feeds from a source or tank")
        raise InputError(mistakes.found)
    return start, state.rig.ends()[start]


def drawn_water(
    rig: Rig, mode: str | None = None, pump: str | None = None, changed: Mapping[str, float] | None = None
) -> Drawn:
    """Return a pump and the water it draws from, solved as the rig stands.

    Parameters
    ----------
    rig : Rig
    mode : str, optional
        Name of a mode; the rig's first where none is named.
    pump : str, optional
        Address or name of a running pump; needed where several draw from open water.
    changed : mapping of address to float, optional
        Values that stand in front of the rig's own, SI.

    Raises
    ------
    InputError
        If there is no such pump, or more than one, or several lines feed it.
    """
    state = State(solve(rig, mode, changed))
    index = _chosen(state, pump)
    name, end = _start(state, index)
    element = state.plan.elements[index]
    held = dict(changed or {})
    if element.height is None:  # else it would be taken to follow the water, between its neighbours
        held[f"{element.address}.height"] = float(state.walk.height[0, state.inlet(index)])
        state = State(solve(rig, mode, held))
    side = suction_of(state, index)
    return Drawn(rig, state.plan.mode, held, state, index, name, end, tuple(side.elements), side.held)
