"""The sheet of ``limit``: how high a pump may stand above this water, and what limits it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hydrokit.answers import Verdict
from hydrokit.bounds import Dimension
from hydrokit.rules.priming import PRIMES
from hydrokit.sheets.findings import lay_findings, of_verdict
from hydrokit.sheets.places import lowered
from hydrokit.sheets.questions.suction_side import gives_way, lay_budget, lay_limits, lay_shifts, priming
from hydrokit.sheets.trust import lay_cautions, lay_trust

if TYPE_CHECKING:
    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View
    from hydrokit.studies.limiting import Limit

__all__ = ["lay_out"]


def _hose(answer: Limit, view: View) -> str:
    flow = view.show(answer.flow, Dimension.FLOW)
    bore, length = view.show(answer.bore, Dimension.LENGTH), view.show(answer.length, Dimension.LENGTH)
    return f"{flow} through {length} of {bore} suction hose"


def _how_high(answer: Limit, view: View) -> str:
    if answer.greatest_lift is None:
        return f"For {_hose(answer, view)} no height will do, not even 5 m under water. What fails: {answer.governs}."
    most = view.show(abs(answer.greatest_lift), Dimension.LENGTH)
    if answer.greatest_lift < 0.0:
        return f"For {_hose(answer, view)} a pump must stand at least {most} below the water. Above that {gives_way(answer.governs)}."
    return f"For {_hose(answer, view)} a pump may stand up to {most} above the water. Beyond that {gives_way(answer.governs)}."


def _meant(answer: Limit, view: View) -> str:
    if answer.lift is None:
        return ""
    height = view.show(answer.lift, Dimension.LENGTH)
    failing = of_verdict(answer, Verdict.FAILS)
    if failing:
        return f"At {height} it does not work: {view.said(failing[0].reason)}"
    close = [finding for finding in of_verdict(answer, Verdict.CLOSE) if finding.rule != PRIMES.name]  # told by itself
    if close:
        return f"At {height} it is close: {lowered(view.said(close[0].reason))}"
    return f"At {height} no limit that could be judged is passed."


def lay_out(answer: Limit, page: Page, view: View) -> None:
    """Write the whole sheet."""
    page.say(answer.title, "heading")
    page.gap()
    air = (
        f"Even the best pump draws water no higher than {view.show(answer.air_limit, Dimension.LENGTH)} here and today."
    )
    sentences = [_how_high(answer, view), _meant(answer, view), priming(answer.limits, view), air]
    page.say(" ".join(text for text in sentences if text))
    lay_limits(page, answer.limits, answer.governs, view, levels=False)
    spot = answer.greatest_lift if answer.lift is None else answer.lift
    lay_budget(page, answer.budget, view, f"with the pump at {view.show(spot, Dimension.LENGTH)}")
    lay_shifts(page, answer.shifts, view)
    lay_findings(page, answer, view)
    lay_trust(page, answer.trust, answer.surroundings, view)
    lay_cautions(page, answer.kinds)
