"""What flow the suction side really allows.

Where a pump asks for more NPSH than the rig offers, or the water would fall apart before the pump, the flow of the full
pipe is never reached: the pump draws what suction allows, and that is the largest flow at which neither limit is passed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.laws.pump_duty import npsh_required
from hydrokit.laws.suction import DISSOLVED_GAS_MARGIN
from hydrokit.network.walk import element_losses
from hydrokit.parts import CentrifugalPump, Source, Tank
from hydrokit.water import STANDARD_GRAVITY

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = ["allowed_flow", "allows"]

_HALVINGS: Final = 50


def _slack(state: State, pump: int, flow: Array) -> Array:
    """Return the least head in hand, m, along the suction side at a flow through the pump's line."""
    plan, conditions = state.plan, state.conditions
    line = int(plan.element_line[pump])
    flows = state.solution.flows.flow.copy()
    flows[:, line] = flow
    loss = element_losses(plan, flows)
    before = [index for index in state.line_elements(line) if index < pump]
    head = state.walk.head[:, [int(plan.stations.begins[line])]] - np.cumsum(loss[:, before], axis=1)
    stations = [state.outlet(index) for index in before]
    over_vapour: Any = (conditions.air_pressure - conditions.vapour_pressure) / conditions.weight
    static = head - state.walk.height[:, stations] + state.full(over_vapour)[:, None]
    bore = np.broadcast_to(plan.stations.bore, state.walk.head.shape)[:, stations]
    speed = np.nan_to_num(flow[:, None] / (np.pi / 4.0 * bore**2))
    kept: Any = DISSOLVED_GAS_MARGIN / conditions.weight
    least = (static - speed**2 / (2.0 * STANDARD_GRAVITY) - state.full(kept)[:, None]).min(axis=1)
    part = state.pump_of(pump)
    if part.npsh_required is not None:
        ratio = state.of(plan.elements[pump], "speed") if isinstance(part, CentrifugalPump) else 1.0
        asked, _ = npsh_required(points=part.npsh_required, flow=flow, speed_ratio=ratio)
        required = state.full(asked)
        least = np.where(np.isnan(required), least, np.minimum(least, static[:, -1] - required))
    return np.asarray(least, np.float64)


def _single_line(state: State, pump: int) -> bool:
    """Return whether a pump's suction side is the first part of its own line."""
    plan = state.plan
    line = int(plan.element_line[pump])
    start = state.rig.ends()[state.rig.lines[plan.layout.lines[line]].start]
    return isinstance(start, (Source, Tank)) and any(index < pump for index in state.line_elements(line))


def allows(state: State, pump: int, flow: Array) -> Any:
    """Return whether suction allows a pump a flow, m³/s, shape (n,); None where :func:`allowed_flow` is."""
    return _slack(state, pump, flow) >= 0.0 if _single_line(state, pump) else None


def allowed_flow(state: State, pump: int) -> Array | None:
    """Return the flow that suction allows through a pump, m³/s, shape (n,).

    The duty itself where suction does not limit it, 0 where not even still water stays whole; None where the pump
    draws from a fork or from nothing before it, so that its suction side is no single line.
    """
    if not _single_line(state, pump):
        return None
    duty = np.maximum(state.flow_at(pump), 0.0)
    low, high = np.zeros_like(duty), duty.copy()
    holds = _slack(state, pump, duty) >= 0.0
    if holds.all():
        return duty
    hopeless = _slack(state, pump, low) < 0.0
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        good = _slack(state, pump, middle) >= 0.0
        low, high = np.where(good, middle, low), np.where(good, high, middle)
    return np.where(holds, duty, np.where(hopeless, 0.0, low))
