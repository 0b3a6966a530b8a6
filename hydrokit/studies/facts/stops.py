"""The walk along the lines as rows: head, pressures, velocity and Reynolds number at every stop."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

from hydrokit.answers import finite_or_none
from hydrokit.bounds import Dimension, Spec

if TYPE_CHECKING:
    from hydrokit.network import Solution

__all__ = ["Stop", "stops_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """Where something along a line begins or ends; None where no bore is known, or where nothing joins it to a known head."""

    line: str
    after: str
    flow: Annotated[float, Spec(Dimension.FLOW, "of the full pipe; positive along the line")]
    height: Annotated[float, Spec(Dimension.LENGTH, "above the datum")]
    head: Annotated[float | None, Spec(Dimension.LENGTH, "total")]
    gauge_pressure: Annotated[float | None, Spec(Dimension.GAUGE_PRESSURE, "in the moving water")]
    absolute_pressure: Annotated[float | None, Spec(Dimension.ABSOLUTE_PRESSURE, "in the moving water")]
    velocity: Annotated[float | None, Spec(Dimension.VELOCITY, "positive along the line")]
    reynolds: Annotated[float | None, Spec(Dimension.NUMBER, "Reynolds number")]


def stops_of(solution: Solution, row: int = 0) -> tuple[Stop, ...]:
    """Return every stop of one variant, line by line in the order of flow."""
    walk, plan = solution.walk, solution.plan
    after = {int(station): index for index, station in enumerate(walk.after)}
    found = []
    line = -1
    begins = set(plan.stations.begins.tolist())
    for station in range(walk.head.shape[1]):
        line += station in begins
        element = plan.elements[after[station]] if station in after else None
        found.append(
            Stop(
                line=plan.layout.lines[line],
                after="start" if element is None else f"{element.address.rpartition('.')[2]} {element.kind}",
                flow=float(solution.flows.flow[row, line]),
                height=float(walk.height[row, station]),
                head=finite_or_none(walk.head[row, station]),
                gauge_pressure=finite_or_none(walk.gauge_pressure[row, station]),
                absolute_pressure=finite_or_none(walk.absolute_pressure[row, station]),
                velocity=finite_or_none(walk.velocity[row, station]),
                reynolds=finite_or_none(walk.reynolds[row, station]),
            )
        )
    return tuple(found)
