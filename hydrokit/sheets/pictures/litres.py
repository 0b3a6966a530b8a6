"""Flow and the loading of every filter against the water delivered, until the first filter is used up."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from hydrokit.bounds import Dimension
from hydrokit.sheets.pictures.labels import TEXT, Labels
from hydrokit.sheets.pictures.style import Look, Picture, axes_of, line_of, scale_of
from hydrokit.sheets.places import said

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from matplotlib.axes import Axes
    from matplotlib.figure import FigureBase

    from hydrokit.sheets.pictures.style import Scale
    from hydrokit.studies.wearing import Wear, WearPoint

__all__ = ["pictures_of"]

_HEIGHT: Final = 0.12
_REMARK: Final = (
    "Solid: drops rise as early as the filtration laws allow. Dashed: as late. What your filters do lies between."
)


def _draw_flow(axes: Axes, answer: Wear, curves: Sequence[list[WearPoint]], across: Scale, look: Look) -> Labels:
    up = scale_of([point.flow for point in answer.points], Dimension.FLOW, look.system)
    axes.set_ylabel(up.label("flow"), fontsize=TEXT, parse_math=False)
    axes.set_ylim(0.0, max(up.one(point.flow) for point in answer.points) * 1.25 or 1.0)
    labels = Labels(axes, 0.32 * look.points)
    for number, points in enumerate(curves):
        x, y = across.of(point.litres for point in points), up.of(point.flow for point in points)
        line_of(axes, x, y, number, points[0].curve)
        last = f"{look.show(points[-1].flow, Dimension.FLOW)} after {look.show(points[-1].litres, Dimension.VOLUME)}"
        labels.add(x[-1], y[-1], last, "down left, up left")
    first = curves[0][0]
    labels.add(0.0, up.one(first.flow), f"now {look.show(first.flow, Dimension.FLOW)}", "up right")
    x_of_first = across.of(point.litres for point in curves[0])
    y_of_first = up.of(point.flow for point in curves[0])
    for limit in answer.limits:
        if limit.likely_early is not None and limit.likely_early <= curves[0][-1].litres:
            _mark(axes, labels, said(limit.limit), across.one(limit.likely_early), (x_of_first, y_of_first))
    return labels


def _mark(axes: Axes, labels: Labels, limit: str, x: float, curve: tuple[list[float], list[float]]) -> None:
    """Mark on the flow where a limit gives way."""
    import numpy as np

    y = float(np.interp(x, *curve))
    axes.plot([x], [y], color="black", marker="v", markersize=5.0, markerfacecolor="white", linestyle="none")
    labels.add(x, y, f"no longer: {limit}", "down, down left, down right")


def _draw_loadings(axes: Axes, answer: Wear, points: list[WearPoint], across: Scale, look: Look) -> Labels:
    axes.set_ylabel("loading (%)", fontsize=TEXT, parse_math=False)
    up = scale_of([1.0], Dimension.FRACTION, look.system)
    axes.set_ylim(0.0, 110.0)
    labels, x = Labels(axes, 0.3 * look.points), across.of(point.litres for point in points)
    names = [each.place for each in answer.filters][: len(points[0].loadings)]
    for number, place in enumerate(names):
        if points[0].loadings[number] is None:
            continue
        y = up.of(point.loadings[number] for point in points)
        line_of(axes, x, y, number, place)
        labels.add_along(x, y, said(place), "up left, down right", 0.85)
    return labels


def _draw(frame: FigureBase, look: Look, answer: Wear) -> Iterable[Labels]:
    across = scale_of([point.litres for point in answer.points], Dimension.VOLUME, look.system)
    upper, lower = axes_of(frame, across.label("water delivered"), "flow", (1.2, 1.0))
    names = dict.fromkeys(point.curve for point in answer.points)
    curves = [[point for point in answer.points if point.curve == name] for name in names]
    upper.set_xlim(0.0, across.one(max(point.litres for point in answer.points)) * 1.04 or 1.0)
    return (
        _draw_flow(upper, answer, curves, across, look),
        _draw_loadings(lower, answer, curves[0], across, look),
    )


def pictures_of(answer: Any, look: Look) -> Iterable[Picture]:
    """Return one picture; none where nothing tells how long any filter lasts."""
    del look
    if answer.points:
        remark = _REMARK if len({point.curve for point in answer.points}) > 1 else ""
        heading = "Flow as the filters load up"
        yield Picture("litres", heading, _HEIGHT, lambda frame, look: _draw(frame, look, answer), remark)
