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
    "climb_of",
    "drawn_end",
    "fed_pumps",
    "pump_height",
    "static_lift",
    "suction_of",
]


@dataclass(slots=True)
class Suction:
    """Everything between a pump's inlet and the water that it draws.

    ``elements`` are those that its water passes, the nearest first; ``ends`` the sources and tanks that it comes from;
    ``fed_by`` the running pumps that push it. ``legs`` are its lines, each with the end or joint that its water comes from
    and the joint that it comes to, none for the pump's own. ``held`` is True where every way from an end to the pump passes a foot
    or non-return valve, which keeps the hose full when the pump stops.
    """

    elements: list[int] = field(default_factory=list)
    ends: list[str] = field(default_factory=list)
    fed_by: list[int] = field(default_factory=list)
    legs: list[tuple[int, str, str]] = field(default_factory=list)
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
    waiting = [(line, [index for index in reversed(state.own[line]) if index < pump], False, True, "")]
    while waiting:
        line, elements, valved, forward, to = waiting.pop()
        valved, pushed = _passed(state, found, elements, valved)
        if pushed:
            continue
        own = [*state.rig.lines.values()][line]
        name = own.start if forward else own.end
        found.legs.append((line, name, to))
        if isinstance(state.rig.ends()[name], (Source, Tank)):
            found.held &= valved
            if name not in found.ends:
                found.ends.append(name)
            continue
        for feeder, along in _feeders(state, name, line):
            if (feeder, valved) not in seen:
                seen.add((feeder, valved))
                waiting.append((feeder, state.own[feeder][:: -1 if along else 1], valved, along, name))
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


def static_lift(state: State, pump: int) -> Array | None:
    """Return the height of a pump above the lowest water that it draws, m; None where another pump pushes it there."""
    ends = suction_of(state, pump).ends
    return pump_height(state, pump) - np.min([state.head_of(name) for name in ends], axis=0) if ends else None


def climb_of(state: State, pump: int) -> Array | None:
    """Return how far an empty hose must be drawn full, m: to its highest point, which may lie above the pump.

    Of several waters each climbs its own way, and the most counts. Below 0 where the water comes by itself; None where
    another pump pushes it.
    """
    side = suction_of(state, pump)
    if not side.ends:
        return None
    climbs = [_highest_point(state, pump, _lines_from(side, name)) - state.head_of(name) for name in side.ends]
    return np.asarray(np.max(climbs, axis=0), np.float64)


def _lines_from(side: Suction, end: str) -> set[int]:
    """Return the lines that the water of one end passes on its way to the pump."""
    found: set[int] = set()
    waiting = [end]
    while waiting:
        name = waiting.pop()
        for line, start, to in side.legs:
            if start == name and line not in found:
                found.add(line)
                waiting.append(to)
    return found


def _highest_point(state: State, pump: int, lines: set[int]) -> Array:
    """Return the height of the highest point in some lines of a pump's suction side, its own inlet included, m."""
    elements = [index for index in suction_of(state, pump).elements if state.line_at(index) in lines]
    stations = sorted({at for index in elements for at in (state.inlet(index), state.outlet(index))})
    highest = np.max([pump_height(state, pump), *state.walk.height[:, stations].T], axis=0)
    for index in elements:
        crest = state.plan.elements[index].high_point
        if crest is not None:
            highest = np.maximum(highest, state.full(crest))
    return np.asarray(highest, np.float64)
