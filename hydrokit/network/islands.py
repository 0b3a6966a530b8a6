"""Heads where water stands behind valves that hold: what the network leaves there once it has come to rest.

A joint that no line with water moving in it joins to a known head may still be pressed upon. A line held shut against
backward flow tells that the head behind it is no less than what it would have brought there, a line held at the most
its pump passes that it is no more. Water pumped up against a shut tap stands at the least head that agrees with every
such line, and so it is answered; where lines only lead away, at the greatest. Behind closed lines alone nothing is known.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from hydrokit.network.loss import line_loss

if TYPE_CHECKING:
    import numpy.typing as npt

    from hydrokit.bounds import Array
    from hydrokit.network.flows import Flows
    from hydrokit.network.plan import Layout, Plan

    Mask = npt.NDArray[np.bool_]

__all__ = ["standing_heads"]

_AT_REST = 1e-12  # share of the largest flow below which a line that has bounds counts as standing at its bound
_SMALLEST = 1e-15  # m^3/s, below which it does whatever the others carry
_RISE = 1e-7  # m; less than this is the rounding of heads along a loop


def standing_heads(plan: Plan, flows: Flows) -> Array:
    """Return the head at each joint, shape (n, J), NaN where nothing tells it."""
    open_lines = ~_at_bound(plan, flows.flow)
    joined = _reached(plan.layout, open_lines)
    heads: Array = np.where(joined, flows.head, np.nan)
    rows = np.flatnonzero(~joined.all(axis=1))
    if rows.size:
        heads[rows] = _pressed(plan.take(rows), flows.flow[rows], open_lines[rows], heads[rows])
    return heads


def _at_bound(plan: Plan, flow: Array) -> Mask:
    slack = np.maximum(_AT_REST * np.abs(flow).max(axis=1, keepdims=True), _SMALLEST)
    at_bound: Mask = (flow <= plan.ends.low + slack) | (flow >= plan.ends.high - slack)
    return at_bound


def _reached(layout: Layout, open_lines: Mask) -> Mask:
    """Return True for joints, shape (n, J), that open lines join to an end of known head."""
    count = len(layout.joints)
    reached = np.zeros((len(open_lines), count + 1), np.bool_)
    reached[:, count] = True
    ends = np.concatenate([layout.start, layout.end])
    order = np.argsort(ends, kind="stable")
    nodes, begins = np.unique(ends[order], return_index=True)
    while True:
        either = open_lines & (reached[:, layout.start] | reached[:, layout.end])
        more = np.logical_or.reduceat(np.tile(either, 2)[:, order], begins, axis=1) & ~reached[:, nodes]
        if not more.any():
            return reached[:, :count]
        reached[:, nodes] |= more


def _pressed(plan: Plan, flow: Array, open_lines: Mask, heads: Array) -> Array:
    """Return the heads with those of islands put in where lines that are held press on them."""
    loss, _ = line_loss(plan, flow)
    movable = np.broadcast_to(plan.ends.low < plan.ends.high, flow.shape)
    at_low = movable & ~open_lines & (flow < plan.ends.high)
    at_high = movable & ~open_lines & ~at_low
    least = _relaxed(plan, loss, heads, forward=open_lines | at_low, backward=open_lines | at_high, sense=1.0)
    known = np.where(np.isfinite(least), least, np.nan)
    most = _relaxed(plan, loss, known, forward=open_lines | at_high, backward=open_lines | at_low, sense=-1.0)
    return np.where(np.isfinite(most), most, np.nan)


def _relaxed(plan: Plan, loss: Array, heads: Array, *, forward: Mask, backward: Mask, sense: float) -> Array:
    """Return known heads as they are, the others as low (sense 1) or high (-1) as the marked lines let them be.

    ``forward`` lines press from start to end, ``backward`` ones from end to start.
    """
    layout, ends = plan.layout, plan.ends
    fixed = len(layout.joints)
    open_joints = np.isnan(heads)
    node: Array = np.concatenate([np.where(open_joints, -sense * np.inf, heads), np.zeros((len(heads), 1))], axis=1)
    fixed_start, fixed_end = (np.broadcast_to(each, loss.shape) for each in (ends.fixed_start, ends.fixed_end))

    def press(line: int, source: int, at_source: Any, target: int, change: Array, pressing: Mask) -> bool:
        if target == fixed:
            return False
        head = (at_source[:, line] if source == fixed else node[:, source]) + change
        better = pressing & open_joints[:, target] & np.isfinite(head)
        better &= sense * head > sense * node[:, target] + _RISE
        node[better, target] = head[better]
        return bool(better.any())

    for _ in range(fixed + 1):
        moved = False
        for line, (start, end) in enumerate(zip(layout.start.tolist(), layout.end.tolist(), strict=True)):
            moved |= press(line, start, fixed_start, end, -loss[:, line], forward[:, line])
            moved |= press(line, end, fixed_end, start, loss[:, line], backward[:, line])
        if not moved:
            break
    return node[:, :fixed]
