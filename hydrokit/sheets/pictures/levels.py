"""Depth of water in every tank against time, as they fill or are drawn empty."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from hydrokit.bounds import Dimension
from hydrokit.sheets.pictures.labels import Labels
from hydrokit.sheets.pictures.style import Look, Picture, axes_of, line_of, scale_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from matplotlib.figure import FigureBase

__all__ = ["pictures_of"]

_HEIGHT: Final = 0.085
_RUNS_ON: Final = 1.25
"""The scale of time goes on behind the last line, so that its words have room."""


def _happened(tank: Any) -> tuple[str, float | None]:
    """Return what became of a tank, and when."""
    if hasattr(tank, "full_after"):
        return "full", tank.full_after
    return "empty", tank.empty_after


def _draw(frame: FigureBase, look: Look, times: Sequence[float], tanks: Sequence[Any]) -> Iterable[Labels]:
    across = scale_of(times, Dimension.TIME, look.system)
    up = scale_of([level for tank in tanks for level in tank.levels], Dimension.LENGTH, look.system)
    (axes,) = axes_of(frame, across.label("time"), up.label("depth of water"))
    x = across.of(times)
    labels = Labels(axes, 0.24 * look.points)
    for number, tank in enumerate(tanks):
        y = up.of(tank.levels)
        line_of(axes, x, y, number, tank.tank)
        what, when = _happened(tank)
        if when is None:
            labels.add(x[-1], y[-1], tank.tank, "right, up right, down right")
            continue
        at = min(range(len(times)), key=lambda place: abs(times[place] - when))
        axes.plot(
            [x[at]], [y[at]], color="black", marker="o", markersize=5.0, markerfacecolor="white", linestyle="none"
        )
        told = f"{tank.tank} {what} after {look.show(when, Dimension.TIME)}"
        labels.add(x[at], y[at], told, "down right, right, up right")
    axes.set_xlim(0.0, (x[-1] or 1.0) * _RUNS_ON)
    axes.set_ylim(0.0, max(max(up.of(tank.levels)) for tank in tanks) * 1.12 or 1.0)
    return (labels,)


def pictures_of(answer: Any, look: Look) -> Iterable[Picture]:
    """Return one picture; none where no time was followed."""
    del look
    tanks = [tank for tank in answer.tanks if getattr(tank, "to_be_filled", True) and getattr(tank, "drawn_from", True)]
    if len(answer.times) > 1 and tanks:
        heading = (
            "Water in the tanks as they fill" if answer.question == "fill" else "Water in the tanks as it is drawn"
        )
        yield Picture("levels", heading, _HEIGHT, lambda frame, look: _draw(frame, look, answer.times, tanks))
