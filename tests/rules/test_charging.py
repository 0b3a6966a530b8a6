"""Lithium iron phosphate is not charged under 0 °C (data sheets of such cells, from memory); lead-acid may be."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.answers import Verdict
from hydrokit.parts import Battery
from hydrokit.rules import margins

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.rig import Rig

COLD = "charged in the cold"
KEY = (COLD, "batteries.main")


@pytest.fixture
def charged(pond_rig: Callable[..., Rig]) -> Callable[..., Rig]:
    """Return the function that builds a rig with one battery that something charges."""

    def build(**more: Any) -> Rig:
        given = {"nominal_voltage": 12.0, "chemistry": "lithium iron phosphate", "power_in": 20.0, **more}
        return replace(pond_rig(), batteries={"main": Battery(**given)})

    return build


@pytest.mark.parametrize(
    ("celsius", "verdict"), [(-5.0, "fails"), (-0.1, "fails"), (0.0, "close"), (4.9, "close"), (5.1, "holds")]
)
def test_it_is_judged_by_the_temperature_of_the_battery(
    charged: Callable[..., Rig], found: Any, celsius: float, verdict: str
) -> None:
    finding = found(charged(temperature=273.15 + celsius))[KEY]
    assert (finding.verdict.value, finding.limit) == (verdict, 273.15)
    assert ("count on no charge" in str(finding.advice)) is (verdict == "fails")


def test_a_temperature_that_is_not_stated_is_asked_for(charged: Callable[..., Rig], found: Any) -> None:
    finding = found(charged())[KEY]
    assert finding.verdict is Verdict.UNKNOWN
    assert "temperature of the battery" in str(finding.reason)


@pytest.mark.parametrize(
    "more", [{"chemistry": "AGM lead-acid"}, {"chemistry": None}, {"power_in": None}, {"power_in": 0.0}]
)
def test_it_says_nothing_of_other_kinds_or_of_one_that_nothing_charges(
    charged: Callable[..., Rig], found: Any, more: dict[str, Any]
) -> None:
    assert KEY not in found(charged(temperature=260.0, **more))


def test_variants_are_judged_each_for_itself(charged: Callable[..., Rig], state: Callable[..., Any]) -> None:
    varied = {
        "batteries.main.temperature": np.array([268.15, 283.15, 268.15]),
        "batteries.main.power_in": np.array([20.0, 20.0, 0.0]),
    }
    told = margins(state(charged(temperature=300.0), None, varied))[KEY]
    assert told[:2] == pytest.approx([-5.0 / 273.15, 10.0 / 273.15])
    assert np.isnan(told[2])
