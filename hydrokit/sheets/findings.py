"""What the rules found: in sentences what fails, is close or not known, in one table what holds."""

from __future__ import annotations

from math import inf, isclose
from typing import TYPE_CHECKING, Final

from hydrokit.answers import Verdict
from hydrokit.bounds import Dimension
from hydrokit.sheets.places import first_field, said

if TYPE_CHECKING:
    from hydrokit.answers import Answer, Finding
    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View

__all__ = ["EVERY", "lay_findings", "lay_grave", "lay_holding", "of_verdict"]

EVERY: Final = "findings"
"""Name of the section that lists every finding that holds, not only the tightest of each rule."""

_WITHOUT: Final = "Cannot be judged without the "
_PLACE: Final = "\0"
_HEADINGS: Final = (
    (Verdict.FAILS, "Fails"),
    (Verdict.CLOSE, "Close to the limit"),
    (Verdict.UNKNOWN, "Not known, and so not judged"),
)


def of_verdict(answer: Answer, verdict: Verdict) -> list[Finding]:
    """Return the findings of one verdict, the one with least in hand first."""
    found = [finding for finding in answer.findings if finding.verdict is verdict]
    return sorted(found, key=lambda finding: inf if finding.margin is None else finding.margin)


def _in_hand(finding: Finding, view: View) -> str:
    """Return the margin where it is a share of the limit, and not merely the sign of a yes or no."""
    value, limit, margin = finding.value, finding.limit, finding.margin
    if value is None or limit is None or margin is None or limit == 0.0:
        return "yes"
    share = abs(limit - value) / abs(limit)
    return view.show(margin, Dimension.FRACTION, digits=2) if isclose(share, abs(margin), rel_tol=1e-9) else "yes"


def _told(finding: Finding, view: View) -> tuple[str, str]:
    """Return reason and advice; only the advice where both name what is not stated and say no more."""
    reason, advice = view.said(finding.reason), view.said(finding.advice)
    missing = reason.removeprefix(_WITHOUT).rstrip(".")
    return ("" if missing != reason.rstrip(".") and advice.startswith(f"State the {missing}") else reason), advice


def _blocks(page: Page, found: list[Finding], view: View) -> None:
    """Write findings; those of one rule that say the same but for the place are written once."""
    alike: dict[tuple[str, str, str], list[str]] = {}
    for finding in found:
        place = said(finding.place)
        reason, advice = _told(finding, view)
        alike.setdefault((finding.rule, reason.replace(place, _PLACE), advice), []).append(place)
    for (rule, reason, advice), places in alike.items():
        page.say(f"{found[0].verdict}: {rule}, {', '.join(places)}", found[0].verdict.value)
        for text in (reason.replace(_PLACE, " and ".join(places)), advice):
            if text:
                page.say(text, indent=2)


def _lay_tightest(page: Page, holds: list[Finding], view: View) -> None:
    by_rule: dict[str, list[Finding]] = {}
    for finding in holds:
        by_rule.setdefault(finding.rule, []).append(finding)
    rows = [
        [rule, said(found[0].place), _in_hand(found[0], view), str(len(found)) if len(found) > 1 else ""]
        for rule, found in by_rule.items()
    ]
    page.table(["limit", "tightest at", "in hand", "places"], rows)


def _lay_every(page: Page, holds: list[Finding], view: View) -> None:
    rows = [
        [
            finding.rule,
            said(finding.place),
            view.show(finding.value, finding.dimension),
            view.show(finding.limit, finding.dimension) if finding.limit else "",
            _in_hand(finding, view),
        ]
        for finding in holds
    ]
    page.table(["limit", "at", "is", "may be", "in hand"], rows)


def lay_findings(page: Page, answer: Answer, view: View) -> None:
    """Write what every rule found, the gravest first."""
    lay_grave(page, answer, view)
    lay_holding(page, answer, view)


def lay_grave(page: Page, answer: Answer, view: View) -> None:
    """Write what fails, what is close to its limit and what is not known, in sentences."""
    for verdict, heading in _HEADINGS:
        found = of_verdict(answer, verdict)
        if found:
            page.heading(heading)
            _blocks(page, found, view)
            if verdict is Verdict.UNKNOWN and (field := first_field(str(finding.advice) for finding in found)):
                page.say(f"The rig file joins the words of a name, as in {field}.")


def lay_holding(page: Page, answer: Answer, view: View) -> None:
    """Write what holds: the tightest place of each rule, or every one if asked for."""
    holds = of_verdict(answer, Verdict.HOLDS)
    if holds:
        page.heading("Holds")
        lay = _lay_every if EVERY in view.also else _lay_tightest
        lay(page, holds, view)
