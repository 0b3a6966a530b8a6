"""How a pump starts dry: how far it draws an empty hose full, against what it pushes the air out, and how long it takes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.laws.suction import dry_lift_limit, hose_volume, time_to_prime
from hydrokit.parts import Filter, HandPump, Lamp
from hydrokit.rules.drawing import climb_of, suction_of
from hydrokit.rules.ways import reached

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network import Element
    from hydrokit.rules.state import State

__all__ = ["air_volume", "dry_limit", "lowest_end", "prime_time", "pushed_against", "swept"]

_SLOWEST: Final = 1e-3
"""Speed ratio of a pump that its battery does not turn, for the lift that it then has: next to none."""


def lowest_end(state: State, pump: int) -> Array:
    """Return the height of the lowest end of known head that a pump leads to, m, shape (n,); infinite where there is none.

    A tank is such an end: what flows on from there, as through a balance line, leaves the delivery full.
    """
    line = state.line_at(pump)
    end = [*state.rig.lines.values()][line].end
    lowest = np.full(state.variants, np.inf)
    ends = np.broadcast_to(state.plan.ends.fixed_end, state.solution.flows.flow.shape)
    forward = [way for way in state.ways if way.start == state.rig.lines[state.plan.layout.lines[way.line]].start]
    held = {*state.rig.sources, *state.rig.tanks, *state.rig.outlets}
    there = reached({end}, [way for way in forward if way.start not in held]) - held
    for number, each in enumerate(state.rig.lines.values()):
        if (number == line or each.start in there) and not state.closed[number]:
            lowest = np.fmin(lowest, ends[:, number])
    return lowest


def pushed_against(state: State, pump: int) -> Array:
    """Return the gauge pressure that the air must be pushed out against, Pa.

    Water left from last time stands in the delivery up to the lowest end it leads to, and valves ask for their cracking
    pressure.
    """
    plan = state.plan
    after = [index for index in state.own[state.line_at(pump)] if index > pump]
    stands = np.maximum(lowest_end(state, pump) - state.walk.height[:, state.outlet(pump)], 0.0)
    cracking = np.broadcast_to(plan.element_losses.cracking, state.walk.loss.shape)[:, after].sum(axis=1)
    return np.asarray((np.where(np.isfinite(stands), stands, 0.0) + cracking) * state.weight, np.float64)


def dry_limit(state: State, pump: int) -> Array:
    """Return how far a pump draws an empty hose full, here and today, m; 0 where it does not prime itself."""
    element, conditions = state.plan.elements[pump], state.conditions
    stated = state.of(element, "dry_lift")
    if stated is None:
        return np.zeros(state.variants)
    limit = dry_lift_limit(
        dry_lift=stated,
        air_pressure=conditions.air_pressure,
        vapour_pressure=conditions.vapour_pressure,
        density=conditions.density,
        speed_ratio=np.clip(state.idle_speed(pump), _SLOWEST, 1.0),  # a faster motor makes the valves no tighter
        back_pressure_gauge=pushed_against(state, pump),
    )
    return np.maximum(state.full(limit), 0.0)


def air_volume(state: State, pump: int) -> Array:
    """Return the air in an empty suction side, m³: in the pump, and in all before it that lies above its lowest water."""
    side = suction_of(state, pump)
    lowest = np.min([state.head_of(name) for name in side.ends], axis=0)
    held = state.of(state.plan.elements[pump], "holds")
    volume = state.full(0.0 if held is None else held)
    for index in side.elements:
        element = state.plan.elements[index]
        if isinstance(element.part, Filter | Lamp):
            volume = volume + np.where(state.walk.height[:, state.inlet(index)] > lowest, _housing(state, element), 0.0)
        if not element.has_friction or element.bore is None:
            continue
        ends = np.stack([state.walk.height[:, at] for at in (state.inlet(index), state.outlet(index))])
        low, high = ends.min(axis=0), ends.max(axis=0)
        rise = np.maximum(high - low, 1e-12)
        dry = np.where(high - low > 0.0, np.clip((high - lowest) / rise, 0.0, 1.0), high > lowest)
        crest = element.high_point
        dry = dry if crest is None else np.where(crest > high, 1.0, dry)  # most of it hangs over the crest
        volume = volume + dry * hose_volume(bore=element.bore, length=element.length)
    return np.asarray(volume, np.float64)


def _housing(state: State, element: Element) -> Any:
    """Return what the housings of a filter or lamp hold, all side by side, m³; nothing where it is not stated."""
    held = state.of(element, "holds")
    beside = state.of(element, "side_by_side") if isinstance(element.part, Filter) else 1.0
    return 0.0 if held is None else held * beside


def swept(state: State, pump: int) -> Array | None:
    """Return the air that a pump sweeps at no vacuum, its open flow, m³/s; None for one that is no displacement pump."""
    part = state.pump_of(pump)
    if isinstance(part, HandPump):
        stroke, time = (state.of(state.plan.elements[pump], name) for name in ("stroke_volume", "stroke_time"))
        return state.full(stroke / time)
    if not part.displacement:
        return None
    return state.flow_at_sheet(pump, state.pumps.table.open_flow[state.on[pump]])


def prime_time(state: State, pump: int) -> Array | None:
    """Return how long a pump runs on air until water reaches it, its suction side empty, s, shape (n,).

    0 where the water comes by itself, infinite where it never comes; None where it is not known, or another pump pushes.
    A leak that draws air in makes it longer by what nothing tells.
    """
    climb, moves = climb_of(state, pump), swept(state, pump)
    if climb is None:
        return None
    if (climb <= 0.0).all():
        return np.zeros(state.variants)
    if moves is None or state.of(state.plan.elements[pump], "dry_lift") is None:
        return None
    limit = dry_limit(state, pump)
    time = time_to_prime(
        air_volume=air_volume(state, pump),
        displacement=np.maximum(moves, 1e-12),
        lift=np.maximum(climb, 0.0),
        dry_lift=np.maximum(limit, 1e-6),
        air_pressure=state.conditions.air_pressure,
        density=state.conditions.density,
    )
    return np.asarray(np.where(climb <= 0.0, 0.0, time), np.float64)
