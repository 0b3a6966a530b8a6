"""What comes out of every outlet against time."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from hydrokit.bounds import Dimension
from hydrokit.sheets.pictures.labels import Labels
from hydrokit.sheets.pictures.style import Look, Picture, axes_of, line_of, scale_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from matplotlib.figure import FigureBase

__all__ = ["pictures_of"]

_HEIGHT: Final = 0.075


def _draw(frame: FigureBase, look: Look, answer: Any) -> Iterable[Labels]:
    across = scale_of(answer.times, Dimension.TIME, look.system)
    up = scale_of([flow for outlet in answer.outlets for flow in outlet.flows], Dimension.FLOW, look.system)
    (axes,) = axes_of(frame, across.label("time"), up.label("flow"))
    x = across.of(answer.times)
    labels = Labels(axes, 0.3 * look.points)
    most = max((flow for outlet in answer.outlets for flow in outlet.flows), default=0.0)
    axes.set_xlim(0.0, x[-1] or 1.0)
    axes.set_ylim(0.0, up.one(most) * 1.25 or 1.0)
    for number, outlet in enumerate(answer.outlets):
        y = up.of(outlet.flows)
        line_of(axes, x, y, number, outlet.outlet)
        first, last = look.show(outlet.first_flow, Dimension.FLOW), look.show(outlet.last_flow, Dimension.FLOW)
        told = f"{outlet.outlet}: {first}" if first == last else f"{outlet.outlet}: {first}, at last {last}"
        labels.add_along(x, y, told, "up, up right, down", 0.4)
    return (labels,)


def pictures_of(answer: Any, look: Look) -> Iterable[Picture]:
    """Return one picture; none where no time was followed."""
    del look
    if len(answer.times) > 1 and answer.outlets:
        yield Picture("flows", "What comes out", _HEIGHT, lambda frame, look: _draw(frame, look, answer))
