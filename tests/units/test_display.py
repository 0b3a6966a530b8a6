"""SI floats out. Expected texts are arithmetic on the units' definitions, rounded by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from hydrokit.bounds import Dimension
from hydrokit.errors import RangeError, UnitError
from hydrokit.units import SYSTEMS, display_unit, in_unit, listed_units, show, si, text_of

LENGTH = Dimension.LENGTH
FLOW = Dimension.FLOW
TEMPERATURE = Dimension.TEMPERATURE
VACUUM = Dimension.VACUUM


@pytest.mark.parametrize(
    ("value", "dimension", "metric", "us", "imperial"),
    [
        (10 / 60_000, FLOW, "10 L/min", "2.64 US gpm", "2.2 imperial gpm"),
        (0.019, LENGTH, "19 mm", "0.748 in", "0.748 in"),
        (6.0, LENGTH, "6 m", "19.7 ft", "19.7 ft"),
        (5e-6, LENGTH, "5 µm", "5 µm", "5 µm"),
        (0.0, LENGTH, "0 m", "0 ft", "0 ft"),
        (2.8e5, Dimension.GAUGE_PRESSURE, "2.8 bar", "40.6 psi", "40.6 psi"),
        (-30_000.0, Dimension.GAUGE_PRESSURE, "-30 kPa", "-4.35 psi", "-4.35 psi"),
        (18_000.0, Dimension.PRESSURE_DROP, "18 kPa", "2.61 psi", "2.61 psi"),
        (101_325.0, Dimension.ABSOLUTE_PRESSURE, "101 kPa absolute", "14.7 psi absolute", "14.7 psi absolute"),
        (21_000.0, VACUUM, "21 kPa vacuum", "6.2 inHg vacuum", "6.2 inHg vacuum"),
        (0.06, Dimension.VOLUME, "60 L", "15.9 US gal", "13.2 imperial gal"),
        (282.15, TEMPERATURE, "9 °C", "48.2 °F", "9 °C"),
        (3.0, Dimension.TEMPERATURE_DIFFERENCE, "3 K", "5.4 °F", "3 K"),
        (12.0, Dimension.MASS, "12 kg", "26.5 lb", "12 kg"),
        (1.5, Dimension.VELOCITY, "1.5 m/s", "4.92 ft/s", "4.92 ft/s"),
        (2.5e-6, Dimension.WIRE_AREA, "2.5 mm²", "2.5 mm²", "2.5 mm²"),
        (5 / 3600, Dimension.FLOW_COEFFICIENT, "5 Kv", "5.78 Cv", "5 Kv"),
        (0.85, Dimension.FRACTION, "85 %", "85 %", "85 %"),
        (math.pi / 12, Dimension.ANGLE, "15°", "15°", "15°"),
        (2.5, Dimension.NUMBER, "2.5", "2.5", "2.5"),
        (1200.0, Dimension.TIME, "20 min", "20 min", "20 min"),
        (314.159265, Dimension.ROTATION, "3000 rpm", "3000 rpm", "3000 rpm"),
        (400.0, Dimension.DOSE, "40 mJ/cm²", "40 mJ/cm²", "40 mJ/cm²"),
        (720_000.0, Dimension.ENERGY_PER_VOLUME, "0.2 Wh/L", "0.757 Wh/US gal", "0.909 Wh/imperial gal"),
        (54_000.0, Dimension.CHARGE_PER_VOLUME, "15 mAh/L", "56.8 mAh/US gal", "68.2 mAh/imperial gal"),
        (180_000.0, Dimension.CHARGE, "50 Ah", "50 Ah", "50 Ah"),
        (0.012, Dimension.RESISTANCE, "12 mΩ", "12 mΩ", "12 mΩ"),
        (6.0, Dimension.TURBIDITY, "6 NTU", "6 NTU", "6 NTU"),
    ],
)
def test_three_systems(value: float, dimension: Dimension, metric: str, us: str, imperial: str) -> None:
    assert [show(value, dimension, system) for system in SYSTEMS] == [metric, us, imperial]


@pytest.mark.parametrize(
    ("digits", "text"), [(1, "10 L/min"), (2, "12 L/min"), (3, "12.3 L/min"), (4, "12.35 L/min"), (8, "12.3456 L/min")]
)
def test_significant_digits(digits: int, text: str) -> None:
    assert show(12.3456 / 60_000, FLOW, digits=digits) == text


def test_no_more_digits_than_known() -> None:
    assert show(12_345.0, LENGTH) == "12300 m"
    assert show(123_456.0, Dimension.NUMBER, digits=2) == "120000"
    assert show(1.23456e12, Dimension.NUMBER) == "1.23e+12"
    assert show(1.23456e-7, Dimension.NUMBER) == "1.23e-07"


def test_temperature_is_rounded_to_decimals() -> None:
    assert show(273.15 + 0.04, TEMPERATURE) == "0 °C"
    assert show(273.15 - 0.04, TEMPERATURE) == "0 °C"
    assert show(273.15 + 18.26, TEMPERATURE) == "18.3 °C"
    assert show(273.15 + 18.26, TEMPERATURE, digits=2) == "18 °C"
    assert show(273.15 + 18.26, TEMPERATURE, digits=4) == "18.26 °C"


@pytest.mark.parametrize("dimension", Dimension)
@pytest.mark.parametrize("system", SYSTEMS)
def test_never_minus_zero(dimension: Dimension, system: str) -> None:
    for value in (-0.0, 0.0, 273.15 - 1e-6, 255.3722222 - 1e-7):
        text = show(value, dimension, system)
        assert not text.startswith("-0 ")
        assert text not in {"-0", "-0°"}
        assert not text.startswith("-0.0 ")


def test_vacuum_above_the_air_is_called_gauge() -> None:
    assert show(-5000.0, VACUUM) == "5 kPa gauge"


def test_named_unit() -> None:
    assert show(0.01905, LENGTH, unit="in") == "0.75 in"
    assert show(101_325.0, Dimension.ABSOLUTE_PRESSURE, unit="bar") == "1.01 bar absolute"
    assert show(101_325.0, Dimension.ABSOLUTE_PRESSURE, unit="psia") == "14.7 psi absolute"
    assert show(10 / 60_000, FLOW, "US", unit="L/h") == "600 L/h"


def test_display_unit() -> None:
    assert [display_unit(0.019, LENGTH, system) for system in SYSTEMS] == ["mm", "in", "in"]
    assert display_unit(21_000.0, VACUUM) == "kPa vacuum"
    assert display_unit(101_325.0, Dimension.ABSOLUTE_PRESSURE, "US") == "psi absolute"


@settings(deadline=None)
@given(dimension=st.sampled_from(Dimension), system=st.sampled_from(SYSTEMS), value=st.floats(1e-9, 1e12))
def test_display_unit_can_be_named(dimension: Dimension, system: str, value: float) -> None:
    unit = display_unit(value, dimension, system)
    assert math.isfinite(in_unit(value, dimension, unit) if unit else value)
    plain = show(value, dimension, system)
    assert plain.endswith("AWG") or show(value, dimension, system, unit=unit) == plain


def test_in_unit() -> None:
    assert in_unit(0.0254, LENGTH, "in") == 1.0
    assert in_unit(282.15, TEMPERATURE, "°C") == pytest.approx(9.0, abs=1e-12)
    assert in_unit(10 / 60_000, FLOW, "L/min") == pytest.approx(10.0, rel=1e-15)


def test_unit_marked_as_another_kind_of_pressure() -> None:
    assert in_unit(2.8e5, Dimension.GAUGE_PRESSURE, "barg") == 2.8
    assert in_unit(101_325.0, Dimension.ABSOLUTE_PRESSURE, "kPa absolute") == 101.325
    for dimension, unit in (
        (Dimension.GAUGE_PRESSURE, "bar absolute"),
        (Dimension.ABSOLUTE_PRESSURE, "psig"),
        (Dimension.PRESSURE_DROP, "bar gauge"),
        (VACUUM, "bara"),
    ):
        with pytest.raises(UnitError, match="a unit of"):
            in_unit(1e5, dimension, unit)


def test_unknown_unit_and_system() -> None:
    with pytest.raises(UnitError, match="a unit of length: m, mm"):
        in_unit(1.0, LENGTH, "kg")
    with pytest.raises(UnitError, match="write US gpm or imperial gpm"):
        in_unit(1.0, FLOW, "gpm")
    with pytest.raises(UnitError, match="write metric"):
        show(1.0, LENGTH, "metrik")
    with pytest.raises(UnitError, match="system"):
        display_unit(1.0, LENGTH, "si")


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_not_finite_is_not_shown(value: float) -> None:
    for call in (lambda: show(value, LENGTH), lambda: text_of(value, LENGTH), lambda: in_unit(value, LENGTH, "m")):
        with pytest.raises(RangeError, match="a finite number"):
            call()


def test_digits_out_of_range() -> None:
    for digits in (0, 18):
        with pytest.raises(RangeError, match="1 to 17"):
            show(1.0, LENGTH, digits=digits)


def test_too_large_for_the_unit() -> None:
    with pytest.raises(RangeError, match="that µm can express"):
        in_unit(1e308, LENGTH, "µm")


@settings(deadline=None)
@given(
    dimension=st.sampled_from(Dimension),
    system=st.sampled_from(SYSTEMS),
    value=st.floats(1e-9, 1e12),
    digits=st.integers(1, 12),
    below=st.booleans(),
)
def test_what_is_shown_can_be_read(
    dimension: Dimension, system: str, value: float, digits: int, *, below: bool
) -> None:
    if below and dimension is not VACUUM:
        value = -value
    text = show(value, dimension, system, digits)
    if dimension is TEMPERATURE:
        allowed = 0.51 * 10.0 ** -max(digits - 2, 0) + 1e-12 * abs(value)
    else:
        allowed = abs(value) * (0.51 * 10.0 ** (1 - digits) + (0.006 if text.endswith("AWG") else 1e-12))
    assert abs(si(text, dimension) - value) <= allowed


@pytest.mark.parametrize(
    ("value", "dimension", "text"),
    [
        (0.019, LENGTH, "19 mm"),
        (2.5, LENGTH, "2.5 m"),
        (282.15, TEMPERATURE, "9 °C"),
        (10 / 60_000, FLOW, "10 L/min"),
        (2.8e5, Dimension.GAUGE_PRESSURE, "2.8 bar"),
        (21_000.0, VACUUM, "21 kPa vacuum"),
        (101_300.0, Dimension.ABSOLUTE_PRESSURE, "101.3 kPa absolute"),
        (0.85, Dimension.FRACTION, "85 %"),
        (2.5e-6, Dimension.WIRE_AREA, "2.5 mm²"),
        (-0.0, LENGTH, "0 m"),
    ],
)
def test_text_of_is_what_one_would_write(value: float, dimension: Dimension, text: str) -> None:
    assert text_of(value, dimension) == text


_SIZES = st.floats(1e-22, 1e22) | st.floats(1e-6, 1e6) | st.just(0.0)


@settings(deadline=None, max_examples=1000)
@given(dimension=st.sampled_from(Dimension), value=_SIZES, below=st.booleans())
@example(dimension=TEMPERATURE, value=1 / 3, below=False)
@example(dimension=TEMPERATURE, value=273.15000000000003, below=False)
@example(dimension=Dimension.FLOW_COEFFICIENT, value=1.9999999999999998, below=False)
@example(dimension=Dimension.ANGLE, value=0.1, below=True)
def test_text_of_reads_back_to_the_same_float(dimension: Dimension, value: float, *, below: bool) -> None:
    if below and dimension is not VACUUM:
        value = -value
    assert si(text_of(value, dimension), dimension) == value


def test_text_of_refuses_what_cannot_be_read() -> None:
    for value, dimension in ((1e300, LENGTH), (5e-324, FLOW), (-5000.0, VACUUM)):
        with pytest.raises(RangeError, match="that can be written as text"):
            text_of(value, dimension)


def test_listed_units_name_the_wire_gauge_and_the_marks() -> None:
    assert "AWG" in listed_units(Dimension.WIRE_AREA)
    assert "kPa absolute" in listed_units(Dimension.ABSOLUTE_PRESSURE)
    assert "inHg vacuum" in listed_units(VACUUM)
