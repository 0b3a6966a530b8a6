from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.errors import RangeError
from hydrokit.laws.statics import (
    balance,
    centre_from_loads,
    level_difference,
    slosh_period,
    support_loads,
    tilted_water,
)
from hydrokit.water import STANDARD_GRAVITY

PLACES = st.floats(-5.0, 5.0)
MASSES = st.floats(0.1, 500.0)


@given(st.lists(st.tuples(MASSES, PLACES), min_size=2, max_size=6), PLACES, st.floats(0.5, 5.0))
def test_loads_balance_every_moment(parts, first: float, apart: float) -> None:
    masses, positions = (np.array(column) for column in zip(*parts, strict=True))
    whole = balance(masses=masses, positions=positions)
    loads = support_loads(mass=whole.mass, centre=whole.centre, first=first, second=first + apart)
    assert loads.first + loads.second == pytest.approx(masses.sum(), rel=1e-12)
    about_datum = loads.first * first + loads.second * (first + apart)
    assert about_datum == pytest.approx((masses * positions).sum(), abs=1e-8)


@given(MASSES, PLACES)
def test_centre_comes_back_from_the_weighed_loads(mass: float, centre: float) -> None:
    loads = support_loads(mass=mass, centre=centre, first=-1.0, second=2.0)
    found = centre_from_loads(first_load=loads.first, second_load=loads.second, first=-1.0, second=2.0)
    assert found == pytest.approx(centre, abs=1e-9)


def test_noseweight_of_the_mill_pond_trailer() -> None:
    # The project's trade notes: 120 L centred 0.4 m off the axle on a 3 m drawbar is 16 kg of noseweight either way.
    loads = support_loads(mass=120.0, centre=np.array([2.6, 3.4]), first=0.0, second=3.0)
    assert loads.first == pytest.approx([16.0, -16.0], abs=1e-9)


@given(MASSES, st.floats(0.0, 2.0), st.floats(0.0, 2.0), st.floats(-0.5, 0.5))
def test_loads_on_a_slope_balance_the_weight_about_each_support(
    mass: float, centre: float, height: float, slope: float
) -> None:
    loads = support_loads(mass=mass, centre=centre, first=0.0, second=2.0, height=height, slope=slope)
    angle = np.arctan(slope)
    along, square = -mass * np.sin(angle), mass * np.cos(angle)  # of the weight, towards positive and into the ground
    # about the first support: the pull along the slope acts at the height of the centre
    assert loads.second * 2.0 == pytest.approx(square * centre + along * height, abs=1e-9)
    assert (loads.first + loads.second) == pytest.approx(square, rel=1e-12)


def test_uphill_backwards_loads_the_front() -> None:
    level = support_loads(mass=600.0, centre=1.0, first=0.0, second=2.0, height=0.8)
    nose_down = support_loads(mass=600.0, centre=1.0, first=0.0, second=2.0, height=0.8, slope=0.1)
    assert nose_down.first > level.first


def test_supports_in_one_place_are_refused() -> None:
    with pytest.raises(RangeError, match="second: found a support where the first is"):
        support_loads(mass=1.0, centre=0.0, first=1.0, second=1.0)


def test_no_mass_at_all_is_refused() -> None:
    with pytest.raises(RangeError, match="masses together: found 0 kg"):
        balance(masses=np.zeros(2), positions=np.zeros(2))


def test_variants_stay_apart() -> None:
    whole = balance(masses=np.array([[1.0, 1.0], [1.0, 3.0]]), positions=np.array([0.0, 2.0]))
    assert whole.mass.tolist() == [2.0, 4.0]
    assert whole.centre.tolist() == [1.0, 1.5]


def test_a_cross_link_on_3_degrees() -> None:
    # The project's trade notes: 47 mm over 0.9 m.
    difference = level_difference(distance=0.9, slope=np.tan(np.radians(3.0)))
    assert difference == pytest.approx(0.047, abs=5e-4)
    assert level_difference(distance=0.9, slope=-0.1) == pytest.approx(0.09)


