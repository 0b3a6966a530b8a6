from __future__ import annotations

import pytest

from hydrokit import Check, check, demonstration
from hydrokit.parts import END_KINDS, PART_KINDS
from hydrokit.sheets.cautions import _CAUTIONS, ALWAYS, cautions_for


def test_drinking_water_is_always_spoken_of() -> None:
    assert cautions_for([]) == (ALWAYS,)
    assert "never shows that water is safe" in ALWAYS
    assert "licensed" in ALWAYS


def test_every_kind_that_a_caution_names_exists() -> None:
    filters = {f"{medium} filter" for medium in ("sediment", "carbon", "membrane", "ceramic")}
    kinds = {*END_KINDS, *PART_KINDS, *filters} - {"filter"}
    assert {kind for caution in _CAUTIONS for kind in caution.kinds} <= kinds


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("membrane filter", "frozen"),
        ("lamp", "clear, colourless"),
        ("diaphragm pump", "bursts tanks"),
        ("tank", "weigh the vehicle"),
        ("source", "invasive species"),
        ("outlet", "air gap"),
        ("centrifugal pump", "Fuse"),
    ],
)
def test_cautions_go_by_what_the_rig_has(kind: str, words: str) -> None:
    assert words in " ".join(cautions_for([kind]))
    assert words not in " ".join(cautions_for(["hose"]))


def test_the_mode_decides_which_parts_are_in_use(answer: Check) -> None:
    assert {"membrane filter", "carbon filter", "source", "diaphragm pump"} <= set(answer.kinds)
    tap = check(demonstration(), "tap")
    assert {"outlet", "tank", "diaphragm pump"} <= set(tap.kinds)
    assert {"source", "membrane filter"} & set(tap.kinds) == set()
