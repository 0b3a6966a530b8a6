"""What a general-purpose unit library (pint 0.25.3) makes of the trade's spellings, and what we make of them.

Each test first shows the trap, so that it fails when the library mends it and the page that warns of it is out of date.
"""

from __future__ import annotations

import pint
import pytest

from hydrokit.bounds import Dimension
from hydrokit.errors import UnitError
from hydrokit.units import si


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    return pint.UnitRegistry(cache_folder=None)


def test_decimal_comma_in_a_pressure(registry: pint.UnitRegistry) -> None:
    assert registry.Quantity("1,5 bar").to("bar").magnitude == pytest.approx(15)
    with pytest.raises(UnitError, match=r"write 1\.5 bar"):
        si("1,5 bar", Dimension.GAUGE_PRESSURE)


def test_decimal_comma_in_a_length(registry: pint.UnitRegistry) -> None:
    assert registry.Quantity("0,75 m").to("m").magnitude != pytest.approx(0.75)
    with pytest.raises(UnitError, match=r"write 0\.75 m"):
        si("0,75 m", Dimension.LENGTH)


def test_mixed_fraction(registry: pint.UnitRegistry) -> None:
    assert registry.Quantity("1 1/4 in").to("in").magnitude == pytest.approx(0.25)
    assert si("1 1/4 in", Dimension.LENGTH) == 0.03175


def test_feet_and_inches(registry: pint.UnitRegistry) -> None:
    assert registry.Quantity("5 ft 6 in").check("[length] ** 2")
    assert si("5 ft 6 in", Dimension.LENGTH) == 1.6764


def test_twenty_c(registry: pint.UnitRegistry) -> None:
    assert registry.Quantity("20 C").check("[current] * [time]")
    assert si("20 C", Dimension.TEMPERATURE) == si("20 degC", Dimension.TEMPERATURE) == 293.15
    assert si("20 C", Dimension.CHARGE) == 20.0


def test_metres_of_water_spelt_mca(registry: pint.UnitRegistry) -> None:
    assert registry.Quantity("5 mca").check("[time]")
    assert si("5 mca", Dimension.PRESSURE_DROP) == pytest.approx(5 * 9806.65, rel=1e-15)


def test_millibars_spelt_mb(registry: pint.UnitRegistry) -> None:
    assert registry.Quantity("50 mb").check("[length] ** 2")
    assert si("50 mb", Dimension.PRESSURE_DROP) == 5000.0


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("10 lpm", Dimension.FLOW, 10 / 60_000),
        ("40 psig", Dimension.GAUGE_PRESSURE, 40 * 6894.757293168361),
        ("2.8 barg", Dimension.GAUGE_PRESSURE, 2.8e5),
        ("1.2 m3/h", Dimension.FLOW, 1.2 / 3600),
        ("40 PSI", Dimension.GAUGE_PRESSURE, 40 * 6894.757293168361),
        ("2.6 US gpm", Dimension.FLOW, 2.6 * 3.785411784e-3 / 60),
    ],
)
def test_trade_spellings_it_refuses(registry: pint.UnitRegistry, text: str, dimension: Dimension, value: float) -> None:
    with pytest.raises((pint.PintError, TypeError, AssertionError)):
        registry.Quantity(text)
    assert si(text, dimension) == pytest.approx(value, rel=1e-15)


def test_bare_gpm_is_refused_by_both(registry: pint.UnitRegistry) -> None:
    with pytest.raises(pint.UndefinedUnitError):
        registry.Quantity("5 gpm")
    with pytest.raises(UnitError, match="20 % larger"):
        si("5 gpm", Dimension.FLOW)


def test_powers_are_not_computed() -> None:
    for text in ("9**9**9**9 m", "10^10^10 m", "2**200 m"):
        with pytest.raises(UnitError, match="not computed"):
            si(text, Dimension.LENGTH)
