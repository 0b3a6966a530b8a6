"""Curves of a pump and of the rig it works against, and how far they are drawn."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from hydrokit.network import solve
from hydrokit.parts import CentrifugalPump, Hose, Joint, Outlet, Source
from hydrokit.rig import Line, Rig, Site
from hydrokit.rules import State
from hydrokit.studies import check, match
from hydrokit.studies.pumping.systems import curves_of, may_reach

if TYPE_CHECKING:
    from hydrokit.parts import PoweredPump

LPM = 1.0 / 60_000.0
G = 9.80665
PUMP = CentrifugalPump(name="pump", heads=((0.0, 12.0), (20 * LPM, 10.0), (40 * LPM, 5.0)))
HOSE = Hose(bore=0.019, length=4.0)


def lifting(pump: PoweredPump = PUMP, lip: float = 3.0, **more: Any) -> Rig:
    return Rig(
        site=Site(density=1000.0, viscosity=1e-3, vapour_pressure=2e3),
        sources={"pond": Source(surface=0.0)},
        outlets={"end": Outlet(height=lip)},
        lines={"run": Line(start="pond", end="end", parts=(HOSE, pump, HOSE)), **more},
    )


def test_the_duty_stands_among_the_flows_and_both_curves_meet_there() -> None:
    state = State(solve(lifting()))
    duty = float(state.solution.flow("run")[0])
    curve = curves_of(state, "lines.run.pump", {}, 1.5 * duty)
    at = curve.flows.index(duty)
    assert 0 < at < len(curve.flows) - 1
    assert curve.pump_heads[at] == pytest.approx(curve.system_heads[at], rel=1e-7)
    assert curve.system_heads[0] == pytest.approx(3.0, rel=1e-2)  # next to nothing flows: the lip alone
    low = curves_of(state, "lines.run.pump", {}, 0.5 * duty)
    assert duty not in low.flows
    assert low.flows[-1] == pytest.approx(0.5 * duty)


def test_alone_a_pump_is_drawn_beyond_its_duty_and_where_it_gives_nothing_to_the_end_of_its_data() -> None:
    state = State(solve(lifting()))
    duty = float(state.solution.flow("run")[0])
    assert may_reach(state, [duty]) > 1.05 * duty
    assert may_reach(State(solve(lifting(lip=30.0))), [0.0]) == pytest.approx(40 * LPM)


def test_beside_another_pump_or_a_demand_only_what_was_found_is_sure() -> None:
    second = Line(start="pond", end="end", parts=(HOSE, replace(PUMP, name="other"), HOSE))
    two = State(solve(lifting(second=second)))
    duty = float(two.solution.flow("run")[0])
    assert may_reach(two, [duty]) == duty
    assert may_reach(two, [0.0]) == 0.0
    assert [curve.flows[-1] for curve in check(lifting(second=second), curves=True).curves] == pytest.approx(
        [duty, duty]
    )
    asked = Rig(
        sources={"pond": Source(surface=0.0)},
        joints={"taken": Joint(height=1.0, demand=5 * LPM)},
        outlets={"end": Outlet(height=3.0)},
        lines={
            "run": Line(start="pond", end="taken", parts=(HOSE, PUMP, HOSE)),
            "on": Line(start="taken", end="end", parts=(HOSE,)),
        },
    )
    assert may_reach(State(solve(asked)), [duty]) == duty


@pytest.mark.parametrize(
    ("powers", "best"),
    [
        # work of 10 m of water at 20 L/min is 32.7 W of 80; at 4 L/min it is 7.6 of 60, at 40 it is 32.7 of 120
        (((4 * LPM, 60.0), (20 * LPM, 80.0), (40 * LPM, 120.0)), True),
        (((0.0, 0.0), (20 * LPM, 80.0), (40 * LPM, 120.0)), False),  # no power at no flow: no efficiency there
        (((50 * LPM, 60.0), (60 * LPM, 80.0)), False),  # beside the curve
        (None, False),
    ],
)
def test_the_best_flow_is_found_where_power_and_curve_put_it_inside_the_data(powers: Any, best: bool) -> None:
    (found,) = (
        each.best_flow
        for each in match(lifting(), pumps={"same": replace(PUMP, powers=powers)}).pumps
        if each.name == "same"
    )
    assert (found is not None) is best
    if found is not None:
        assert 10 * LPM < found < 35 * LPM
