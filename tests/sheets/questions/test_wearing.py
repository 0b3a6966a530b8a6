from __future__ import annotations

import re
from dataclasses import replace

import pytest

from hydrokit.files import demonstration, hand_check
from hydrokit.sheets import render
from hydrokit.studies import wear


def _flat(text: str) -> str:
    return re.sub(r"\s+", " ", text)


@pytest.fixture(scope="module")
def answer():
    return wear(demonstration(), until_flow=6.5 / 60_000.0, prefilter="filter-pleated-20")


def test_it_says_which_goes_first_when_and_by_what(answer) -> None:
    told = _flat(render(answer))
    assert (
        "Carbon (intake) goes first: past its stated life after 8000 L: 66.7 fills, or 88.9 days at 90 L a day." in told
    )
    assert "With the most solids that 6 NTU of turbidity may mean it is membrane (intake), after 5980 L." in told
    assert "The wanted flow no longer comes after" in told
    assert "With filter-pleated-20 in front" in told


def test_every_point_and_filter_has_its_row(answer) -> None:
    text = render(answer)
    first = text.partition("As the litres pass")[2].partition("Pressure before")[0]
    rows = [line for line in first.splitlines() if re.match(r" +\d+ ", line)]
    assert len(rows) == len([point for point in answer.points if point.curve == "early"])
    for row in answer.filters:
        assert row.place.rpartition(".")[2] in text


@pytest.mark.parametrize("system", ["metric", "US", "imperial"])
@pytest.mark.parametrize("width", [40, 80, 100])
def test_it_fits(answer, system: str, width: int) -> None:
    text = render(answer, system=system, width=width)
    assert max(map(len, text.splitlines())) <= width
    assert "{" not in text
    assert "None" not in text


def test_what_is_not_known_is_said() -> None:
    told = _flat(render(wear(hand_check())))
    assert "How long any filter lasts cannot be told" in told
    assert "Not known:" in told
    assert "how long" in told


def test_flushing_is_told() -> None:
    told = _flat(render(wear(demonstration(), flush=0.5)))
    assert "All this with a flush after every 500 L." in told
    assert "flushed" in told


def test_one_curve_where_the_laws_agree() -> None:
    rig = demonstration()
    line = rig.lines["intake"]
    parts = tuple(replace(part, element="surface") if hasattr(part, "element") else part for part in line.parts)
    text = render(wear(replace(rig, lines={**rig.lines, "intake": replace(line, parts=parts)})))
    assert "early" not in text.partition("How this was reached")[0]
