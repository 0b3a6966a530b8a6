"""Bars that lie one below the other, each with its name before it and its figure behind it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from hydrokit.bounds import Dimension
from hydrokit.sheets.pictures.labels import TEXT, broken, width_of
from hydrokit.sheets.pictures.style import Look, Scale, axes_of, scale_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.figure import FigureBase


__all__ = ["bars_of", "height_of"]

_ROW: Final = 0.0075
"""m of paper for one bar."""
_AROUND: Final = 0.025
"""m of paper for heading, scale and remark."""
_FOR_TEXTS: Final = 0.36
"""Share of the width that figures behind bars may take."""
_FOR_NAMES: Final = 0.33
"""Share of the width that names may take."""


def height_of(rows: int) -> float:
    """Return the height of a picture of so many bars, m."""
    return _AROUND + _ROW * max(rows, 2)


def bars_of(
    frame: FigureBase, look: Look, rows: Sequence[tuple[str, float, str]], across: str, dimension: Dimension
) -> Scale:
    """Draw one bar for each name, value (SI) and text, the first uppermost."""
    values = [value for _, value, _ in rows]
    scale = scale_of(values, dimension, look.system)
    (axes,) = axes_of(frame, across, "")
    places, points = range(len(rows)), look.points
    lengths: Any = scale.of(values)
    axes.barh(places, lengths, height=0.62, color="0.8", edgecolor="black", linewidth=0.6)
    names = [broken(name, _FOR_NAMES * points, lines=2) for name, _, _ in rows]
    axes.set_yticks(places, labels=names, fontsize=TEXT, parse_math=False, linespacing=1.0)
    axes.invert_yaxis()
    axes.grid(visible=False, axis="y")
    axes.tick_params(axis="y", length=0.0)
    told = [broken(text, _FOR_TEXTS * points) for _, _, text in rows]
    for place, length, text in zip(places, lengths, told, strict=True):
        axes.annotate(
            text, (max(length, 0.0), place), xytext=(3.0, 0.0), textcoords="offset points", va="center", ha="left",
            fontsize=TEXT, parse_math=False, annotation_clip=False,
        )  # fmt: skip
    # the axis goes on until the longest bar and its figure have room
    taken = max((width_of(line) for text in told for line in text.split("\n")), default=0.0) + 8.0
    room = max(points * (0.92 - _FOR_NAMES), 2.0 * taken)
    longest = max(lengths, default=0.0)
    axes.set_xlim(min(0.0, *lengths), (longest or 1.0) * room / (room - taken))
    if dimension is Dimension.FRACTION:  # no share is more than all
        axes.set_xticks([tick for tick in axes.get_xticks() if tick <= scale.one(1.0)])
    return scale
