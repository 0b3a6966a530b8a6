"""A gallon must say which it is. US gallon 231 in³, imperial gallon 4.54609 L (definitions)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hydrokit.bounds import Dimension
from hydrokit.units import si

if TYPE_CHECKING:
    from collections.abc import Callable

US = 231 * 0.0254**3
IMPERIAL = 4.54609e-3


@pytest.mark.parametrize(
    "text", ["5 US gal", "5 US gallons", "5 USgal", "5 gal (US)", "5 gal US", "5 us GAL", "5 USG", "5 U.S. gal"]
)
def test_us_gallons(text: str) -> None:
    assert si(text, Dimension.VOLUME) == pytest.approx(5 * US, rel=1e-14)


@pytest.mark.parametrize(
    "text", ["5 imperial gal", "5 imp gal", "5 imp. gallons", "5 UK gal", "5 gal (imperial)", "5 Imperial Gallons"]
)
def test_imperial_gallons(text: str) -> None:
    assert si(text, Dimension.VOLUME) == pytest.approx(5 * IMPERIAL, rel=1e-14)


@pytest.mark.parametrize(
    "text", ["5 US gpm", "5 USgpm", "5 gpm (US)", "5 US gal/min", "5 US gallons per minute", "300 US gph"]
)
def test_us_flow(text: str) -> None:
    assert si(text, Dimension.FLOW) == pytest.approx(5 * US / 60, rel=1e-14)


@pytest.mark.parametrize(
    "text", ["5 imperial gpm", "5 igpm", "5 imp gpm", "5 gpm (UK)", "5 imperial gal / min", "300 imp gph"]
)
def test_imperial_flow(text: str) -> None:
    assert si(text, Dimension.FLOW) == pytest.approx(5 * IMPERIAL / 60, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "dimension"),
    [
        ("5 gal", Dimension.VOLUME),
        ("5 Gallons", Dimension.VOLUME),
        ("5 gpm", Dimension.FLOW),
        ("5 GPM", Dimension.FLOW),
        ("5 gal/min", Dimension.FLOW),
        ("5 gal / min", Dimension.FLOW),
        ("5 gallons per minute", Dimension.FLOW),
        ("5 gph", Dimension.FLOW),
    ],
)
def test_bare_gallons_are_refused_unless_settled(text: str, dimension: Dimension, refusal: Callable[..., str]) -> None:
    told = refusal(si, text, dimension)
    assert "20 % larger" in told
    assert "write 5 US g" in told
    assert " or 5 imperial g" in told
    assert si(text, dimension, gallon="imperial") / si(text, dimension, gallon="US") == pytest.approx(IMPERIAL / US)


def test_a_stated_gallon_outweighs_the_setting() -> None:
    assert si("5 US gal", Dimension.VOLUME, gallon="imperial") == si("5 gal", Dimension.VOLUME, gallon="US")


def test_unknown_gallon(refusal: Callable[..., str]) -> None:
    told = refusal(si, "5 gal", Dimension.VOLUME, gallon="imperal")
    assert told == "gallon: found 'imperal', expected US or imperial; write imperial"
