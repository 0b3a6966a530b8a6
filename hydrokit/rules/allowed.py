"""What flow the suction side really allows.

Where a pump asks for more NPSH than the rig offers, or the water would fall apart before the pump, the flow of the full
pipe is never reached: the pump draws what suction allows, and that is the largest flow at which neither limit is passed.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.laws.suction import gas_margin
from hydrokit.network import solve
from hydrokit.network.walk import element_losses
from hydrokit.parts import Joint
from hydrokit.rules.cutting import values_for, without_line
from hydrokit.rules.drawing import suction_of
from hydrokit.rules.state import State
from hydrokit.rules.suction import npsh_asked, whole_limit
from hydrokit.water import STANDARD_GRAVITY

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.bounds import Array

__all__ = ["allowed_flow", "allows"]

_HALVINGS: Final = 40
_NOTHING: Final = 1e-3
"""Share of the duty; a pump that cannot draw even that draws nothing."""


def _before(state: State, pump: int) -> Callable[[Array], tuple[Array, Array]]:
    """Return what stands before a pump's line as a function of the flow that it draws.

    That is the head where the line starts, and the least head in hand along the lines that feed it, both m. The head of a
    source or tank stays, with nothing before it; at a joint the rest of the rig is solved with the pump's flow as a demand
    there, and put back in where its line ends.
    """
    number = state.line_at(pump)
    line = state.rig.lines[state.line_of(pump)]
    ends = state.rig.ends()
    if not isinstance(ends[line.start], Joint):
        fixed = state.walk.head[:, int(state.plan.stations.begins[number])]
        return lambda _flow: (fixed, np.full(state.variants, np.inf))
    rest, feeding = without_line(state, state.line_of(pump)), _feeding(state, pump)
    values = values_for(state, rest)
    taken = [(line.start, 1.0)] + ([(line.end, -1.0)] if isinstance(ends[line.end], Joint) else [])
    stated = {name: state.full(state.plan.values.of(f"joints.{name}", ends[name], "demand")) for name, _ in taken}

    def before(flow: Array) -> tuple[Array, Array]:
        demands: dict[str, Any] = {f"joints.{name}.demand": stated[name] + sense * flow for name, sense in taken}
        solution = solve(rest, None, {**values, **demands})
        return solution.head(line.start), _left_along(State(solution), feeding)

    return before


def _feeding(state: State, pump: int) -> set[str]:
    """Return the addresses of what a pump's water passes before it comes to the pump's own line."""
    own = state.line_at(pump)
    return {
        state.plan.elements[index].address for index in suction_of(state, pump).elements if state.line_at(index) != own
    }


def _left_along(state: State, feeding: set[str]) -> Array:
    """Return the least head, m, that the water has over what makes it fall apart, in lines that flow; (n,)."""
    limit = whole_limit(state)
    air = state.full(state.conditions.air_pressure)
    least = np.full(state.variants, np.inf)
    for index, element in enumerate(state.plan.elements):
        if element.address in feeding:
            stations = [state.inlet(index), state.outlet(index)]
            crest = state.walk.crest_gauge_pressure[:, index] + air
            lowest = np.fmin.reduce([*state.walk.absolute_pressure[:, stations].T, crest])
            flows = ~state.stands_still(state.flow_at(index)) & ~np.isnan(lowest)
            least = np.where(flows, np.fmin(least, (lowest - limit) / state.weight), least)
    return least


def _required(state: State, pump: int, flow: Array) -> Array:
    """Return the NPSH required, m; beyond either end of the data sheet what it states last, which is the least to expect."""
    points = state.pump_of(pump).npsh_required
    if points is None:
        return np.full(state.variants, -np.inf)
    stated, speed = [point[0] for point in points], state.full(state.npsh_speed(pump))
    return npsh_asked(state, pump, speed * np.clip(flow / speed, min(stated), max(stated)))


def _slack(state: State, pump: int, flow: Array, start: Array) -> Array:
    """Return the least head in hand, m, along a pump's own line up to its inlet, at a flow and a head at its start."""
    plan, conditions = state.plan, state.conditions
    number = state.line_at(pump)
    flows = state.solution.flows.flow.copy()
    flows[:, number] = flow
    before = [index for index in state.own[number] if index < pump]
    passive = plan if any(index in state.on for index in before) else replace(plan, pumps=None)
    spent = np.cumsum(element_losses(passive, flows)[:, before], axis=1)
    head = np.concatenate([start[:, None], start[:, None] - spent], axis=1)
    stations = [int(plan.stations.begins[number]), *(state.outlet(index) for index in before)]
    over_vapour: Any = (conditions.air_pressure - conditions.vapour_pressure) / conditions.weight
    available = head - state.walk.height[:, stations] + state.full(over_vapour)[:, None]
    bore = np.broadcast_to(plan.stations.bore, state.walk.head.shape)[:, stations]
    speed = np.nan_to_num(flow[:, None] / (np.pi / 4.0 * bore**2))
    moving = available - speed**2 / (2.0 * STANDARD_GRAVITY)
    places = [moving[:, place] for place in range(len(stations))]
    for place, index in enumerate(before, start=1):
        crest = plan.elements[index].high_point
        if crest is not None:  # half the friction of that hose is spent at its crest
            down = state.walk.height[:, stations[place]] - state.full(crest)
            places.append(moving[:, place] + 0.5 * (head[:, place - 1] - head[:, place]) + down)
    margin = gas_margin(air_pressure=conditions.air_pressure, vapour_pressure=conditions.vapour_pressure)
    whole = np.min(places, axis=0) - state.full(margin) / state.weight
    return np.asarray(np.minimum(whole, available[:, -1] - _required(state, pump, flow)), np.float64)


def allows(state: State, pump: int, flow: Array) -> Any:
    """Return whether suction allows a pump a flow, m³/s, shape (n,)."""
    return _in_hand(state, pump, flow, _before(state, pump)) >= 0.0


def _in_hand(state: State, pump: int, flow: Array, before: Callable[[Array], tuple[Array, Array]]) -> Array:
    """Return the least head in hand, m, on all the way to a pump at a flow."""
    start, fed = before(flow)
    return np.minimum(_slack(state, pump, flow, start), fed)


def allowed_flow(state: State, pump: int) -> Array:
    """Return the flow that suction allows through a pump, m³/s, shape (n,).

    The duty itself where suction does not limit it, 0 where not even a thousandth of it can be drawn.
    """
    duty = np.maximum(state.flow_at(pump), 0.0)
    number = state.line_at(pump)
    start = state.walk.head[:, int(state.plan.stations.begins[number])]
    now = np.minimum(_slack(state, pump, duty, start), _left_along(state, _feeding(state, pump)))
    holds = (duty <= 0.0) | ~(now < 0.0)
    if holds.all():
        return duty
    before = _before(state, pump)
    low, high = _NOTHING * duty, duty.copy()
    hopeless = _in_hand(state, pump, low, before) < 0.0
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        good = _in_hand(state, pump, middle, before) >= 0.0
        low, high = np.where(good, middle, low), np.where(good, high, middle)
    return np.where(holds, duty, np.where(hopeless, 0.0, low))
