"""Every corner of the conditions a rig meets: what flows there, and how much its worst limit has in hand."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from hydrokit.answers import Verdict
from hydrokit.bounds import Dimension
from hydrokit.sheets.pictures.labels import Labels
from hydrokit.sheets.pictures.style import Look, Picture, axes_of, scale_of
from hydrokit.sheets.places import said

if TYPE_CHECKING:
    from collections.abc import Iterable

    from matplotlib.axes import Axes
    from matplotlib.figure import FigureBase

    from hydrokit.sheets.pictures.style import Scale

__all__ = ["pictures_of"]

_HEIGHT: Final = 0.09
_MARKS: Final = {Verdict.HOLDS: ("o", "white"), Verdict.CLOSE: ("^", "0.6"), Verdict.FAILS: ("x", "black")}
_LEAST_SPAN: Final = 0.1
"""Share of a limit that the scale across shows at least."""
_REMARK: Final = "A mark for each corner. Circle: every limit holds. Triangle: one is close. Cross: one fails."


def _open_up(axes: Axes, across: Scale) -> None:
    """Leave a scale no finer than is meant, where every corner has as much in hand."""
    low, high = axes.get_xlim()
    least = across.one(_LEAST_SPAN)
    if high - low < least:
        middle = 0.5 * (low + high)
        axes.set_xlim(middle - 0.5 * least, middle + 0.5 * least)


def _draw(frame: FigureBase, look: Look, answer: Any) -> Iterable[Labels]:
    known = [corner for corner in answer.corners if corner.margin is not None]
    across = scale_of([corner.margin for corner in known], Dimension.FRACTION, look.system)
    up = scale_of([corner.flow for corner in known], Dimension.FLOW, look.system)
    (axes,) = axes_of(frame, across.label("in hand of the worst limit"), up.label("flow delivered"))
    for verdict, (mark, face) in _MARKS.items():
        own = [corner for corner in known if corner.verdict is verdict]
        axes.plot(
            across.of(corner.margin for corner in own), up.of(corner.flow for corner in own), color="black",
            linestyle="none", marker=mark, markersize=5.0, markerfacecolor=face, label=str(verdict),
        )  # fmt: skip
    axes.margins(x=0.12, y=0.2)
    _open_up(axes, across)
    labels = Labels(axes, 0.36 * look.points)
    for place, word in {answer.best: "best", answer.tightest: "tightest"}.items():
        corner = answer.corners[place]
        if corner.margin is not None:
            settings = ", ".join(
                f"{name} {setting}" for name, setting in zip(answer.varied, corner.settings, strict=True)
            )
            limit = f"; {said(corner.limit)}" if word == "tightest" else ""
            labels.add(across.one(corner.margin), up.one(corner.flow), f"{word}: {settings}{limit}", lines=5)
    return (labels,)


def pictures_of(answer: Any, look: Look) -> Iterable[Picture]:
    """Return one picture; none where no limit is known in any corner."""
    del look
    if any(corner.margin is not None for corner in answer.corners):
        heading = "Flow and what is in hand, in every corner"
        yield Picture("corners", heading, _HEIGHT, lambda frame, look: _draw(frame, look, answer), _REMARK)
