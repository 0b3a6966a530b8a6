"""What is remembered of a sweep, so that an interrupted one goes on only with the same rig, values and libraries."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from hydrokit.files import hand_check
from hydrokit.rig import Rig, replaced
from hydrokit.studies.variants.made_of import made_of
from hydrokit.studies.variants.products import product_of
from hydrokit.studies.variants.swept import Question

ADDRESS = "lines.intake.delivery-hose.bore"


def remembered(
    rig: Rig | None = None, form: str = "csv", values: str = "10 mm, 12.5 mm", **more: Any
) -> dict[str, Any]:
    chosen = hand_check() if rig is None else rig
    mode = chosen.mode_names()[0]
    question = Question(chosen, mode, product_of(chosen, mode, {ADDRESS: values}, {}), {}, (), fill_time=False)
    return made_of(replace(question, **more), form, 100, 5)


def test_a_file_of_this_form_is_the_first_and_a_parquet_goes_by_its_library_too() -> None:
    plain, parquet = remembered(), remembered(form="parquet")
    assert plain["format"] == parquet["format"] == 1
    assert set(parquet["libraries"]) - set(plain["libraries"]) == {"pyarrow"}
    assert (plain["variants"], plain["order of the variation"]) == (2, [ADDRESS])


@pytest.mark.parametrize(
    ("other", "apart"),
    [
        (remembered(), set()),
        (remembered(values="10 mm, 15 mm"), {"variation"}),
        (remembered(values="10 mm"), {"variation", "variants"}),
        (remembered(rig=replaced(hand_check(), {"site.altitude": 1.0})), {"rig"}),
        (remembered(rig=replaced(hand_check(), {"lines.intake.suction-hose.length": 9.0})), {"rig"}),
        (remembered(held={"site.altitude": 1.0}), {"values set"}),
    ],
)
def test_whatever_differs_is_told_apart(other: dict[str, Any], apart: set[str]) -> None:
    plain = remembered()
    assert {name for name in plain if plain[name] != other[name]} == apart
