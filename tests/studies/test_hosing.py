from __future__ import annotations

import json

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from hydrokit.bounds import Dimension
from hydrokit.catalogue import hose_bores
from hydrokit.errors import InputError
from hydrokit.laws.friction import head_loss
from hydrokit.studies import hose
from hydrokit.units import si
from hydrokit.water import STANDARD_GRAVITY, water

LPM = 1.0 / 60_000.0
quick = settings(max_examples=40, deadline=None)


@quick
@given(flow=st.floats(0.05, 300.0), bore=st.floats(4e-3, 0.1), length=st.floats(0.1, 500.0))
def test_any_two_give_the_third_back(flow: float, bore: float, length: float) -> None:
    forward = hose(flow=flow * LPM, bore=bore, length=length)
    assume(1e-6 < forward.drop < 1e8)
    assert hose(bore=bore, drop=forward.drop, length=length).flow == pytest.approx(flow * LPM, rel=1e-8)
    assert hose(flow=flow * LPM, drop=forward.drop, length=length).bore == pytest.approx(bore, rel=1e-8)


@quick
@given(flow=st.floats(0.05, 300.0), bore=st.floats(4e-3, 0.1), length=st.floats(0.1, 500.0))
def test_the_network_and_the_law_agree(flow: float, bore: float, length: float) -> None:
    liquid = water(288.15)
    law = head_loss(
        flow=flow * LPM,
        bore=bore,
        length=length,
        kinematic_viscosity=liquid.viscosity / liquid.density,
        roughness=1.5e-6,
    )
    assert hose(flow=flow * LPM, bore=bore, length=length).head == pytest.approx(law, rel=1e-9)


@quick
@given(cold=st.floats(273.15, 330.0), warmer=st.floats(0.1, 40.0), bore=st.floats(4e-3, 0.05), drop=st.floats(1.0, 5e4))
def test_colder_water_never_flows_faster_all_laminar_or_all_turbulent(
    cold: float, warmer: float, bore: float, drop: float
) -> None:
    one, other = (
        hose(bore=bore, drop=drop, length=10.0, water_temperature=warmth)
        for warmth in (cold, min(cold + warmer, 371.0))
    )
    assume(one.range == other.range != "between")
    assert one.flow <= other.flow * (1.0 + 1e-9)


@quick
@given(bore=st.floats(4e-3, 0.05), share=st.floats(1.001, 3.0), drop=st.floats(1.0, 5e4))
def test_more_bore_or_more_drop_never_carries_less(bore: float, share: float, drop: float) -> None:
    flow = hose(bore=bore, drop=drop, length=10.0).flow
    assert hose(bore=share * bore, drop=drop, length=10.0).flow >= flow
    assert hose(bore=bore, drop=share * drop, length=10.0).flow >= flow


def test_units_never_change_an_answer() -> None:
    metric = hose(flow=si("8 L/min", Dimension.FLOW), bore=si("19.05 mm", Dimension.LENGTH), length=6.0)
    inches = hose(flow=si("0.48 m3/h", Dimension.FLOW), bore=si("3/4 in", Dimension.LENGTH), length=6.0)
    assert inches.drop == pytest.approx(metric.drop, rel=1e-12)
    thick = hose(flow=8 * LPM, drop=si("0.1 bar", Dimension.PRESSURE_DROP), length=6.0)
    same = hose(flow=8 * LPM, drop=si("10 kPa", Dimension.PRESSURE_DROP), length=6.0)
    assert thick.bore == pytest.approx(same.bore, rel=1e-12)


def test_a_laminar_hose_by_a_plain_sum() -> None:
    """Hagen-Poiseuille: drop = 128 mu L Q / pi D^4."""
    answer = hose(flow=1e-6, bore=0.01, length=3.0, density=1000.0, viscosity=1e-3)
    assert answer.range == "laminar"
    assert answer.drop == pytest.approx(128.0 * 1e-3 * 3.0 * 1e-6 / (3.141592653589793 * 0.01**4), rel=1e-9)
    assert answer.friction_factor == pytest.approx(64.0 / answer.reynolds)


def test_darcy_weisbach_holds_of_the_figures_told() -> None:
    answer = hose(flow=20 * LPM, bore=0.019, length=7.0, friction_multiplier=2.0)
    head = answer.friction_factor * 7.0 / 0.019 * answer.velocity**2 / (2.0 * STANDARD_GRAVITY)
    assert answer.head == pytest.approx(head, rel=1e-9)


