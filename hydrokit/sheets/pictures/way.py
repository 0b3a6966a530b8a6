"""Head along the water's way: total head, height of the hose, and the heads at which there would be vacuum or vapour."""

from __future__ import annotations

from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.bounds import Dimension
from hydrokit.network import CHANGE_OF_BORE, ENTRANCE, EXIT
from hydrokit.sheets.pictures.labels import Labels
from hydrokit.sheets.pictures.style import DASHES, Look, Picture, axes_of, scale_of
from hydrokit.sheets.places import said

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from matplotlib.axes import Axes
    from matplotlib.figure import FigureBase

    from hydrokit.sheets.pictures.style import Scale
    from hydrokit.studies.facts.profiles import Profile, ProfilePoint

__all__ = ["pictures_of"]

_HEIGHT: Final = 0.1
_NO_PARTS: Final = (CHANGE_OF_BORE, ENTRANCE, EXIT)
_REMARK: Final = (
    "Grey: height of the hose. Dotted: total head at which the gauge pressure would be 0; where the total head runs below it"
    " there is vacuum."
)
_TOLD: Final = 7
"""Parts whose head is written beside them, the largest first."""
_WORTH_TELLING: Final = 0.03
"""Of the height of the picture."""


def _changes(points: Sequence[ProfilePoint]) -> list[tuple[float, str, float, float]]:
    """Return what each part takes (below 0) or adds, its address, and distance and head halfway; largest first."""
    found = []
    for before, after in pairwise(points):
        if after.after and after.kind not in _NO_PARTS and before.head is not None and after.head is not None:
            middle = 0.5 * (before.distance + after.distance)
            found.append((after.head - before.head, after.after, middle, 0.5 * (before.head + after.head)))
    return sorted(found, key=lambda each: -abs(each[0]))


def _label_parts(labels: Labels, profile: Profile, scales: tuple[Scale, Scale], look: Look, span: float) -> None:
    across, up = scales
    for change, place, distance, head in _changes(profile.points)[:_TOLD]:
        if abs(up.one(change)) >= _WORTH_TELLING * span:
            sign = "+" if change > 0.0 else "−"
            text = f"{sign}{look.show(abs(change), Dimension.LENGTH, up)} {said(place)}"
            labels.add(across.one(distance), up.one(head), text, "right, left")


def _draw_vapour(axes: Axes, labels: Labels, points: Sequence[ProfilePoint], scales: tuple[Scale, Scale]) -> None:
    """Draw the line below which water boils, where there is vacuum on the way."""
    across, up = scales
    vacuum = [
        place for place, each in enumerate(points)
        if each.head is not None and each.air_head is not None and each.head < each.air_head - 1e-6
    ]  # fmt: skip
    if not vacuum:
        return
    first, last = vacuum[0], vacuum[-1]
    while (
        first > 0 and points[first].distance == points[vacuum[0]].distance
    ):  # at least along the hose before and behind
        first -= 1
    while last < len(points) - 1 and points[last].distance == points[vacuum[-1]].distance:
        last += 1
    part = points[first : last + 1]
    x, y = across.of(each.distance for each in part), up.of(each.vapour_head for each in part)
    axes.plot(x, y, color="black", linewidth=1.0, linestyle=DASHES[3], label="vapour")
    labels.add_along(x, y, "below this the water boils", "down right, up right")


def _draw(frame: FigureBase, look: Look, profile: Profile) -> Iterable[Labels]:
    points = profile.points
    across = scale_of([each.distance for each in points], Dimension.LENGTH, look.system)
    up = scale_of([each for point in points for each in (point.head, point.height)], Dimension.LENGTH, look.system)
    (axes,) = axes_of(frame, across.label("distance along the hose"), up.label("height and head above the datum"))
    x = across.of(each.distance for each in points)
    heights, heads = up.of(each.height for each in points), up.of(each.head for each in points)
    air = up.of(each.air_head for each in points)
    axes.plot(x, heights, color="0.72", linewidth=4.5, solid_capstyle="butt", label="hose")
    axes.plot(x, air, color="black", linewidth=1.0, linestyle=DASHES[2], label="air")
    axes.plot(x, heads, color="black", linewidth=1.6, linestyle=DASHES[0], label="head")
    axes.margins(x=0.04, y=0.08)
    labels = Labels(axes, max(0.24 * look.points, 80.0))
    ends = (x[0], heads[0], f"from {profile.start}"), (x[-1], heads[-1], f"to {profile.end}")
    _draw_vapour(axes, labels, points, (across, up))
    span = float(np.ptp(axes.get_ylim()))
    labels.add(*ends[0], "up right, down right")
    labels.add(*ends[1], "up left, up, down left")
    _label_parts(labels, profile, (across, up), look, span)
    labels.add_along(x, heads, "total head", "up right, right, down right")
    labels.add_along(x, air, "hose, gauge pressure 0", "down right, down, down left", 0.7)
    return (labels,)


def pictures_of(answer: Any, look: Look) -> Iterable[Picture]:
    """Return one picture for each way that was worked out."""
    for profile in answer.profiles:
        flow = look.show(profile.flow, Dimension.FLOW)
        heading = f"Head along the way of {flow} from {profile.start} to {profile.end}"
        yield Picture("way", heading, _HEIGHT, partial(_draw, profile=profile), _REMARK)
