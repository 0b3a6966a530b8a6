from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hydrokit.errors import RangeError
from hydrokit.laws.beds import (
    bed_coefficients,
    bed_drop,
    bed_reynolds,
    bed_velocity,
    bed_voidage,
    cake_rate,
    cake_time,
    specific_surface,
)
from hydrokit.laws.media import DropFit, medium_drop

BED = {"depth": 0.25, "particle": 0.8e-3, "voidage": 0.42}
WATER = {"density": 999.7, "viscosity": 1.306e-3}


@settings(deadline=None)  # the first example imports fluids
@given(st.floats(1e-5, 1.0), st.floats(1e-5, 1e-2), st.floats(0.2, 0.8))
def test_drop_is_that_of_fluids(velocity: float, particle: float, voidage: float) -> None:
    from fluids.packed_bed import Ergun

    expected = Ergun(dp=particle, voidage=voidage, vs=velocity, rho=999.7, mu=1.306e-3, L=0.25)
    found = bed_drop(velocity=velocity, depth=0.25, particle=particle, voidage=voidage, **WATER)
    assert found == pytest.approx(expected, rel=1e-12)


def test_slow_drop_and_velocity_undo_each_other() -> None:
    velocity = bed_velocity(pressure_drop=1.0, viscosity=WATER["viscosity"], **BED)
    assert bed_drop(velocity=velocity, density=1e-6, viscosity=WATER["viscosity"], **BED) == pytest.approx(1.0)


def test_bed_is_a_medium_like_any_other() -> None:
    area = 7.9e-3
    viscous, inertial = bed_coefficients(area=area, **BED)
    fit = DropFit(viscous, inertial, 0.0, one_flow=False)
    expected = bed_drop(velocity=1e-4 / area, **BED, **WATER)
    assert medium_drop(fit, flow=1e-4, **WATER) == pytest.approx(expected, rel=1e-12)


def test_drop_turns_with_the_flow() -> None:
    drop = bed_drop(velocity=np.array([-0.01, 0.0, 0.01]), **BED, **WATER)
    assert drop[0] == -drop[2]
    assert drop[1] == 0.0


@given(st.floats(0.0, 1e9), st.floats(1e2, 1e8), st.floats(1e-4, 10.0))
def test_cake_rate_is_the_slope_of_volume_against_time(slope: float, intercept: float, volume: float) -> None:
    step = 1e-4 * volume
    before = cake_time(slope=slope, intercept=intercept, volume=volume - step)
    after = cake_time(slope=slope, intercept=intercept, volume=volume + step)
    assert cake_rate(slope=slope, intercept=intercept, volume=volume) == pytest.approx(2.0 * step / (after - before))


def test_bed_denser_than_its_grains_is_refused() -> None:
    with pytest.raises(RangeError, match="bed_density / solid_density: found"):
        bed_voidage(bed_density=1200.0, solid_density=1000.0)


@pytest.mark.parametrize("voidage", [0.0, 1.0, float("nan")])
def test_impossible_voidage_is_refused(voidage: float) -> None:
    with pytest.raises(RangeError, match="voidage"):
        specific_surface(particle=1e-3, voidage=voidage)


def test_float_in_float_out() -> None:
    assert type(bed_drop(velocity=0.01, **BED, **WATER)) is float
    assert type(bed_reynolds(velocity=0.01, particle=1e-3, voidage=0.4, **WATER)) is float
    assert type(cake_time(slope=1.0, intercept=1.0, volume=1.0)) is float
