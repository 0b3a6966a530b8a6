"""The listed factors against pint, a general-purpose reference library, and against NIST SP 811."""

from __future__ import annotations

import math
from itertools import combinations

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hydrokit.bounds import Dimension
from hydrokit.units import in_unit, listed_units, si, unit_of
from hydrokit.units.listed import LISTED
from hydrokit.units.spelling import find_unit, tidy

PINT_NAMES = {
    "°": "degree", "µm": "micrometer", "in": "inch", "yd": "yard", "circular mil": "circular_mil", "kcmil": "kcmil",
    "US gal": "gallon", "imperial gal": "imperial_gallon", "US gpm": "gallon/minute", "US gph": "gallon/hour",
    "US gpd": "gallon/day", "imperial gpm": "imperial_gallon/minute", "imperial gph": "imperial_gallon/hour",
    "imperial gpd": "imperial_gallon/day", "Kv": "m**3/hour/bar**0.5", "Cv": "gallon/minute/psi**0.5",
    "rev/s": "revolution/second", "h": "hour", "d": "day", "m³/h": "m**3/hour", "L/h": "L/hour", "L/d": "L/day",
    "m³/d": "m**3/day", "m/h": "m/hour", "t": "tonne", "Pa s": "Pa*s", "mPa s": "mPa*s", "Wh": "watt_hour",
    "kWh": "kilowatt_hour", "Ah": "ampere_hour", "mAh": "milliampere_hour", "Ω": "ohm", "mΩ": "milliohm",
    "kΩ": "kiloohm", "hp": "horsepower", "mH2O": "meter*kg/L*g_0", "cmH2O": "cm*kg/L*g_0", "mmH2O": "mm*kg/L*g_0",
    "ftH2O": "foot*kg/L*g_0", "inH2O": "inch*kg/L*g_0", "inHg": "inHg", "µg/L": "microgram/L", "kgf": "kilogram_force",
    "kgf/cm²": "kilogram_force/cm**2", "lbf": "pound_force", "°C": "delta_degC", "°F": "delta_degF", "week": "week",
    "Wh/US gal": "watt_hour/gallon", "Wh/imperial gal": "watt_hour/imperial_gallon",
    "mAh/US gal": "milliampere_hour/gallon", "mAh/imperial gal": "milliampere_hour/imperial_gallon",
}  # fmt: skip
PINT_SI = {Dimension.FLOW_COEFFICIENT: "m**3/s/bar**0.5", Dimension.VISCOSITY: "Pa*s"}
UNKNOWN_TO_PINT = {Dimension.NUMBER, Dimension.TURBIDITY, Dimension.TEMPERATURE}
FACTORS = [
    (dimension, unit.name)
    for dimension, units in LISTED.items()
    if dimension not in UNKNOWN_TO_PINT
    for unit in units
    if unit.name not in {"", "%"}
]


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    return pint.UnitRegistry(cache_folder=None)


@pytest.mark.parametrize(("dimension", "name"), FACTORS)
def test_factor_against_pint(registry: pint.UnitRegistry, dimension: Dimension, name: str) -> None:
    spelling = PINT_NAMES.get(name, name.replace("²", "**2").replace("³", "**3").replace("°", "deg"))
    expected = registry.Quantity(1.0, spelling).to(PINT_SI.get(dimension, dimension.si_unit)).magnitude
    unit = find_unit(name, dimension)
    assert unit is not None
    assert unit.width(1, 1) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("number", [-40.0, 0.0, 9.0, 100.0])
@pytest.mark.parametrize("scale", ["degC", "degF", "kelvin"])
def test_temperature_against_pint(registry: pint.UnitRegistry, number: float, scale: str) -> None:
    expected = registry.Quantity(number, scale).to("kelvin").magnitude
    assert si(f"{number} {scale}", Dimension.TEMPERATURE) == pytest.approx(expected, rel=1e-13)


