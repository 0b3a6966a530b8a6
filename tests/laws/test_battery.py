from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.errors import RangeError
from hydrokit.laws.battery import (
    CHEMISTRIES,
    cold_share,
    fills_per_charge,
    fills_sustained,
    peukert_share,
    run_time,
)

HOUR = 3600.0
BATTERY = {"capacity": 100.0 * HOUR, "rating_time": 20.0 * HOUR}


def test_the_rated_current_yields_the_rated_charge_in_the_rated_time() -> None:
    assert run_time(current=5.0, exponent=1.3, **BATTERY) == pytest.approx(20.0 * HOUR, rel=1e-12)


@given(st.floats(5.0, 200.0), st.floats(1.0, 1.6))
def test_above_the_rated_current_time_follows_peukert(current: float, exponent: float) -> None:
    # t = H (C / (I H))^k, the law as textbooks write it (from memory).
    expected = 20.0 * HOUR * (100.0 / (current * 20.0)) ** exponent
    assert run_time(current=current, exponent=exponent, **BATTERY) == pytest.approx(expected, rel=1e-9)


def test_a_small_current_is_credited_with_no_more_than_the_rated_charge() -> None:
    share = peukert_share(current=np.array([0.1, 5.0, 20.0]), exponent=1.3, **BATTERY)
    assert share[:2].tolist() == [1.0, 1.0]
    assert share[2] < 1.0


def test_cold_takes_a_share_of_lead_acid_and_warmth_gives_none() -> None:
    # 1 % a kelvin below 25 degC (from memory).
    loss = CHEMISTRIES["flooded lead-acid"].cold_loss
    shares = cold_share(temperature=np.array([275.15, 298.15, 310.0]), cold_loss=loss)
    assert shares == pytest.approx([0.77, 1.0, 1.0])
    assert cold_share(temperature=250.0, cold_loss=0.05) == 0.0


def test_usual_figures_lie_in_their_published_ranges() -> None:
    # Common practice, no source: usable 50 and 80 %; exponents 1.2-1.6, 1.1-1.25, 1.0-1.05.
    ranges = {
        "flooded lead-acid": (0.5, 1.2, 1.6),
        "AGM lead-acid": (0.5, 1.1, 1.25),
        "lithium iron phosphate": (0.8, 1.0, 1.05),
    }
    assert set(CHEMISTRIES) == set(ranges)
    for name, (usable, low, high) in ranges.items():
        assert CHEMISTRIES[name].usable == usable
        assert low <= CHEMISTRIES[name].exponent <= high


def test_fills_use_up_just_the_usable_charge() -> None:
    fills = fills_per_charge(capacity=100.0 * HOUR, usable=0.5, charge=1.6 * HOUR)
    assert fills * 1.6 == pytest.approx(50.0)


def test_other_loads_may_leave_nothing_for_filling() -> None:
    rate = fills_sustained(
        power_in=np.array([20.0, 5.0]), energy=20.0 * HOUR, charge_efficiency=0.8, other_power=np.array([0.0, 10.0])
    )
    assert rate[0] * 24.0 * HOUR == pytest.approx(20.0 * 0.8 * 24.0 / 20.0)
    assert rate[1] < 0.0


@pytest.mark.parametrize(("name", "value"), [("capacity", -1.0), ("current", 0.0), ("exponent", 0.9)])
def test_impossible_values_are_refused_by_name(name: str, value: float) -> None:
    with pytest.raises(RangeError, match=f"^{name}: found"):
        run_time(**{**BATTERY, "current": 5.0, "exponent": 1.2, name: value})


def test_float_in_float_out() -> None:
    assert type(run_time(current=8.0, exponent=1.2, **BATTERY)) is float
    assert type(cold_share(temperature=280.0, cold_loss=0.01)) is float
