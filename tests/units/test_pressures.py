"""Gauge, absolute, vacuum and drop: each dimension takes its own and refuses the others with a reason."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hydrokit.bounds import Dimension
from hydrokit.units import si

if TYPE_CHECKING:
    from collections.abc import Callable

GAUGE = Dimension.GAUGE_PRESSURE
ABSOLUTE = Dimension.ABSOLUTE_PRESSURE
DROP = Dimension.PRESSURE_DROP
VACUUM = Dimension.VACUUM
PSI = 6894.757293168361


@pytest.mark.parametrize(
    ("text", "pascals"),
    [
        ("2.8 bar", 2.8e5),
        ("2.8 bar gauge", 2.8e5),
        ("2.8 barg", 2.8e5),
        ("2.8 bar(g)", 2.8e5),
        ("2.8 bar (g)", 2.8e5),
        ("2.8 bar g", 2.8e5),
        ("2.8 BARG", 2.8e5),
        ("280 kPag", 2.8e5),
        ("40 psig", 40 * PSI),
        ("40 psi gauge", 40 * PSI),
        ("40 PSIG", 40 * PSI),
        ("-0.3 bar", -0.3e5),
        ("0.3 bar vacuum", -0.3e5),
        ("0.3 bar vac.", -0.3e5),
        ("0 bar", 0.0),
    ],
)
def test_gauge(text: str, pascals: float) -> None:
    assert si(text, GAUGE) == pytest.approx(pascals, rel=1e-15)


@pytest.mark.parametrize("text", ["3.8 bar absolute", "3.8 bara", "3.8 bar(a)", "55 psia", "380 kPa abs", "380 kPaa"])
def test_gauge_refuses_absolute(text: str, refusal: Callable[..., str]) -> None:
    told = refusal(si, text, GAUGE)
    assert "an absolute pressure" in told
    assert "counts from the air outside" in told


@pytest.mark.parametrize(
    ("text", "pascals"),
    [
        ("101.3 kPa absolute", 101_300.0),
        ("101.3 kPa abs", 101_300.0),
        ("101.3 kPa(a)", 101_300.0),
        ("101.3 kPa (abs)", 101_300.0),
        ("1.013 bara", 101_300.0),
        ("1.013 bar a", 101_300.0),
        ("14.7 psia", 14.7 * PSI),
        ("760 mmHg absolute", 760 * 133.322387415),
    ],
)
def test_absolute(text: str, pascals: float) -> None:
    assert si(text, ABSOLUTE) == pytest.approx(pascals, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("101.3 kPa", "write 101.3 kPa absolute"),
        ("40 psig", "a gauge pressure"),
        ("0.3 bar vacuum", "a vacuum"),
    ],
)
def test_absolute_demands_its_mark(text: str, reason: str, refusal: Callable[..., str]) -> None:
    told = refusal(si, text, ABSOLUTE)
    assert reason in told
    assert "counts from empty space" in told


@pytest.mark.parametrize("text", ["18 kPa gauge", "40 psig", "18 kPa absolute", "14.7 psia", "0.3 bar vacuum"])
def test_drop_refuses_every_mark(text: str, refusal: Callable[..., str]) -> None:
    assert "the difference of two pressures" in refusal(si, text, DROP)


def test_drop() -> None:
    assert si("18 kPa", DROP) == 18_000.0
    assert si("3 m of water", DROP) == pytest.approx(3 * 9806.65, rel=1e-15)
    assert si("3 mH2O", DROP) == si("3 metres of water", DROP) == si("3 mwc", DROP) == si("3 m H₂O", DROP)


@pytest.mark.parametrize(
    "text",
    ["0.6 bar", "0.6 bar vacuum", "0.6 bar vac", "-0.6 bar", "-0.6 bar gauge", "-0.6 barg", "−60 kPa", "600 mbar"],
)
def test_vacuum_is_a_positive_depth(text: str) -> None:
    assert si(text, VACUUM) == 60_000.0


@pytest.mark.parametrize("text", ["20 inHg", '20 "Hg', "20 in Hg vacuum", "-20 inHg", "20 inches of mercury"])
def test_vacuum_in_mercury(text: str) -> None:
    assert si(text, VACUUM) == pytest.approx(20 * 3386.389, rel=1e-6)  # NIST SP 811 (from memory)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("0.4 bar absolute", "an absolute pressure"),
        ("6 psia", "an absolute pressure"),
        ("0.6 bar gauge", "above the air outside"),
        ("-0.6 bar vacuum", "without a minus sign"),
    ],
)
def test_vacuum_refuses(text: str, reason: str, refusal: Callable[..., str]) -> None:
    assert reason in refusal(si, text, VACUUM)


def test_gauge_refuses_a_vacuum_below_nothing(refusal: Callable[..., str]) -> None:
    assert refusal(si, "-0.3 bar vacuum", GAUGE).endswith("write 0.3 bar vacuum")


def test_metres_for_a_pressure_get_a_hint(refusal: Callable[..., str]) -> None:
    assert refusal(si, "3 m", DROP).endswith("write 3 m of water")
