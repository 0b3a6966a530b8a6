"""Flow against depth of the water below the pump, and how deep each limit lets it go."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from hydrokit.bounds import Dimension
from hydrokit.sheets.pictures.labels import TEXT, Labels, broken, plain
from hydrokit.sheets.pictures.style import DASHES, Look, Picture, axes_of, scale_of
from hydrokit.sheets.places import said

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from matplotlib.axes import Axes
    from matplotlib.figure import FigureBase

    from hydrokit.sheets.pictures.style import Scale
    from hydrokit.studies.suction.lift_limits import LiftLimit

__all__ = ["pictures_of"]

_HEIGHT: Final = 0.075
_ROW: Final = 0.008
_FIRST: Final = "Thick edge: what gives way first."
_NOT_NEEDED: Final = "Hatched: not needed here, as a valve keeps the hose full."
_REACH: Final = {"beyond": "holds as high as air can push", "never": "never holds", "not known": "not known"}


def _draw_limits(axes: Axes, limits: Sequence[LiftLimit], across: Scale, look: Look, governs: str) -> None:
    """Draw how far each limit reaches as a bar, its lift written behind it."""
    low, high = axes.get_xlim()
    for place, limit in enumerate(limits):
        end = high if limit.reach == "beyond" else low if limit.lift is None else across.one(limit.lift)
        axes.barh(
            place, end - low, left=low, height=0.55, color="0.8" if limit.binds else "white", edgecolor="black",
            linewidth=1.4 if limit.limit == governs else 0.6, hatch=None if limit.binds else "////",
        )  # fmt: skip
        told = _REACH[limit.reach] if limit.lift is None else look.show(limit.lift, Dimension.LENGTH, across)
        inside = end - low > 0.55 * (high - low)
        axes.annotate(
            plain(told), (end, place), xytext=(-4.0 if inside else 4.0, 0.0), textcoords="offset points", va="center",
            ha="right" if inside else "left", fontsize=TEXT, parse_math=False, annotation_clip=False,
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.0} if inside else None,
        )  # fmt: skip
    names = [broken(limit.limit, 0.24 * look.points) for limit in limits]
    axes.set_yticks(range(len(limits)), labels=names, fontsize=TEXT, parse_math=False, linespacing=1.0)
    axes.set_ylim(len(limits) - 0.5, -0.5)
    axes.grid(visible=False, axis="y")
    axes.tick_params(axis="y", length=0.0)


def _draw(frame: FigureBase, look: Look, answer: Any) -> Iterable[Labels]:
    depths = answer.depths
    across = scale_of([each.lift for each in depths], Dimension.LENGTH, look.system)
    up = scale_of([answer.full_pipe_flow, *(each.flow for each in depths)], Dimension.FLOW, look.system)
    rows = max(len(answer.limits), 1)
    upper, lower = axes_of(frame, across.label("lift, pump above the water"), up.label("flow"), (_HEIGHT, _ROW * rows))
    x, y, full = (
        across.of(each.lift for each in depths), up.of(each.flow for each in depths),
        up.of(each.full_pipe_flow for each in depths),
    )  # fmt: skip
    upper.set_xlim(x[0], x[-1])
    upper.set_ylim(0.0, max(*full, *y) * 1.15 or 1.0)
    upper.plot(x, full, color="black", linewidth=1.0, linestyle=DASHES[1], label="full pipe")
    upper.plot(x, y, color="black", linewidth=1.6, linestyle=DASHES[0], label="flow")
    now = across.one(answer.lift), up.one(answer.flow)
    upper.plot(*now, color="black", marker="o", markersize=6.0, markerfacecolor="white", linestyle="none")
    labels = Labels(upper, 0.4 * look.points)
    told = f"as it stands: {look.show(answer.flow, Dimension.FLOW)} up {look.show(answer.lift, Dimension.LENGTH)}"
    labels.add(*now, told, "down left, down right, up right")
    apart = [place for place in range(len(y)) if full[place] - y[place] > 0.02 * upper.get_ylim()[1]]
    if apart:
        labels.add_along(x[apart[0] :], full[apart[0] :], "full pipe", "up right, up")
        labels.add(x[apart[0]], y[apart[0]], "as far as suction allows", "down left, left")
    if answer.wanted_flow is not None:
        wanted = up.one(answer.wanted_flow)
        upper.plot([x[0], x[-1]], [wanted, wanted], color="black", linewidth=0.8, linestyle=DASHES[2], label="wanted")
        told = f"wanted: {look.show(answer.wanted_flow, Dimension.FLOW)}"
        labels.add_along([x[0], x[-1]], [wanted, wanted], told, "down right, up right", 0.2)
    _draw_limits(lower, answer.limits, across, look, answer.governs)
    return (labels,)


def pictures_of(answer: Any, look: Look) -> Iterable[Picture]:
    """Return one picture."""
    del look
    height = _HEIGHT + _ROW * max(len(answer.limits), 1) + 0.02
    heading = f"How deep the water may lie: {said(answer.pump)}"
    first = _FIRST if answer.governs else ""
    hatched = "" if all(limit.binds for limit in answer.limits) else _NOT_NEEDED
    remark = f"{first} {hatched}".strip()
    yield Picture("depth", heading, height, lambda frame, look: _draw(frame, look, answer), remark)
