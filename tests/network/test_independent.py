"""The network against a second solution of the same rig by another method.

Line laws are put together here from the parts' data and ``fluids``; the network is then solved on joint heads alone
(the dual of the solver's own problem): every line's flow is found by bracketing at the head difference across it, and
the heads by minimising the convex dual, whose gradient is the imbalance at the joints.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from scipy.optimize import brentq

from hydrokit.network import solve

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.rig import Rig

SMALLEST_FLOW = 1e-10  # m^3/s: 6 uL/min; below it a rig stands still


class Dual:
    """The network as a function of joint heads alone."""

    def __init__(self, rig: Rig, hand_line: Callable[[Rig, str], Any]) -> None:
        self.lines = {name: hand_line(rig, name) for name in rig.lines}
        self.joints = {name: place for place, name in enumerate(rig.joints)}
        self.demand = np.array([joint.demand for joint in rig.joints.values()])
        self.into = np.zeros((len(self.joints), len(self.lines)))
        for place, line in enumerate(self.lines.values()):
            for end, sign in ((line.end, 1.0), (line.start, -1.0)):
                if end in self.joints:
                    self.into[self.joints[end], place] += sign
        self.fixed = np.array([(line.fixed_start or 0.0) - (line.fixed_end or 0.0) for line in self.lines.values()])

    def flows(self, heads: Any) -> Any:
        drops = self.fixed - heads @ self.into
        return np.array([line.flow(drop) for line, drop in zip(self.lines.values(), drops, strict=True)])

    def excess(self, heads: Any) -> Any:
        return self.into @ self.flows(heads) - self.demand

    def along(self, heads: Any, way: Any) -> float:
        """Return how far along a direction the dual is least: where the imbalance no longer points along it."""

        def left(share: float) -> float:
            return float(self.excess(heads + share * way) @ way)

        if left(1.0) >= 0.0:
            return 1.0
        return float(brentq(left, 0.0, 1.0, xtol=1e-15, rtol=1e-2))

    def solution(self) -> Any:
        """Return the flows at which every joint balances."""
        heads = np.full(len(self.joints), float(self.fixed.mean()))
        for _ in range(200):
            flows = self.flows(heads)
            excess = self.into @ flows - self.demand
            if len(heads) == 0 or np.abs(excess).max() <= 1e-9 * max(np.abs(flows).max(), SMALLEST_FLOW):
                return flows
            rates = np.array([line.conductance(flow) for line, flow in zip(self.lines.values(), flows, strict=True)])
            matrix = self.into * rates @ self.into.T
            matrix += np.eye(len(heads)) * 1e-9 * max(float(rates.max()), 1e-9)
            way = np.linalg.solve(matrix, excess)
            way *= min(1.0, 100.0 / float(np.abs(way).max()))
            heads = heads + self.along(heads, way) * way
        raise AssertionError("the second method did not settle")


@pytest.mark.parametrize("seed", range(200))
def test_flows_are_those_of_another_method(
    random_rig: Callable[..., Rig], hand_line: Callable[[Rig, str], Any], seed: int
) -> None:
    rig = random_rig(seed)
    expected = Dual(rig, hand_line).solution()
    found = solve(rig).flows.flow[0]
    largest = max(np.abs(expected).max(), SMALLEST_FLOW)
    assert np.abs(found - expected).max() <= 1e-6 * largest


@pytest.mark.parametrize("seed", range(1000, 1100))
def test_a_line_that_stands_still_is_pressed_against_its_bound(
    random_rig: Callable[..., Rig], hand_line: Callable[[Rig, str], Any], seed: int
) -> None:
    rig = random_rig(seed)
    solution = solve(rig)
    ends = {name: solution.head(name)[0] for name in solution.plan.layout.joints}
    for place, name in enumerate(rig.lines):
        line, flow = hand_line(rig, name), float(solution.flow(name)[0])
        if not solution.flows.held[0, place]:
            assert line.low <= flow <= line.high
            continue
        start = ends.get(line.start, line.fixed_start)
        end = ends.get(line.end, line.fixed_end)
        assert flow in (line.low, line.high)  # exactly: nothing leaks
        if line.low < line.high and not (math.isnan(start) or math.isnan(end)):
            pressed = start - end - line.loss(flow)
            assert pressed <= 1e-9 if flow == line.low else pressed >= -1e-9