def test_the_standard_bores_on_either_side() -> None:
    sizes = dict(hose_bores())
    answer = hose(flow=8 * LPM, drop=5e3, length=6.0)
    below, own, above = answer.bores
    assert below.bore < own.bore < above.bore
    assert [row.is_answer for row in answer.bores] == [False, True, False]
    assert {below.label, above.label} <= set(sizes)
    for row in (below, above):
        assert row.bore == sizes[row.label]
        assert row.drop == pytest.approx(hose(flow=8 * LPM, bore=row.bore, length=6.0).drop, rel=1e-9)
        assert row.flow == pytest.approx(hose(drop=5e3, bore=row.bore, length=6.0).flow, rel=1e-9)
    assert own.flow == pytest.approx(8 * LPM, rel=1e-9)
    assert own.drop == pytest.approx(5e3, rel=1e-9)


def test_inch_sizes_where_they_are_asked_for() -> None:
    answer = hose(flow=8 * LPM, bore=si("3/4 in", Dimension.LENGTH), length=6.0, series="inch")
    assert next(row.label for row in answer.bores if row.is_answer) == "3/4 in"


def test_tails_cost_more_than_their_share_of_length() -> None:
    plain, tailed = (hose(flow=8 * LPM, bore=0.0125, length=6.0, tail_bore=tail) for tail in (None, 0.0095))
    assert plain.tails_drop == 0.0
    # but for what the hose itself costs, everything is the tails'
    assert tailed.drop - tailed.tails_drop == pytest.approx(plain.drop, rel=1e-9)
    assert hose(flow=8 * LPM, drop=tailed.drop, length=6.0, tail_bore=0.0095).bore == pytest.approx(0.0125, rel=1e-6)


@pytest.mark.parametrize(
    "stated", [{}, {"flow": 1e-4}, {"bore": 0.019}, {"flow": 1e-4, "bore": 0.019, "drop": 1e3}], ids=str
)
def test_just_two_must_be_given(stated: dict[str, float]) -> None:
    with pytest.raises(InputError, match="exactly two of them"):
        hose(length=6.0, **stated)


def test_a_drop_that_tails_alone_exceed_is_refused_with_what_they_take() -> None:
    with pytest.raises(InputError, match=r"drop: found 1 Pa, expected at least 21\.95 kPa, what its tails alone take"):
        hose(flow=1e-4, drop=1.0, length=6.0, tail_bore=0.005)


def test_a_wall_rougher_than_any_published_is_refused() -> None:
    with pytest.raises(InputError, match=r"roughness: found 0\.01 m, expected at most 0\.1 of the bore"):
        hose(flow=1e-4, bore=0.02, length=6.0, roughness=0.01)


def test_json_has_units() -> None:
    data = json.loads(hose(flow=8 * LPM, bore=0.019, length=6.0).to_json())
    assert data["question"] == "hose"
    assert data["found"] == "drop"
    assert data["drop"]["unit"] == "Pa"


def test_what_is_left_out_is_told_where_no_tails_are_stated() -> None:
    level, plain = "the hose lies straight and level", "nothing narrows it: tails and couplers are left out"
    assert hose(length=10.0, flow=2e-4, bore=0.0125).trust.assumed == (level, plain)
    assert hose(length=10.0, flow=2e-4, bore=0.0125, tail_bore=0.0095).trust.assumed == (level,)


def test_a_corrugated_hose_is_never_taken_for_a_smooth_one() -> None:
    with pytest.raises(InputError, match="friction_multiplier: found corrugated plastic that loses no more"):
        hose(length=6.0, flow=8.0 * LPM, bore=0.013, material="corrugated plastic")
    smooth, ribbed = (
        hose(length=6.0, flow=8.0 * LPM, bore=0.013, friction_multiplier=more).drop for more in (1.0, 2.0)
    )
    stated = hose(length=6.0, flow=8.0 * LPM, bore=0.013, material="corrugated plastic", friction_multiplier=2.0)
    assert stated.drop == pytest.approx(ribbed)
    assert ribbed == pytest.approx(2.0 * smooth)


def test_a_drop_beyond_all_that_is_built_is_refused_by_the_flow() -> None:
    with pytest.raises(InputError, match="flow: found 8 L/min, which would drop"):
        hose(length=6.0, flow=8.0 * LPM, bore=1e-4)
