"""A page that takes what the sheets say, as :class:`hydrokit.sheets.page.Page` does, and gives it back as HTML elements.

Everything is put into a tree of elements, so that every text is escaped by whoever writes the tree out.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final
from xml.etree.ElementTree import Element, SubElement

from hydrokit.sheets.page import Page, filled_columns, stands_right
from hydrokit.sheets.schematic.svg import printable

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

__all__ = ["Section", "WebPage", "add"]

_FEW_ROWS: Final = 8
"""Up to which a table stays on one page."""
_SHORT: Final = 22
"""Letters up to which a cell is not parted."""
_LONG: Final = 24
"""Letters beyond which a word may be parted anywhere."""


def add(parent: Element, tag: str, text: str = "", **attributes: str) -> Element:
    """Add an element with a text; attributes are names of our own, never texts of a rig."""
    found = SubElement(parent, tag, {name.rstrip("_"): value for name, value in attributes.items()})
    found.text = printable(text)
    return found


@dataclass(slots=True)
class Section:
    """What stands below one heading; the first of a page has none."""

    heading: str
    body: list[Element] = field(default_factory=list)


@dataclass(slots=True)
class WebPage(Page):
    """Takes headings, sentences, lists and tables in order, and keeps them section by section."""

    sections: list[Section] = field(init=False, default_factory=lambda: [Section("")])

    def __post_init__(self) -> None:
        """Need nothing that lays text out in columns."""

    def _element(self, tag: str, text: str = "", **attributes: str) -> Element:
        holder = Element("div")
        found = add(holder, tag, text, **attributes)
        self.sections[-1].body.append(found)
        return found

    def say(self, text: str, style: str = "", indent: int = 0) -> None:
        """Write sentences; what is indented belongs to what stands before it."""
        if style == "heading":
            self._element("h3", text)
        elif style:
            self._element("p", text, class_="finding")
        else:
            self._element("p", text, **({"class_": "under"} if indent else {}))

    def heading(self, text: str) -> None:
        """Begin a section."""
        self.sections.append(Section(text))

    def gap(self) -> None:
        """Leave no line free: the style of the page does."""

    def close(self, text: str) -> None:
        """Write a last remark."""
        self.say(text)

    def verbatim(self, line: str) -> None:
        """Write a line of a file."""
        self._element("pre", line)

    def points(self, texts: Iterable[str]) -> None:
        """Write a list."""
        listed = list(texts)
        if listed:
            entries = self._element("ul")
            for text in listed:
                add(entries, "li", text)

    def table(self, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
        """Write a table; numbers stand to the right, columns that are empty throughout are left out."""
        columns = filled_columns(heads, rows)
        if not columns:
            return
        few = len(columns[0]) <= _FEW_ROWS
        table = add(self._element("div", class_="wide few" if few else "wide"), "table")
        right = [stands_right(column[1:]) for column in columns]
        if any(column[0] for column in columns):
            row = add(add(table, "thead"), "tr")
            for column, number in zip(columns, right, strict=True):
                _head(row, column[0], number=number)
        body = add(table, "tbody")
        for cells in zip(*(column[1:] for column in columns), strict=True):
            row = add(body, "tr")
            for place, (cell, number) in enumerate(zip(cells, right, strict=True)):
                _cell(row, cell, number=number, first=not place)

    def text(self) -> str:
        """Return what is written, without its form."""
        return "\n".join(" ".join(element.itertext()) for section in self.sections for element in section.body)


def _kind(text: str, *, number: bool, short: bool) -> dict[str, str]:
    """Return the class of a cell, which says how it may be parted."""
    long = any(len(word) > _LONG for word in text.split())
    kind = "long" if long else "number" if number else "short" if short else ""
    return {"class_": kind} if kind else {}


def _head(row: Element, text: str, *, number: bool) -> None:
    """Write the head of a column, a unit in a line of its own."""
    lines = text.split("\n")
    head = add(row, "th", lines[0], scope="col", **_kind(text, number=number, short=False))
    for line in lines[1:]:
        add(head, "br").tail = printable(line)


def _cell(row: Element, text: str, *, number: bool, first: bool) -> None:
    kinds = _kind(text, number=number, short=len(text) <= _SHORT)
    if first:
        add(row, "th", text, scope="row", **kinds)
    else:
        add(row, "td", text, **kinds)
