from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.errors import InputError, RangeError
from hydrokit.laws.surge import (
    WALL_WAVE_SPEEDS,
    closing_rise,
    full_rise_length,
    instant_rise,
    liquid_wave_speed,
    return_time,
    wall_wave_speed,
    wave_speed,
)
from hydrokit.water import water

LINE = {"density": 998.0, "wave_speed": 300.0, "velocity_change": 1.5, "length": 6.0}


def test_rigid_walls_leave_the_speed_of_sound() -> None:
    # IAPWS SR6-08, table 8: 1496.69922 m/s at 25 degC and 0.1 MPa.
    liquid = water(298.15)
    assert liquid.bulk_modulus is not None
    assert liquid_wave_speed(bulk_modulus=liquid.bulk_modulus, density=liquid.density) == pytest.approx(
        1496.699, rel=2e-3
    )
    stiff = wave_speed(bulk_modulus=2.2e9, density=998.0, bore=0.019, wall=0.003, wall_modulus=1e13)
    assert stiff == pytest.approx(liquid_wave_speed(bulk_modulus=2.2e9, density=998.0), rel=1e-3)


def test_a_soft_wall_rules_the_wave_whatever_the_liquid() -> None:
    soft = {"density": 998.0, "bore": 0.019, "wall": 0.003, "wall_modulus": 5e6}
    # With the liquid's own give negligible, a = sqrt(E e / (rho D)), the speed of a pulse in an artery (Moens and
    # Korteweg; from memory).
    expected = np.sqrt(5e6 * 0.003 / (998.0 * 0.019))
    assert wave_speed(bulk_modulus=2.2e9, **soft) == pytest.approx(expected, rel=1e-2)


@pytest.mark.parametrize(("wall", "bar"), [("soft plastic", 3.0), ("cross-linked polyethylene", 4.5), ("metal", 13.0)])
def test_rise_of_a_metre_a_second_by_kind_of_wall(wall, bar) -> None:
    # The project's trade notes: 3, 4.5 and 13 bar for each metre a second stopped.
    rise = instant_rise(density=998.0, wave_speed=wall_wave_speed(wall), velocity_change=1.0)
    assert rise / 1e5 == pytest.approx(bar, abs=0.05)


def test_an_unlisted_wall_is_refused() -> None:
    with pytest.raises(InputError, match="wall: found 'rubber', expected one of soft plastic"):
        wall_wave_speed("rubber")  # type: ignore[arg-type]
    assert min(WALL_WAVE_SPEEDS.values()) > 0.0


@given(st.floats(0.0, 1.0))
def test_up_to_the_return_time_the_rise_is_full(share: float) -> None:
    time = share * return_time(length=6.0, wave_speed=300.0)
    full = instant_rise(density=998.0, wave_speed=300.0, velocity_change=1.5)
    assert closing_rise(closing_time=time, **LINE) == pytest.approx(full, rel=1e-12)


@given(st.floats(1.0, 1e4))
def test_beyond_it_the_wave_speed_no_longer_counts(share: float) -> None:
    time = share * 0.04
    # Michaud's rule, 2 rho L v / t (from memory).
    assert closing_rise(closing_time=time, **LINE) == pytest.approx(2.0 * 998.0 * 6.0 * 1.5 / time, rel=1e-9)


def test_shutting_at_once_divides_by_nothing_however_long_the_line() -> None:
    slow = {"density": 1000.0, "wave_speed": 1e-3, "velocity_change": 1.0, "length": 1e7}
    assert closing_rise(**slow, closing_time=0.0) == instant_rise(density=1000.0, wave_speed=1e-3, velocity_change=1.0)


def test_slower_closing_never_raises_more() -> None:
    rise = closing_rise(closing_time=np.linspace(0.0, 1.0, 500), **LINE)
    assert (np.diff(rise) <= 1e-9).all()


def test_no_point_feels_the_full_rise_once_the_closing_takes_the_return_time() -> None:
    time = return_time(length=6.0, wave_speed=300.0)
    reached = full_rise_length(length=6.0, wave_speed=300.0, closing_time=np.array([0.0, 0.5 * time, time, 2.0 * time]))
    assert reached == pytest.approx([6.0, 3.0, 0.0, 0.0], abs=1e-12)


@pytest.mark.parametrize("name", [*LINE, "closing_time"])
def test_impossible_values_are_refused_by_name(name: str) -> None:
    with pytest.raises(RangeError, match=f"^{name}: found nan"):
        closing_rise(**{**LINE, "closing_time": 0.1, name: float("nan")})


def test_float_in_float_out() -> None:
    assert type(closing_rise(closing_time=0.1, **LINE)) is float
    assert type(wave_speed(bulk_modulus=2e9, density=998.0, bore=0.019, wall=0.003, wall_modulus=5e6)) is float
