"""Flows to start from where demands must be met through lines that let water through one way only."""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING

import numpy as np

from hydrokit.bounds import Mistakes
from hydrokit.errors import NetworkError

if TYPE_CHECKING:
    import numpy.typing as npt

    from hydrokit.bounds import Array
    from hydrokit.network.plan import Plan

__all__ = ["route"]

Step = tuple[int, float]


def _links(plan: Plan, row: int) -> dict[int, list[tuple[int, Step]]]:
    """Return, for each node, the nodes that water can come from, and by which line; the last node is every fixed end."""
    layout = plan.layout
    low = np.broadcast_to(plan.ends.low, (plan.variants, len(layout.lines)))[row]
    high = np.broadcast_to(plan.ends.high, (plan.variants, len(layout.lines)))[row]
    feeds: dict[int, list[tuple[int, Step]]] = {node: [] for node in range(len(layout.joints) + 1)}
    for line, (start, end) in enumerate(zip(layout.start.tolist(), layout.end.tolist(), strict=True)):
        if high[line] > 0.0:
            feeds[end].append((start, (line, 1.0)))
        if low[line] < 0.0:
            feeds[start].append((end, (line, -1.0)))
    return feeds


def _back(came: dict[int, tuple[int, Step]], node: int, joint: int) -> list[Step]:
    steps = []
    while node != joint:
        node, step = came[node]
        steps.append(step)
    return steps


def _path(links: dict[int, list[tuple[int, Step]]], joint: int, fixed: int) -> list[Step] | None:
    """Return the lines that lead from a fixed end to a joint, or None."""
    came: dict[int, tuple[int, Step]] = {}
    waiting = deque([joint])
    while waiting:
        node = waiting.popleft()
        for other, step in links[node]:
            if other in came or other == joint:
                continue
            came[other] = (node, step)
            if other == fixed:
                return _back(came, fixed, joint)
            waiting.append(other)
    return None


def route(plan: Plan, rows: npt.NDArray[np.intp]) -> Array:
    """Return flows, shape (len(rows), L), that meet every demand along open lines; all 0 where there is none.

    Raises
    ------
    NetworkError
        Naming every joint whose demand no open line can meet.
    """
    layout, mistakes = plan.layout, Mistakes()
    fixed = len(layout.joints)
    flow = np.zeros((len(rows), len(layout.lines)))
    demand = np.broadcast_to(plan.ends.demand, (plan.variants, fixed))
    for place, row in enumerate(rows.tolist()):
        feeds = _links(plan, row)
        drains: dict[int, list[tuple[int, Step]]] = {node: [] for node in feeds}
        for node, steps in feeds.items():
            for other, step in steps:
                drains[other].append((node, step))
        for joint in np.flatnonzero(demand[row]).tolist():
            wanted = float(demand[row, joint])
            path = _path(feeds if wanted > 0.0 else drains, joint, fixed)
            if path is None:
                what = "to draw from" if wanted > 0.0 else "to drain to"
                mistakes.add(f"joints.{layout.joints[joint]}.demand", f"{wanted:g} m^3/s", f"an open line {what}")
                continue
            for line, sense in path:
                flow[place, line] += sense * abs(wanted)
        mistakes.settle(NetworkError)
    return flow
