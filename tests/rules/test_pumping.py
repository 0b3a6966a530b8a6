"""Working range, and pumps that their switch stops; the swing of the flow against a sum of its own."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from fluids.fittings import contraction_sharp
from fluids.friction import friction_factor
from scipy.optimize import brentq

from hydrokit.answers import Verdict
from hydrokit.parts import Filter, Hose, Joint, Outlet, Source
from hydrokit.rig import Line, Mode, Rig, Site
from hydrokit.rules.cycling import cycling, hunts, relieved
from hydrokit.sheets import render
from hydrokit.studies import check
from hydrokit.studies.facts.usable import usable

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.parts import CentrifugalPump, DiaphragmPump
    from hydrokit.rules import State

    Rigs = Callable[..., Rig]

PUMP = "lines.intake.pump"
LITRE, BAR, G = 1.0 / 60_000.0, 1e5, 9.80665
SHEET = 293.15  # the water of the data sheet, so that its figures hold as they stand
DENSITY = float(PropsSI("D", "T", SHEET, "P", 101_325.0, "Water"))
VISCOSITY = float(PropsSI("V", "T", SHEET, "P", 101_325.0, "Water"))
DELIVERY, LENGTH = 0.0125, 4.0
CLOGGED = Filter(name="filter", points=((4.0 * LITRE, 2.1 * BAR), (8.0 * LITRE, 4.2 * BAR)), points_temperature=SHEET,
                 rated_flow=12.0 * LITRE, pressure_rating=6.0 * BAR)  # fmt: skip


def hunting_rig(pond_rig: Rigs, pump: Any, **more: Any) -> Rig:
    after = (CLOGGED, Hose(name="delivery-hose", bore=DELIVERY, length=LENGTH, pressure_rating=10.0 * BAR))
    return pond_rig(pump, after=after, height=1.5, lip=2.3, site=Site(water_temperature=SHEET), **more)


def taken(pressure: float) -> float:
    """Return the flow that the filter and hose take with a gauge pressure in the pump's outlet, m³/s."""

    def left(flow: float) -> float:
        speed = flow / (np.pi / 4.0 * DELIVERY**2)
        factor = friction_factor(Re=DENSITY * speed * DELIVERY / VISCOSITY, eD=1.5e-6 / DELIVERY)
        losses = factor * LENGTH / DELIVERY + 1.0  # and the exit
        return pressure - DENSITY * G * 0.8 - 2.1 * BAR / 4.0 * flow / LITRE - 0.5 * DENSITY * speed**2 * losses

    return float(brentq(left, 2.4 * LITRE, 8.0 * LITRE, xtol=1e-13))


@pytest.mark.parametrize(
    ("cut_out", "verdict"), [(4.5 * BAR, "holds"), (2.85 * BAR, "close"), (2.4 * BAR, "fails"), (None, "unknown")]
)
def test_a_switch_lets_a_pump_run_below_its_cut_out(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], found: Any, cut_out: float | None, verdict: str
) -> None:
    finding = found(hunting_rig(pond_rig, diaphragm(cut_out=cut_out)))["pump runs steadily", PUMP]
    assert finding.verdict == verdict
    assert (finding.limit is None) == (cut_out is None)


@pytest.mark.parametrize(("relief", "verdict"), [(4.5 * BAR, "holds"), (2.4 * BAR, "fails")])
def test_a_relief_valve_lets_off_what_the_rest_of_the_rig_is_told_to_take(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], found: Any, relief: float, verdict: str
) -> None:
    for cut_out in (None, 4.8 * BAR):
        pump = diaphragm(cut_in=None, cut_out=cut_out, relief=relief)
        finding = found(hunting_rig(pond_rig, pump))["pump runs steadily", PUMP]
        assert finding.verdict == verdict
        assert finding.limit == relief
        assert "its relief valve lets its flow off at" in str(finding.reason)


@pytest.mark.parametrize("cut_out", [None, 2.6 * BAR])
def test_of_a_pump_whose_relief_valve_opens_the_rig_takes_what_it_takes_at_that_pressure(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], state: Callable[..., State], cut_out: float | None
) -> None:
    here = state(hunting_rig(pond_rig, diaphragm(cut_in=None, cut_out=cut_out, relief=2.4 * BAR)))
    (pump,) = here.running
    real = usable(here)  # whose gauge sits in the bore before the pump, 25 mm: 0.15 m/s, 11 Pa
    assert (hunts(here, pump).tolist(), relieved(here, pump).tolist()) == ([False], [True])
    assert real.delivered[0] == pytest.approx(taken(2.4 * BAR), rel=1e-4)
    assert real.walk.gauge_pressure[0, here.outlet(pump)] == pytest.approx(2.4 * BAR, rel=1e-4)
    assert real.delivered[0] < 0.99 * here.delivered[0]


