"""Rigs whose tanks once kept the network from settling: flows into dead ends, at the edge of rounding."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from hydrokit import fill
from hydrokit.parts import DiaphragmPump, FloatValve, Hose, Source, Tank
from hydrokit.rig import Line, Rig

if TYPE_CHECKING:
    from collections.abc import Callable


@pytest.mark.parametrize("seed", [29, 697])
def test_dead_ends_at_the_edge_of_rounding_settle(random_rig: Callable[..., Rig], seed: int) -> None:
    answer = fill(random_rig(seed, most_lines=12))
    assert answer.imbalance < 1e-9


def test_a_float_valve_so_wide_that_it_throttles_only_when_all_but_shut_settles() -> None:
    pump = DiaphragmPump(height=0.8, dry_lift=3.0, points=((0.0, 3.5e5), (17.0 / 60_000.0, 0.0)))
    filling = (FloatValve(bore=6.0, kv=10.0), pump, Hose(bore=0.0125, length=3.0))
    tank = Tank(volume=0.06, floor=1.0, depth=0.45, inlet="bottom")
    answer = fill(
        Rig(
            sources={"pond": Source(surface=0.0)},
            tanks={"near": replace(tank, level=0.11), "far": replace(tank, level=0.1)},
            lines={
                "fill": Line(start="pond", end="near", parts=filling),
                "balance": Line(start="near", end="far", parts=(Hose(bore=0.019, length=0.6),)),
            },
        )
    )
    assert answer.imbalance < 1e-9
