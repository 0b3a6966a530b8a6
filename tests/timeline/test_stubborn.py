"""Rigs whose tanks once kept the network from settling: flows into dead ends, at the edge of rounding."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from hydrokit import fill
from hydrokit.parts import DiaphragmPump, FloatValve, Hose, NonReturnValve, Outlet, Source, Tank
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


def test_water_let_in_where_every_way_out_was_held_at_first_finds_one() -> None:
    def pumped(most: float, *around: Hose) -> tuple[Hose | DiaphragmPump, ...]:
        pump = DiaphragmPump(height=0.5, points=((0.0, 1e5), (most / 60_000.0, 0.0)))
        return (around[0], pump, *around[1:])

    wide, narrow, short = Hose(bore=0.019, length=1.0), Hose(bore=0.006, length=20.0), Hose(bore=0.008, length=1.0)
    weak = DiaphragmPump(height=0.5, points=((0.0, 5e4), (40.0 / 60_000.0, 0.0)))
    lines = {
        "raw": Line(start="pond", end="low", parts=(wide, NonReturnValve(bore=0.0125))),
        "strong": Line(start="fork", end="low", parts=pumped(40.0, Hose(bore=0.019, length=0.2), short)),
        "across": Line(start="high", end="low", parts=(Hose(bore=0.006, length=1.0),)),
        "down": Line(start="high", end="fork", parts=(Hose(bore=0.03, length=1.0),)),
        "supply": Line(start="pond", end="high", parts=(short, weak, Hose(bore=0.0125, length=3.0))),
        "small": Line(start="fork", end="low", parts=pumped(8.0, Hose(bore=0.019, length=3.0), narrow)),
        "drain": Line(start="high", end="ground", parts=(Hose(bore=0.019, length=3.0),)),
    }
    tanks = {
        "high": Tank(volume=0.005, floor=1.0, depth=0.5, level=1.1 - 1.0, outlet_height=1.1),
        "low": Tank(volume=0.06, floor=1.0, depth=0.5, level=0.0, inlet="bottom"),
    }
    rig = Rig(sources={"pond": Source(surface=0.5)}, tanks=tanks, outlets={"ground": Outlet(height=0.8)}, lines=lines)
    assert fill(rig).imbalance < 1e-9
