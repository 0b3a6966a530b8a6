from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hydrokit.answers import Verdict
from hydrokit.bounds import Dimension
from hydrokit.errors import InputError
from hydrokit.parts import DiaphragmPump, FootValve, Hose, Source, Tank
from hydrokit.rig import Line, Rig, Site
from hydrokit.studies import lift, limit
from hydrokit.units import si

LPM = 1.0 / 60_000.0
HOSE = {"flow": 8 * LPM, "bore": 0.019, "length": 6.0}


def _of(answer, name: str):
    return next(each for each in answer.limits if each.limit == name)


def test_thin_air_lowers_a_dry_lift_in_proportion() -> None:
    """Dry lift goes with air pressure less vapour pressure: common practice, no source.

    Air at 0 and 1500 m geometric: 101 325 and 84 560 Pa, U.S. Standard Atmosphere 1976, from memory. Vapour pressure
    at 12 °C: 1403 Pa, CRC Handbook, from memory; at the 20 °C of the rating 2339 Pa.
    """
    answer = limit(**HOSE, altitude=1500.0, water_temperature=285.15, dry_lift=2.4)
    assert answer.governs == "pump primes"
    assert answer.greatest_lift == pytest.approx(2.4 * (84_560 - 1403) / (101_325 - 2339), abs=1e-3)


def test_npsh_limit_by_a_plain_sum() -> None:
    """Air less vapour less friction less what is wanted: (p_a - p_v) / rho g - h_f - (NPSH + 1 m), White, ch. 11."""
    answer = limit(flow=8 * LPM, bore=0.019, length=20.0, water_temperature=293.15, npsh_required=3.0)
    found = _of(answer, "NPSH in hand").lift
    air = (101_325.0 - 2339.0) / (998.2 * 9.80665)  # water at 20 °C: 998.2 kg/m³, 2339 Pa, CRC Handbook, from memory
    assert found == pytest.approx(air - answer.budget.friction_head - 4.0, abs=2e-3)


def test_the_pump_moves_just_the_flow_that_was_asked_for() -> None:
    for lifted in (-4.0, 0.0, 3.0):
        answer = limit(**HOSE, lift=lifted)
        assert answer.budget.flow == pytest.approx(8 * LPM, rel=1e-9)
        assert answer.budget.lift == pytest.approx(lifted)


def test_it_is_the_lift_of_a_rig_of_that_line() -> None:
    pump = DiaphragmPump(
        name="pump", height=0.5, points=((0.0, 3e5), (8 * LPM, 2.9e5), (8 * LPM, 0.0)), dry_lift=2.4, vacuum_rating=45e3
    )
    rig = Rig(
        site=Site(altitude=800.0, water_temperature=283.15),
        sources={"pond": Source(surface=0.0)},
        tanks={"high": Tank(volume=1.0, floor=0.0, depth=0.4)},
        lines={
            "line": Line(start="pond", end="high", parts=(FootValve(bore=0.019), Hose(bore=0.019, length=6.0), pump))
        },
    )
    drawn = lift(rig)
    stated = limit(
        **HOSE, altitude=800.0, water_temperature=283.15, foot_valve="hinged", dry_lift=2.4, vacuum_rating=45e3
    )
    for name in ("pump primes", "water stays whole", "pump inlet vacuum", "hose reaches the water"):
        assert _of(stated, name).lift == pytest.approx(_of(drawn, name).lift, abs=1e-6), name
    assert stated.governs == drawn.governs == "pump inlet vacuum"


def test_a_strainer_costs_what_its_k_says() -> None:
    bare, strained = (limit(**HOSE, k=k, lift=1.0).budget.friction_head for k in (0.5, 10.5))
    velocity = 8 * LPM / (3.141592653589793 * 0.019**2 / 4.0)
    assert strained - bare == pytest.approx(10.0 * velocity**2 / (2.0 * 9.80665), rel=1e-6)


