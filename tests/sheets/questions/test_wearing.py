from __future__ import annotations

import re
from dataclasses import replace

import pytest

from hydrokit.files import demonstration, hand_check
from hydrokit.rig import replaced
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
    assert (
        "carbon (intake) and membrane (intake): turbidity of the site, dirt capacity and retains are not stated" in told
    )
    assert "so their solids are not counted" in told
    assert told.count("How long") + told.count("how long") == 2  # the sentence, and the heading of the table
    assert "Not known: - pump primes at pump (intake)" in told


def test_how_far_a_filter_without_an_end_drop_has_gone_to_it_is_not_told() -> None:
    rig = demonstration()
    carbon = replace(rig.by_address["lines.intake.carbon"], end_drop=None)
    line = rig.lines["intake"]
    parts = tuple(carbon if part.name == "carbon" else part for part in line.parts)
    answer = wear(replace(rig, lines={**rig.lines, "intake": replace(line, parts=parts)}))
    assert [point.loadings[2] for point in answer.points] == [None] * len(answer.points)
    assert all(point.loadings[0] is not None for point in answer.points)
    row = next(line for line in render(answer).partition("Pressure before")[2].splitlines() if re.match(r" +0 ", line))
    assert row.count("%") == 3


def test_what_the_findings_tell_to_be_unknown_is_not_told_again() -> None:
    answer = wear(replaced(hand_check(), {"lines.intake.delivery-hose.bore": 0.006}))
    told = _flat(render(answer, also=["findings"]))
    assert "Not known, and so not judged" in told
    assert "- dry running at pump (intake)" not in told


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
