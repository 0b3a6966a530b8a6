"""`check` on rigs that builders know: each small, each with what it must say."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest
from fluids.atmosphere import ATMOSPHERE_1976

from hydrokit.answers import Verdict
from hydrokit.bounds import Dimension
from hydrokit.files import demonstration, hand_check
from hydrokit.parts import (
    FootValve,
    HoseTail,
    Outlet,
    Source,
    Tank,
)
from hydrokit.rig import Line, Mode, Rig, Site
from hydrokit.studies import check
from hydrokit.units import in_unit
from tests.small_rigs import BAR, LITRE, PUMP, centrifugal, finding, hose, membrane, verdict_of

if TYPE_CHECKING:
    from collections.abc import Callable

    Rigs = Callable[..., Rig]


def lpm(flow: float) -> float:
    return in_unit(flow, Dimension.FLOW, "L/min")


# ---------------------------------------------------------------- the demonstration, and the sum done by hand


@pytest.mark.parametrize("mode", ["filling", "tap"])
def test_the_demonstration_rig_holds(mode: str) -> None:
    answer = check(demonstration(), mode)
    assert verdict_of(answer) is Verdict.HOLDS
    assert answer.flow == answer.full_pipe_flow
    assert answer.held_back_by == ""


def test_the_sum_done_by_hand() -> None:
    # Worked by textbook formula for the mill-pond trailer of 2 m lift: 7.3 L/min, 1.6 bar at the pump's outlet, 21 kPa of
    # vacuum, NPSH available 7.9 m. Plausibility, within a tenth: the sum rounds each loss to a kilopascal or two, takes a
    # friction chart at one flow, and says nothing of how the filters' drop divides into a viscous and an inertial part.
    answer = check(hand_check())
    (duty,) = answer.duties
    assert lpm(answer.flow) == pytest.approx(7.3, rel=0.1)
    assert duty.outlet_pressure == pytest.approx(1.6 * BAR, rel=0.1)
    assert duty.inlet_pressure == pytest.approx(-21e3, rel=0.1)
    assert duty.npsh_available == pytest.approx(7.9, rel=0.1)


# ---------------------------------------------------------------- a pump nine metres up, and in thin air


def test_a_pump_nine_metres_above_the_water_fails_and_says_how_deep_it_could_go(pond_rig: Rigs) -> None:
    answer = check(pond_rig(height=9.0, before=(hose("suction-hose", length=11.0, bore=0.025),)))
    assert answer.verdict is Verdict.FAILS
    assert answer.flow == 0.0
    assert answer.held_back_by == "suction"
    primes = finding(answer, "pump primes", PUMP)
    assert str(primes.reason) == (
        "The pump must draw water 9 m up; here it draws a dry hose full up to 2.42 m, and nothing keeps the hose full."
    )
    assert "Lower the pump to 2.41 m above the water, no more" in str(primes.advice)
    whole = finding(answer, "water stays whole", "lines.intake")
    assert whole.verdict is Verdict.FAILS
    assert "the pump" in str(whole.reason)


def test_the_depth_that_is_named_is_the_deepest_at_which_it_holds(pond_rig: Rigs) -> None:
    rig = pond_rig(height=9.0)
    for rule in ("water stays whole", "pump inlet vacuum"):
        (said,) = [each for each in check(rig).findings if each.rule == rule and each.verdict is Verdict.FAILS]
        (_, height, _), *_ = said.advice.values
        at, above = (check(rig, changed={f"{PUMP}.height": z}) for z in (height, height + 0.02))
        assert finding(at, rule, said.place).verdict is not Verdict.FAILS
        assert finding(above, rule, said.place).verdict is Verdict.FAILS


def test_what_to_change_first_is_to_lower_that_pump_as_far_as_everything_asks(pond_rig: Rigs) -> None:
    rig = pond_rig(height=9.0, before=(hose("suction-hose", length=11.0, bore=0.025),))
    first = check(rig).changes[0]
    assert str(first.what) == "Lower the pump to 2.41 m above the water"  # by its dry lift, 2.42 m here
    assert set(first.mends) == {
        f"pump primes at {PUMP}",
        f"pump inlet vacuum at {PUMP}",
        "water stays whole at lines.intake",
        "hose keeps its shape at lines.intake.suction-hose",
    }
    assert lpm(first.flow) == pytest.approx(10.8, abs=0.05)


@pytest.mark.parametrize(("height", "verdict"), [(1.3, "holds"), (2.0, "fails")])
def test_the_same_rig_at_3000_m(pond_rig: Rigs, height: float, verdict: str) -> None:
    bare = (hose("suction-hose", length=5.0, bore=0.025),)
    rig = pond_rig(height=height, lip=height, before=bare)
    low, high = (check(replace(rig, site=Site(altitude=metres))) for metres in (0.0, 3000.0))
    assert finding(low, "pump primes", PUMP).verdict is Verdict.HOLDS
    assert finding(high, "pump primes", PUMP).verdict == verdict
    assert high.surroundings.air_pressure == pytest.approx(float(ATMOSPHERE_1976(3000.0).P), rel=1e-6)
    # thin air takes from NPSH what it takes from the column it holds up
    less = (low.surroundings.air_pressure - high.surroundings.air_pressure) / (low.surroundings.density * 9.80665)
    assert low.duties[0].npsh_available is not None
    assert high.duties[0].npsh_available == pytest.approx(low.duties[0].npsh_available - less, rel=1e-9)


def test_the_demonstration_rig_at_3000_m_no_longer_primes_but_its_foot_valve_holds_it() -> None:
    answer = check(demonstration(), changed={"site.altitude": 3000.0})
    assert finding(answer, "pump primes", "lines.intake.lift-pump").verdict is Verdict.CLOSE


# ---------------------------------------------------------------- what strangles it


@pytest.mark.parametrize("tail", [0.004, 0.010])
def test_a_narrow_tail_that_strangles_a_wide_hose_is_named_and_widened_first(tail: float) -> None:
    # by gravity, so that nothing but the losses decides
    parts = (
        hose("first", bore=0.025, length=1.0),
        HoseTail(name="tail", bore=tail, pressure_rating=10 * BAR),
        hose("second", bore=0.025, length=1.0),
    )
    rig = Rig(
        sources={"spring": Source(surface=3.0)},
        outlets={"end": Outlet(height=0.0)},
        lines={"down": Line(start="spring", end="end", parts=parts)},
    )
    answer = check(rig)
    assert answer.head_shares[0].place == "lines.down.tail"
    assert answer.head_shares[0].share > 0.5
    first = answer.changes[0]
    assert first.values == {"lines.down.tail.bore": pytest.approx(0.02)}  # what a 25 mm hose takes inside
    assert first.flow_gain > 0.5 * answer.flow


def test_a_clogged_filter_is_named_and_renewed_first(pond_rig: Rigs) -> None:
    answer = check(pond_rig(after=(hose("delivery-hose"), membrane(loading=1.0))))
    assert answer.head_shares[0].place == "lines.intake.membrane"
    first = answer.changes[0]
    assert str(first.what) == "Renew the element of the membrane"
    assert first.flow_gain > 0.0
    assert not [change for change in answer.changes if "side by side" in str(change.what)]


def test_a_clean_filter_may_have_a_second_beside_it(pond_rig: Rigs) -> None:
    changes = [str(change.what) for change in check(pond_rig(after=(hose("delivery-hose"), membrane()))).changes]
    assert changes[0] == "Fit 2 filters like the membrane side by side"


# ---------------------------------------------------------------- the pump and its switch


def test_a_diaphragm_pump_that_cycles(pond_rig: Rigs) -> None:
    # membrane: 5 bar at 8 L/min, so against 2.8 bar in its outlet the pump would have to give less than it does
    clogged = membrane(points=((4 * LITRE, 2.5 * BAR), (8 * LITRE, 5.0 * BAR)), end_drop=None)
    rig = pond_rig(after=(hose("delivery-hose", bore=0.019), clogged), site=Site(water_temperature=293.15))
    answer = check(rig)
    steady = finding(answer, "pump runs steadily", PUMP)
    assert steady.verdict is Verdict.FAILS
    assert answer.held_back_by == "switch"
    # between cut-in and cut-out the outlet pushes against 0.6 m of height and the membrane alone, near enough
    at = [(pressure - 0.6 * 998.2 * 9.80665) / (2.5 * BAR / 4.0) for pressure in (1.9 * BAR, 2.35 * BAR, 2.8 * BAR)]
    said = {name: value for name, value, _ in steady.reason.values}
    assert lpm(said["least"]) == pytest.approx(at[0], rel=0.01)
    assert lpm(said["most"]) == pytest.approx(at[2], rel=0.01)
    assert lpm(answer.flow) == pytest.approx(at[1], rel=0.01)
    assert answer.flow < said["most"] < answer.full_pipe_flow
    # halfway it would give 11.3 - 6 (2.35 + 0.15) / 2.8 L/min: 1.5 m of suction lift are 0.15 bar
    assert said["share"] == pytest.approx(at[1] / (11.3 - 6.0 * (2.35 + 1.5 * 0.0979) / 2.8), rel=0.01)
    assert sum(arrival.flow for arrival in answer.arrivals) == pytest.approx(answer.flow)


def test_a_pump_on_the_flat_of_its_curve(pond_rig: Rigs) -> None:
    rising = centrifugal(heads=((0.0, 8.0), (10 * LITRE, 9.0), (20 * LITRE, 8.0), (30 * LITRE, 5.0)))
    answer = check(pond_rig(rising, height=0.5, lip=7.5, after=(hose("up", bore=0.008, length=10.0),)))
    flat = finding(answer, "pump working range", PUMP)
    assert flat.verdict is Verdict.FAILS
    assert "any flow up to 10 L/min is as likely" in str(flat.reason)


def test_a_pump_that_does_not_prime_itself_without_a_foot_valve(pond_rig: Rigs) -> None:
    with_valve, without = (
        check(pond_rig(centrifugal(), before=(*valve, hose("suction-hose", bore=0.025))))
        for valve in ((FootValve(bore=0.025),), ())
    )
    assert finding(without, "pump primes", PUMP).verdict is Verdict.FAILS
    assert finding(with_valve, "pump primes", PUMP).verdict is Verdict.CLOSE
    assert finding(without, "prime is kept", PUMP).verdict is Verdict.CLOSE


def test_a_diaphragm_pump_that_is_switched_off_blocks(pond_rig: Rigs) -> None:
    answer = check(pond_rig(modes={"off": Mode(off=(PUMP,))}))
    assert answer.verdict is Verdict.FAILS
    assert answer.flow == 0.0
    assert str(answer.findings[0].reason) == (
        "Nothing arrives anywhere: the pump is switched off, and lets nothing through."
    )
    assert answer.duties == ()


def test_a_centrifugal_pump_that_is_switched_off_lets_water_through_and_that_is_said(pond_rig: Rigs) -> None:
    rig = pond_rig(
        centrifugal(), height=0.0, lip=1.0, sources={"pond": Source(surface=3.0)}, modes={"off": Mode(off=(PUMP,))}
    )
    answer = check(rig)
    assert answer.flow > 0.0
    said = f"{PUMP} is switched off and costs as much head at its open flow as it gives running at none"
    assert said in answer.trust.assumed


# ---------------------------------------------------------------- what suction allows is the headline


def limited(pond_rig: Rigs, height: float = 7.0, **more: Any) -> Rig:
    return pond_rig(
        centrifugal(),
        before=(FootValve(bore=0.019), hose("suction-hose", 8.0)),
        height=height,
        lip=height + 0.2,
        **more,
    )


def test_where_suction_limits_the_headline_is_what_it_allows(pond_rig: Rigs) -> None:
    answer = check(limited(pond_rig))
    (duty,) = answer.duties
    assert answer.held_back_by == "suction"
    assert 0.0 < answer.flow < answer.full_pipe_flow
    assert answer.flow == pytest.approx(duty.allowed_flow)
    assert sum(arrival.flow for arrival in answer.arrivals) == pytest.approx(answer.flow)


def test_where_one_of_two_pumps_is_held_back_the_other_is_not(pond_rig: Rigs) -> None:
    one = limited(pond_rig)
    other = check(pond_rig(centrifugal(), height=1.0, lip=9.0))
    rig = replace(
        one,
        sources={**one.sources, "well": Source(surface=0.0)},
        tanks={**one.tanks, "second": Tank(volume=0.06, floor=8.5, depth=0.45, inlet_height=9.0)},
        lines={
            **one.lines,
            "well": replace(pond_rig(centrifugal("well-pump"), height=1.0).lines["intake"], start="well", end="second"),
        },
    )
    arrivals = {arrival.place: arrival.flow for arrival in check(rig).arrivals}
    assert arrivals["second"] == pytest.approx(other.flow)
    assert arrivals["tank"] == pytest.approx(check(one).flow)


def test_a_wider_or_deeper_change_really_lets_more_through(pond_rig: Rigs) -> None:
    for change in check(limited(pond_rig)).changes:
        assert change.flow == pytest.approx(check(limited(pond_rig), changed=change.values).flow, rel=1e-9)
