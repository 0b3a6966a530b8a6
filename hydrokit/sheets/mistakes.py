"""Mistakes as text: each with its place, what was found, what was expected and what to write instead."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from hydrokit.sheets.page import Page

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.errors import Mistake

__all__ = ["render_mistake", "render_mistakes"]

_MOST: Final = 100
"""Mistakes that are told one by one; nobody reads on."""


def _where(mistake: Mistake) -> str:
    line = f"line {mistake.line}" if mistake.line else ""
    return ", ".join(word for word in (line, mistake.place) if word) or "input"


def render_mistakes(
    mistakes: Sequence[Mistake], *, file: str = "", undone: str = "computed", width: int = 80, colour: bool = False
) -> str:
    """Return every mistake in the order found; of very many the first hundred, and how many more there are.

    Parameters
    ----------
    mistakes : sequence of Mistake
        As an error carries them.
    file : str
        Where they were found.
    undone : str
        What was therefore not done.
    width : int
        Columns to fit into.
    colour : bool
        Whether to add terminal colours.

    Examples
    --------
    >>> from hydrokit.errors import Mistake
    >>> print(render_mistakes([Mistake("lines.intake.hose-1.boer", "'boer'", "one of bore, length", "bore", 12)]), end="")
    1 mistake; nothing was computed.
    line 12, lines.intake.hose-1.boer
      found 'boer'
      expected one of bore, length
      write bore
    """
    page = Page(width, colour)
    count = "1 mistake" if len(mistakes) == 1 else f"{len(mistakes)} mistakes"
    where = f" in {file}" if file else ""
    page.say(f"{count}{where}; nothing was {undone}.", "fails")
    for mistake in mistakes[:_MOST]:
        page.say(_where(mistake), "heading")
        _lay(page, mistake)
    if len(mistakes) > _MOST:
        page.say(f"and {len(mistakes) - _MOST} more, for when these are mended; --json lists them all.")
    return page.text()


def _lay(page: Page, mistake: Mistake) -> None:
    page.say(f"found {mistake.found}", indent=2)
    page.say(f"expected {mistake.expected}", indent=2)
    if mistake.instead:
        page.say(f"write {mistake.instead}", indent=2)


def render_mistake(mistake: Mistake, *, width: int = 80, colour: bool = False) -> str:
    """Return one mistake without its place, as who has just made it is told."""
    page = Page(width, colour)
    _lay(page, mistake)
    return page.text()