@given(st.floats(0.1, 3.0), st.floats(0.1, 1.5), st.floats(0.01, 1.0), st.floats(0.001, 2.0))
def test_tilted_water_is_what_lies_under_a_level_surface(length: float, depth: float, share: float, slope: float):
    level = share * depth
    found = tilted_water(length=length, depth=depth, level=level, slope=slope)
    places = (np.arange(4000) + 0.5) / 4000 * length

    def depths(surface: float) -> np.ndarray:
        return np.clip(surface - slope * places, 0.0, depth)

    low, high = 0.0, depth + slope * length
    for _ in range(80):  # the surface that keeps the volume, by halving
        middle = 0.5 * (low + high)
        low, high = (middle, high) if depths(middle).mean() < level else (low, middle)
    water = depths(low)
    assert found.shift == pytest.approx(0.5 * length - (water * places).sum() / water.sum(), abs=2e-3 * length)
    assert found.low_depth == pytest.approx(min(low, depth), abs=2e-3 * (depth + slope * length))
    assert found.high_depth == pytest.approx(max(0.0, low - slope * length), abs=2e-3 * (depth + slope * length))
    assert found.bare_length == pytest.approx(max(0.0, length - low / slope), abs=4e-3 * (length + depth / slope))


def test_a_full_tank_and_a_level_one_shift_nothing() -> None:
    full = tilted_water(length=0.6, depth=0.4, level=0.4, slope=0.2)
    assert (full.low_depth, full.high_depth, full.bare_length) == (0.4, 0.4, 0.0)
    assert full.shift == pytest.approx(0.0, abs=1e-12)
    still = tilted_water(length=0.6, depth=0.4, level=0.2, slope=0.0)
    assert still.shift == pytest.approx(0.0, abs=1e-9)
    assert still.low_depth == pytest.approx(0.2)


def test_an_empty_tank_has_nothing_to_shift() -> None:
    empty = tilted_water(length=0.6, depth=0.4, level=0.0, slope=0.1)
    assert (empty.low_depth, empty.shift) == (0.0, 0.0)
    assert empty.bare_length == pytest.approx(0.6)


def test_the_way_the_slope_runs_makes_no_difference_to_the_shape() -> None:
    box = {"length": 0.6, "depth": 0.4, "level": 0.05}
    assert tilted_water(slope=0.3, **box) == tilted_water(slope=-0.3, **box)


def test_water_above_the_lid_is_refused() -> None:
    with pytest.raises(RangeError, match="level: found a level above the lid"):
        tilted_water(length=0.6, depth=0.4, level=0.41, slope=0.1)


def test_slosh_in_shallow_water_is_a_long_wave_there_and_back() -> None:
    # Long waves run at sqrt(g h): 2 L / sqrt(g h), Merian's formula for a closed basin (from memory).
    expected = 2.0 * 3.0 / np.sqrt(STANDARD_GRAVITY * 0.05)
    assert slosh_period(length=3.0, level=0.05) == pytest.approx(expected, rel=1e-3)


def test_slosh_in_deep_water_no_longer_asks_for_the_depth() -> None:
    # Deep water, wave length 2 L: T = sqrt(4 pi L / g) (from memory).
    assert slosh_period(length=0.5, level=2.0) == pytest.approx(np.sqrt(4.0 * np.pi * 0.5 / STANDARD_GRAVITY), rel=1e-5)


def test_float_in_float_out_and_arrays_broadcast() -> None:
    assert type(slosh_period(length=0.6, level=0.2)) is float
    assert type(support_loads(mass=1.0, centre=0.0, first=0.0, second=1.0).first) is float
    water = tilted_water(length=0.6, depth=0.4, level=np.array([[0.1], [0.2]]), slope=np.array([0.0, 0.1, 1.0]))
    assert water.shift.shape == (2, 3)