def test_a_relief_valve_that_does_not_open_or_opens_above_the_cut_out_lets_nothing_off(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], state: Callable[..., State]
) -> None:
    high = state(hunting_rig(pond_rig, diaphragm(cut_in=None, cut_out=None, relief=4.5 * BAR)))
    assert usable(high) is high
    stopped = state(hunting_rig(pond_rig, diaphragm(cut_in=1.9 * BAR, cut_out=2.4 * BAR, relief=2.5 * BAR)))
    (pump,) = stopped.running
    assert (hunts(stopped, pump).tolist(), relieved(stopped, pump).tolist()) == ([True], [False])


def test_where_two_relief_valves_open_at_once_no_lesser_flow_is_known(
    diaphragm: Callable[..., DiaphragmPump], state: Callable[..., State]
) -> None:
    """With one held at its relief pressure the other, still told to run unrelieved, would leave it nothing."""
    pump = diaphragm(cut_in=None, cut_out=None, relief=2.0 * BAR)
    rig = Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={"tap": Outlet(height=1.0)},
        lines={
            **{name: Line(start="pond", end="fork", parts=(Hose(bore=0.025, length=1.0), pump)) for name in ("a", "b")},
            "on": Line(start="fork", end="tap", parts=(CLOGGED, Hose(bore=0.025, length=1.0))),
        },
    )
    here = state(rig)
    assert [relieved(here, pump).tolist() for pump in here.running] == [[True], [True]]
    assert usable(here).delivered.tolist() == here.delivered.tolist()


def test_what_a_relief_valve_leaves_is_told(pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump]) -> None:
    answer = check(hunting_rig(pond_rig, diaphragm(cut_in=None, cut_out=None, relief=2.4 * BAR)))
    assert answer.held_back_by == "relief"
    assert answer.flow == pytest.approx(taken(2.4 * BAR), rel=1e-4)
    assert "The relief valve leaves" in render(answer)


def test_a_centrifugal_pump_needs_no_switch(
    pond_rig: Rigs, centrifugal: Callable[..., CentrifugalPump], found: Any
) -> None:
    assert ("pump runs steadily", PUMP) not in found(pond_rig(centrifugal()))


def test_the_flow_swings_between_what_is_taken_at_cut_in_and_at_cut_out(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], found: Any, state: Callable[..., State]
) -> None:
    rig = hunting_rig(pond_rig, diaphragm(cut_in=1.9 * BAR, cut_out=2.4 * BAR))
    here = state(rig)
    (pump,) = here.running
    assert hunts(here, pump).tolist() == [True]
    cycle = cycling(here, pump)
    assert cycle is not None
    # the outlet's own bore is not stated, so its gauge sits in the bore before it, 25 mm: 0.1 m/s, 7 Pa
    assert cycle.flow_at_cut_in[0] == pytest.approx(taken(1.9 * BAR), rel=2e-4)
    assert cycle.flow_at_cut_out[0] == pytest.approx(taken(2.4 * BAR), rel=2e-4)
    assert cycle.mean_flow[0] == pytest.approx(taken(2.15 * BAR), rel=2e-4)
    # halfway the pump would deliver against 2.15 bar and its suction, 1.5 m and next to no friction, by its straight curve
    given = (11.3 - 6.0 * (2.15 + 1.5 * DENSITY * G / BAR) / 2.8) * LITRE
    assert cycle.run_share[0] == pytest.approx(taken(2.15 * BAR) / given, rel=2e-3)
    said = str(found(rig)["pump runs steadily", PUMP].reason)
    assert said.startswith("The pump would have to work against 2.")
    assert "but its switch stops it at 2.4 bar: it hunts, on for about" in said


