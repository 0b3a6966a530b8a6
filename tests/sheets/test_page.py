from __future__ import annotations

import re
import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.sheets.page import NARROWEST, Page

WORD = st.text(alphabet=string.ascii_lowercase + "-°", min_size=1, max_size=9)
CELL = st.lists(WORD, max_size=4).map(" ".join)


def test_sentences_wrap_between_words() -> None:
    page = Page(20)
    page.say("lift-pump (intake) stands 1.8 m above the water", indent=2)
    assert page.text() == "  lift-pump (intake)\n  stands 1.8 m above\n  the water\n"


def test_in_a_notebook_the_text_is_returned_too(monkeypatch) -> None:
    monkeypatch.setattr("rich.console._is_jupyter", lambda: True)
    page = Page(20)
    page.say("it works")
    assert page.text() == "it works\n"


def test_points_hang() -> None:
    page = Page(20)
    page.points(["tank near is half full", "short"])
    assert page.text() == "- tank near is half\n  full\n- short\n"


def test_tables_put_numbers_to_the_right_and_leave_out_what_is_empty() -> None:
    page = Page(40)
    page.table(["part", "kind", "head\nm"], [["carbon", "", "6.195"], ["the height gained", "", "12.250"]])
    assert page.text() == (
        "                     head\n"
        "part                    m\n"
        "─────────────────────────\n"
        "carbon              6.195\n"
        "the height gained  12.250\n"
    )


def test_columns_make_the_table_that_their_rows_make() -> None:
    by_rows, by_columns = Page(40), Page(40)
    by_rows.table(["part", "head\nm"], [["carbon", "6.195"], ["lift", "12.250"]])
    by_columns.columns(("part", ["carbon", "lift"]), ("head\nm", ["6.195", "12.250"]))
    assert by_columns.text() == by_rows.text()
    with pytest.raises(ValueError, match="shorter"):
        by_columns.columns(("part", ["carbon", "lift"]), ("head\nm", ["6.195"]))


def test_a_table_without_heads_has_no_rule_under_nothing() -> None:
    page = Page(40)
    page.table(["", ""], [["flow", "8 L/min"], ["bore", "12 mm"]])
    assert page.text() == "flow  8 L/min\nbore    12 mm\n"


def test_a_table_that_does_not_fit_becomes_lists() -> None:
    page = Page(24)
    page.table(["after", "height\nm", "speed"], [["suction-hose hose", "1.786", "0.436"], ["x", "", "sedimentation"]])
    assert page.text() == ("suction-hose hose\n  height, m: 1.786\n  speed: 0.436\nx\n  speed: sedimentation\n")


def test_a_head_that_was_only_broken_is_joined_and_rows_that_begin_alike_say_of_what() -> None:
    page = Page(24)
    rows = [["new", "half-a-percent-at-most", "5 %"], ["new", "sedimentation", "3 %"]]
    page.table(["filters", "flow, of that at\nbest efficiency", "pressure\nat shut-off"], rows)
    assert page.text() == (
        "filters: new\n"
        "  flow, of that at best\n"
        "  efficiency:\n"
        "  half-a-percent-at-most\n"
        "  pressure at shut-off:\n"
        "  5 %\n"
        "filters: new\n"
        "  flow, of that at best\n"
        "  efficiency:\n"
        "  sedimentation\n"
        "  pressure at shut-off:\n"
        "  3 %\n"
    )


@given(st.lists(st.lists(CELL, min_size=3, max_size=3), min_size=1, max_size=5), st.integers(NARROWEST, 90))
def test_no_table_is_wider_than_the_page_or_loses_a_letter(rows: list[list[str]], width: int) -> None:
    page = Page(width)
    page.table(["first", "second", "third"], rows)
    text = page.text()
    assert max(map(len, text.splitlines())) <= width
    for row in rows:
        for word in " ".join(row).split():
            assert re.search(rf"(?<![a-z°]){re.escape(word)}(?![a-z°])", text)


@pytest.mark.parametrize("text", ["[bold]x[/bold]", ":warning:", "12.5 mm [3/4 in]"])
def test_what_looks_like_markup_is_printed_as_it_is(text: str) -> None:
    page = Page(80, colour=True)
    page.say(text)
    assert page.text() == f"{text}\n"


def test_colour_is_there_only_if_asked_for() -> None:
    for colour in (True, False):
        page = Page(80, colour)
        page.say("fails", "fails")
        assert ("\x1b[" in page.text()) is colour
