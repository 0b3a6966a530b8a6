"""Lists and ranges of values, as text and as numbers; what is expected is plain arithmetic."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.bounds import Dimension, Spec
from hydrokit.errors import InputError, RangeError
from hydrokit.studies.variants.value_lists import read_values

HEIGHT = Spec(Dimension.LENGTH, "height", low=-100.0, high=100.0)
WATER = Spec(Dimension.TEMPERATURE, "of the water", low=273.15, high=372.0)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("13mm,16mm,19mm", [0.013, 0.016, 0.019]),
        ("1/2 in, 3/4 in", [0.0127, 0.01905]),
        ("0.5 m to 3 m step 0.25 m", [0.5, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0, 2.25, 2.5, 2.75, 3.0]),
        ("0.5 m to 3 m in 11", [0.5, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0, 2.25, 2.5, 2.75, 3.0]),
        ("3 m to 1 m step -1 m", [3.0, 2.0, 1.0]),
        ("3 m to 1 m in 3", [3.0, 2.0, 1.0]),
        ("1 m to 2 m step 0.4 m", [1.0, 1.4, 1.8]),
        ("13 mm to 13.5 mm step 0.1 mm", [0.013, 0.0131, 0.0132, 0.0133, 0.0134, 0.0135]),
        ("1 in to 3 in in 3", [0.0254, 0.0508, 0.0762]),
        ("5 m, 1 m to 2 m in 2 , 7 m", [5.0, 1.0, 2.0, 7.0]),
        ("-50 cm  to  50 cm  step  50 cm", [-0.5, 0.0, 0.5]),
        ("2 m to 2 m step 1 m", [2.0]),
    ],
)
def test_texts(text: str, expected: list[float]) -> None:
    assert read_values(HEIGHT, text).tolist() == expected


def test_a_step_of_temperature_is_a_difference() -> None:
    assert read_values(WATER, "5 °C to 15 °C step 5 K") == pytest.approx([278.15, 283.15, 288.15], abs=1e-12)
    assert read_values(WATER, "50 °F to 68 °F step 9 °F") == pytest.approx([283.15, 288.15, 293.15], abs=1e-12)


@pytest.mark.parametrize("raw", [[1, 2.5], (1.0, "2.5 m"), np.array([1.0, 2.5]), "1 m, 2.5 m", iter(["1 m", 2.5])])
def test_numbers_are_si_and_texts_may_stand_among_them(raw: object) -> None:
    assert read_values(HEIGHT, raw).tolist() == [1.0, 2.5]


def test_one_number_alone() -> None:
    assert read_values(HEIGHT, 2.5).tolist() == [2.5]
    assert read_values(HEIGHT, np.float64(2.5)).tolist() == [2.5]


@given(first=st.integers(-500, 500), step=st.integers(1, 50), count=st.integers(2, 60))
def test_a_range_by_step_has_the_values_that_fractions_give(first: int, step: int, count: int) -> None:
    last = first + step * (count - 1)
    found = read_values(Spec(Dimension.LENGTH, "x"), f"{first} mm to {last} mm step {step} mm")
    assert found.tolist() == [float(Fraction(first + step * place, 1000)) for place in range(count)]


@pytest.mark.parametrize(
    ("text", "found", "instead"),
    [
        ("", "no value at all", ""),
        ("   ", "no value at all", ""),
        ("1 m,,2 m", "nothing between two commas", ""),
        ("1 m, 2 m,", "nothing between two commas", ""),
        ("13", "a number without a unit", "13 m, or with another unit"),
        ("13 kg", "kg is a unit of mass", ""),
        ("1 m to 2 m", "'1 m to 2 m'", ""),
        ("1 m to", "'1 m to'", ""),
        ("to 2 m step 1 m", "'to 2 m step 1 m'", ""),
        ("1 m step 2 m", "'1 m step 2 m'", ""),
        ("1 m .. 2 m", "'1 m .. 2 m'", ""),
        ("1 m to 2 m step 0 m", "a step of nothing", ""),
        ("3 m to 0.5 m step 0.25 m", "a step away from the last value", "step -0.25 m"),
        ("0.5 m to 3 m step -0.25 m", "a step away from the last value", "step 0.25 m"),
        ("1 m to 2 m in 1", "1 in '1 m to 2 m in 1'", ""),
        ("1 m to 2 m step 1 kg", "kg is a unit of mass", ""),
        ("1 m to 2 m step 1e-9 m", "1e+09 values", ""),
        ("1 m to 2 m in 99999999999999999999999", "99999999999999999999 values", ""),
        ("1 ± 0.1 m", "a tolerance", ""),
        ("1 m, 1000 mm", "1 m twice", ""),
        ("1 m to 2 m in 3, 1.5 m", "1.5 m twice", ""),
        ("500 m", "500 m", ""),
        ("1 m to 200 m in 3", "200 m", ""),
    ],
)
def test_wrong_texts(text: str, found: str, instead: str) -> None:
    with pytest.raises(InputError) as caught:
        read_values(HEIGHT, text)
    (mistake,) = caught.value.mistakes
    assert found in mistake.found
    assert instead in mistake.instead


def test_every_wrong_item_is_told() -> None:
    with pytest.raises(InputError) as caught:
        read_values(HEIGHT, "1 kg, 2 m, 3 bar")
    assert len(caught.value.mistakes) == 2


@pytest.mark.parametrize("raw", [[], (), np.array([])])
def test_an_empty_list(raw: object) -> None:
    with pytest.raises(InputError, match="no value at all"):
        read_values(HEIGHT, raw)


@pytest.mark.parametrize("raw", [True, None, object(), [None], [[1.0]], [1.0, float("nan")], float("inf"), 1e3])
def test_what_is_no_possible_number(raw: object) -> None:
    with pytest.raises(InputError):
        read_values(HEIGHT, raw)


def test_too_many() -> None:
    with pytest.raises(RangeError, match="at most 1000000"):
        read_values(Spec(Dimension.NUMBER, "x"), np.arange(1_000_001.0))
