"""The curves of the pumps that were tried, against what the rig asks of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from hydrokit.answers import Verdict
from hydrokit.bounds import Dimension
from hydrokit.sheets.pictures.labels import Labels
from hydrokit.sheets.pictures.pump import pressure_beside
from hydrokit.sheets.pictures.style import DASHES, GREY, MARKS, Look, Picture, axes_of, scale_of
from hydrokit.sheets.places import said

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from matplotlib.figure import FigureBase

    from hydrokit.studies.matching import PumpTried

__all__ = ["pictures_of"]

_HEIGHT: Final = 0.1
_MOST: Final = 5


def _told(answer: Any) -> list[PumpTried]:
    """Return the first in rank that have a curve, and the one drawn."""
    curved = [tried for tried in answer.pumps if tried.curve is not None]
    first = curved[:_MOST]
    return first + [tried for tried in curved[_MOST:] if tried.drawn]


def _told_of(tried: PumpTried, look: Look) -> str:
    fails = " (cross: a limit fails)" if tried.verdict is Verdict.FAILS else ""
    return f"{tried.name}, {look.show(tried.pump_flow, Dimension.FLOW)}{fails}"


def _draw(frame: FigureBase, look: Look, pumps: Sequence[PumpTried], density: float) -> Iterable[Labels]:
    curves: list[Any] = [tried.curve for tried in pumps]
    across = scale_of([flow for curve in curves for flow in curve.flows], Dimension.FLOW, look.system)
    tallest = max((head for curve in curves for head in curve.pump_heads if head is not None), default=1.0)
    up = scale_of([tallest], Dimension.LENGTH, look.system)
    (axes,) = axes_of(frame, across.label("flow through the pump"), up.label("head"))
    axes.set_xlim(0.0, across.one(max(curve.flows[-1] for curve in curves)) * 1.04)
    axes.set_ylim(0.0, up.one(tallest) * 1.1)
    labels = Labels(axes, max(0.3 * look.points, 95.0))
    widest = max(curves, key=lambda curve: curve.flows[-1])
    asked = across.of(widest.flows), up.of(widest.system_heads)
    axes.plot(*asked, color=GREY, linewidth=2.5, label="rig")
    for number, (tried, curve) in enumerate(zip(pumps, curves, strict=True)):
        x, y = across.of(curve.flows), up.of(curve.pump_heads)
        axes.plot(x, y, color="black", linewidth=1.1, linestyle=DASHES[number % len(DASHES)], label=tried.name)
        fails = tried.verdict is Verdict.FAILS
        duty = across.one(tried.pump_flow), up.one(tried.head)
        axes.plot(
            *duty, color="black", linestyle="none", marker="x" if fails else MARKS[number % len(MARKS)], markersize=6.0,
            markerfacecolor="white",
        )  # fmt: skip
        labels.add(*duty, f"{number + 1}", "up right, up, up left, down left")
    labels.add_along(*asked, "rig", "down right, up left", 0.3)
    pressure_beside(axes, up, density, look)
    return (labels,)


def pictures_of(answer: Any, look: Look) -> Iterable[Picture]:
    """Return one picture; none where no pump delivers."""
    pumps = _told(answer)
    if pumps:
        left = len(answer.pumps) - len(pumps)
        listed = "; ".join(
            f"{number}\N{NO-BREAK SPACE}{_told_of(tried, look)}" for number, tried in enumerate(pumps, start=1)
        )
        more = f" {left} more {'was' if left == 1 else 'were'} tried." if left else ""
        remark = f"By rank: {listed}.{more}"
        yield Picture(
            "candidates", f"Pumps against the rig, at {said(answer.place)}", _HEIGHT,
            lambda frame, look: _draw(frame, look, pumps, answer.surroundings.density), remark,
        )  # fmt: skip
