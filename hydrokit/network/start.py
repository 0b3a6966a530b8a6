"""Flows to start from where demands must be met through lines that carry only so much, or one way only."""

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
    from hydrokit.network.ports import Mask

__all__ = ["route", "unmet"]

_NOTHING = 1e-12  # share of all demands below which a rest of demand, or of what a line still carries, is rounding

Step = tuple[int, float]


class _Routing:
    """One variant's demands, met one after the other along whatever the lines still carry."""

    def __init__(self, plan: Plan, row: int) -> None:
        layout, ends = plan.layout, plan.ends
        shape = (plan.variants, len(layout.lines))
        self.fixed = len(layout.joints)
        self.low = np.broadcast_to(ends.low, shape)[row]
        self.high = np.broadcast_to(ends.high, shape)[row]
        self.flow = np.zeros(len(layout.lines))
        self.wanted = np.broadcast_to(ends.demand, (plan.variants, self.fixed))[row].copy()
        self.nothing = _NOTHING * float(np.abs(self.wanted).sum())
        self.ways: dict[int, list[tuple[int, Step]]] = {node: [] for node in range(self.fixed + 1)}
        for line, (start, end) in enumerate(zip(layout.start.tolist(), layout.end.tolist(), strict=True)):
            self.ways[start].append((end, (line, 1.0)))
            self.ways[end].append((start, (line, -1.0)))

    def room(self, step: Step) -> float:
        """Return by how much the flow of a line may still change in one sense."""
        line, sense = step
        return float(self.high[line] - self.flow[line] if sense > 0.0 else self.flow[line] - self.low[line])

    def path(self, joint: int, sense: float) -> tuple[list[Step], int] | None:
        """Return the steps between a joint and a fixed end, or a joint that wants the opposite, and that node.

        ``sense`` is 1 where water is to come to the joint, -1 where it is to leave.
        """
        came: dict[int, tuple[int, Step]] = {}
        waiting = deque([joint])
        while waiting:
            node = waiting.popleft()
            for other, (line, along) in self.ways[node]:
                step = (line, -along * sense)  # water runs towards the joint where it is to come there
                if other in came or other == joint or self.room(step) <= self.nothing:
                    continue
                came[other] = (node, step)
                if other == self.fixed or self.wanted[other] * sense < -self.nothing:
                    return _back(came, other, joint), other
                waiting.append(other)
        return None

    def meet(self, joint: int) -> bool:
        """Meet one joint's demand; return whether the lines allow it."""
        sense = float(np.sign(self.wanted[joint]))
        while abs(self.wanted[joint]) > self.nothing:
            found = self.path(joint, sense)
            if found is None:
                return False
            steps, other = found
            amount = min(abs(float(self.wanted[joint])), *(self.room(step) for step in steps))
            if other != self.fixed:
                amount = min(amount, abs(float(self.wanted[other])))
                self.wanted[other] += sense * amount
            self.wanted[joint] -= sense * amount
            for line, along in steps:
                self.flow[line] += along * amount
        return True


def _back(came: dict[int, tuple[int, Step]], node: int, joint: int) -> list[Step]:
    steps = []
    while node != joint:
        node, step = came[node]
        steps.append(step)
    return steps


def route(plan: Plan, rows: npt.NDArray[np.intp]) -> Array:
    """Return flows, shape (len(rows), L), that meet every demand and keep to every bound.

    Raises
    ------
    NetworkError
        Naming every joint whose demand the open lines cannot meet.
    """
    layout, mistakes = plan.layout, Mistakes()
    flow = np.zeros((len(rows), len(layout.lines)))
    for place, row in enumerate(rows.tolist()):
        routing = _Routing(plan, row)
        for joint in np.flatnonzero(routing.wanted).tolist():
            wanted = float(routing.wanted[joint])
            if not routing.meet(joint):
                short = abs(float(routing.wanted[joint]))
                what = "bring it" if wanted > 0.0 else "take it away"
                mistakes.add(
                    f"joints.{layout.joints[joint]}.demand",
                    f"{wanted:g} m^3/s",
                    f"open lines that {what}; {short:g} m^3/s too much for those there are",
                )
        mistakes.settle(NetworkError)
        flow[place] = routing.flow
    return flow


def unmet(plan: Plan) -> Mask:
    """Return which joints, shape (n, J), ask for more than the bounds of the lines let come, or put in more than may leave."""
    found = np.zeros((plan.variants, len(plan.layout.joints)), np.bool_)
    for row in range(plan.variants):
        routing = _Routing(plan, row)
        for joint in np.flatnonzero(routing.wanted).tolist():
            found[row, joint] = not routing.meet(joint)
    return found
