"""What comes through the door besides text, and what stays outside."""

from __future__ import annotations

import subprocess
import sys
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import hydrokit
from hydrokit.bounds import Dimension
from hydrokit.errors import InputError, RangeError, UnitError
from hydrokit.units import Measured, measured, si
from hydrokit.units.grammar import PURE

LENGTH = Dimension.LENGTH
ROOT = Path(hydrokit.__file__).parents[1]


def test_pairs() -> None:
    assert si((19, "mm"), LENGTH) == 0.019
    assert si([2.8, "bar gauge"], Dimension.GAUGE_PRESSURE) == 2.8e5
    assert si((np.float64(9.0), "°C"), Dimension.TEMPERATURE) == 282.15
    assert si((np.int64(5), "gpm"), Dimension.FLOW, gallon="US") == si("5 US gpm", Dimension.FLOW)
    assert measured((3, "± 0.5 m"), LENGTH) == Measured(3.0, 0.5)


@settings(deadline=None)
@given(number=st.floats(-1e25, 1e25).filter(lambda x: x == 0 or abs(x) > 1e-25))
def test_pair_is_the_same_as_text(number: float) -> None:
    assert si((number, "mm"), LENGTH) == si(f"{number!r} mm", LENGTH)


@pytest.mark.parametrize("dimension", [each for each in Dimension if each not in PURE])
@pytest.mark.parametrize("number", [3, 3.0, np.float64(3.5), Fraction(3), float("nan")])
def test_bare_numbers_are_refused_where_there_is_a_unit(dimension: Dimension, number: float) -> None:
    with pytest.raises(UnitError, match="a number without a unit"):
        si(number, dimension)


def test_a_bare_number_is_told_with_the_units_it_may_be_in() -> None:
    with pytest.raises(UnitError, match=r"found 2, .*; write 2 m, 2 mm or 2 cm, whichever is meant"):
        si(2, Dimension.LENGTH)
    with pytest.raises(UnitError) as caught:
        si(float("inf"), Dimension.LENGTH)
    assert not caught.value.mistakes[0].instead


@pytest.mark.parametrize("dimension", sorted(PURE))
def test_bare_numbers_are_taken_where_there_is_none(dimension: Dimension) -> None:
    assert (
        si(0.25, dimension) == si(np.float32(0.25), dimension) == si("1/4", dimension) == si(Fraction(1, 4), dimension)
    )
    assert type(si(np.float64(0.25), dimension)) is float
    assert si(1, dimension) == 1.0


@pytest.mark.parametrize("number", [float("nan"), float("inf"), -float("inf"), 10**400])
def test_numbers_that_are_not_finite(number: float) -> None:
    with pytest.raises(RangeError, match="a finite number"):
        si(number, Dimension.NUMBER)


@pytest.mark.parametrize(
    "value",
    [
        None,
        True,
        b"3 m",
        {"value": 3, "unit": "m"},
        (3,),
        ("3", "m"),
        (True, "m"),
        (3, "m", "x"),
        object(),
        3j,
        np.array([3.0, 4.0]),
        (float("nan"), "m"),
        (float("inf"), "m"),
        (10**400, "m"),
        Decimal(3),
    ],
)
def test_what_stays_outside(value: object) -> None:
    with pytest.raises(InputError):
        si(value, LENGTH, place="bore")


def test_measured_is_frozen() -> None:
    with pytest.raises(AttributeError):
        Measured(1.0).value = 2.0  # type: ignore[misc]


def test_import_does_not_load_pint() -> None:
    code = (
        "import sys, hydrokit.units as u\n"
        "from hydrokit.bounds import Dimension as D\n"
        "u.si('3 m', D.LENGTH); u.show(3.0, D.LENGTH); u.text_of(1 / 3, D.FLOW)\n"
        "try: u.si(None, D.LENGTH)\n"
        "except ValueError: pass\n"
        "heavy = {'pint', 'scipy', 'fluids', 'CoolProp', 'pydantic', 'rich'} & set(sys.modules)\n"
        "sys.exit(repr(heavy) if heavy else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=ROOT)
    assert done.returncode == 0, done.stderr
