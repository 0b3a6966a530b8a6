"""How every picture looks: black lines told apart by dashes and marks, axes with units, room left by measured text.

Nothing is told by colour. Only the object interface is used and no setting of the process is touched, so that figures can
be made in several threads and without a display.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, nan
from typing import TYPE_CHECKING, Any, Final

from hydrokit.sheets.pictures.labels import TEXT
from hydrokit.units import display_unit, in_unit, show

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from matplotlib.axes import Axes
    from matplotlib.figure import FigureBase

    from hydrokit.bounds import Dimension
    from hydrokit.sheets.pictures.labels import Labels

__all__ = [
    "DASHES", "GREY", "INCH", "MARKS", "SMALL", "TITLE", "Look", "Picture", "Scale", "axes_of", "line_of", "scale_of",
]  # fmt: skip

INCH: Final = 0.0254
TITLE: Final = 10.0
SMALL: Final = 7.0
"""Sizes of letters in points, on paper as drawn."""
GREY: Final = "0.55"
DASHES: Final[tuple[Any, ...]] = ("-", (0, (5, 2)), (0, (1, 1.5)), (0, (7, 2, 1, 2)), (0, (3, 1, 1, 1, 1, 1)))
MARKS: Final = ("o", "s", "^", "D", "v")


@dataclass(frozen=True, slots=True)
class Look:
    """How the reader wants it: system of units, and the width of the paper in metres."""

    system: str
    width: float

    @property
    def points(self) -> float:
        """The width of the paper in points."""
        return self.width / INCH * 72.0

    def show(self, value: float, dimension: Dimension, scale: Scale | None = None) -> str:
        """Return a value in the reader's units, or in those of a scale, number and unit kept together."""
        return show(value, dimension, self.system, unit=scale.unit if scale else None).replace(
            " ", "\N{NO-BREAK SPACE}"
        )


@dataclass(frozen=True, slots=True)
class Picture:
    """One picture: what it is called, its heading, its height on paper in metres, what draws it into a frame, and what to say below it."""

    name: str
    heading: str
    height: float
    draw: Callable[[FigureBase, Look], Iterable[Labels]]
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Scale:
    """One unit for all numbers of an axis."""

    dimension: Dimension
    unit: str

    def of(self, values: Iterable[float | None]) -> list[float]:
        """Return SI numbers in the unit of the axis; what is not known leaves a gap."""
        return [nan if value is None or not isfinite(value) else self.one(value) for value in values]

    def one(self, value: float) -> float:
        """Return one SI number in the unit of the axis."""
        return in_unit(value, self.dimension, self.unit) if self.unit else value

    def label(self, what: str) -> str:
        """Return what stands beside the axis."""
        return f"{what} ({self.unit})" if self.unit else what


def scale_of(values: Iterable[float | None], dimension: Dimension, system: str) -> Scale:
    """Return the unit that suits the largest of some SI numbers."""
    known = [abs(value) for value in values if value is not None and isfinite(value)]
    return Scale(dimension, display_unit(max(known, default=0.0), dimension, system))


def axes_of(frame: FigureBase, across: str, up: str, ratios: Sequence[float] = (1.0,)) -> list[Axes]:
    """Return plain axes, one above the other on one common scale across, the lowest with its name below."""
    made: Any = frame.subplots(len(ratios), 1, sharex=True, squeeze=False, gridspec_kw={"height_ratios": list(ratios)})
    found: list[Axes] = list(made[:, 0])
    for axes in found:
        axes.set_facecolor("none")
        axes.grid(visible=True, color="0.88", linewidth=0.5)
        axes.set_axisbelow(True)
        axes.tick_params(labelsize=TEXT, width=0.6, length=3.0, colors="black")
        for side, spine in axes.spines.items():
            spine.set(visible=side in {"left", "bottom"}, linewidth=0.6, color="black")
    found[-1].set_xlabel(across, fontsize=TEXT, parse_math=False)
    found[0].set_ylabel(up, fontsize=TEXT, parse_math=False)
    return found


def line_of(axes: Axes, x: Sequence[float], y: Sequence[float], number: int, name: str) -> None:
    """Draw one of several lines, told from the others by its dashes, and by a mark where there are more lines than dashes."""
    dashes, mark = DASHES[number % len(DASHES)], MARKS[number // len(DASHES) % len(MARKS)]
    marked: dict[str, Any] = {}
    if number >= len(DASHES):
        marked = {"marker": mark, "markevery": 0.15, "markersize": 4.0, "markerfacecolor": "white"}
    axes.plot(x, y, color="black", linewidth=1.2, linestyle=dashes, label=name, **marked)
