"""Where the walk stops along each line: height and bore there."""

from __future__ import annotations

from itertools import accumulate
from typing import TYPE_CHECKING, Any

import numpy as np

from hydrokit.network.elements import CHANGE_OF_BORE, ENTRANCE, EXIT
from hydrokit.network.heights import Stretch, fill_heights, joint_heights
from hydrokit.network.plan import Stations
from hydrokit.network.values import columns
from hydrokit.parts import Joint

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from hydrokit.bounds import Real
    from hydrokit.network.elements import Element
    from hydrokit.network.ends import LineEnds
    from hydrokit.network.values import Values
    from hydrokit.rig import Line, Rig

__all__ = ["stations_of"]


def stations_of(
    rig: Rig, values: Values, elements: Sequence[Element], line_of: Sequence[int], ends: Mapping[str, LineEnds]
) -> Stations:
    """Return height and bore where each element ends, one station more for the start of each line."""
    stretches: list[Stretch] = []
    bores: list[Any] = []
    of_line: list[list[Element]] = [[] for _ in rig.lines]
    for element, number in zip(elements, line_of, strict=True):
        of_line[number].append(element)
    for (name, line), own in zip(rig.lines.items(), of_line, strict=True):
        stretches.append(_stretch(line, own, ends[name]))
        bores += _station_bores(own)
    joints = {name: end for name, end in rig.ends().items() if isinstance(end, Joint)}
    stated: dict[str, Any] = {name: values.of(f"joints.{name}", joint, "height") for name, joint in joints.items()}
    stated |= {
        stop: height
        for name, line in rig.lines.items()
        for stop, height in ((line.start, ends[name].start_height), (line.end, ends[name].end_height))
        if height is not None
    }
    known, assumed = joint_heights(stretches, stated)
    heights: list[Any] = []
    for stretch, own_ends, own in zip(stretches, ends.values(), of_line, strict=True):
        heights += _with_changes(fill_heights(stretch, known, own_ends.start_height, own_ends.end_height), own)
    sizes = [len(own) + 1 for own in of_line]
    return Stations(
        height=columns(heights),
        bore=columns(bores),
        begins=np.array([0, *accumulate(sizes)][:-1], np.intp),
        assumed_joints=tuple(assumed),
    )


def _with_changes(heights: Sequence[Any], own: Sequence[Element]) -> list[Any]:
    """Return the heights of a line's stations with those after changes of bore put in: as high as before them."""
    others, found = iter(heights), [heights[0]]
    next(others)
    for element in own:
        found.append(found[-1] if element.kind == CHANGE_OF_BORE else next(others))
    return found


def _stretch(line: Line, own: Sequence[Element], ends: LineEnds) -> Stretch:
    """Return the stations of a line without those after changes of bore, which have no extent.

    They are left out because a batch has them wherever any variant has, and a variant alone only where its bores differ.
    """
    along: list[Any] = [0.0]
    stated: list[Any] = [ends.start_height]
    for element in own:
        if element.kind == CHANGE_OF_BORE:
            continue
        if element.height is not None:  # a point part sits at one height: so do both its sides
            stated[-1] = element.height if stated[-1] is None else stated[-1]
        along.append(along[-1] + (element.length if element.height is None else 0.0))
        stated.append(element.height)
    stated[-1] = ends.end_height if ends.end_height is not None else stated[-1]
    return Stretch(line.start, line.end, along, stated)


def _station_bores(own: Sequence[Element]) -> list[Real | None]:
    """Return the bore at each station: that of the element before it, else of the nearest one that states any.

    Where water still stands in a source or tank, and where it has come to rest again, the bore is without limit.
    """
    bores: list[Real | None] = [own[0].bore_before, *(element.bore for element in own)]
    for index in range(1, len(bores)):
        if bores[index] is None:
            bores[index] = bores[index - 1]
    for index in range(len(bores) - 2, -1, -1):
        if bores[index] is None:
            bores[index] = bores[index + 1]
    if own[0].kind == ENTRANCE:
        bores[0] = np.inf
    if own[-1].kind == EXIT:
        bores[-1] = np.inf
    return bores
