"""The sheet of ``hose``: flow, bore and drop of one hose, and the standard bores beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from hydrokit.bounds import Dimension
from hydrokit.sheets.columns import column
from hydrokit.sheets.trust import lay_cautions, lay_trust

if TYPE_CHECKING:
    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View
    from hydrokit.studies.hosing import Hosing

__all__ = ["lay_out"]

_RANGES: Final = {
    "laminar": "The flow is laminar: here the drop goes in proportion to the flow and to how thick the water is.",
    "between": "The flow is between laminar and turbulent, where no source gives a dependable figure.",
    "turbulent": "",
}


def _answer(answer: Hosing, view: View) -> str:
    flow, drop = view.show(answer.flow, Dimension.FLOW), view.show(answer.drop, Dimension.PRESSURE_DROP)
    bore, length = view.show(answer.bore, Dimension.LENGTH), view.show(answer.length, Dimension.LENGTH)
    head = view.show(answer.head, Dimension.LENGTH)
    if answer.found == "flow":
        return f"{length} of {bore} hose carries {flow} for a drop of {drop} ({head})."
    if answer.found == "bore":
        return f"It takes a bore of {bore} to carry {flow} through {length} of hose for a drop of {drop} ({head})."
    return f"{length} of {bore} hose drops {drop} ({head}) at {flow}."


def _tails(answer: Hosing, view: View) -> str:
    if answer.tail_bore is None:
        return ""
    tails, bore = view.show(answer.tails_drop, Dimension.PRESSURE_DROP), view.show(answer.tail_bore, Dimension.LENGTH)
    share = view.show(answer.tails_drop / answer.drop, Dimension.FRACTION, digits=2)
    return f"Its two tails of {bore} take {tails} of that, {share}."


def _lay_figures(page: Page, answer: Hosing, view: View) -> None:
    page.heading("Figures")
    rows = [
        ["flow", view.show(answer.flow, Dimension.FLOW)],
        ["bore", view.show(answer.bore, Dimension.LENGTH)],
        ["length", view.show(answer.length, Dimension.LENGTH)],
        ["drop", view.show(answer.drop, Dimension.PRESSURE_DROP)],
        ["drop as a height of the liquid", view.show(answer.head, Dimension.LENGTH)],
        ["velocity", view.show(answer.velocity, Dimension.VELOCITY)],
        ["Reynolds number", f"{view.show(answer.reynolds, Dimension.NUMBER)}, {answer.range}"],
        ["friction factor (Darcy)", f"{answer.friction_factor:.4f}"],
        ["liquid inside", view.show(answer.volume, Dimension.VOLUME)],
    ]
    page.table(["", ""], rows)


def _lay_bores(page: Page, answer: Hosing, view: View) -> None:
    page.heading("The standard bores beside it")
    rows = answer.bores
    page.columns(
        ("bore", [row.label for row in rows]),
        column("drop at\nthis flow", [row.drop for row in rows], Dimension.PRESSURE_DROP, view.system),
        column("speed at\nthis flow", [row.velocity for row in rows], Dimension.VELOCITY, view.system),
        column("flow at\nthis drop", [row.flow for row in rows], Dimension.FLOW, view.system),
        ("", ["the answer" if row.is_answer else "" for row in rows]),
    )


def lay_out(answer: Hosing, page: Page, view: View) -> None:
    """Write the whole sheet."""
    page.say(answer.title, "heading")
    page.gap()
    sentences = [_answer(answer, view), _tails(answer, view), _RANGES[answer.range]]
    page.say(" ".join(text for text in sentences if text))
    _lay_figures(page, answer, view)
    _lay_bores(page, answer, view)
    lay_trust(page, answer.trust, answer.surroundings, view)
    lay_cautions(page, answer.kinds)
