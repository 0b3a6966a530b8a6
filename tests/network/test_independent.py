"""The network against a second solution of the same rig by another method: ``hydrokit.verifying``.

That method puts line laws together from the parts' data and ``fluids``, one flow at a time, and solves the network on joint
heads alone (the dual of the solver's own problem): every line's flow is found by bracketing at the head difference across
it, and the heads by minimising the convex dual, whose gradient is the imbalance at the joints.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.network import solve
from hydrokit.verifying import line_laws, solved_again
from tests.soak.rigs import dressed, varied

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.rig import Rig

SMALLEST_FLOW = 1e-10  # m^3/s: 6 uL/min; below it a rig stands still


def assert_same(rig: Rig, changed: dict[str, float] | None = None) -> None:
    solution, again = solve(rig, None, changed), solved_again(rig, None, changed)
    largest = max(*map(abs, again.flows.values()), SMALLEST_FLOW)
    for line, flow in again.flows.items():
        assert abs(solution.flow(line)[0] - flow) <= 1e-6 * largest, line
    for joint, head in again.heads.items():
        assert abs(solution.head(joint)[0] - head) <= 1e-6 * again.size, joint


@pytest.mark.parametrize("seed", range(60))
def test_flows_and_heads_are_those_of_another_method(random_rig: Callable[..., Rig], seed: int) -> None:
    assert_same(random_rig(seed))


@pytest.mark.parametrize("seed", range(100, 125))
def test_so_are_they_with_batteries_wear_air_and_float_valves(random_rig: Callable[..., Rig], seed: int) -> None:
    assert_same(dressed(random_rig(seed, 12), np.random.default_rng(seed)))


@pytest.mark.parametrize("seed", range(130, 155))
def test_so_are_they_over_all_that_a_rig_can_meet(random_rig: Callable[..., Rig], seed: int) -> None:
    random = np.random.default_rng(seed)
    rig = dressed(random_rig(seed, 12), random)
    changes: dict[str, Any] = varied(rig, random, 1)
    assert_same(rig, {address: float(value[0]) for address, value in changes.items()})


@pytest.mark.parametrize("seed", range(1000, 1040))
def test_a_line_that_stands_still_is_pressed_against_its_bound(random_rig: Callable[..., Rig], seed: int) -> None:
    rig = random_rig(seed)
    solution, laws = solve(rig), line_laws(rig, rig.mode()[1])
    ends = {name: solution.head(name)[0] for name in solution.plan.layout.joints}
    for place, name in enumerate(rig.lines):
        line, flow = laws[name], float(solution.flow(name)[0])
        if not solution.flows.held[0, place]:
            assert line.low <= flow <= line.high
            continue
        start = ends.get(line.start, line.fixed_start)
        end = ends.get(line.end, line.fixed_end)
        assert flow in (line.low, line.high)  # exactly: nothing leaks
        if line.low < line.high and not (math.isnan(start) or math.isnan(end)):
            pressed = start - end - line.loss(flow)
            assert pressed <= 1e-9 if flow == line.low else pressed >= -1e-9
