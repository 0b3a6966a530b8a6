"""Head along the water's way, from where it starts to where it arrives: what a gauge carried along the hose would read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

import numpy as np

from hydrokit.answers import finite_or_none
from hydrokit.bounds import Dimension, Spec
from hydrokit.parts import Hose, Joint

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.rules import State

__all__ = ["Profile", "ProfilePoint", "profiles_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ProfilePoint:
    """One place on the way; None where nothing tells.

    ``after`` is the address of what the water has just passed, empty where a line begins and at the crest of a hose;
    ``kind`` says what that is.
    """

    after: str
    kind: str
    distance: Annotated[float, Spec(Dimension.LENGTH, "along the hose from where the water starts")]
    height: Annotated[float, Spec(Dimension.LENGTH, "above the datum")]
    head: Annotated[float | None, Spec(Dimension.LENGTH, "total")]
    air_head: Annotated[float | None, Spec(Dimension.LENGTH, "total head at which the gauge pressure would be none")]
    vapour_head: Annotated[float | None, Spec(Dimension.LENGTH, "total head at which the water would boil")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """One way through the rig, that of the most flow at every parting. For plotting."""

    start: str
    end: str
    lines: tuple[str, ...]
    flow: Annotated[float, Spec(Dimension.FLOW, "that starts on it")]
    points: tuple[ProfilePoint, ...]


def _carried(state: State) -> dict[str, float]:
    return {
        name: float(flow)
        for name, flow, closed in zip(state.plan.layout.lines, state.solution.flows.flow[0], state.closed, strict=True)
        if not closed and not state.stands_still(flow)
    }


def _onward(state: State, carried: dict[str, float], at: str) -> str:
    """Return the line that takes most water away from an end; empty where none does."""
    lines = state.rig.lines
    leaving = {
        name: abs(flow)
        for name, flow in carried.items()
        if (lines[name].start if flow > 0.0 else lines[name].end) == at
    }
    return max(leaving, key=lambda name: leaving[name], default="")


def _way(state: State, carried: dict[str, float], start: str) -> tuple[list[str], str]:
    """Return the lines from an end to the next that is no joint, and that end."""
    ends, lines, at = state.rig.ends(), [], start
    while (line := _onward(state, carried, at)) and line not in lines:
        lines.append(line)
        at = state.rig.lines[line].end if carried[line] > 0.0 else state.rig.lines[line].start
        if not isinstance(ends[at], Joint):
            break
    return lines, at


def _steps(state: State, line: str, *, backward: bool) -> Iterator[tuple[int, int | None]]:
    """Yield the stations of a line in the sense of the flow, each with the element passed before it."""
    number = state.plan.layout.lines.index(line)
    own = state.own[number]
    stations = [int(state.plan.stations.begins[number]), *(state.outlet(index) for index in own)]
    if backward:
        stations, own = stations[::-1], own[::-1]
    yield from zip(stations, [None, *own], strict=True)


def _point(state: State, station: int, distance: float, after: str, kind: str) -> ProfilePoint:
    walk, weight = state.walk, float(state.weight[0])
    head, vapour = walk.head[0, station], float(state.full(state.conditions.vapour_pressure)[0])
    return ProfilePoint(
        after=after,
        kind=kind,
        distance=distance,
        height=float(walk.height[0, station]),
        head=finite_or_none(head),
        air_head=finite_or_none(head - walk.gauge_pressure[0, station] / weight),
        vapour_head=finite_or_none(head - (walk.absolute_pressure[0, station] - vapour) / weight),
    )


def _crest(state: State, index: int, before: ProfilePoint, after: ProfilePoint) -> ProfilePoint | None:
    """Return the highest point of a hose that states one, half its friction spent."""
    top = state.plan.elements[index].high_point
    pressure = float(state.walk.crest_gauge_pressure[0, index])
    if top is None or not np.isfinite(pressure) or before.head is None or after.head is None:
        return None
    height, weight, middle = float(state.full(top)[0]), float(state.weight[0]), 0.5 * (before.head + after.head)
    over = float(state.full(state.conditions.air_pressure - state.conditions.vapour_pressure)[0]) / weight
    air = middle - pressure / weight
    return ProfilePoint(
        after="",
        kind="crest",
        distance=0.5 * (before.distance + after.distance),
        height=height,
        head=middle,
        air_head=air,
        vapour_head=air - over,
    )


def _points(state: State, lines: list[str], carried: dict[str, float]) -> tuple[ProfilePoint, ...]:
    found: list[ProfilePoint] = []
    distance = 0.0
    for line in lines:
        for station, index in _steps(state, line, backward=carried[line] < 0.0):
            element = None if index is None else state.plan.elements[index]
            if element is not None and isinstance(element.part, Hose):
                distance += float(np.ravel(state.of(element, "length"))[0])
            point = _point(
                state,
                station,
                distance,
                "" if element is None else element.address,
                "" if element is None else element.kind,
            )
            crest = None if index is None else _crest(state, index, found[-1], point)
            found += [point] if crest is None else [crest, point]
    return tuple(found)


def profiles_of(state: State) -> tuple[Profile, ...]:
    """Return the way of the most flow to every end that it reaches, in a solved rig of one variant.

    Ways out of open water come before those out of tanks, then the most flow first.
    """
    ends, carried = state.rig.ends(), _carried(state)
    found: dict[str, Profile] = {}
    for start, end in ends.items():
        lines, last = _way(state, carried, start) if not isinstance(end, Joint) else ([], "")
        if not lines:
            continue
        flow = abs(carried[lines[0]])
        if last not in found or found[last].flow < flow:
            found[last] = Profile(
                start=start, end=last, lines=tuple(lines), flow=flow, points=_points(state, lines, carried)
            )
    return tuple(sorted(found.values(), key=lambda each: (each.start not in state.rig.sources, -each.flow)))
