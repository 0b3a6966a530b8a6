"""Whether a pump finds water when it starts, and keeps it when it stops."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from fluids.atmosphere import ATMOSPHERE_1976

from hydrokit.answers import Verdict
from hydrokit.parts import FootValve, HandPump, Joint, NonReturnValve, Outlet, Source
from hydrokit.rig import Line, Rig, Site

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.parts import CentrifugalPump, DiaphragmPump, Hose

    Rigs = Callable[..., Rig]

PUMP = "lines.intake.pump"
G = 9.80665


def vapour(temperature: float) -> float:
    return float(PropsSI("P", "T", temperature, "Q", 0.0, "Water"))


@pytest.mark.parametrize(
    ("height", "verdict"), [(-0.5, "holds"), (0.0, "holds"), (2.0, "holds"), (2.3, "close"), (2.6, "fails")]
)
def test_a_pump_draws_an_empty_hose_full_up_to_its_dry_lift(
    pond_rig: Rigs,
    diaphragm: Callable[..., DiaphragmPump],
    hose: Callable[..., Hose],
    found: Any,
    height: float,
    verdict: str,
) -> None:
    rig = pond_rig(diaphragm(), before=(hose(bore=0.025, length=5.0),), height=height, lip=height)
    assert found(rig)["pump primes", PUMP].verdict == verdict


@pytest.mark.parametrize(
    ("altitude", "temperature", "speed"), [(0.0, 293.15, 1.0), (3000.0, 278.15, 1.0), (2000.0, 283.15, 0.9)]
)
def test_dry_lift_goes_with_the_air_over_vapour_and_with_the_speed_as_varied(
    pond_rig: Rigs,
    diaphragm: Callable[..., DiaphragmPump],
    found: Any,
    altitude: float,
    temperature: float,
    speed: float,
) -> None:
    site = Site(altitude=altitude, water_temperature=temperature)
    finding = found(pond_rig(diaphragm(), height=1.0, lip=1.0, site=site), None, {f"{PUMP}.speed": speed})[
        "pump primes", PUMP
    ]
    here = float(ATMOSPHERE_1976(altitude).P) - vapour(temperature)
    there = 101_325.0 - vapour(293.15)  # common practice: stated at sea level and 20 °C
    assert finding.limit == pytest.approx(2.4 * speed * here / there, rel=1e-4)


def test_a_faster_motor_draws_no_higher(pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], found: Any) -> None:
    rig = pond_rig(diaphragm(), height=1.0, lip=1.0)
    limits = [found(rig, None, {f"{PUMP}.speed": speed})["pump primes", PUMP].limit for speed in (1.0, 1.2)]
    assert limits[0] == limits[1]


def test_air_must_be_pushed_out_past_the_water_in_the_delivery_and_the_valve_there(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose], found: Any
) -> None:
    # the pump compresses air by the same ratio, so what it leaves behind at its inlet grows with what it pushes against:
    # p_in = (p_a + p_b) (p_a - ρ g z) / p_a, our own reasoning
    site = Site(water_temperature=293.15)
    valve = NonReturnValve(bore=0.019, cracking_pressure=5e3)
    free = found(pond_rig(diaphragm(), height=1.0, lip=1.0, site=site))["pump primes", PUMP].limit
    pressed = found(pond_rig(diaphragm(), height=1.0, lip=2.5, after=(valve, hose()), site=site))[
        "pump primes", PUMP
    ].limit
    weight, air = 998.2 * G, 101_325.0
    left_behind = (air + 1.5 * weight + 5e3) * (air - weight * free) / air
    assert pressed == pytest.approx((air - left_behind) / weight, rel=2e-4)


def test_the_height_to_which_a_pump_is_told_to_be_lowered_is_one_from_which_it_primes(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose], found: Any
) -> None:
    # lowered, it pushes the air out against more of the water that stands behind it
    rig = pond_rig(diaphragm(), before=(hose(length=6.0),), height=2.6, lip=3.5, after=(hose(),))
    told = re.search(r"Lower the pump to ([0-9.]+) m above the water", str(found(rig)["pump primes", PUMP].advice))
    assert told is not None
    height = float(told[1])
    assert found(rig, None, {f"{PUMP}.height": height})["pump primes", PUMP].verdict is not Verdict.FAILS
    assert found(rig, None, {f"{PUMP}.height": height + 0.02})["pump primes", PUMP].verdict is Verdict.FAILS


def test_a_pump_below_the_highest_point_of_its_hose_is_not_told_to_be_lowered(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose], found: Any
) -> None:
    over = hose("over", bore=0.025, length=6.0, high_point=3.0)
    advice = str(found(pond_rig(diaphragm(), before=(over,), height=1.0, lip=1.0))["pump primes", PUMP].advice)
    assert advice.startswith("Lay the suction hose no higher than the pump")


def test_an_empty_hose_must_be_drawn_over_its_highest_point(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose], found: Any
) -> None:
    over = hose("over", bore=0.025, length=6.0, high_point=3.0)
    finding = found(pond_rig(diaphragm(), before=(over,), height=1.0, lip=1.0))["pump primes", PUMP]
    assert finding.value == 3.0
    assert finding.verdict is Verdict.FAILS


@pytest.mark.parametrize("surface", [0.3, 0.7, 1.3, 1.5])
def test_a_pump_below_its_water_needs_no_priming_however_the_heights_round(
    pond_rig: Rigs, centrifugal: Callable[..., CentrifugalPump], hose: Callable[..., Hose], found: Any, surface: float
) -> None:
    # the hose begins in the surface, which is its highest point; 0.3 - 1.3 + 1.3 - 0.3 is 6e-17
    before = (hose(bore=0.025, length=5.0),)
    rig = pond_rig(centrifugal(), before=before, height=0.3, sources={"pond": Source(surface=surface)})
    finding = found(rig)["pump primes", PUMP]
    assert finding.verdict is Verdict.HOLDS
    assert finding.value <= 0.0
    assert "fills by itself" in str(finding.reason)


@pytest.mark.parametrize("valve", [FootValve(bore=0.025), NonReturnValve(bore=0.025)])
def test_a_valve_that_keeps_the_hose_full_makes_a_failure_close(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose], found: Any, valve: Any
) -> None:
    before = (valve, hose(bore=0.025, length=5.0))
    finding = found(pond_rig(diaphragm(), before=before, height=4.0, lip=4.0))["pump primes", PUMP]
    assert finding.verdict is Verdict.CLOSE
    assert str(finding.reason) == (
        "The pump must draw water 4 m up; here it draws a dry hose full up to 2.42 m, but the valve below it keeps a hose"
        " full that was filled once."
    )
    assert "Fill the suction hose by hand before the first start" in str(finding.advice)


def test_a_centrifugal_pump_that_states_no_dry_lift_does_not_prime_itself(
    pond_rig: Rigs, centrifugal: Callable[..., CentrifugalPump], hose: Callable[..., Hose], found: Any
) -> None:
    finding = found(pond_rig(centrifugal(), before=(hose(bore=0.025, length=5.0),), height=1.0))["pump primes", PUMP]
    assert finding.verdict is Verdict.FAILS
    assert str(finding.reason) == (
        "The pump must draw water 1 m up and does not prime itself, and nothing keeps the hose full."
    )
    assert str(finding.advice).startswith("Put the pump below the water, fit a foot valve")


def test_a_self_priming_centrifugal_pump_does(
    pond_rig: Rigs, centrifugal: Callable[..., CentrifugalPump], hose: Callable[..., Hose], found: Any
) -> None:
    rig = pond_rig(centrifugal(dry_lift=4.0), before=(hose(bore=0.025, length=5.0),), height=1.0, lip=1.0)
    assert found(rig)["pump primes", PUMP].verdict is Verdict.HOLDS


@pytest.mark.parametrize(("height", "verdict"), [(1.0, "unknown"), (-1.0, "holds")])
def test_a_diaphragm_pump_without_a_stated_dry_lift_is_not_known_unless_it_is_flooded(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], found: Any, height: float, verdict: str
) -> None:
    finding = found(pond_rig(diaphragm(dry_lift=None), height=height))["pump primes", PUMP]
    assert finding.verdict == verdict
    if verdict == "unknown":
        assert str(finding.reason) == "Cannot be judged without the dry_lift of the pump."


def test_a_hand_pump_has_no_speed_and_primes_as_stated(pond_rig: Rigs, found: Any) -> None:
    pump = HandPump(name="pump", stroke_volume=0.4e-3, dry_lift=4.0, vacuum_rating=0.6e5, pressure_rating=6e5)
    assert found(pond_rig(pump, height=3.0))["pump primes", PUMP].verdict is Verdict.HOLDS


def test_water_under_pressure_counts_as_standing_higher(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], found: Any
) -> None:
    main = {"pond": Source(surface=0.0, pressure=1e5)}
    finding = found(pond_rig(diaphragm(), height=3.0, lip=4.0, sources=main))["pump primes", PUMP]
    assert finding.value == pytest.approx(3.0 - 1e5 / (999.1 * G), rel=1e-4)
    assert finding.verdict is Verdict.HOLDS


def test_a_pump_that_nothing_feeds_runs_dry(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose], found: Any
) -> None:
    from hydrokit.rig import Mode

    rig = Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={"tap": Outlet(height=2.0)},
        joints={"mid": Joint(height=1.0)},
        lines={
            "one": Line(start="pond", end="mid", parts=(hose(),)),
            "two": Line(start="mid", end="tap", parts=(hose("a"), replace(diaphragm(), height=1.0), hose("b"))),
        },
        modes={"shut": Mode(closed=("lines.one",))},
    )
    findings = found(rig)
    assert str(findings["pump primes", "lines.two.pump"].reason) == "The pump runs dry: no open line brings it water."
    assert findings["pump primes", "lines.two.pump"].verdict is Verdict.FAILS
    assert ("pump inlet vacuum", "lines.two.pump") not in findings  # nothing is known of a pump without water


@pytest.mark.parametrize(
    ("valve", "height", "verdict"), [(True, 2.0, "holds"), (False, 2.0, "close"), (False, -0.5, "holds")]
)
def test_prime_is_kept_by_a_valve_or_below_the_water(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose], found: Any,
    valve: bool, height: float, verdict: str,
) -> None:  # fmt: skip
    before = (*((FootValve(bore=0.025),) if valve else ()), hose(bore=0.025, length=5.0))
    finding = found(pond_rig(diaphragm(), before=before, height=height))["prime is kept", PUMP]
    assert finding.verdict == verdict
    if verdict == "close":
        assert "it must prime at every start" in str(finding.reason)


def test_variants_are_judged_one_by_one(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose], state: Any
) -> None:
    from hydrokit.rules import judge

    rig = pond_rig(diaphragm(), before=(hose(bore=0.025, length=5.0),), lip=1.0)
    here = state(rig, None, {f"{PUMP}.height": np.array([-1.0, 1.0, 4.0])})
    verdicts = [
        next(finding for finding in judge(here, row) if finding.rule == "pump primes").verdict for row in range(3)
    ]
    assert verdicts == [Verdict.HOLDS, Verdict.HOLDS, Verdict.FAILS]
