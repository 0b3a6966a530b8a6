"""The sheet of ``sweep``."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from hydrokit.files import demonstration
from hydrokit.sheets import render
from hydrokit.studies import sweep

if TYPE_CHECKING:
    from hydrokit.studies import Sweep

BORE, HEIGHT = "lines.intake.delivery-hose.bore", "lines.intake.lift-pump.height"


def _told(answer: Sweep, **how: str) -> str:
    return " ".join(render(answer, **how).split())  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def answer() -> Sweep:
    return sweep(demonstration(), {BORE: "8 mm, 12.5 mm", HEIGHT: "1 m to 5 m in 5"})


def test_the_best_stand_first_each_value_in_a_column(answer: Sweep) -> None:
    told = _told(answer)
    assert "The least in hand is log reductions credited at tank near." in told
    assert "6 12.5 mm 1 m 7.42 holds log" in told
    assert "From variant to variant, 7.26 L/min to 7.42 L/min arrives." in told


def test_how_each_value_does_and_what_decides(answer: Sweep) -> None:
    told = _told(answer)
    assert "8 mm 5 4 7.26" in told
    assert "5 m 2 0 " in told
    assert "limit at variants" in told
    assert "pump inlet vacuum lift-pump (intake) 2" in told


def test_in_other_units(answer: Sweep) -> None:
    assert "bore of delivery-hose (intake) 0.4921 in, height of lift-pump (intake) 3.281 ft; 1.96 US gpm" in _told(
        answer, system="US"
    )


def test_many_varied_values_share_one_column() -> None:
    told = _told(
        sweep(
            demonstration(),
            {BORE: [0.008, 0.01], HEIGHT: [1.0], "site.altitude": [0.0, 500.0], "site.water_temperature": ["9 °C"]},
        )
    )
    assert "Values in this order: bore of delivery-hose (intake), height of lift-pump (intake), altitude" in told
    assert "10 mm, 1 m, 0 m, 9 °C" in told
    assert "By height of lift-pump" not in told  # one value alone tells nothing


def test_variants_without_an_answer_are_told(answer: Sweep) -> None:
    told = _told(replace(answer, unsolved=3, failing=answer.failing - 2, holding=answer.holding - 1))
    assert "3 have no answer: they do not settle." in told


def test_a_file_is_named(answer: Sweep) -> None:
    assert "Every variant is in some.csv, SI, a row each." in _told(replace(answer, file="some.csv"))


def test_one_variant() -> None:
    assert "One variant keeps every limit that could be judged." in _told(sweep(demonstration(), {BORE: [0.0125]}))
    assert "The one variant fails." in _told(sweep(demonstration(), {HEIGHT: [9.0]}))


def test_two_variants_are_both() -> None:
    assert "Both variants keep every limit" in _told(sweep(demonstration(), {BORE: [0.0125, 0.013]}))
