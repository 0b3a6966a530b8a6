"""Flow against bore for one run of hose, with the size beyond which more bore stops paying."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

from hydrokit.bounds import Dimension
from hydrokit.sheets.columns import percent
from hydrokit.sheets.pictures.labels import Labels
from hydrokit.sheets.pictures.style import DASHES, Look, Picture, axes_of, scale_of
from hydrokit.sheets.places import said
from hydrokit.studies.bores.paying import PAYS

if TYPE_CHECKING:
    from collections.abc import Iterable

    from matplotlib.axes import Axes
    from matplotlib.figure import FigureBase

    from hydrokit.studies.bores.paying import BoreCurve
    from hydrokit.studies.sizing import Bore

__all__ = ["pictures_of"]

_HEIGHT: Final = 0.085
_TICKS: Final = tuple(step * 10.0**power for power in range(-3, 4) for step in (1.0, 2.0, 3.0, 5.0))


def _draw_sizes(axes: Axes, curve: BoreCurve, x: list[float], y: list[float]) -> None:
    """Draw a mark for each size, filled where its hose fits."""
    axes.plot(x, y, color="black", linewidth=0.9, label="flow")
    for fits, filled in ((True, "black"), (False, "white")):
        places = [place for place, each in enumerate(curve.fits) if each is fits]
        axes.plot(
            [x[place] for place in places], [y[place] for place in places], color="black", linestyle="none", marker="o",
            markersize=5.0, markerfacecolor=filled, label="fits" if fits else "does not fit",
        )  # fmt: skip


def _draw(frame: FigureBase, look: Look, answer: Bore, column: int) -> Iterable[Labels]:
    curve = answer.curves[column]
    best = None if answer.next_best is None else answer.candidates[answer.next_best].bores[column]
    across = scale_of(curve.bores, Dimension.LENGTH, look.system)
    up = scale_of([*curve.flows, answer.wanted_flow], Dimension.FLOW, look.system)
    (axes,) = axes_of(frame, across.label("bore"), up.label("flow delivered"))
    x, y, wanted = across.of(curve.bores), up.of(curve.flows), up.one(answer.wanted_flow)
    _draw_sizes(axes, curve, x, y)
    span = [x[0] / 1.3, x[-1] * 1.15]
    axes.set_xscale("log")
    axes.set_xlim(*span)
    axes.set_xticks([each for each in _TICKS if span[0] <= each <= span[1]], minor=False)
    axes.set_xticks([], minor=True)
    axes.xaxis.set_major_formatter("{x:g}")
    axes.set_ylim(0.0, max(*y, wanted) * 1.2 or 1.0)
    axes.plot(span, [wanted, wanted], color="black", linewidth=0.8, linestyle=DASHES[2], label="wanted")
    labels = Labels(axes, 0.28 * look.points)
    if curve.knee:
        at = curve.sizes.index(curve.knee)
        axes.plot([x[at], x[at]], [0.0, y[at]], color="black", linewidth=0.8, linestyle=DASHES[1], label="knee")
        told = f"beyond {curve.knee} no wider size brings {percent(PAYS)} more"
        labels.add(x[at], 0.45 * y[at], told, "right, left")
    if best is not None and any(abs(bore - best) < 1e-9 for bore in curve.bores):
        at = min(range(len(x)), key=lambda place: abs(curve.bores[place] - best))
        axes.plot(x[at], y[at], color="black", marker="o", markersize=10.0, markerfacecolor="none", linestyle="none")
        labels.add(x[at], y[at], f"take {curve.sizes[at]}: {look.show(curve.flows[at], Dimension.FLOW)}", "down right")
    told = f"wanted: {look.show(answer.wanted_flow, Dimension.FLOW)}"
    labels.add_along(span, [wanted, wanted], told, "down left, up left", 0.9)
    return (labels,)


def pictures_of(answer: Bore, look: Look) -> Iterable[Picture]:
    """Return one picture for each run of hose."""
    del look
    for column, run in enumerate(answer.runs):
        curve = answer.curves[column]
        remark = (
            ""
            if all(curve.fits)
            else "Filled: the hose fits. Open: it does not go on the tails, valves or ports beside it."
        )
        others = " The other runs stay as chosen." if len(answer.runs) > 1 else ""
        yield Picture(
            "sizes",
            f"Which bore for {said(run.place)}",
            _HEIGHT,
            partial(_draw, answer=answer, column=column),
            (remark + others).strip(),
        )
