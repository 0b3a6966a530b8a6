"""Heads where water stands behind valves that hold."""

from __future__ import annotations

import numpy as np
import pytest

from hydrokit.network import Solution, solve
from hydrokit.parts import DiaphragmPump, FootValve, Hose, Joint, NonReturnValve, Outlet, Source
from hydrokit.rig import Line, Mode, Rig, Site

G, DENSITY = 9.80665, 1000.0
SITE = Site(density=DENSITY, viscosity=1e-3, vapour_pressure=2e3)
HOSE = Hose(length=2.0, bore=0.0125)
L_MIN = 1.0 / 60_000.0


def pumped(*, tap_closed: bool = True, other_surface: float | None = None) -> Solution:
    """A pump of 2 bar that lifts 1 m to a joint, a hose from there to a tap; a second supply may feed the joint."""
    pump = DiaphragmPump(points=((0.0, 2e5), (10.0 * L_MIN, 0.0)), height=1.0)
    lines = {
        "intake": Line(start="pond", end="split", parts=(FootValve(bore=0.0125), HOSE, pump)),
        "on": Line(start="split", end="bend", parts=(HOSE,)),
        "tap": Line(start="bend", end="basin", parts=(HOSE,)),
    }
    sources = {"pond": Source(surface=0.0)}
    if other_surface is not None:
        sources["spring"] = Source(surface=other_surface)
        lines["spring"] = Line(
            start="spring", end="bend", parts=(HOSE, NonReturnValve(bore=0.0125, cracking_pressure=5e3))
        )
    rig = Rig(
        site=SITE,
        sources=sources,
        outlets={"basin": Outlet(height=1.0)},
        lines=lines,
        modes={"as-used": Mode(closed=("lines.tap",) if tap_closed else ())},
    )
    return solve(rig)


def test_a_pump_against_a_shut_tap_leaves_its_shut_off_head() -> None:
    solution = pumped()
    assert solution.flow("intake")[0] == 0.0
    shut_off = 2e5 / (DENSITY * G)
    assert solution.head("split")[0] == pytest.approx(shut_off, rel=1e-9)
    assert solution.head("bend")[0] == pytest.approx(shut_off, rel=1e-9)
    assert solution.walk.gauge_pressure[0, solution.plan.stations.begins[2]] == pytest.approx(
        2e5 - DENSITY * G, rel=1e-9
    )


def test_of_two_supplies_the_higher_presses_on_what_both_lead_to() -> None:
    solution = pumped(other_surface=30.0)
    assert solution.head("bend")[0] == pytest.approx(30.0 - 5e3 / (DENSITY * G), rel=1e-9)
    assert solution.flow("intake")[0] == 0.0
    assert solution.flow("spring")[0] == pytest.approx(0.0, abs=1e-15)


def test_a_second_supply_that_is_lower_changes_nothing() -> None:
    solution = pumped(other_surface=3.0)
    assert solution.head("bend")[0] == pytest.approx(2e5 / (DENSITY * G), rel=1e-9)


def test_the_same_joints_have_the_heads_of_their_flow_once_the_tap_is_open() -> None:
    solution = pumped(tap_closed=False)
    assert solution.flow("tap")[0] > 0.0
    assert solution.heads == pytest.approx(solution.flows.head, rel=1e-12)


def test_water_that_may_only_leave_stands_at_the_head_it_would_leave_to() -> None:
    rig = Rig(
        site=SITE,
        sources={"pond": Source(surface=4.0), "spring": Source(surface=1.0)},
        lines={
            "down": Line(start="spring", end="pond", parts=(HOSE, NonReturnValve(bore=0.0125))),
            "one": Line(start="pocket", end="pond", parts=(HOSE, NonReturnValve(bore=0.0125))),
            "other": Line(
                start="pocket", end="spring", parts=(HOSE, NonReturnValve(bore=0.0125, cracking_pressure=1e3))
            ),
        },
    )
    solution = solve(rig)
    assert solution.flows.flow == pytest.approx(np.zeros((1, 3)), abs=1e-15)
    assert solution.head("pocket")[0] == pytest.approx(1.0 + 1e3 / (DENSITY * G), rel=1e-9)


def test_variants_of_which_some_stand_still() -> None:
    pump = DiaphragmPump(points=((0.0, 2e5), (10.0 * L_MIN, 0.0)), height=1.0)
    rig = Rig(
        site=SITE,
        sources={"pond": Source(surface=0.0)},
        outlets={"basin": Outlet(height=1.0)},
        lines={
            "intake": Line(start="pond", end="split", parts=(HOSE, pump)),
            "tap": Line(start="split", end="basin", parts=(HOSE,)),
        },
    )
    heights = np.array([1.0, 15.0, 25.0, 40.0])
    solution = solve(rig, variation={"outlets.basin.height": heights})
    assert (solution.flow("intake") > 0.0).tolist() == [True, True, False, False]
    assert solution.head("split")[2:] == pytest.approx(2e5 / (DENSITY * G), rel=1e-9)
    assert solution.joined.all()


@pytest.mark.parametrize("higher", ["first", "second"])
def test_of_two_springs_almost_alike_the_higher_presses_whichever_is_named_first(higher: str) -> None:
    surfaces = {"first": 4.5, "second": 4.5, higher: 5.0}
    lines = {
        name: Line(start=name, end="pocket", parts=(HOSE, NonReturnValve(bore=0.0125))) for name in ("first", "second")
    }
    rig = Rig(
        site=SITE,
        sources={name: Source(surface=surface) for name, surface in surfaces.items()},
        outlets={"tap": Outlet(height=0.0)},
        lines={**lines, "out": Line(start="pocket", end="tap", parts=(HOSE,))},
        modes={"shut": Mode(closed=("lines.out",))},
    )
    assert solve(rig).head("pocket")[0] == pytest.approx(5.0, rel=1e-9)


def test_a_demand_of_all_that_a_pump_sweeps_leaves_at_most_what_the_pump_would_bring() -> None:
    # 4 L/min at anything up to 1 bar: how much of it reaches the joint nothing tells, but no more than 1 bar does
    pump = DiaphragmPump(points=((0.0, 2e5), (4.0 * L_MIN, 1e5), (4.0 * L_MIN, 0.0)))
    rig = Rig(
        site=SITE,
        sources={"pond": Source(surface=3.0)},
        joints={"standpipe": Joint(demand=4.0 * L_MIN)},
        lines={"feed": Line(start="pond", end="standpipe", parts=(pump,))},
    )
    solution = solve(rig)
    assert solution.flow("feed")[0] == pytest.approx(4.0 * L_MIN, rel=1e-12)
    assert solution.head("standpipe")[0] == pytest.approx(3.0 + 1e5 / (DENSITY * G), rel=1e-9)
