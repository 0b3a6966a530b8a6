"""Heights along the lines: stated where stated, between stated points by length of hose, else the nearest stated one."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from operator import itemgetter
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from hydrokit.bounds import Real

__all__ = ["Stretch", "fill_heights", "joint_heights"]


@dataclass(frozen=True, slots=True)
class Stretch:
    """The stations of one line: distance along the hose, and height where it is stated.

    The first station is the start of the line, the last its end.
    """

    start: str
    end: str
    along: Sequence[Real]
    stated: Sequence[Real | None]


def _plain(value: Any) -> float:
    return float(np.ravel(value)[0])


def _nearest(stretch: Stretch, *, backward: bool) -> tuple[float, Real] | None:
    """Return distance and height of the stated point nearest to one end of a line, looking inward from it."""
    indices = list(range(len(stretch.along)))
    if backward:
        indices.reverse()
    origin = _plain(stretch.along[indices[0]])
    for index in indices[1:]:
        height = stretch.stated[index]
        if height is not None:
            return abs(_plain(stretch.along[index]) - origin), height
    return None


def joint_heights(stretches: Sequence[Stretch], stated: Mapping[str, Real | None]) -> tuple[dict[str, Real], list[str]]:
    """Return a height for every end, and the names of the joints for which one had to be assumed.

    Parameters
    ----------
    stretches : sequence of Stretch
        Every line.
    stated : mapping of end to height or None
        None for a joint whose height is not stated.
    """
    known: dict[str, Real] = {name: height for name, height in stated.items() if height is not None}
    assumed = [name for name in stated if name not in known]
    inside: dict[str, list[tuple[float, Real]]] = {name: [] for name in assumed}
    ways: dict[str, list[tuple[float, str]]] = {name: [] for name in assumed}
    met_by: dict[str, list[str]] = {}
    for stretch in stretches:
        for joint, other, backward in ((stretch.start, stretch.end, False), (stretch.end, stretch.start, True)):
            if joint in known:
                continue
            near = _nearest(stretch, backward=backward)
            if near is not None:
                inside[joint].append(near)
            else:
                ways[joint].append((abs(_plain(stretch.along[-1])), other))
                met_by.setdefault(other, []).append(joint)
    reached = {joint for joint in assumed if inside[joint]} | {
        joint for name in known for joint in met_by.get(name, ())
    }
    while reached:
        found = {
            joint: min(
                [*inside[joint], *((length, known[other]) for length, other in ways[joint] if other in known)],
                key=itemgetter(0),
            )[1]
            for joint in reached
        }
        known.update(found)
        reached = {joint for name in found for joint in met_by.get(name, ())} - known.keys()
    for joint in assumed:
        known.setdefault(joint, 0.0)  # nothing in reach is stated: the datum itself
    return known, assumed


def fill_heights(
    stretch: Stretch, ends: Mapping[str, Real], start_height: Real | None, end_height: Real | None
) -> list[Real]:
    """Return a height for every station of a line; a line's own height at a tank stands before that of the end."""
    heights: list[Any] = list(stretch.stated)
    heights[0] = ends[stretch.start] if start_height is None else start_height
    heights[-1] = ends[stretch.end] if end_height is None else end_height
    fixed = [index for index, height in enumerate(heights) if height is not None]
    for left, right in pairwise(fixed):
        for index in range(left + 1, right):
            length = stretch.along[right] - stretch.along[left]
            share = (stretch.along[index] - stretch.along[left]) / np.where(length > 0.0, length, 1.0)
            value = heights[left] + (heights[right] - heights[left]) * share
            heights[index] = value if np.ndim(value) else float(value)
    return heights
