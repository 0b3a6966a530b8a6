"""Quantities of any registry in, of our own out; pint's shared registry stays as it is."""

from __future__ import annotations

import subprocess
import sys
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import hydrokit
from hydrokit.bounds import Dimension
from hydrokit.errors import RangeError, UnitError
from hydrokit.units import measured, quantity, si
from hydrokit.units.pint_door import own_registry

LENGTH = Dimension.LENGTH
ROOT = Path(hydrokit.__file__).parents[1]
TEMPERATURE = Dimension.TEMPERATURE


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    return pint.UnitRegistry(cache_folder=None)


@pytest.fixture(scope="module")
def odd_registry() -> pint.UnitRegistry:
    """A registry whose foot is not ours: the survey foot of 1200/3937 m."""
    registry = pint.UnitRegistry(cache_folder=None, on_redefinition="ignore")
    registry.define("foot = 1200/3937 * meter = ft")
    return registry


def test_two_registries(registry: pint.UnitRegistry, odd_registry: pint.UnitRegistry) -> None:
    assert si(registry.Quantity(1000.0, "ft"), LENGTH) == pytest.approx(304.8, rel=1e-14)
    assert si(odd_registry.Quantity(1000.0, "ft"), LENGTH) == pytest.approx(1_200_000 / 3937, rel=1e-14)
    assert measured(registry.Quantity(19, "mm"), LENGTH).tolerance == 0.0


def test_shared_registry() -> None:
    assert si(pint.Quantity(2.8, "bar"), Dimension.GAUGE_PRESSURE) == pytest.approx(2.8e5, rel=1e-14)


@pytest.mark.parametrize(
    ("number", "unit", "dimension", "value"),
    [
        (9.0, "degC", TEMPERATURE, 282.15),
        (48.2, "degF", TEMPERATURE, 282.15),
        (282.15, "kelvin", TEMPERATURE, 282.15),
        (3.0, "delta_degC", Dimension.TEMPERATURE_DIFFERENCE, 3.0),
        (9.0, "delta_degF", Dimension.TEMPERATURE_DIFFERENCE, 5.0),
        (3.0, "kelvin", Dimension.TEMPERATURE_DIFFERENCE, 3.0),
        (10.0, "L/min", Dimension.FLOW, 10 / 60_000),
        (3000.0, "rpm", Dimension.ROTATION, 314.159265),
        (90.0, "degree", Dimension.ANGLE, 1.570796327),
        (5.0, "m**3/hour/bar**0.5", Dimension.FLOW_COEFFICIENT, 5 / 3600),
        (5.78, "gallon/minute/psi**0.5", Dimension.FLOW_COEFFICIENT, 5 / 3600),
        (40.0, "mJ/cm**2", Dimension.DOSE, 400.0),
        (1.0, "mPa*s", Dimension.VISCOSITY, 0.001),
        (5.0, "percent", Dimension.FRACTION, 0.05),
        (-0.6, "bar", Dimension.VACUUM, 60_000.0),
        (101.3, "kPa", Dimension.ABSOLUTE_PRESSURE, 101_300.0),
    ],
)
def test_conversion(registry: pint.UnitRegistry, number: float, unit: str, dimension: Dimension, value: float) -> None:
    assert si(registry.Quantity(number, unit), dimension) == pytest.approx(value, rel=5e-4)
    assert type(si(registry.Quantity(number, unit), dimension)) is float


@pytest.mark.parametrize(
    ("number", "unit", "dimension", "reason"),
    [
        (3.0, "kg", LENGTH, "cannot convert to m"),
        (3.0, "", LENGTH, "cannot convert to m"),
        (9.0, "delta_degC", TEMPERATURE, "a difference of temperatures"),
        (9.0, "degC", Dimension.TEMPERATURE_DIFFERENCE, "a temperature and no difference"),
        (50.0, "hertz", Dimension.ROTATION, "holds no angle"),
        (50.0, "1/s", Dimension.ROTATION, "holds no angle"),
        (1.0, "", Dimension.ANGLE, "holds no angle"),
        (1.0, "radian", Dimension.NUMBER, "holds an angle"),
        (6.0, "", Dimension.TURBIDITY, "cannot convert to NTU"),
        (5.0, "gallon/minute", Dimension.FLOW_COEFFICIENT, "cannot convert"),
        (9.0, "degC*meter", LENGTH, "cannot convert"),
    ],
)
def test_refusals(registry: pint.UnitRegistry, number: float, unit: str, dimension: Dimension, reason: str) -> None:
    with pytest.raises(UnitError, match=reason) as caught:
        si(registry.Quantity(number, unit), dimension, place="there")
    assert caught.value.mistakes[0].place == "there"