def test_without_anything_stated_the_air_and_the_hose_limit_it() -> None:
    answer = limit(flow=8 * LPM, bore=0.019, length=30.0)
    assert answer.governs == "water stays whole"
    assert {each.limit for each in answer.limits if each.reach == "not known"} == {
        "pump primes", "NPSH in hand", "pump inlet vacuum", "hose keeps its shape",
    }  # fmt: skip
    assert answer.greatest_lift < answer.air_limit


def test_a_lift_that_is_meant_is_judged() -> None:
    low, high = (limit(**HOSE, dry_lift=2.4, lift=lifted) for lifted in (1.5, 2.9))
    assert low.verdict is not Verdict.FAILS
    assert high.verdict is Verdict.FAILS
    assert limit(**HOSE, dry_lift=2.4).findings == ()


@settings(max_examples=15, deadline=None)
@given(low=st.floats(-400.0, 8500.0), more=st.floats(1.0, 4000.0))
def test_higher_sites_never_lift_higher(low: float, more: float) -> None:
    one, other = (
        limit(flow=8 * LPM, bore=0.019, length=30.0, altitude=min(altitude, 9000.0), dry_lift=3.0, npsh_required=2.0)
        for altitude in (low, low + more)
    )
    assert other.greatest_lift <= one.greatest_lift + 1e-6


def test_units_never_change_an_answer() -> None:
    metric = limit(flow=si("8 L/min", Dimension.FLOW), bore=si("19.05 mm", Dimension.LENGTH), length=6.0, dry_lift=2.4)
    inches = limit(
        flow=si("0.48 m3/h", Dimension.FLOW),
        bore=si("3/4 in", Dimension.LENGTH),
        length=si("600 cm", Dimension.LENGTH),
        dry_lift=si("240 cm", Dimension.LENGTH),
    )
    for one, other in zip(metric.limits, inches.limits, strict=True):
        assert one.reach == other.reach
        assert one.lift == pytest.approx(other.lift, abs=1e-6)


def test_every_mistake_is_told_at_once() -> None:
    with pytest.raises(InputError) as caught:
        limit(flow=-1.0, bore=0.0, length=6.0, k=2.0, foot_valve="hinged")
    assert {mistake.place for mistake in caught.value.mistakes} == {"flow", "bore", "k"}


def test_water_of_no_stated_temperature_has_fifteen_degrees() -> None:
    asked = {"flow": 2e-4, "bore": 0.025, "length": 5.0, "npsh_required": 2.0}
    assert limit(**asked) == limit(**asked, water_temperature=288.15) != limit(**asked, water_temperature=289.15)


def test_a_hose_is_judged_by_the_vacuum_that_it_is_rated_for() -> None:
    """Pump at 4 m: 4 m x 999.1 kg/m³ x 9.80665 m/s² is 39.2 kPa of vacuum, and friction and velocity a little more."""
    judged = [
        next(
            each
            for each in limit(**HOSE, lift=4.0, hose_vacuum_rating=rating).findings
            if each.rule == "hose keeps its shape"
        )
        for rating in (35e3, 60e3)
    ]
    assert [each.verdict for each in judged] == [Verdict.FAILS, Verdict.HOLDS]
    assert judged[0].value == pytest.approx(39.2e3, rel=0.05)
    assert judged[0].value > 39.2e3
    free = limit(**HOSE, hose_vacuum_rating=45e3)
    assert free.governs == "hose keeps its shape"


def test_a_corrugated_hose_loses_as_many_times_as_much_as_is_stated() -> None:
    with pytest.raises(InputError, match="friction_multiplier: found corrugated plastic"):
        limit(**HOSE, material="corrugated plastic")
    smooth, ribbed = (
        limit(**HOSE, lift=2.0, **more).budget.friction_head
        for more in ({}, {"material": "corrugated plastic", "friction_multiplier": 2.0})
    )
    assert 1.5 < ribbed / smooth < 2.0  # twice the hose, and the same entrance
