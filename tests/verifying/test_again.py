"""The second method by itself: what it says of heads, of shared batteries, and of curves that other tests do not reach."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from scipy.optimize import brentq

from hydrokit.errors import SolverError
from hydrokit.parts import Battery, DiaphragmPump, Fitting, Hose, Joint, NonReturnValve, Outlet, Source
from hydrokit.rig import Line, Rig, Site
from hydrokit.verifying import line_laws, solved_again
from hydrokit.verifying.curves import sheet_curve

LPM = 1.0 / 60_000.0
PUMP = DiaphragmPump(
    height=0.0, points=((0.0, 3e5), (10.0 * LPM, 0.0)), currents=((0.0, 9.0), (10.0 * LPM, 3.0)), battery="main",
    rated_voltage=12.0,
)  # fmt: skip


def side_by_side(count: int, battery: Battery) -> Rig:
    ends = [f"end-{number}" for number in range(count)]
    return Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={end: Outlet(height=2.0) for end in ends},
        batteries={"main": battery},
        lines={end: Line(start="pond", end=end, parts=(PUMP, Hose(bore=0.01, length=5.0))) for end in ends},
    )


def test_a_fitting_by_torricelli() -> None:
    """v = sqrt(2 g h / (K + 1)) with the entrance's and the outlet's own K set to 0 and 1 (common practice, no source)."""
    rig = Rig(
        sources={"barrel": Source(surface=5.0, entrance_k=0.0)},
        outlets={"tap": Outlet(height=0.0)},
        lines={"feed": Line(start="barrel", end="tap", parts=(Fitting(bore=0.02, k=9.0),))},
    )
    expected = math.pi / 4.0 * 0.02**2 * math.sqrt(2.0 * 9.80665 * 5.0 / 10.0)
    assert solved_again(rig).flows["feed"] == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("count", [2, 20])
def test_pumps_on_one_battery_draw_it_down_as_ohm_has_it(count: int) -> None:
    """So many alike on a battery of R draw as one on a battery of so many times R: Ohm's law."""
    many = solved_again(side_by_side(count, Battery(nominal_voltage=12.0, inner_resistance=0.2 / count)))
    one = solved_again(side_by_side(1, Battery(nominal_voltage=12.0, inner_resistance=0.2)))
    assert "shared batteries" in many.method
    assert "shared batteries" not in one.method
    for flow in many.flows.values():
        assert flow == pytest.approx(one.flows["end-0"], rel=1e-9)


def test_a_battery_brought_down_altogether_is_told() -> None:
    with pytest.raises(SolverError, match="battery main is brought down altogether"):
        solved_again(side_by_side(20, Battery(nominal_voltage=12.0, inner_resistance=5.0)))


def test_heads_behind_valves_that_hold_are_left_out() -> None:
    valve = NonReturnValve(bore=0.02)
    rig = Rig(
        sources={"low": Source(surface=0.0), "high": Source(surface=3.0)},
        outlets={"tap": Outlet(height=5.0)},
        joints={"behind": Joint(), "before": Joint()},
        lines={
            "up": Line(start="low", end="before", parts=(Hose(bore=0.02, length=1.0),)),
            "over": Line(start="high", end="behind", parts=(valve,)),
            "between": Line(start="before", end="behind", parts=(valve,)),
            "out": Line(start="behind", end="tap", parts=(Hose(bore=0.02, length=1.0),)),
        },
    )
    again = solved_again(rig)
    assert max(map(abs, again.flows.values())) < 1e-20
    assert again.untold == ("behind",)
    assert again.heads["before"] == pytest.approx(0.0, abs=1e-12)


def test_a_curve_that_rises_is_taken_at_its_flat_top() -> None:
    curve = sheet_curve([(0.0, 8.0), (1.0, 10.0), (2.0, 6.0), (3.0, 0.0)])
    assert curve.shut_off == curve.gain(0.5) == curve.gain(1.0) == 10.0
    assert curve.open_flow == 3.0


def test_a_curve_that_ends_below_nothing_crosses_it_between_its_points() -> None:
    curve = sheet_curve([(0.0, 8.0), (1.0, 2.0), (2.0, -4.0)])
    assert 1.0 < curve.open_flow < 2.0
    assert curve.gain(curve.open_flow) == pytest.approx(0.0, abs=1e-12)


def test_an_upright_curve_of_one_flow_is_level_up_to_it() -> None:
    curve = sheet_curve([(2.0, 5.0), (2.0, 0.0)])
    assert curve.limit == curve.open_flow == 2.0
    assert curve.gain(0.0) == curve.gain(1.9) == 5.0


def test_the_flow_turned_round_is_that_of_the_law() -> None:
    rig = side_by_side(1, Battery(nominal_voltage=12.0))
    (law,) = line_laws(rig, rig.mode()[1]).values()
    for flow in (1e-7, 3e-5, 9.0 * LPM):
        assert law.flow(law.loss(flow)) == pytest.approx(flow, rel=1e-9)


def test_a_stated_liquid_stands_in_front_of_water() -> None:
    """Laminar: head lost by Hagen and Poiseuille, 128 nu L Q / (pi g d^4), and the velocity head at the outlet."""
    nu, length, bore = 1e-3, 10.0, 0.02
    rig = Rig(
        site=Site(density=900.0, viscosity=0.9, vapour_pressure=100.0),
        sources={"drum": Source(surface=2.0, entrance_k=0.0)},
        outlets={"tap": Outlet(height=0.0, exit_k=0.0)},
        lines={"feed": Line(start="drum", end="tap", parts=(Hose(bore=bore, length=length),))},
    )
    flow = brentq(lambda q: 128.0 * nu * length * q / (math.pi * 9.80665 * bore**4) - 2.0, 0.0, 1.0, xtol=1e-20)
    assert solved_again(rig).flows["feed"] == pytest.approx(flow, rel=1e-12)
    warm = replace(rig, site=Site())
    assert solved_again(warm).flows["feed"] > 10.0 * flow


def test_a_line_without_any_loss_carries_what_the_next_one_lets_through() -> None:
    """Torricelli through a nozzle of 25 mm under 3 m, behind a pipe that costs nothing (common practice, no source)."""
    rig = Rig(
        sources={"pool": Source(surface=0.0, entrance_k=0.0)},
        outlets={"air": Outlet(height=-3.0)},
        lines={
            "over": Line(start="pool", end="nozzle", parts=(Fitting(bore=0.04, k=0.0),)),
            "out": Line(start="nozzle", end="air", parts=(Fitting(bore=0.025, k=0.0),)),
        },
    )
    again = solved_again(rig)
    expected = math.pi / 4.0 * 0.025**2 * math.sqrt(2.0 * 9.80665 * 3.0)
    assert again.flows["over"] == pytest.approx(expected, rel=1e-9)
    assert again.flows["out"] == pytest.approx(expected, rel=1e-9)