def test_the_port_of_the_pump_counts_while_it_hunts(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], state: Callable[..., State]
) -> None:
    narrow = Hose(name="delivery-hose", bore=0.004, length=0.5, pressure_rating=10.0 * BAR)
    pump = diaphragm(outlet_bore=0.0125, cut_in=1.0 * BAR, cut_out=1.2 * BAR)
    here = state(pond_rig(pump, after=(narrow,), height=1.5, lip=1.5, site=Site(water_temperature=SHEET)))
    (index,) = here.running
    cycle = cycling(here, index)
    assert cycle is not None

    def left(flow: float) -> float:
        fast, slow = (flow / (np.pi / 4.0 * bore**2) for bore in (0.004, 0.0125))
        factor = friction_factor(Re=DENSITY * fast * 0.004 / VISCOSITY, eD=1.5e-6 / 0.004)
        losses = (
            factor * 0.5 / 0.004 + 0.5 * (1.0 - (0.004 / 0.0125) ** 2) + 1.0
        )  # Crane's sharp contraction, and the exit
        return 1.2 * BAR + 0.5 * DENSITY * (slow**2 - fast**2 * losses)

    assert contraction_sharp(Di1=0.0125, Di2=0.004, fd=0.02, method="Crane") == pytest.approx(
        0.5 * (1.0 - 0.1024), rel=1e-3
    )
    assert cycle.flow_at_cut_out[0] == pytest.approx(brentq(left, 1.0 * LITRE, 12.0 * LITRE), rel=1e-3)


def test_how_it_hunts_is_not_told_where_cut_in_is_not_stated(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], found: Any
) -> None:
    said = str(
        found(hunting_rig(pond_rig, diaphragm(cut_in=None, cut_out=2.4 * BAR)))["pump runs steadily", PUMP].reason
    )
    assert said.endswith("its switch stops it at 2.4 bar: it hunts, on and off.")


def test_a_pump_that_can_bring_nothing_up_below_its_cut_out_stops_for_good(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], found: Any
) -> None:
    # 2.8 bar are 28.6 m of water: the lip lies higher
    said = str(found(pond_rig(diaphragm(), height=1.5, lip=31.0))["pump runs steadily", PUMP].reason)
    assert said.endswith("its switch stops it at 2.8 bar: it stops there and does not start again.")


def test_every_variant_hunts_by_itself(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], state: Callable[..., State]
) -> None:
    rig = hunting_rig(pond_rig, diaphragm())
    cuts = np.array([4.5, 2.4, 2.6]) * BAR
    here = state(rig, None, {f"{PUMP}.cut_out": cuts})
    assert hunts(here, here.running[0]).tolist() == [False, True, True]
    together = cycling(here, here.running[0])
    assert together is not None
    for row, cut in enumerate(cuts):
        one = state(rig, None, {f"{PUMP}.cut_out": cut})
        alone = cycling(one, one.running[0])
        assert alone is not None
        assert together.flow_at_cut_out[row] == pytest.approx(alone.flow_at_cut_out[0], rel=1e-9)
        assert together.run_share[row] == pytest.approx(alone.run_share[0], rel=1e-9)


def test_a_pump_whose_line_starts_and_ends_at_joints_is_cut_out_of_the_rig(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], state: Callable[..., State]
) -> None:
    whole = hunting_rig(pond_rig, diaphragm(cut_out=2.4 * BAR))
    parts = whole.lines["intake"].parts
    split = replace(
        whole,
        joints={"a": Joint(height=1.5), "b": Joint(height=1.5)},
        lines={
            "before": Line(start="pond", end="a", parts=parts[:2]),
            "pumped": Line(start="a", end="b", parts=(*parts[2:3], CLOGGED)),
            "after": Line(start="b", end="tank", parts=parts[4:]),
        },
    )
    cycles = [cycling(here, here.running[0]) for here in (state(whole), state(split))]
    assert cycles[0] is not None
    assert cycles[1] is not None
    # apart, no bore tells the speed at the gauge: some 7 Pa in 2.4 bar
    assert cycles[1].flow_at_cut_out[0] == pytest.approx(cycles[0].flow_at_cut_out[0], rel=1e-4)
    assert cycles[1].run_share[0] == pytest.approx(cycles[0].run_share[0], rel=3e-4)


def test_a_pump_that_pumps_in_a_circle_is_not_cut_out(
    diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose], state: Callable[..., State]
) -> None:
    rig = Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={"tap": Outlet(height=2.0)},
        lines={
            "in": Line(start="pond", end="a", parts=(hose(),)),
            "up": Line(start="a", end="b", parts=(diaphragm(), hose())),
            "round": Line(start="b", end="a", parts=(hose(bore=0.004),)),
            "out": Line(start="b", end="tap", parts=(hose(),)),
        },
    )
    here = state(rig)
    assert cycling(here, here.running[0]) is None


