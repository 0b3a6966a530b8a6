"""A pump against its rig: head against flow, filters new and used up, the flow at which suction gives way, the duties."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any, Final

from hydrokit.bounds import Dimension
from hydrokit.sheets.pictures.labels import TEXT, Labels
from hydrokit.sheets.pictures.style import DASHES, MARKS, Look, Picture, axes_of, scale_of
from hydrokit.sheets.places import said
from hydrokit.water import STANDARD_GRAVITY

if TYPE_CHECKING:
    from collections.abc import Iterable

    from matplotlib.axes import Axes
    from matplotlib.figure import FigureBase

    from hydrokit.sheets.pictures.style import Scale
    from hydrokit.studies.pumping.duty_curves import DutyCurve, SystemCurve

__all__ = ["pictures_of", "pressure_beside"]

_HEIGHT: Final = 0.095
_ALLOWS: Final = (
    "The water stays whole up to the pump, and any stated NPSH required is offered, at every flow drawn here."
)
_WORTH_WHILE: Final = 1e-3
"""Share by which a flow must differ from another to be told beside it."""


def pressure_beside(axes: Axes, heads: Scale, density: float, look: Look) -> None:
    """Draw a scale of pressure on the right of one of heads, for the same liquid."""
    per_head = density * STANDARD_GRAVITY / heads.one(1.0)
    top = max(abs(each) for each in axes.get_ylim())
    scale = scale_of([top * per_head], Dimension.PRESSURE_DROP, look.system)
    factor = scale.one(per_head)
    both_ways: Any = (lambda y: y * factor, lambda y: y / factor)
    beside = axes.secondary_yaxis("right", functions=both_ways)
    beside.set_ylabel(scale.label("the same as pressure"), fontsize=TEXT, parse_math=False)
    beside.tick_params(labelsize=TEXT, width=0.6, length=3.0)
    beside.spines["right"].set(linewidth=0.6)


def _named(system: SystemCurve, curve: DutyCurve) -> str:
    others = [each.filters for each in curve.systems]
    if system.filters == "as they are":
        return "rig as it stands" + (", filters new" if others == ["as they are", "used up"] else "")
    return f"rig, filters {system.filters}"


def _draw_systems(axes: Axes, labels: Labels, curve: DutyCurve, scales: tuple[Scale, Scale], look: Look) -> None:
    flow, head = scales
    flows: Any = flow.of(curve.flows)
    for number, system in enumerate(curve.systems):
        heads: Any = head.of(system.heads)
        axes.plot(flows, heads, color="black", linewidth=1.0, linestyle=DASHES[number + 1], label=system.filters)
        point = flow.one(system.flow), head.one(system.head)
        axes.plot(
            *point, color="black", marker=MARKS[number], markersize=6.0, markerfacecolor="white", linestyle="none"
        )
        told = f"{look.show(system.flow, Dimension.FLOW)} at {look.show(system.head, Dimension.LENGTH)}"
        labels.add(*point, told, "up right, right, up")
        labels.add_along(flows, heads, _named(system, curve), "up left, down right", 0.9)


def _draw_suction(axes: Axes, labels: Labels, curve: DutyCurve, flow: Scale, look: Look) -> None:
    """Draw the flow at which suction gives way."""
    limit, (low, high) = curve.suction_limit, axes.get_ylim()
    if limit is None:
        return
    x = flow.one(limit)
    axes.plot([x, x], [low, high], color="black", linewidth=1.0, linestyle=DASHES[2])
    told = (
        f"suction allows no more than {look.show(limit, Dimension.FLOW)}" if limit > 0.0 else "suction allows nothing"
    )
    labels.add_along([x, x], [low, high], told, "right, left", 0.1)


def _draw(frame: FigureBase, look: Look, curve: DutyCurve, density: float) -> Iterable[Labels]:
    flow = scale_of(curve.flows, Dimension.FLOW, look.system)
    worked = [system.head for system in curve.systems]
    tallest = max((each for each in (*curve.heads, *worked) if each is not None), default=1.0)
    head = scale_of([tallest], Dimension.LENGTH, look.system)
    (axes,) = axes_of(frame, flow.label("flow through the pump"), head.label("head"))
    flows, heads = flow.of(curve.flows), head.of(curve.heads)
    least = min((each for system in curve.systems for each in system.heads if each is not None), default=0.0)
    axes.set_xlim(0.0, flows[-1] * 1.03)
    axes.set_ylim(min(0.0, head.one(max(least, -tallest)) * 1.1), head.one(tallest) * 1.12)
    axes.plot(flows, heads, color="black", linewidth=1.6, linestyle=DASHES[0], label="pump")
    labels = Labels(axes, max(0.3 * look.points, 95.0))
    _draw_systems(axes, labels, curve, (flow, head), look)
    _draw_suction(axes, labels, curve, flow, look)
    labels.add_along(flows, heads, "pump", "up right, up", 0.15)
    pressure_beside(axes, head, density, look)
    return (labels,)


def pictures_of(answer: Any, look: Look) -> Iterable[Picture]:
    """Return one picture for each running pump whose curves were worked out."""
    del look
    for curve in answer.curves:
        held = ""
        if curve.suction_limit is not None and curve.suction_limit < curve.systems[0].flow * (1.0 - _WORTH_WHILE):
            held = ", full pipe, more than suction allows"
        yield Picture(
            "pump",
            f"Pump against its rig{held}: {said(curve.place)}",
            _HEIGHT,
            partial(_draw, curve=curve, density=answer.surroundings.density),
            _ALLOWS if curve.fed and curve.suction_limit is None else "",
        )
