"""Text to number and unit. Expected values are arithmetic on the definitions of the units (inch 25.4 mm, foot 12 in)."""

from __future__ import annotations

import time
from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from hydrokit.bounds import Dimension
from hydrokit.errors import InputError, RangeError, UnitError
from hydrokit.units import measured, si
from hydrokit.units.grammar import LONGEST

LENGTH = Dimension.LENGTH
FLOW = Dimension.FLOW


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("19 mm", 0.019),
        ("19mm", 0.019),
        ("  19   mm  ", 0.019),
        ("12.5 mm", 0.0125),
        ("+6 m", 6.0),
        (".5 m", 0.5),
        ("5. m", 5.0),
        ("1.5e-6 m", 1.5e-6),
        ("1.5E-6 m", 1.5e-6),
        ("2e3 mm", 2.0),
        ("−3 m", -3.0),  # minus sign
        ("–3 m", -3.0),  # en dash
        ("3\u00a0m", 3.0),  # no-break space
        ("3\u2009m", 3.0),  # thin space
        ("3\u202fm", 3.0),  # narrow no-break space
        ("5 micron", 5e-6),
    ],
)
def test_plain_decimals(text: str, metres: float) -> None:
    assert si(text, LENGTH) == metres


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("3/4 in", 0.75),
        ('3/4"', 0.75),
        ("3⁄4 in", 0.75),  # fraction slash
        ("1 1/2 in", 1.5),
        ("1-1/2 in", 1.5),
        ("1 1/4 in", 1.25),
        ("½ in", 0.5),
        ("1½ in", 1.5),
        ("1 ½ in", 1.5),
        ("1-½″", 1.5),
        ("-3/4 in", -0.75),
        ("7/8 inch", 0.875),
        ("2 inches", 2.0),
        ("2''", 2.0),
    ],
)
def test_fractions_of_an_inch(text: str, inches: float) -> None:
    assert si(text, LENGTH) == float(Fraction(inches) * Fraction(127, 5000))


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("5 ft 6 in", 66),
        ("5 ft. 6 in.", 66),
        ("5 feet 6 inches", 66),
        ("5' 6\"", 66),
        ("5'6\"", 66),
        ("5’ 6”", 66),
        ("5′6″", 66),
        ("5 ft 6 1/2 in", 66.5),
        ("5' 6-1/2\"", 66.5),
        ("5 ft 6½ in", 66.5),
        ("5 ft 6.5 in", 66.5),
        ("-5 ft 6 in", -66),
        ("-0 ft 6 in", -6),
        ("0 ft 11 in", 11),
    ],
)
def test_feet_and_inches(text: str, inches: float) -> None:
    assert si(text, LENGTH) == float(Fraction(inches) * Fraction(127, 5000))


def test_other_quantities_in_two_parts() -> None:
    assert si("1 h 30 min", Dimension.TIME) == 5400.0
    assert si("2 min 30 s", Dimension.TIME) == 150.0
    assert si("2 lb 8 oz", Dimension.MASS) == pytest.approx(2.5 * 0.45359237, rel=1e-15)


@pytest.mark.parametrize(
    "text", ["5 ft 12 in", "5 ft 14 in", "5.5 ft 6 in", "1/2 ft 3 in", "5 ft -6 in", "5 in 6 ft", "5 m 6 cm"]
)
def test_two_parts_that_are_none(text: str) -> None:
    with pytest.raises(UnitError):
        si(text, LENGTH)


@pytest.mark.parametrize(
    ("text", "dimension", "value", "tolerance"),
    [
        ("3.0 ± 0.5 m", LENGTH, 3.0, 0.5),
        ("3.0 +/- 0.5 m", LENGTH, 3.0, 0.5),
        ("3.0±0.5m", LENGTH, 3.0, 0.5),
        ("3 m ± 5 cm", LENGTH, 3.0, 0.05),
        ("3 m ± 5 %", LENGTH, 3.0, 0.15),
        ("-3 m ± 5 %", LENGTH, -3.0, 0.15),
        ("5 ft 6 in ± 1/2 in", LENGTH, 1.6764, 0.0127),
        ("10 L/min ± 5 %", FLOW, 10 / 60_000, 0.5 / 60_000),
        ("9 ± 3 °C", Dimension.TEMPERATURE, 282.15, 3.0),
        ("50 ± 9 °F", Dimension.TEMPERATURE, 283.15, 5.0),
        ("9 °C ± 3 K", Dimension.TEMPERATURE, 282.15, 3.0),
        ("2.8 ± 0.1 bar gauge", Dimension.GAUGE_PRESSURE, 2.8e5, 1e4),
        ("0.3 ± 0.1 bar vacuum", Dimension.GAUGE_PRESSURE, -0.3e5, 1e4),
        ("101 ± 1 kPa absolute", Dimension.ABSOLUTE_PRESSURE, 101e3, 1e3),
        ("101 kPa absolute ± 1 kPa", Dimension.ABSOLUTE_PRESSURE, 101e3, 1e3),
        ("80 ± 5 %", Dimension.FRACTION, 0.8, 0.05),
        ("80 % ± 5 %", Dimension.FRACTION, 0.8, 0.05),
        ("0.8 ± 0.05", Dimension.FRACTION, 0.8, 0.05),
        ("2.0 ± 10 %", Dimension.NUMBER, 2.0, 0.2),
        ("2.0 ± 0.1", Dimension.NUMBER, 2.0, 0.1),
        ("14 AWG ± 2 %", Dimension.WIRE_AREA, 2.0809e-6, 0.02 * 2.0809e-6),
        ("3 m", LENGTH, 3.0, 0.0),
    ],
)
def test_tolerances(text: str, dimension: Dimension, value: float, tolerance: float) -> None:
    found = measured(text, dimension)
    assert found.value == pytest.approx(value, rel=1e-5)
    assert found.tolerance == pytest.approx(tolerance, rel=1e-5, abs=0.0)