@pytest.mark.parametrize(
    ("text", "dimension", "expected"),
    [  # NIST SP 811 (2008), appendix B.8, to the digits printed there (from memory)
        ("1 psi", Dimension.PRESSURE_DROP, 6.894757e3),
        ("1 inHg", Dimension.PRESSURE_DROP, 3.386389e3),
        ("1 mmHg", Dimension.PRESSURE_DROP, 1.333224e2),
        ("1 ftH2O", Dimension.PRESSURE_DROP, 2.989067e3),
        ("1 inH2O", Dimension.PRESSURE_DROP, 2.490889e2),
        ("1 atm", Dimension.PRESSURE_DROP, 1.01325e5),
        ("1 kgf/cm2", Dimension.PRESSURE_DROP, 9.80665e4),
        ("1 US gal", Dimension.VOLUME, 3.785412e-3),
        ("1 imperial gal", Dimension.VOLUME, 4.54609e-3),
        ("1 ft3", Dimension.VOLUME, 2.831685e-2),
        ("1 US gpm", Dimension.FLOW, 6.309020e-5),
        ("1 ft3/min", Dimension.FLOW, 4.719474e-4),
        ("1 in2", Dimension.AREA, 6.4516e-4),
        ("1 ft2", Dimension.AREA, 9.290304e-2),
        ("1 circular mil", Dimension.AREA, 5.067075e-10),
        ("1 lb", Dimension.MASS, 4.535924e-1),
        ("1 oz", Dimension.MASS, 2.834952e-2),
        ("1 lbf", Dimension.FORCE, 4.448222),
        ("1 hp", Dimension.POWER, 7.456999e2),
        ("1 lb/ft3", Dimension.DENSITY, 1.601846e1),
        ("1 cP", Dimension.VISCOSITY, 1.0e-3),
        ("1 rpm", Dimension.ROTATION, 1.047198e-1),
    ],
)
def test_factor_against_nist_sp_811(text: str, dimension: Dimension, expected: float) -> None:
    assert si(text, dimension) == pytest.approx(expected, rel=5e-7)


def test_cv_against_kv() -> None:
    """Cv = 1.156 Kv: valve handbooks, common practice, three decimals."""
    assert si("5 Kv", Dimension.FLOW_COEFFICIENT) == 5 / 3600
    ratio = in_unit(si("1 Kv", Dimension.FLOW_COEFFICIENT), Dimension.FLOW_COEFFICIENT, "Cv")
    assert ratio == pytest.approx(1.156, abs=5e-4)
    assert si("Cv 5.8", Dimension.FLOW_COEFFICIENT) == si("5.8 Cv", Dimension.FLOW_COEFFICIENT)


def test_ultraviolet_dose() -> None:
    """1 mJ/cm² is 10 J/m², by the definition of the centimetre."""
    assert si("40 mJ/cm2", Dimension.DOSE) == 400.0
    assert si("40 mW·s/cm²", Dimension.DOSE) == 400.0


@pytest.mark.parametrize("dimension", Dimension)
def test_every_dimension_is_listed(dimension: Dimension) -> None:
    assert unit_of(dimension)
    for name in listed_units(dimension):
        assert math.isfinite(si(f"1 {name}", dimension))


@pytest.mark.parametrize("dimension", [each for each in Dimension if each is not Dimension.FLOW_COEFFICIENT])
def test_si_unit_reads_as_itself(dimension: Dimension) -> None:
    unit = find_unit(unit_of(dimension), dimension)
    assert unit is not None
    assert unit.width(1, 1) == 1.0


@pytest.mark.parametrize("dimension", Dimension)
def test_no_spelling_means_two_units(dimension: Dimension) -> None:
    for first, second in combinations(LISTED[dimension], 2):
        shared = {tidy(word) for word in (first.name, *first.spellings)} & {
            tidy(word) for word in (second.name, *second.spellings)
        }
        assert not shared, (first.name, second.name)
        loose = {tidy(word).casefold() for word in (first.name, *first.spellings)} & {
            tidy(word).casefold() for word in (second.name, *second.spellings)
        }
        assert not loose or first.strict or second.strict, (first.name, second.name, loose)


def test_same_length_in_any_unit_is_the_same_float() -> None:
    same = ["1 in", "25.4 mm", "2.54 cm", "0.0254 m", "25400 µm", "1/12 ft", "1/36 yd"]
    assert {si(text, Dimension.LENGTH) for text in same} == {0.0254}


@settings(deadline=None)
@given(whole=st.integers(0, 10**12))
def test_units_never_change_an_answer(whole: int) -> None:
    assert si(f"{whole} mm", Dimension.LENGTH) == si(f"{whole}000 µm", Dimension.LENGTH)
    assert si(f"{whole} in", Dimension.LENGTH) == si(f"{whole * 254}e-1 mm", Dimension.LENGTH)
    assert si(f"{whole} L/min", Dimension.FLOW) == si(f"{whole * 60} L/h", Dimension.FLOW)
    assert si(f"{whole} bar", Dimension.GAUGE_PRESSURE) == si(f"{whole}00 kPa", Dimension.GAUGE_PRESSURE)
    assert si(f"{whole}e-2 °C", Dimension.TEMPERATURE) == si(f"{whole + 27315}e-2 K", Dimension.TEMPERATURE)
