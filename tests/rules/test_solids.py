"""Solids where lines meet and run backward, and filters whose drop goes with the square of the flow."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from hydrokit.network import solve
from hydrokit.parts import Filter, Outlet, Source, Tank
from hydrokit.rig import Line, Rig, Site
from hydrokit.rules import State
from hydrokit.rules.solids import arriving, end_ratio, raw_solids

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.parts import Hose
LITRE = 1.0 / 60_000.0


def sieve(name: str, **more: object) -> Filter:
    """A screen: four times the drop at twice the flow."""
    return Filter(name=name, points=((4 * LITRE, 5e3), (8 * LITRE, 20e3)), points_temperature=293.15, **more)  # type: ignore[arg-type]


def test_the_end_ratio_of_a_screen_is_that_of_its_drops() -> None:
    assert end_ratio(sieve("screen", end_drop=((8 * LITRE, 50e3),))) == pytest.approx(2.5, rel=1e-6)


def test_the_least_that_water_carries_is_never_below_nothing(
    pond_rig: Callable[..., Rig], state: Callable[..., State]
) -> None:
    site = Site(turbidity=10.0, solids_per_ntu=1e-3)
    for tolerance, least in ((0.4e-3, 6e-3), (1.5e-3, 0.0)):
        here = state(pond_rig(site=site, tolerances={"site.solids_per_ntu": tolerance}))
        assert np.ravel(raw_solids(here)) == pytest.approx([least, 10e-3, 10e-3 + 10.0 * tolerance])


def test_water_that_runs_backward_into_a_joint_brings_its_solids_along(
    hose: Callable[..., Hose], state: Callable[..., State]
) -> None:
    """The line from the fork to the spring is drawn the other way: its filter keeps back three quarters of what comes."""
    rig = Rig(
        sources={"pond": Source(surface=4.0), "spring": Source(surface=4.0)},
        outlets={"tap": Outlet(height=0.0)},
        lines={
            "raw": Line(start="pond", end="fork", parts=(hose(),)),
            "drawn-back": Line(start="fork", end="spring", parts=(hose(), sieve("coarse", retains=0.75))),
            "on": Line(start="fork", end="tap", parts=(hose(), sieve("fine", retains=0.5), hose())),
        },
    )
    here = state(rig)
    raw, back, on = (float(here.solution.flow(name)[0]) for name in ("raw", "drawn-back", "on"))
    assert back < 0.0 < raw
    filters = [index for index, element in enumerate(here.plan.elements) if isinstance(element.part, Filter)]
    told = arriving(here, filters)
    assert told.share[0] == pytest.approx([1.0, (raw + 0.25 * -back) / on])
    assert told.flow[0] == pytest.approx([-back, on])
    assert told.brought[0] == pytest.approx(raw - back)
    assert told.delivered[0] == pytest.approx(0.5 * (raw + 0.25 * -back))


def test_a_tank_holds_what_the_filter_before_it_lets_through_in_every_variant(hose: Callable[..., Hose]) -> None:
    """Nothing fills the tank now: what it was filled with passed the coarse filter, of whatever share that is."""
    rig = Rig(
        sources={"pond": Source(surface=0.0)},
        tanks={"tank": Tank(volume=0.1, floor=3.0, depth=0.5, level=0.4)},
        outlets={"tap": Outlet(height=0.0)},
        lines={
            "fill": Line(start="pond", end="tank", parts=(hose(), sieve("coarse", retains=0.5))),
            "draw": Line(start="tank", end="tap", parts=(hose(), sieve("fine", retains=0.5), hose())),
        },
    )
    retains = np.array([0.0, 0.5, 0.9])
    here = State(solve(rig, None, {"lines.fill.coarse.retains": retains}))
    fine = next(index for index, element in enumerate(here.plan.elements) if element.address == "lines.draw.fine")
    assert arriving(here, [fine]).share[:, 0] == pytest.approx(1.0 - retains, rel=1e-12)
