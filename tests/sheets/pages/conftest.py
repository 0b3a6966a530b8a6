from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import TYPE_CHECKING

import pytest

from hydrokit import demonstration
from hydrokit.errors import MissingExtra
from hydrokit.sheets.pages import gathered, written

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.sheets.pages import Gathered

VOID = {"meta", "img", "br"}


@dataclass
class Page(HTMLParser):
    """What a browser would make of a page: elements in order with their attributes, and the text in each."""

    elements: list[tuple[str, dict[str, str | None]]] = field(default_factory=list)
    texts: list[tuple[str, str]] = field(default_factory=list)
    open_tags: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open_tags.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open_tags.pop() == tag

    def handle_data(self, data: str) -> None:
        if data.strip():
            self.texts.append((self.open_tags[-1] if self.open_tags else "", data))

    def handle_comment(self, data: str) -> None:
        raise AssertionError(f"a comment: {data[:40]}")

    def in_tag(self, *tags: str) -> list[str]:
        return [text for tag, text in self.texts if tag in tags]

    @property
    def text(self) -> str:
        return " ".join(text for tag, text in self.texts if tag not in {"style", "title"})


def parse(text: str) -> Page:
    page = Page()
    page.feed(text)
    page.close()
    assert page.open_tags == []
    return page


@pytest.fixture(scope="session", name="parse")
def _parse() -> Callable[[str], Page]:
    """Return the function that reads a page as a browser does; every element must be closed."""
    return parse


@pytest.fixture(scope="session")
def material() -> Gathered:
    """Return what a report of the demonstration rig tells."""
    return gathered(demonstration())


@pytest.fixture(scope="session")
def whole(material: Gathered) -> str:
    """Return the report of the demonstration rig, plots and all."""
    return written(material)


@pytest.fixture
def no_plots(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let matplotlib be absent."""

    def refuse() -> None:
        raise MissingExtra("plots", "matplotlib")

    monkeypatch.setattr("hydrokit.sheets.pictures.gallery.require_plots", refuse)
