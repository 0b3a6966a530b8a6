from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hydrokit.errors import InputError, RangeError
from hydrokit.laws.tank_shapes import horizontal_tank_volume

ENDS = ["conical", "spherical", "elliptical"]


def _half_chord(ends: str, radius: float, deep: float, out: np.ndarray) -> np.ndarray:
    """Return the radius of an end at a distance out from the straight part."""
    if ends == "conical":
        return radius * (1.0 - out / deep)
    if ends == "elliptical":
        return radius * np.sqrt(1.0 - (out / deep) ** 2)
    ball = (deep**2 + radius**2) / (2.0 * deep)
    return np.sqrt(np.maximum(ball**2 - (ball - deep + out) ** 2, 0.0))


def _slice(radius: np.ndarray, down: float) -> np.ndarray:
    """Return the area of circles below a level ``down`` under their centre, by the integral of the chord."""
    heights = (np.arange(600) + 0.5) / 600
    span = np.clip(-down + radius, 0.0, 2.0 * radius)
    at = heights[:, None] * span - radius
    return (2.0 * np.sqrt(np.maximum(radius**2 - at**2, 0.0))).mean(axis=0) * span


@settings(max_examples=30, deadline=None)
@given(st.sampled_from(ENDS), st.floats(0.2, 2.0), st.floats(0.02, 0.98), st.floats(0.05, 0.5))
def test_ends_hold_what_slices_through_them_add_up_to(ends, bore: float, share: float, depth_share: float) -> None:
    level, deep, radius = share * bore, depth_share * bore, 0.5 * bore
    out = (np.arange(600) + 0.5) / 600 * deep
    expected = 2.0 * _slice(_half_chord(ends, radius, deep, out), radius - level).mean() * deep
    found = horizontal_tank_volume(bore=bore, length=0.0, level=level, ends=ends, end_depth=deep)
    assert found == pytest.approx(expected, rel=2e-3, abs=1e-6 * bore**3)


@pytest.mark.parametrize(
    ("ends", "share"), [("conical", 1.0 / 3.0), ("spherical", 2.0 / 3.0), ("elliptical", 2.0 / 3.0)]
)
def test_a_full_tank_is_a_cylinder_and_two_solids_of_school_geometry(ends, share: float) -> None:
    # Cone a third, half ball and half ellipsoid two thirds of the cylinder around them.
    full = horizontal_tank_volume(bore=0.8, length=1.5, level=0.8, ends=ends, end_depth=0.4)
    assert full == pytest.approx(np.pi * 0.16 * (1.5 + 2.0 * share * 0.4), rel=1e-12)


@pytest.mark.parametrize("ends", ["flat", *ENDS])
def test_half_and_halves_add_up(ends) -> None:
    tank = {"bore": 0.8, "length": 1.5, "ends": ends, "end_depth": 0.0 if ends == "flat" else 0.2}
    low, half, high, full = horizontal_tank_volume(level=np.array([0.2, 0.4, 0.6, 0.8]), **tank)
    assert half == pytest.approx(0.5 * full, rel=1e-9)
    assert low + high == pytest.approx(full, rel=1e-9)
    assert horizontal_tank_volume(level=0.0, **tank) == 0.0


def test_ends_that_cannot_be_are_refused_all_at_once() -> None:
    with pytest.raises(RangeError) as caught:
        horizontal_tank_volume(bore=0.8, length=1.5, level=0.9, ends="spherical", end_depth=0.5)
    assert [mistake.place for mistake in caught.value.mistakes] == ["level", "end_depth"]
    with pytest.raises(RangeError, match="end_depth: found a depth of flat ends"):
        horizontal_tank_volume(bore=0.8, length=1.5, level=0.4, end_depth=0.1)
    with pytest.raises(InputError, match=r"ends: found 'conic', expected .*; write conical"):
        horizontal_tank_volume(bore=0.8, length=1.5, level=0.4, ends="conic")  # type: ignore[arg-type]


def test_float_in_float_out() -> None:
    assert type(horizontal_tank_volume(bore=0.8, length=1.5, level=0.4)) is float
    assert type(horizontal_tank_volume(bore=0.8, length=1.5, level=0.4, ends="conical", end_depth=0.1)) is float
