r"""The walk: head, pressure, velocity and Reynolds number wherever something along a line begins or ends.

Gauge pressure is that in the moving water, :math:`\rho g (H - z) - \rho v^2 / 2` at the bore there; absolute adds
the air pressure of the site.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from hydrokit.network.driven import flow_limits
from hydrokit.network.loss import hose_losses, pump_gains, square_losses

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network.plan import Plan

__all__ = ["Walk", "walk"]


@dataclass(frozen=True, slots=True)
class Walk:
    """What the water meets, station by station (S = L + E: the start of each line, then the end of each element).

    Parameters
    ----------
    head, height, gauge_pressure, absolute_pressure, velocity, reynolds : array, shape (n, S)
        Total head [m], height [m], pressures [Pa], velocity [m/s] and Reynolds number [-]; velocity and what follows
        from it are NaN where no bore is known, head and pressures along a line that starts from a joint cut off.
    loss : array, shape (n, E)
        Head lost in each element, in the direction of its line; a pump's gain is negative. [m]
    crest_gauge_pressure : array, shape (n, E)
        At the highest point of a hose that states one, half its friction spent; else NaN. [Pa]
    before, after : array of int, shape (E,)
        Station before and after each element.
    """

    head: Array
    height: Array
    gauge_pressure: Array
    absolute_pressure: Array
    velocity: Array
    reynolds: Array
    loss: Array
    crest_gauge_pressure: Array
    before: Any
    after: Any


def _column(value: Any) -> Any:
    return value[:, None] if np.ndim(value) else value


def element_losses(plan: Plan, flow: Array) -> Array:
    """Return the head lost in every element, shape (n, E), at line flows, shape (n, L)."""
    carried = flow[:, plan.element_line]
    losses = plan.element_losses
    rest = plan.losses.rest_flow[:, plan.element_line]  # the line's own, so that its elements sum to its loss
    head, _ = square_losses(replace(losses, rest_flow=rest), carried)
    head = head + losses.cracking
    hoses = plan.hoses
    if hoses.line.size:
        along = flow[:, hoses.line]
        friction, _ = hose_losses(hoses, np.abs(along))
        head[:, hoses.element] += np.copysign(friction, along)
    if plan.pumps is not None:
        rise, _ = pump_gains(plan.pumps, flow[:, plan.pumps.line])
        head[:, plan.pumps.element] -= rise
    return head


def _line_start_heads(plan: Plan, flow: Array, heads: Array) -> Array:
    layout, ends = plan.layout, plan.ends
    known = np.concatenate([heads, np.zeros((len(flow), 1))], axis=1)
    fixed = np.broadcast_to(ends.fixed_start, flow.shape)
    return np.where(np.isnan(fixed), known[:, layout.start], fixed)


def _line_end_heads(plan: Plan, flow: Array, heads: Array) -> Array:
    layout, ends = plan.layout, plan.ends
    known = np.concatenate([heads, np.zeros((len(flow), 1))], axis=1)
    fixed = np.broadcast_to(ends.fixed_end, flow.shape)
    return np.where(np.isnan(fixed), known[:, layout.end], fixed)


def _give_less(plan: Plan, flow: Array, heads: Array, loss: Array) -> None:
    """Put in what the pumps of lines at their greatest flow really give: no more than the line asks for.

    There the curve stands upright, and any gain below it goes with the same flow.
    """
    pumps = plan.pumps
    if pumps is None:
        return
    high = np.broadcast_to(plan.ends.high, flow.shape)
    limits = np.broadcast_to(flow_limits(pumps), (len(flow), len(pumps.line)))
    drop = _line_start_heads(plan, flow, heads) - _line_end_heads(plan, flow, heads)
    for line in pumps.lines.tolist():
        at_most = (flow[:, line] >= high[:, line]) & (high[:, line] > 0.0) & np.isfinite(drop[:, line])
        if at_most.any():
            own = np.flatnonzero(pumps.line == line)
            binds = pumps.element[own[limits[:, own].argmin(axis=1)]]
            rest = drop[:, line] - loss[:, plan.element_line == line].sum(axis=1)
            rows = np.flatnonzero(at_most)
            loss[rows, binds[rows]] += rest[rows]


def walk(plan: Plan, flow: Array, heads: Array) -> Walk:
    """Walk along every line at its flow, shape (n, L), from the head at its start; of joints, shape (n, J)."""
    count = len(plan.layout.lines)
    loss = element_losses(plan, flow)
    _give_less(plan, flow, heads, loss)
    variants, elements = loss.shape
    stations = plan.stations
    after = np.arange(elements) + plan.element_line + 1
    line_of = np.empty(count + elements, np.intp)
    line_of[stations.begins] = np.arange(count)
    line_of[after] = plan.element_line
    steps = np.zeros((variants, count + elements))
    steps[:, after] = -loss
    running = np.cumsum(steps, axis=1)
    offset = _line_start_heads(plan, flow, heads) - running[:, stations.begins]
    head = running + offset[:, line_of]
    area = np.pi / 4.0 * stations.bore**2
    velocity = flow[:, line_of] / area
    conditions = plan.conditions
    density, weight = _column(conditions.density), _column(conditions.weight)
    height = np.broadcast_to(stations.height, head.shape)
    gauge = weight * (head - height) - 0.5 * density * np.nan_to_num(velocity) ** 2
    before = after - 1
    return Walk(
        head=head,
        height=height,
        gauge_pressure=gauge,
        absolute_pressure=gauge + _column(conditions.air_pressure),
        velocity=velocity,
        reynolds=np.abs(velocity)
        * np.where(np.isinf(stations.bore), np.nan, stations.bore)
        / _column(conditions.kinematic_viscosity),
        loss=loss,
        crest_gauge_pressure=_crests(plan, head, velocity, before, after),
        before=before,
        after=after,
    )


def _crests(plan: Plan, head: Array, velocity: Array, before: Any, after: Any) -> Array:
    pressure = np.full((len(head), len(plan.elements)), np.nan)
    density, weight = _column(plan.conditions.density), _column(plan.conditions.weight)
    for index, element in enumerate(plan.elements):
        if element.high_point is not None:
            middle = 0.5 * (head[:, before[index]] + head[:, after[index]])
            speed = np.nan_to_num(velocity[:, after[index]])
            flat = np.ravel(weight) * (middle - element.high_point) - 0.5 * np.ravel(density) * speed**2
            pressure[:, index] = flat
    return pressure
