"""What the sheets of filling and drawing share: curves over time, litres passed, batteries, what the course closes to."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.answers import Verdict
from hydrokit.bounds import Dimension
from hydrokit.rules.naming import listed
from hydrokit.rules.pumping import STEADY_SWITCH
from hydrokit.sheets.columns import column
from hydrokit.sheets.findings import of_verdict
from hydrokit.sheets.places import lowered, said
from hydrokit.sheets.trust import within

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View
    from hydrokit.studies.course.passed import Carried, Treated
    from hydrokit.studies.drawing import Draw
    from hydrokit.studies.filling import Fill

__all__ = ["caveats", "held_back", "lay_closing", "lay_curves", "lay_held_back", "lay_passed", "short_of"]

_ROWS: Final = 9
_SAME: Final = 1e-6
_COUNTED_ON: Final = "With pipes that stay full and pumps that run on"


def held_back(answer: Fill | Draw, unknown: str, view: View) -> list[str]:
    """Return the sentences that say why the flow counted on is never reached and what is thus unknown; none where it is reached."""
    told = []
    if answer.suction_share < 1.0 - _SAME:
        only = (
            f"only {view.show(answer.suction_share, Dimension.FRACTION, digits=2)}"
            if answer.suction_share > 0.0
            else "nothing"
        )
        hunts = any(finding.rule == STEADY_SWITCH.name for finding in of_verdict(answer, Verdict.FAILS))
        who = f"The pressure switch or relief valve lets {only} of the flow counted on here through"
        told.append(f"{who if hunts else f'Suction allows {only} of the flow counted on here'}: {unknown} not known.")
    if not answer.stays_whole:
        told.append(f"The water does not stay whole on its way: no arrival can be claimed, and {unknown} not known.")
    return [*told, f"{_COUNTED_ON} it would be thus:"] if told else []


def lay_held_back(page: Page, answer: Fill | Draw) -> None:
    """Write what a table counts on, where the rig does not reach that."""
    if answer.suction_share < 1.0 - _SAME or not answer.stays_whole:
        page.say(f"{_COUNTED_ON}, which this rig does not reach.")


def caveats(answer: Fill | Draw, view: View) -> list[str]:
    """Return the sentence that says what fails, if anything does."""
    told = []
    failing = of_verdict(answer, Verdict.FAILS)
    if failing:
        more = len(failing) - 1
        others = f" {more} more {'fails' if more == 1 else 'fail'}." if more else ""
        told.append(f"But it does not work as drawn: {lowered(view.said(failing[0].reason))}{others}")
    return told


def short_of(joints: Sequence[str]) -> str:
    """Return the half sentence that says which joints no longer get what they ask for."""
    name, verb, pronoun = ("joint", "gets", "it asks") if len(joints) == 1 else ("joints", "get", "they ask")
    return f"{name} {listed(joints)} no longer {verb} the water that {pronoun} for"


def lay_curves(
    page: Page, times: Sequence[float], curves: Sequence[tuple[str, Sequence[float], Dimension]], view: View
) -> None:
    """Write levels or flows at even moments, one column a curve."""
    if len(times) < 2:
        return
    page.heading("Over time")
    moments = np.linspace(times[0], times[-1], _ROWS)
    columns = [column("after", moments.tolist(), Dimension.TIME, view.system)]
    for head, values, dimension in curves:
        columns.append(column(head, np.interp(moments, times, values).tolist(), dimension, view.system))
    page.columns(*columns)


def lay_passed(page: Page, lines: Sequence[Carried], filters: Sequence[Treated], view: View) -> None:
    """Write what each line and filter has passed."""
    if not lines:
        return
    page.heading("What passed")
    volumes = [*(line.volume for line in lines), *(each.volume for each in filters)]
    head, cells = column("passed", volumes, Dimension.VOLUME, view.system)
    first_head, first = column("flow first", [line.first_flow for line in lines], Dimension.FLOW, view.system)
    last_head, last = column("last", [line.last_flow for line in lines], Dimension.FLOW, view.system)
    rows = [[f"line {line.line}", cells[row], first[row], last[row]] for row, line in enumerate(lines)]
    rows += [[said(each.place), cells[len(lines) + row], "", ""] for row, each in enumerate(filters)]
    page.table(["", head, first_head, last_head], rows)


def lay_closing(page: Page, answer: Fill | Draw, view: View) -> None:
    """Write how well the volumes close, and for how long the course was followed."""
    page.say(
        f"Followed for {view.show(answer.followed_for, Dimension.TIME)}; what came less what went, less what is there more,"
        f" is at most {within(answer.imbalance)} of all that moved."
    )
