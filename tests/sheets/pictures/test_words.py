"""Names are drawn as they are: no formula, no markup, long ones cut, letters that the font lacks as squares."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from hydrokit import check, compare, demonstration
from hydrokit.sheets.pictures import figures_of, svg_of
from hydrokit.sheets.pictures.labels import broken, plain, width_of

if TYPE_CHECKING:
    from collections.abc import Callable

NASTY = "a$b_1^2$ \\frac <b onclick=\"x('y')\">& --> 水 " + "Donaudampfschifffahrt" * 6


@pytest.fixture(scope="module")
def nasty() -> dict[str, Any]:
    rigs = [replace(demonstration(), title=NASTY), replace(demonstration(), title="$\\undefined{$ & so on")]
    return figures_of(compare(*rigs), width=0.1) | figures_of(check(rigs[0]), width=0.1)


def test_names_are_not_read_as_formulae(nasty: dict[str, Any], words_of: Callable[..., Any]) -> None:
    texts = [text for text, _ in words_of(nasty["sides"])]
    assert any(text.startswith("a$b_1^2$ \\frac <b") for text in texts)
    assert "$\\undefined{$ & so on" in [text.replace("\n", " ") for text in texts]
    assert all("水" not in text for text in texts)


def test_names_stay_on_the_paper(nasty: dict[str, Any], words_of: Callable[..., Any]) -> None:
    for figure in nasty.values():
        for _, box in words_of(figure):
            assert box.x1 <= figure.bbox.width + 1.0


def test_names_are_harmless_in_svg(nasty: dict[str, Any]) -> None:
    from xml.etree import ElementTree

    text = svg_of(nasty["sides"])
    assert "onclick" not in {name for each in ElementTree.fromstring(text).iter() for name in each.attrib}
    assert "<b" not in text
    assert "<script" not in text


def test_a_text_is_broken_between_words_and_cut_where_there_is_no_more_room() -> None:
    told = broken("one two three four five six seven eight nine ten", 60.0, lines=2, size=8.0)
    assert told.count("\n") == 1
    assert told.endswith("…")
    assert all(width_of(line, 8.0) <= 60.0 for line in told.split("\n"))
    assert broken("short", 60.0) == "short"
    assert broken("x" * 99, 60.0).startswith("xxx")
    assert width_of(broken("x" * 99, 60.0)) <= 60.0


def test_what_stands_behind_a_long_name_is_not_lost_with_its_end() -> None:
    lines = broken(f"near-{'x' * 99} full after 7.2 min", 60.0, lines=3).split("\n")
    assert lines[0].startswith("near-")
    assert lines[0].endswith("…")
    assert " ".join(lines[1:]) == "full after 7.2 min"


def test_plain_text_has_one_line_and_only_letters_that_can_be_drawn() -> None:
    assert plain(" a\tb\nc 水 7.4\N{NO-BREAK SPACE}L ") == "a b c □ 7.4\N{NO-BREAK SPACE}L"


def test_the_demonstration_rig_says_that_its_data_are_invented(
    figures: Callable[..., Any], words_of: Callable[..., Any]
) -> None:
    texts = [text for text, _ in words_of(figures("check", "demonstration")["heads"])]
    assert "Mill-pond trailer; mode filling; all data invented" in texts
    assert demonstration().title == "Mill-pond trailer"
    others = [text for text, _ in words_of(figures("check", "gravity", width=0.085, system="US")["heads"])]
    assert "gravity only; mode as drawn" in others
