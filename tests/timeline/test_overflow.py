"""A tank with an overflow below its brim holds no more than up to the mouth, wherever it is called full."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from hydrokit.errors import RangeError
from hydrokit.network import solve
from hydrokit.network.ends import brim_depth
from hydrokit.parts import Hose, Outlet, Source, Tank, Vehicle
from hydrokit.rig import Line, Rig
from hydrokit.rules import State
from hydrokit.rules.lasting import fill_volume
from hydrokit.rules.weighing import weighed_of
from hydrokit.studies import fill, fill_times
from hydrokit.studies.drawing import draw

HOSE = Hose(length=2.0, bore=0.0125)
TANK = Tank(volume=0.06, floor=1.0, depth=0.5)
HALF = replace(TANK, overflow_height=1.25, overflow_bore=0.025)


def filled(**tanks: Tank) -> Rig:
    lines = {name: Line(start="header", end=name, parts=(HOSE,)) for name in tanks}
    return Rig(sources={"header": Source(surface=5.0)}, tanks=tanks, lines=lines)


@pytest.mark.parametrize(
    ("overflow", "brim"),
    [({}, 0.5), ({"overflow_height": 1.25}, 0.25), ({"overflow_height": 1.25, "overflow_bore": 0.025}, 0.25),
     ({"overflow_height": 1.25, "overflow_bore": 0.0}, 0.5), ({"overflow_height": 1.6, "overflow_bore": 0.025}, 0.5),
     ({"overflow_bore": 0.025}, 0.5)],
)  # fmt: skip
def test_a_tank_runs_over_at_its_overflow_or_its_brim_whichever_is_lower(overflow: dict, brim: float) -> None:
    tank = replace(TANK, **overflow)
    rig = filled(tank=tank)
    answer = fill(rig)
    (row,) = answer.tanks
    assert tank.brim == brim_depth(rig, "tank", solve(rig).plan.values) == pytest.approx(brim, rel=1e-12)
    assert row.full_volume == pytest.approx(0.06 * brim / 0.5, rel=1e-12)
    assert row.end_level == pytest.approx(brim, rel=1e-9)
    assert row.full_after == pytest.approx(row.full_volume / answer.first_flow, rel=1e-9)
    told = "the tank fills up to its overflow, which carries all that arrives"
    assert (told in answer.trust.assumed) == (brim < 0.5)


def test_what_more_arrives_than_up_to_the_mouth_is_spilled() -> None:
    answer = fill(filled(low=HALF, high=TANK))
    low, high = answer.tanks
    flow = answer.first_flow / 2.0
    assert low.brims_after == pytest.approx(0.03 / flow, rel=1e-9)
    assert high.full_after == pytest.approx(0.06 / flow, rel=1e-9)
    assert low.spilled == answer.spilled == pytest.approx(0.03, rel=1e-6)
    assert low.end_level == pytest.approx(0.25, rel=1e-9)
    assert answer.imbalance < 1e-12


def test_a_full_tank_is_drawn_from_the_mouth_down() -> None:
    rig = Rig(
        tanks={"tank": HALF},
        outlets={"tap": Outlet(height=0.5)},
        lines={"out": Line(start="tank", end="tap", parts=(HOSE,))},
    )
    answer = draw(rig)
    assert answer.tanks[0].start_level == 0.25
    assert answer.delivered == pytest.approx(0.03, rel=1e-2)  # all but the film at the outlet


def test_an_overflow_that_varies_is_followed_in_every_variant() -> None:
    rig, heights = filled(tank=HALF), np.array([1.1, 1.25, 1.4, 1.7])
    times = fill_times(rig, None, {"tanks.tank.overflow_height": heights})
    assert times / times[0] == pytest.approx([1.0, 2.5, 4.0, 5.0], rel=1e-9)
    with pytest.raises(RangeError, match=r"overflow_height of tanks\.tank above its floor: found -0\.1 m"):
        fill_times(rig, None, {"tanks.tank.overflow_height": np.array([1.1, 0.9])})


def test_water_that_enters_above_the_mouth_is_never_met_by_that_of_the_tank() -> None:
    """It falls in at 0.3 m, over an overflow at 0.25 m: the flow stays what it was, however full the tank."""
    answer = fill(filled(tank=replace(HALF, inlet_height=1.3)))
    assert answer.last_flow == pytest.approx(answer.first_flow, rel=1e-12)


def test_a_tank_is_weighed_and_counted_as_full_with_water_up_to_its_overflow() -> None:
    vehicle = Vehicle(mass=500.0, position=1.0, front_position=0.0, rear_position=2.0)
    rig = replace(filled(tank=replace(HALF, position=1.0, mass=5.0)), vehicle=vehicle)
    state = State(solve(rig))
    weighing = weighed_of(state)
    density = float(state.conditions.density)
    assert weighing is not None
    assert weighing.full[0] == pytest.approx([0.03 * density], rel=1e-12)
    assert weighing.now[0] == pytest.approx([0.015 * density], rel=1e-12)  # half of what it can hold
    assert fill_volume(state) == pytest.approx([0.03], rel=1e-12)
    assert state.surface_of("tank") == pytest.approx([1.125], rel=1e-12)


def test_no_mouth_at_the_floor_and_no_level_above_the_mouth() -> None:
    with pytest.raises(RangeError, match="overflow_height: found 1 m, expected above the floor, which lies at 1 m"):
        replace(TANK, overflow_height=1.0)
    with pytest.raises(
        RangeError, match=r"level: found 0\.3 m, expected at most up to the overflow's mouth, 0\.25 m above"
    ):
        replace(HALF, level=0.3)
    assert replace(HALF, level=0.25).level == 0.25
    assert replace(HALF, level=0.3, overflow_bore=0.0).level == 0.3