@pytest.mark.parametrize(
    ("lip", "verdict", "said"),
    [(9.0, "holds", "inside its data sheet"), (2.0, "close", "outside its data sheet, which ends at 40 L/min")],
)
def test_a_pump_works_where_its_data_sheet_reaches(
    pond_rig: Rigs,
    centrifugal: Callable[..., CentrifugalPump],
    hose: Callable[..., Hose],
    found: Any,
    lip: float,
    verdict: str,
    said: str,
) -> None:
    finding = found(pond_rig(centrifugal(), after=(hose(bore=0.032),), lip=lip))["pump working range", PUMP]
    assert finding.verdict == verdict
    assert said in str(finding.reason)


@pytest.mark.parametrize(("best", "verdict"), [(20.0, "holds"), (40.0, "close"), (10.0, "close")])
def test_a_pump_works_near_its_best(
    pond_rig: Rigs, centrifugal: Callable[..., CentrifugalPump], found: Any, best: float, verdict: str
) -> None:
    finding = found(pond_rig(centrifugal(best_flow=best * LITRE), lip=9.0))["pump working range", PUMP]
    assert 14.0 * LITRE < finding.value < 24.0 * LITRE  # 70 to 120 % of 20 L/min
    assert finding.verdict == verdict


def test_a_pump_at_the_very_end_of_its_data_sheet_is_still_inside(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], found: Any
) -> None:
    upright = ((0.0, 3.0 * BAR), (8.0 * LITRE, BAR), (8.0 * LITRE, 0.0))  # 8 L/min at anything up to 1 bar
    finding = found(pond_rig(diaphragm(points=upright)))["pump working range", PUMP]
    assert finding.verdict is Verdict.HOLDS
    assert str(finding.reason) == "The pump works at 8 L/min, inside its data sheet."


def test_limits_of_the_data_sheet_follow_the_speed(
    pond_rig: Rigs, centrifugal: Callable[..., CentrifugalPump], found: Any
) -> None:
    finding = found(pond_rig(centrifugal(), lip=4.0), None, {f"{PUMP}.speed": 0.8})["pump working range", PUMP]
    assert finding.limit == pytest.approx(32.0 * LITRE)


RISING = ((0.0, 8.0), (10.0 * LITRE, 9.0), (20.0 * LITRE, 8.0), (30.0 * LITRE, 5.0))
LEVEL = ((0.0, 9.0), (10.0 * LITRE, 9.0), (20.0 * LITRE, 8.0), (30.0 * LITRE, 5.0))


@pytest.mark.parametrize(("heads", "verdict"), [(RISING, "fails"), (LEVEL, "holds")])
def test_on_the_flat_of_a_rising_curve_no_duty_is_stable(
    pond_rig: Rigs,
    centrifugal: Callable[..., CentrifugalPump],
    hose: Callable[..., Hose],
    found: Any,
    heads: Any,
    verdict: str,
) -> None:
    rig = pond_rig(centrifugal(heads=heads), after=(hose(bore=0.008, length=10.0),), height=0.5, lip=7.5)
    finding = found(rig)["pump working range", PUMP]
    assert finding.value < 10.0 * LITRE
    assert finding.verdict == verdict
    if verdict == "fails":
        assert "any flow up to 10 L/min is as likely, no duty is stable" in str(finding.reason)


def test_a_pump_left_on_behind_a_shut_line_churns_its_water(
    pond_rig: Rigs, centrifugal: Callable[..., CentrifugalPump], diaphragm: Callable[..., DiaphragmPump], found: Any
) -> None:
    modes = {"shut": Mode(closed=("lines.intake",)), "off": Mode(closed=("lines.intake",), off=(PUMP,))}
    finding = found(pond_rig(centrifugal(), modes=modes), "shut")["pump working range", PUMP]
    assert finding.verdict is Verdict.FAILS
    assert "its line is shut and no switch stops it" in str(finding.reason)
    assert ("pump working range", PUMP) not in found(pond_rig(centrifugal(), modes=modes), "off")
    assert ("pump working range", PUMP) not in found(pond_rig(diaphragm(), modes=modes), "shut")  # its switch stops it
    loose = found(pond_rig(diaphragm(cut_in=None, cut_out=None), modes=modes), "shut")["pump working range", PUMP]
    assert "it presses on until something gives way" in str(loose.reason)


def test_a_rig_without_pumps_has_nothing_to_say_of_them(hose: Callable[..., Hose], found: Any) -> None:
    line = Line(start="pond", end="tap", parts=(hose(),))
    rig = Rig(sources={"pond": Source(surface=3.0)}, outlets={"tap": Outlet(height=1.0)}, lines={"down": line})
    assert not [rule for rule, _ in found(rig) if "pump" in rule]