def test_hertz_would_have_been_taken_for_radians(registry: pint.UnitRegistry) -> None:
    """The trap behind the refusal: 50 turns a second are 314 rad/s, pint says 50."""
    assert registry.Quantity(50.0, "hertz").to("rad/s").magnitude == pytest.approx(50.0)


@pytest.mark.parametrize("magnitude", [np.array([1.0, 2.0]), np.array(1.0), "x", 1j])
def test_magnitude_that_is_no_number(registry: pint.UnitRegistry, magnitude: object) -> None:
    with pytest.raises(UnitError, match="not one real number"):
        si(registry.Quantity(magnitude, "m") if not isinstance(magnitude, str) else _text_magnitude(registry), LENGTH)


def _text_magnitude(registry: pint.UnitRegistry) -> pint.Quantity:
    made = registry.Quantity(1.0, "m")
    made._magnitude = "x"
    return made


@pytest.mark.parametrize("magnitude", [19, np.float64(19.0), Fraction(19)])
def test_magnitudes_of_other_number_types(registry: pint.UnitRegistry, magnitude: float) -> None:
    assert si(registry.Quantity(magnitude, "mm"), LENGTH) == pytest.approx(0.019, rel=1e-15)


def test_registry_of_decimals() -> None:
    registry = pint.UnitRegistry(cache_folder=None, non_int_type=Decimal)
    assert si(registry.Quantity(Decimal(19), "mm"), LENGTH) == 0.019


@pytest.mark.parametrize("number", [float("nan"), float("inf")])
def test_not_finite(registry: pint.UnitRegistry, number: float) -> None:
    with pytest.raises(RangeError, match="a finite number"):
        si(registry.Quantity(number, "m"), LENGTH)


def test_something_that_only_looks_like_a_quantity() -> None:
    with pytest.raises(UnitError, match="SimpleNamespace"):
        si(SimpleNamespace(magnitude=3.0, units="m"), LENGTH)


@settings(deadline=None)
@given(dimension=st.sampled_from(Dimension), value=st.floats(0, 1e12))
def test_quantity_comes_back_unchanged(dimension: Dimension, value: float) -> None:
    made = quantity(value, dimension)
    assert isinstance(made, pint.Quantity)
    assert si(made, dimension) == value


def test_our_registry_is_made_once_and_is_not_the_shared_one() -> None:
    assert own_registry() is own_registry()
    assert quantity(1.0, LENGTH)._REGISTRY is own_registry()
    assert own_registry() is not pint.application_registry.get()
    assert str(quantity(6.0, Dimension.TURBIDITY).units) == "nephelometric_turbidity_unit"


def test_shared_registry_is_untouched() -> None:
    code = (
        "import pint\n"
        "shared = pint.application_registry\n"
        "shared.parse_units('m')\n"
        "before, units = shared.get(), set(shared.get())\n"
        "from hydrokit.units import quantity, si\n"
        "from hydrokit.bounds import Dimension as D\n"
        "[quantity(1.0, d) for d in D]\n"
        "si(pint.Quantity(3.0, 'm'), D.LENGTH)\n"
        "assert shared.get() is before and set(before) == units\n"
        "for name in ('NTU', 'gpm', 'lpm', 'barg', 'psig'):\n"
        "    try: before.parse_units(name)\n"
        "    except pint.UndefinedUnitError: continue\n"
        "    raise SystemExit(name)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=ROOT)
    assert done.returncode == 0, done.stderr
