"""Trails: the lines of a rig put one behind the other as water takes them, each line on one trail."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hydrokit.rig import Rig

__all__ = ["Leg", "trails_of"]


@dataclass(frozen=True, slots=True)
class Leg:
    """A line as water passes it: ``backward`` where that is against the order of its parts."""

    line: str
    start: str
    end: str
    flow: float
    backward: bool


def _legs(rig: Rig, flows: Mapping[str, float]) -> list[Leg]:
    found = []
    for name, line in rig.lines.items():
        flow = flows.get(name, 0.0)
        backward = flow < 0.0
        start, end = (line.end, line.start) if backward else (line.start, line.end)
        found.append(Leg(name, start, end, abs(flow), backward))
    return found


def _begin(rig: Rig, left: list[Leg], drawn: set[str]) -> str:
    """Return where the next trail begins: where water moves before where it stands, at a source, at a tank, where another trail has been."""
    ranks = (rig.sources, rig.tanks, drawn)

    def rank(leg: Leg) -> tuple[bool, int, float]:
        known = next((place for place, names in enumerate(ranks) if leg.start in names), len(ranks))
        return leg.flow > 0.0, -known, leg.flow

    return max(left, key=rank).start


def trails_of(rig: Rig, flows: Mapping[str, float]) -> list[list[Leg]]:
    """Return every line once, in trails that follow the larger flow wherever the way parts.

    Parameters
    ----------
    rig : Rig
    flows : mapping of line to float
        Positive from its start to its end. [m^3/s]
    """
    left, trails, drawn = _legs(rig, flows), [], set[str]()
    while left:
        place, trail, passed = _begin(rig, left, drawn), list[Leg](), set[str]()
        while place not in passed:
            onward = [leg for leg in left if leg.start == place]
            if not onward:
                break
            passed.add(place)
            trail.append(max(onward, key=lambda leg: leg.flow))
            left.remove(trail[-1])
            place = trail[-1].end
        drawn |= {leg.start for leg in trail} | {place}
        trails.append(trail)
    return trails
