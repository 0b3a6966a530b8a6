"""A word explained, and the list of words that can be, as text and as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hydrokit.sheets.lists import json_text
from hydrokit.sheets.page import Page

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hydrokit.terms import Entry, Explanation

__all__ = ["explanation_json", "render_explanation", "render_words", "words_json"]


def _lay(page: Page, entry: Entry) -> None:
    page.say(f"{entry.name}, {entry.sort}", "heading")
    page.say(entry.meaning, indent=2)
    for head, text in entry.facts:
        page.say(f"{head}: {text}", indent=2)
    if entry.fields:
        page.table(["field", "meaning"], list(entry.fields))


def render_explanation(explanation: Explanation, *, width: int = 80, colour: bool = False) -> str:
    """Return what a word means, one thing after the other that it stands for.

    Parameters
    ----------
    explanation : Explanation
        Of the word.
    width : int
        In columns.
    colour : bool
        Whether headings stand out.

    Returns
    -------
    str
        Lines of text.

    Examples
    --------
    >>> from hydrokit.terms import explain
    >>> print(render_explanation(explain("static lift")), end="")
    static lift, a term: suction
      Height of a pump above the water it draws.
      Formula: static lift = height of the pump - height of the surface
      Unit: m
      Counts: up
      In code: static_lift, lift
      Also: suction lift
      Source: common practice, no source
    """
    page = Page(width, colour)
    for number, entry in enumerate(explanation.entries):
        if number:
            page.say("")
        _lay(page, entry)
    return page.text()


def render_words(groups: Mapping[str, tuple[str, ...]], *, width: int = 80, colour: bool = False) -> str:
    """Return the words that can be explained, group by group.

    Parameters
    ----------
    groups : mapping of str to tuple of str
        As :func:`hydrokit.terms.words_by_group` returns them.
    width : int
        In columns.
    colour : bool
        Whether headings stand out.

    Returns
    -------
    str
        Lines of text.
    """
    page = Page(width, colour)
    for group, words in groups.items():
        page.say(group, "heading")
        page.say(", ".join(words), indent=2)
    page.say("")
    page.say("A part lists its fields, and each is explained as well: hydrokit explain filter.rated_flow")
    return page.text()


def explanation_json(explanation: Explanation) -> str:
    """Return what a word means as JSON text."""
    return json_text(**explanation.to_dict())


def words_json(groups: Mapping[str, tuple[str, ...]]) -> str:
    """Return the words that can be explained as JSON text, by group."""
    return json_text(words={group: list(words) for group, words in groups.items()})
