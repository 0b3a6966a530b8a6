"""A page of elements takes what the sheets say as a page of text does."""

from __future__ import annotations

from hydrokit.sheets.pages.web import WebPage


def _told(page: WebPage) -> list[tuple[str, str]]:
    return [(element.tag, "".join(element.itertext())) for section in page.sections for element in section.body]


def test_sentences_lists_and_headings() -> None:
    page = WebPage()
    page.say("Title", "heading")
    page.gap()
    page.say("It works.")
    page.heading("Fails")
    page.say("fails: a rule, a place", "fails")
    page.say("because", indent=2)
    page.points(["one", "two"])
    page.verbatim("x = 1")
    page.close("That is all.")
    assert [section.heading for section in page.sections] == ["", "Fails"]
    assert _told(page) == [
        ("h3", "Title"), ("p", "It works."), ("p", "fails: a rule, a place"), ("p", "because"), ("ul", "onetwo"),
        ("pre", "x = 1"), ("p", "That is all."),
    ]  # fmt: skip
    assert [element.get("class") for element in page.sections[1].body[:2]] == ["finding", "under"]
    assert "because" in page.text()


def test_tables_leave_out_empty_columns_and_set_numbers_right() -> None:
    page = WebPage()
    page.table(["what", "", "flow\nL/min"], [["a", "", "7.4"], ["b", "", ""]])
    table = page.sections[0].body[0].find("table")
    assert table is not None
    assert [[cell.get("class") for cell in row] for row in table.iter("tr")] == [
        [None, "number"], ["short", "number"], ["short", "number"],
    ]  # fmt: skip
    assert [cell.tag for cell in table.findall("tbody/tr/*")] == ["th", "td", "th", "td"]
    head = table.find("thead/tr/th[2]")
    assert head is not None
    assert "".join(head.itertext()) == "flowL/min"
    assert head.find("br") is not None


def test_an_empty_table_and_an_empty_list_are_nothing() -> None:
    page = WebPage()
    page.table(["what"], [[""]])
    page.points([])
    assert _told(page) == []
