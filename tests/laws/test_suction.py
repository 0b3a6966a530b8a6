from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hydrokit.errors import InputError, RangeError
from hydrokit.laws.suction import (
    acceleration_head,
    barometric_limit,
    dry_lift_limit,
    hose_volume,
    inlet_pressure,
    npsh_available,
    npsh_from_gauge,
    npsh_wanted,
    suction_budget,
    time_to_prime,
    wet_lift_limit,
)
from hydrokit.water import STANDARD_GRAVITY, STANDARD_PRESSURE, air_pressure

HERE = {"air_pressure": 99_900.0, "vapour_pressure": 1_228.0, "density": 999.7}


def test_gauge_and_sum_tell_the_same_npsh() -> None:
    velocity = 1.7
    inlet = inlet_pressure(surface_pressure=99_900.0, density=999.7, lift=2.5, friction_head=0.8, velocity=velocity)
    by_gauge = npsh_from_gauge(gauge_pressure=inlet - 99_900.0, velocity=velocity, **HERE)
    by_sum = npsh_available(
        surface_pressure=99_900.0, vapour_pressure=1_228.0, density=999.7, lift=2.5, friction_head=0.8
    )
    assert by_gauge == pytest.approx(by_sum, rel=1e-12)


def test_wet_lift_limit_leaves_just_what_the_pump_requires() -> None:
    limit = wet_lift_limit(friction_head=0.8, npsh_required=2.5, margin=0.0, **HERE)
    budget = suction_budget(lift=limit, friction_head=0.8, npsh_required=2.5, **HERE)
    assert budget.margin == pytest.approx(0.0, abs=1e-12)


def test_budget_adds_up() -> None:
    budget = suction_budget(lift=np.array([-1.0, 2.0]), friction_head=0.3, **HERE)
    spent = budget.vapour_head + budget.lift + budget.friction_head + budget.npsh_available
    np.testing.assert_allclose(spent, budget.air_head, rtol=1e-13)


def test_unknown_npsh_required_leaves_the_margin_unknown() -> None:
    budget = suction_budget(lift=2.0, friction_head=0.3, **HERE)
    assert budget.npsh_required is None
    assert budget.margin is None


def test_inlet_pressure_is_that_of_the_air_less_height_friction_and_speed() -> None:
    found = inlet_pressure(surface_pressure=99_900.0, density=999.7, lift=2.0, friction_head=0.4, velocity=0.9)
    lost = 999.7 * (9.80665 * 2.4 + 0.5 * 0.9**2)
    assert found == pytest.approx(99_900.0 - lost, rel=1e-14)


def test_npsh_wanted_takes_the_larger_margin() -> None:
    assert npsh_wanted(npsh_required=np.array([1.0, 10.0]), ratio=1.3, margin=1.0).tolist() == [2.0, 13.0]


def test_dry_lift_is_that_stated_where_it_was_stated() -> None:
    assert dry_lift_limit(
        dry_lift=2.4, air_pressure=STANDARD_PRESSURE, vapour_pressure=2_339.0, density=998.2
    ) == pytest.approx(2.4, rel=1e-14)


def test_dry_lift_never_passes_the_barometric_limit() -> None:
    limit = dry_lift_limit(dry_lift=9.0, speed_ratio=1.5, **HERE)
    assert limit == pytest.approx(barometric_limit(**HERE), rel=1e-14)


@pytest.mark.parametrize("vapour", [101_325.0, 2e5])
def test_dry_lift_is_not_stated_where_water_boils(vapour: float) -> None:
    with pytest.raises(RangeError, match="rating_air_pressure - rating_vapour_pressure"):
        dry_lift_limit(dry_lift=3.0, rating_vapour_pressure=vapour, **HERE)


def test_dry_lift_falls_with_altitude_speed_and_back_pressure() -> None:
    water = {"vapour_pressure": 1_228.0, "density": 999.7}
    base = dry_lift_limit(dry_lift=3.0, air_pressure=air_pressure(0.0), **water)
    high = dry_lift_limit(dry_lift=3.0, air_pressure=air_pressure(3000.0), **water)
    slow = dry_lift_limit(dry_lift=3.0, air_pressure=air_pressure(0.0), speed_ratio=0.8, **water)
    pushed = dry_lift_limit(dry_lift=3.0, air_pressure=air_pressure(0.0), back_pressure_gauge=5e3, **water)
    assert high == pytest.approx(base * (air_pressure(3000.0) - 1_228.0) / (air_pressure(0.0) - 1_228.0))
    assert slow == pytest.approx(0.8 * base)
    assert base - 0.51 < pushed < base


