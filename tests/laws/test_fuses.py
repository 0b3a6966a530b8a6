from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.errors import RangeError
from hydrokit.laws.fuses import BLADE_FUSES, CABLE_RATINGS, cable_rating, fuse_bounds, fuse_choice
from hydrokit.units.wire import gauge_area

# Single-core PVC vehicle cable as sellers print it (from memory): strands of 0.30 mm, and ampere.
PRINTED = {
    9: 5.75,
    14: 8.75,
    21: 12.75,
    28: 17.5,
    35: 21.75,
    44: 27.5,
    65: 35.0,
    84: 42.0,
    97: 50.0,
    120: 60.0,
}


@pytest.mark.parametrize(("strands", "current"), PRINTED.items())
def test_listed_sizes_carry_what_cable_sellers_print(strands: int, current: float) -> None:
    copper = strands * np.pi / 4.0 * 0.30**2  # mm2
    nominal = min(CABLE_RATINGS, key=lambda size: abs(size - copper))
    assert nominal == pytest.approx(copper, rel=0.05)
    assert cable_rating(nominal * 1e-6) == current


def test_fuses_on_sale_are_those_of_the_standard() -> None:
    # ISO 8820-3, blade type C (from memory).
    assert BLADE_FUSES == (1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0)


def test_bounds_that_meet_leave_one_fuse() -> None:
    bounds = fuse_bounds(running_current=8.0, rating=10.0)
    assert bounds.possible
    assert fuse_choice(bounds) == 10.0


def test_rating_steps_down_between_sizes_and_is_unknown_below_them() -> None:
    assert cable_rating(2.4e-6) == CABLE_RATINGS[2.0]
    assert cable_rating(gauge_area(18)) == CABLE_RATINGS[0.65]
    assert np.isnan(cable_rating(0.6e-6))
    assert cable_rating(50e-6) == max(CABLE_RATINGS.values())


@given(st.floats(0.1, 60.0), st.floats(0.1, 60.0))
def test_a_fuse_is_chosen_within_its_bounds_or_not_at_all(current: float, rating: float) -> None:
    bounds = fuse_bounds(running_current=current, rating=rating)
    fits = [fuse for fuse in BLADE_FUSES if 1.25 * current <= fuse <= rating]
    chosen = fuse_choice(bounds)
    if fits:
        assert bounds.possible
        assert chosen == min(fits)
    else:
        assert np.isnan(chosen)


def test_bounds_that_cross_are_refused_variant_by_variant() -> None:
    bounds = fuse_bounds(running_current=np.array([7.0, 12.0]), rating=12.75)
    assert np.array_equal(bounds.possible, [True, False])
    assert np.array_equal(fuse_choice(bounds), [10.0, np.nan], equal_nan=True)


def test_an_unknown_rating_is_no_rating() -> None:
    with pytest.raises(RangeError, match=r"^rating: found nan A, expected 0 to 100000 A"):
        fuse_bounds(running_current=7.0, rating=cable_rating(0.2e-6))
