"""Answers as text: the front, which finds the sheet of each question."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Final

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Mistakes, nearest
from hydrokit.sheets.cautions import BRIEFLY
from hydrokit.sheets.page import Page
from hydrokit.sheets.view import View
from hydrokit.units import SYSTEMS

if TYPE_CHECKING:
    from collections.abc import Collection

    from hydrokit.answers import Answer

__all__ = ["lay_out", "render"]

_SHEETS: Final = {
    "check": "checking",
    "bore": "sizing",
    "fill": "filling",
    "draw": "drawing",
    "match": "matching",
    "compare": "comparing",
    "lift": "lifting",
    "limit": "limiting",
    "hose": "hosing",
    "envelope": "conditions",
    "spread": "spreading",
    "wear": "wearing",
    "diagnose": "diagnosing",
    "readings": "expecting",
    "sweep": "sweeping",
}
"""File of each question's sheet, loaded when it is asked."""


def lay_out(answer: Answer, page: Page, view: View) -> None:
    """Write the sheet of an answer on a page."""
    import_module(f"hydrokit.sheets.questions.{_SHEETS[answer.question]}").lay_out(answer, page, view)


@as_annotated
def render(
    answer: Answer,
    *,
    system: str = "metric",
    width: int = 80,
    colour: bool = False,
    also: Collection[str] = (),
    brief: bool = False,
) -> str:
    """Return an answer as text: the answer first, in sentences, then the tables.

    Parameters
    ----------
    answer : Answer
        Of any study.
    system : {"metric", "US", "imperial"}
        Units to show.
    width : int
        Columns to fit into.
    colour : bool
        Whether to add terminal colours, which only repeat what the words say.
    also : collection of str
        Further sections: ``"findings"`` for every limit that holds, ``"walk"`` for the walk along the lines.
    brief : bool
        Only the sentences of the answer, and that no calculation makes water safe.

    Returns
    -------
    str
        Lines of at most that width, ending in a line break.

    Raises
    ------
    InputError
        If there is no such system of units.

    Examples
    --------
    >>> from hydrokit.files import demonstration
    >>> from hydrokit.studies import check
    >>> print(render(check(demonstration()))[:27])
    Mill-pond trailer, filling
    <BLANKLINE>
    """
    mistakes = Mistakes()
    if system not in SYSTEMS:
        mistakes.add("system", repr(system), f"one of {', '.join(SYSTEMS)}", nearest(system, SYSTEMS))
    mistakes.settle()
    page = Page(width, colour, brief)
    lay_out(answer, page, View(system, frozenset(also)))
    if brief:
        page.close(BRIEFLY)
    return page.text()
