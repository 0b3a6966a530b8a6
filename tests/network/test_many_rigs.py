"""Twenty thousand rigs drawn at random: each is solved, closes, and leaks nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.network import solve

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.network import Solution
    from hydrokit.rig import Rig

WORST = 1e-9  # relative, of mass and of energy
BLOCKS = 4
TOPOLOGIES, VARIANTS, SINGLES = 75, 65, 125  # of each block


def assert_closed(solution: Solution) -> None:
    flows, ends = solution.flows, solution.plan.ends
    assert np.isfinite(flows.flow).all()
    assert (flows.mass_residual <= WORST).all()
    assert (flows.energy_residual <= WORST).all()
    low, high = np.broadcast_to(ends.low, flows.flow.shape), np.broadcast_to(ends.high, flows.flow.shape)
    at_bound = (flows.flow == low) | (flows.flow == high)
    assert at_bound[flows.held].all()
    assert ((flows.flow >= low) & (flows.flow <= high)).all()


@pytest.mark.slow
@pytest.mark.parametrize("block", range(BLOCKS))
def test_twenty_thousand_rigs_close(block, random_rig: Callable[..., Rig], varied: Callable[..., Any]) -> None:
    random = np.random.default_rng(20_000 + block)
    first = block * (TOPOLOGIES + SINGLES)
    for seed in range(first, first + TOPOLOGIES):
        rig = random_rig(seed)
        assert_closed(solve(rig, variation=varied(rig, random, VARIANTS)))
    for seed in range(first + TOPOLOGIES, first + TOPOLOGIES + SINGLES):
        assert_closed(solve(random_rig(seed)))
    assert BLOCKS * (TOPOLOGIES * VARIANTS + SINGLES) >= 20_000
