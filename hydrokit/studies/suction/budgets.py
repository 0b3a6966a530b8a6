"""The budget of the suction side: what the air gives, what is spent on the way, what is left for the pump."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

import numpy as np

from hydrokit.bounds import Dimension, Spec
from hydrokit.laws.pump_duty import npsh_required
from hydrokit.laws.suction import suction_budget

if TYPE_CHECKING:
    from hydrokit.rules import State
    from hydrokit.studies.suction.drawn import Drawn

__all__ = ["Budget", "budget_of"]

_ROUND_OFF = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """Metres of the liquid, line by line; what the pump requires is None where its data sheet does not say."""

    flow: Annotated[float, Spec(Dimension.FLOW, "at which it is drawn up")]
    air_head: Annotated[float, Spec(Dimension.LENGTH, "given by the air, and by pressure kept up on the water")]
    vapour_head: Annotated[float, Spec(Dimension.LENGTH, "that must stay so that the water does not boil")]
    lift: Annotated[float, Spec(Dimension.LENGTH, "spent on height; negative where flooded")]
    friction_head: Annotated[float, Spec(Dimension.LENGTH, "spent on the way to the pump")]
    npsh_available: Annotated[float, Spec(Dimension.LENGTH, "left for the pump")]
    npsh_required: Annotated[float | None, Spec(Dimension.LENGTH, "that the pump takes")]
    margin: Annotated[float | None, Spec(Dimension.LENGTH, "left over")]


def _required(drawn: Drawn, state: State, flow: float) -> float | None:
    pump = drawn.pump_in(state)
    part = state.pump_of(pump)
    if part.npsh_required is None:
        return None
    speed = float(np.ravel(state.npsh_speed(pump))[0])
    asked, _ = npsh_required(points=part.npsh_required, flow=flow, speed_ratio=speed)
    return float(asked) if np.isfinite(asked) else None


def budget_of(drawn: Drawn, state: State, row: int = 0) -> Budget | None:
    """Return the budget of one variant at the flow of the full pipe; None where water runs back or stands cut off."""
    conditions, pump = state.conditions, drawn.pump_in(state)
    station = state.inlet(pump)

    def of(value: object) -> float:
        return float(np.broadcast_to(np.asarray(value, np.float64), (state.variants,))[row])

    flow = float(state.flow_at(pump)[row])
    surface = float(drawn.surface_in(state)[row])
    pressure = of(drawn.pressure_in(state))
    spent = surface + pressure / of(conditions.weight) - float(state.walk.head[row, station])
    if not (flow >= 0.0 and spent >= -_ROUND_OFF):
        return None
    told = suction_budget(
        air_pressure=of(conditions.air_pressure) + pressure,
        vapour_pressure=of(conditions.vapour_pressure),
        density=of(conditions.density),
        lift=float(state.walk.height[row, station]) - surface,
        friction_head=max(spent, 0.0),
        npsh_required=_required(drawn, state, flow),
    )
    return Budget(
        flow=flow,
        air_head=float(told.air_head),
        vapour_head=float(told.vapour_head),
        lift=float(told.lift),
        friction_head=float(told.friction_head),
        npsh_available=float(told.npsh_available),
        npsh_required=None if told.npsh_required is None else float(told.npsh_required),
        margin=None if told.margin is None else float(told.margin),
    )
