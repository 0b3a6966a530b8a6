"""American wire gauge against published tables."""

from __future__ import annotations

import pytest

from hydrokit.bounds import Dimension
from hydrokit.errors import UnitError
from hydrokit.units import show, si

AREA = Dimension.WIRE_AREA


@pytest.mark.parametrize(("gauge", "ohm_per_kft"), [(6, 0.3951), (10, 0.9989), (14, 2.525)])
def test_published_resistance(gauge: int, ohm_per_kft: float) -> None:
    """Annealed copper, 10.371 ohm circular mil per foot: National Bureau of Standards, Handbook 100 (cable-awg-a)."""
    mils = si(f"{gauge} AWG", AREA) / si("1 circular mil", AREA)
    assert 10.371 / mils * 1000 == pytest.approx(ohm_per_kft, rel=0.0005)


@pytest.mark.parametrize(
    ("text", "square_millimetres"),
    [  # ASTM B258 table of cross-sections, to the digits printed in handbooks (from memory)
        ("4/0 AWG", 107.2),
        ("2/0 AWG", 67.43),
        ("1/0 AWG", 53.49),
        ("4 AWG", 21.15),
        ("8 AWG", 8.367),
        ("12 AWG", 3.309),
        ("16 AWG", 1.309),
        ("18 AWG", 0.8230),
        ("24 AWG", 0.2047),
    ],
)
def test_published_area(text: str, square_millimetres: float) -> None:
    assert si(text, AREA) * 1e6 == pytest.approx(square_millimetres, rel=0.0006)


@pytest.mark.parametrize("same", ["AWG 14", "14AWG", "14 awg", "#14 AWG", "AWG #14", "14 ga"])
def test_spellings(same: str) -> None:
    assert si(same, AREA) == si("14 AWG", AREA)


def test_noughts() -> None:
    assert si("00 AWG", AREA) == si("2/0 AWG", AREA) == si("AWG 2/0", AREA)
    assert si("0 AWG", AREA) == si("1/0 AWG", AREA)


@pytest.mark.parametrize("text", ["41 AWG", "50 AWG", "5/0 AWG", "-2 AWG", "14.5 AWG", "AWG", "1 1/0 AWG"])
def test_gauges_that_are_none(text: str) -> None:
    with pytest.raises(UnitError, match="4/0 AWG to 40 AWG"):
        si(text, AREA)


@pytest.mark.parametrize("text", ["4/0 AWG", "1/0 AWG", "1 AWG", "14 AWG", "40 AWG"])
def test_shown_as_gauge_in_us_units(text: str) -> None:
    assert show(si(text, AREA), AREA, "US") == text


def test_area_between_gauges_is_shown_in_square_millimetres() -> None:
    assert show(2.5e-6, AREA, "US") == "2.5 mm²"
    assert show(0.0, AREA, "US") == "0 mm²"


def test_circular_mils() -> None:
    """A wire of one thousandth of an inch: by definition; #10 is 10 380 circular mils in the tables (from memory)."""
    assert si("10 AWG", AREA) / si("1 circular mil", AREA) == pytest.approx(10_380, rel=0.0005)
    assert si("1 kcmil", AREA) == pytest.approx(1000 * si("1 cmil", AREA), rel=1e-15)