@pytest.mark.parametrize(
    ("text", "dimension"),
    [
        ("3 m ± 0.5", LENGTH),
        ("3 ± 0.5", LENGTH),
        ("± 3 m", LENGTH),
        ("3 ± m", LENGTH),
        ("3 ±", LENGTH),
        ("3 ± -0.5 m", LENGTH),
        ("3 ± 0.5 ± 0.1 m", LENGTH),
        ("3 m ± 0.5 kg", LENGTH),
        ("3 ± 5 %", LENGTH),
        ("9 °C ± 5 %", Dimension.TEMPERATURE),
        ("0.8 ± 5 %", Dimension.FRACTION),
        ("2 bar gauge ± 0.1 bar absolute", Dimension.GAUGE_PRESSURE),
    ],
)
def test_tolerances_that_are_none(text: str, dimension: Dimension) -> None:
    with pytest.raises(UnitError):
        measured(text, dimension)


def test_size_of_numbers() -> None:
    assert si("1e30 m", LENGTH) == 1e30
    assert si("1e-30 m", LENGTH) == 1e-30
    for text in ("1e31 m", "1e-31 m", "1e999999999 m", "1e+" + "9" * 90 + " m"):
        with pytest.raises(RangeError):
            si(text, LENGTH)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "   ",
        "m",
        "nan m",
        "nan",
        "inf m",
        "-inf",
        "infinity m",
        "1/0 m",
        "--3 m",
        "1.2.3 m",
        "0x10 m",
        "1_000 m",
        "10^3 m",
        "10**3 m",
        "10³ m",
        "2^99^99 m",
        "9**9**9**9 m",
        "2 * 3 m",
        "2 x 3 m",
        "(3) m",
        "3 m m",
        "3 m; 4 m",
    ],
)
def test_texts_that_are_no_number(text: str) -> None:
    with pytest.raises(UnitError):
        si(text, LENGTH)


def test_length_of_text() -> None:
    padding = LONGEST - len("3 m")
    assert si("3 m" + " " * padding, LENGTH) == 3.0
    with pytest.raises(UnitError, match="101 characters where 100 are allowed"):
        si("3 m" + " " * (padding + 1), LENGTH)


_PIECES = st.sampled_from(
    [
        "1",
        "3/4",
        "½",
        " ",
        " ",
        "±",
        "+/-",
        "%",
        ",",
        ".",
        "e",
        "-",
        "m",
        "ft",
        "in",
        "'",
        '"',
        "bar",
        "gauge",
        "a",
        "gal",
        "gpm",
        "US",
        "°",
        "C",
        "AWG",
        "Kv",
        "^",
        "**",
        "9" * 30,
        "/",
        "to",
        "²",
        "of water",
        "imperial",
        "(",
        ")",
    ]
)


@settings(deadline=None, max_examples=400)
@given(
    text=st.one_of(st.text(max_size=200), st.lists(_PIECES, max_size=20).map("".join)),
    dimension=st.sampled_from(Dimension),
    gallon=st.sampled_from([None, "US", "imperial"]),
)
@example(text="9" * 100, dimension=Dimension.NUMBER, gallon=None)
@example(text="1/" + "0" * 98, dimension=Dimension.NUMBER, gallon=None)
@example(text="1 " * 50, dimension=Dimension.LENGTH, gallon=None)
@example(text="1-" * 50, dimension=Dimension.FLOW, gallon=None)
@example(text="1 " + "gal" * 32, dimension=Dimension.FLOW, gallon=None)
@example(text="\ud800", dimension=Dimension.LENGTH, gallon=None)
@example(text="1 ft " + "1 " * 47, dimension=Dimension.LENGTH, gallon=None)
@example(text="1 " + "(g" * 49, dimension=Dimension.VACUUM, gallon=None)
def test_any_text_is_read_or_refused_at_once(text: str, dimension: Dimension, gallon: str | None) -> None:
    took = []
    for _ in range(2):  # the better of two, in processor time: the machine may be busy
        start = time.process_time()
        try:
            found = measured(text, dimension, gallon=gallon)  # type: ignore[arg-type]
            assert abs(found.value) < 1e200
            assert 0 <= found.tolerance < 1e200
        except InputError as error:
            told = str(error)
        else:
            told = "read"
        assert told
        took.append(time.process_time() - start)
    assert min(took) < 0.05