def test_back_pressure_keeps_the_compression_ratio() -> None:
    weight = 999.7 * STANDARD_GRAVITY
    free = dry_lift_limit(dry_lift=3.0, **HERE)
    pushed = dry_lift_limit(dry_lift=3.0, back_pressure_gauge=8e3, **HERE)
    ratio = 99_900.0 / (99_900.0 - weight * free)
    assert (99_900.0 + 8e3) / (99_900.0 - weight * pushed) == pytest.approx(ratio, rel=1e-12)


@settings(deadline=None)  # the first example imports scipy
@given(st.floats(0.05, 5.0), st.floats(1.001, 2.0), st.floats(60e3, 105e3))
def test_time_to_prime_is_the_integral_of_the_air_drawn_off(lift: float, excess: float, pressure: float) -> None:
    from scipy.integrate import quad

    density, volume, displacement = 999.7, 1.7e-3, 1.9e-4
    dry_lift = lift * excess
    weight = density * STANDARD_GRAVITY

    def seconds_per_part(part: float) -> float:
        inside = pressure - weight * lift * part
        # amount of air (pressure times volume) lost for each part of the lift, by differentiating by hand
        lost = volume * (weight * lift * (1.0 - part) + inside)
        return lost / (inside * displacement * (1.0 - lift * part / dry_lift))

    expected, _ = quad(seconds_per_part, 0.0, 1.0, epsabs=0.0, epsrel=1e-10, limit=200)
    found = time_to_prime(
        air_volume=volume,
        displacement=displacement,
        lift=lift,
        dry_lift=dry_lift,
        air_pressure=pressure,
        density=density,
    )
    assert found == pytest.approx(expected, rel=1e-7)


def test_time_to_prime_at_the_ends() -> None:
    def prime(lift: float, dry_lift: float) -> float:
        return time_to_prime(
            air_volume=2e-3, displacement=1e-4, lift=lift, dry_lift=dry_lift, air_pressure=1e5, density=1000.0
        )  # type: ignore[return-value]

    assert prime(0.0, 3.0) == pytest.approx(20.0, rel=1e-6)  # nothing but the volume over the displacement
    assert prime(3.0, 3.0) == np.inf
    assert prime(0.0, 1e-6) == pytest.approx(20.0, rel=1e-5)  # level with the water every pump primes
    assert prime(2.9, 3.0) > prime(2.0, 3.0) > prime(1.0, 3.0)
    barometric = 1e5 / (1000.0 * STANDARD_GRAVITY)
    assert prime(5.0, barometric) == pytest.approx(prime(5.0, barometric * 1.000001), rel=1e-5)


def test_a_bigger_bore_primes_more_slowly() -> None:
    bore = np.array([0.0125, 0.019, 0.025])
    times = time_to_prime(
        air_volume=hose_volume(bore=bore, length=6.0),
        displacement=1.9e-4,
        lift=2.0,
        dry_lift=3.0,
        air_pressure=99_900.0,
        density=999.7,
    )
    assert times.shape == (3,)
    assert (np.diff(times) > 0.0).all()


def test_acceleration_head_of_small_diaphragm_pump_is_impossible() -> None:
    # The project's trade notes work this out as 27 m (formula and factors from memory).
    velocity = 8.0 / 60e3 / hose_volume(bore=0.019, length=1.0)
    head = acceleration_head(length=6.0, velocity=velocity, speed=2000.0 * np.pi / 30.0, chambers=3)
    assert head == pytest.approx(27.0, abs=0.5)


def test_acceleration_head_without_a_factor_is_refused() -> None:
    with pytest.raises(InputError, match="chambers: found 4, expected one of 1, 2, 3, 5, 7"):
        acceleration_head(length=6.0, velocity=0.5, speed=200.0, chambers=4)


@pytest.mark.parametrize(
    ("name", "value"),
    [("air_pressure", 0.0), ("vapour_pressure", -1.0), ("density", float("nan")), ("lift", float("inf"))],
)
def test_impossible_values_are_refused_by_name(name: str, value: float) -> None:
    with pytest.raises(RangeError, match=f"^{name}: found "):
        suction_budget(**{**HERE, "lift": 2.0, "friction_head": 0.1, name: value})


def test_float_in_float_out() -> None:
    assert type(dry_lift_limit(dry_lift=2.4, **HERE)) is float
    assert type(npsh_wanted(npsh_required=2.4)) is float
    assert type(wet_lift_limit(friction_head=0.8, npsh_required=2.5, **HERE)) is float
    assert type(hose_volume(bore=0.019, length=6.0)) is float
