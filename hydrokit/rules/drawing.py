"""The side that a pump draws from: back from its inlet to open water, a tank, or the pump before it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from hydrokit.parts import FootValve, NonReturnValve, Source, Tank
from hydrokit.rules.state import made_once

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = [
    "Suction",
    "drawn_end",
    "fed_pumps",
    "highest_point",
    "lowest_water",
    "pump_height",
    "static_lift",
    "suction_of",
]


@dataclass(slots=True)
class Suction:
    """Everything between a pump's inlet and the water that it draws.

    ``elements`` are those that its water passes, the nearest first; ``ends`` the sources and tanks that it comes from;
    ``fed_by`` the running pumps that push it. ``held`` is True where every way from an end to the pump passes a foot
    or non-return valve, which keeps the hose full when the pump stops.
    """

    elements: list[int] = field(default_factory=list)
    ends: list[str] = field(default_factory=list)
    fed_by: list[int] = field(default_factory=list)
    held: bool = True


def suction_of(state: State, pump: int) -> Suction:
    """Return the suction side of a running pump: all open lines that bring it water, back to where that comes from."""
    return _suctions(state)[pump]


def fed_pumps(state: State) -> list[int]:
    """Return the element indices of the running pumps to which an open line brings water."""
    return [pump for pump, side in _suctions(state).items() if side.ends or side.fed_by]


@made_once
def _suctions(state: State) -> dict[int, Suction]:
    return {pump: _followed(state, pump) for pump in state.running}


def _followed(state: State, pump: int) -> Suction:
    found = Suction()
    line = state.line_at(pump)
    seen: set[tuple[int, bool]] = set()
    waiting = [(line, [index for index in reversed(state.own[line]) if index < pump], False, True)]
    while waiting:
        line, elements, valved, forward = waiting.pop()
        valved, pushed = _passed(state, found, elements, valved)
        if pushed:
            continue
        own = [*state.rig.lines.values()][line]
        name = own.start if forward else own.end
        if isinstance(state.rig.ends()[name], (Source, Tank)):
            found.held &= valved
            if name not in found.ends:
                found.ends.append(name)
            continue
        for feeder, along in _feeders(state, name, line):
            if (feeder, valved) not in seen:
                seen.add((feeder, valved))
                waiting.append((feeder, state.own[feeder][:: -1 if along else 1], valved, along))
    return found


def _passed(state: State, found: Suction, elements: list[int], valved: bool) -> tuple[bool, bool]:  # noqa: FBT001
    """Go back along a line; return whether a valve has been passed so far, and whether a pump pushes the water there."""
    for index in elements:
        if index in state.on:
            if index not in found.fed_by:
                found.fed_by.append(index)
            return valved, True
        valved = valved or isinstance(state.plan.elements[index].part, (FootValve, NonReturnValve))
        if index not in found.elements:
            found.elements.append(index)
    return valved, False


def _feeders(state: State, joint: str, line: int) -> list[tuple[int, bool]]:
    """Return the open lines that bring water to a joint other than one of them, and whether they do so forward."""
    found = []
    for number, own in enumerate(state.rig.lines.values()):
        flow = state.solution.flows.flow[:, number]
        still = state.stands_still(flow)
        if number == line or state.closed[number]:
            continue
        if own.end == joint and not ((flow < 0.0) & ~still).all():
            found.append((number, True))
        elif own.start == joint and ((flow < 0.0) & ~still).any():
            found.append((number, False))
    return found


def drawn_end(state: State, pump: int) -> str | None:
    """Return the one source or tank that a pump draws from; None where there are several, or another pump pushes."""
    side = suction_of(state, pump)
    return side.ends[0] if len(side.ends) == 1 and not side.fed_by else None


def pump_height(state: State, pump: int) -> Array:
    """Return the height of a pump, m: its own, also where it stands at once beside an end or joint that lies at another."""
    own = state.plan.elements[pump].height
    if own is not None:
        return state.full(own)
    return np.maximum(state.walk.height[:, state.inlet(pump)], state.walk.height[:, state.outlet(pump)])


def lowest_water(state: State, pump: int) -> Array | None:
    """Return the height of the lowest water that a pump draws, m; None where another pump pushes it there."""
    ends = suction_of(state, pump).ends
    return np.min([state.head_of(name) for name in ends], axis=0) if ends else None


def static_lift(state: State, pump: int) -> Array | None:
    """Return the height of a pump above the lowest water that it draws, m; None where another pump pushes it there."""
    lowest = lowest_water(state, pump)
    return None if lowest is None else pump_height(state, pump) - lowest


def highest_point(state: State, pump: int) -> Array:
    """Return the height of the highest point on a pump's suction side, its own inlet included, m."""
    elements = suction_of(state, pump).elements
    stations = sorted({at for index in elements for at in (state.inlet(index), state.outlet(index))})
    highest = np.max([pump_height(state, pump), *state.walk.height[:, stations].T], axis=0)
    for index in elements:
        crest = state.plan.elements[index].high_point
        if crest is not None:
            highest = np.maximum(highest, state.full(crest))
    return np.asarray(highest, np.float64)
