"""Twenty thousand rigs drawn at random: each is solved, closes, and leaks nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.bounds import specs_of
from hydrokit.network import solve
from hydrokit.parts import Hose, Source
from hydrokit.rig import owners

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.network import Solution
    from hydrokit.rig import Rig

WORST = 1e-9  # relative, of mass and of energy
TOPOLOGIES = 300
VARIANTS = 65
SINGLES = 500


def varied(rig: Rig, random: np.random.Generator, count: int) -> dict[str, Any]:
    """Return a variation of about half of the bores, lengths and levels of a rig, and of the water."""
    ranges: dict[type[Any], dict[str, tuple[float, float]]] = {
        Hose: {"bore": (4e-3, 60e-3), "length": (0.1, 100.0)},
        Source: {"surface": (-10.0, 10.0)},
    }
    found = {"site.water_temperature": random.uniform(273.15, 313.15, count)}
    for address, owner in owners(rig):
        for name, limits in ranges.get(type(owner), {}).items():
            if random.random() < 0.5:
                assert name in specs_of(type(owner))
                draw = np.log(limits) if limits[0] > 0.0 else np.array(limits)
                values = random.uniform(draw[0], draw[1], count)
                found[f"{address}.{name}"] = np.exp(values) if limits[0] > 0.0 else values
    return found


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
def test_twenty_thousand_rigs_close(random_rig: Callable[..., Rig]) -> None:
    random = np.random.default_rng(20_000)
    for seed in range(TOPOLOGIES):
        rig = random_rig(seed)
        assert_closed(solve(rig, variation=varied(rig, random, VARIANTS)))
    for seed in range(TOPOLOGIES, TOPOLOGIES + SINGLES):
        assert_closed(solve(random_rig(seed)))
    assert TOPOLOGIES * VARIANTS + SINGLES >= 20_000
