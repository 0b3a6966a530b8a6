"""What the rules found: in sentences what fails, is close or not known, in one table what holds."""

from __future__ import annotations

from math import inf, isclose
from typing import TYPE_CHECKING, Final

from hydrokit.answers import Verdict
from hydrokit.bounds import Dimension
from hydrokit.rules.naming import listed
from hydrokit.sheets.places import first_field, said

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.answers import Answer, Finding
    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View

__all__ = ["EVERY", "lay_findings", "lay_grave", "lay_holding", "of_verdict"]

EVERY: Final = "findings"
"""Name of the section that lists every finding that holds, not only the tightest of each rule."""

_WITHOUT: Final = "Cannot be judged without the "
_PLACE: Final = "\0"
_MOST_TOLD: Final = 10.0
"""Margin beyond which nobody asks how much it is."""
_WITHOUT_FILE: Final = ("limit",)
"""Questions that need no rig file."""
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
    if not isclose(abs(limit - value) / abs(limit), abs(margin), rel_tol=1e-9):
        return "yes"
    return ">1000 %" if margin > _MOST_TOLD else view.show(margin, Dimension.FRACTION, digits=2)


def _told(finding: Finding, view: View) -> tuple[str, str]:
    """Return reason and advice; only the advice where both name what is not stated and say no more."""
    reason, advice = view.said(finding.reason), view.said(finding.advice)
    missing = reason.removeprefix(_WITHOUT).rstrip(".")
    return ("" if missing != reason.rstrip(".") and advice.startswith(f"State the {missing}") else reason), advice


def _blocks(page: Page, found: list[Finding], view: View) -> None:
    """Write findings; those of one rule with the same advice stand together."""
    alike: dict[tuple[str, str], list[tuple[Finding, str]]] = {}
    for finding in found:
        reason, advice = _told(finding, view)
        alike.setdefault((finding.rule, advice), []).append((finding, reason))
    for (rule, advice), own in alike.items():
        page.say(
            f"{found[0].verdict}: {rule}, {', '.join(said(finding.place) for finding, _ in own)}",
            found[0].verdict.value,
        )
        for text in (*_reasons(own), advice):
            if text:
                page.say(text, indent=2)


def _reasons(told: list[tuple[Finding, str]]) -> Iterator[str]:
    """Yield the reasons of findings; those that differ in nothing but the place are said once for all of them."""
    alike: dict[str, list[tuple[str, str]]] = {}
    for finding, reason in told:
        place = said(finding.place)
        called = place if place in reason else finding.place.rpartition(".")[2]
        alike.setdefault(reason.replace(called, _PLACE), []).append((place, reason))
    for pattern, own in alike.items():
        places = [place for place, _ in own]
        reason = own[0][1]
        if len(places) > 1 and all(place in each for place, each in own):
            yield pattern.replace(_PLACE, listed(places))
        elif len(places) > 1 and reason:
            yield f"{reason} The same goes for {listed(places[1:])}."
        else:
            yield reason


def _lay_tightest(page: Page, holds: list[Finding], view: View) -> None:
    by_rule: dict[str, list[Finding]] = {}
    for finding in holds:
        by_rule.setdefault(finding.rule, []).append(finding)
    rows = [
        [rule, said(found[0].place), _in_hand(found[0], view), str(len(found)) if len(found) > 1 else ""]
        for rule, found in by_rule.items()
    ]
    rows.sort(key=lambda row: row[2] == "yes")  # what has a figure, the tightest first, before what has none
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
    page.table(["limit", "at", "is", "against", "in hand"], rows)


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
            of_file = verdict is Verdict.UNKNOWN and answer.question not in _WITHOUT_FILE
            if of_file and (field := first_field(str(finding.advice) for finding in found)):
                page.say(f"The rig file joins the words of a name, as in {field}.")


def lay_holding(page: Page, answer: Answer, view: View) -> None:
    """Write what holds: the tightest place of each rule, or every one if asked for."""
    holds = of_verdict(answer, Verdict.HOLDS)
    if holds:
        page.heading("Holds")
        lay = _lay_every if EVERY in view.also else _lay_tightest
        lay(page, holds, view)
