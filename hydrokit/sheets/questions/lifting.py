"""The sheet of ``lift``: whether the pump lifts from here and how deep the water could go, then the tables behind it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from hydrokit.answers import Verdict
from hydrokit.bounds import Dimension
from hydrokit.sheets.columns import column
from hydrokit.sheets.findings import lay_findings, of_verdict
from hydrokit.sheets.places import lowered, said
from hydrokit.sheets.questions.suction_side import gives_way, lay_budget, lay_limits, lay_shifts, priming
from hydrokit.sheets.trust import lay_cautions, lay_trust
from hydrokit.units import aligned

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View
    from hydrokit.studies.lifting import Depth, Lift

__all__ = ["lay_out"]

_SAME: Final = 1e-6


def _stands(answer: Lift, view: View) -> str:
    height = view.show(abs(answer.lift), Dimension.LENGTH)
    side = "above" if answer.lift >= 0.0 else "below"
    place = f"{said(answer.pump)} stands {height} {side} the water of {said(answer.water)}"
    if answer.flow <= 0.0:
        return f"{place} and lifts nothing from there."
    told = f"{place} and lifts {view.show(answer.flow, Dimension.FLOW)} from there"
    if answer.flow < answer.full_pipe_flow * (1.0 - _SAME):
        full = view.show(answer.full_pipe_flow, Dimension.FLOW)
        return f"{told}; suction keeps it from the {full} of a full pipe."
    return f"{told}."


def _how_far(answer: Lift, view: View) -> str:
    if answer.greatest_lift is None:
        if not answer.governs:
            return "No limit was found as high as the air can push water."
        return f"It holds at no depth, not even 5 m under water. What fails: {answer.governs}."
    apart = answer.greatest_lift - answer.lift
    unit, cells = aligned([answer.greatest_lift, abs(apart), answer.deepest_surface], Dimension.LENGTH, view.system)
    most, by, level = (f"{cell} {unit}" for cell in cells)
    beyond = f"Beyond that {gives_way(answer.governs)}."
    if apart >= 0.0:
        return f"It could lift {most}, with the water {by} deeper than now, at {level}. {beyond}"
    return f"It could lift {most}, {by} less than this, with the water at {level}. {beyond}"


def _lay_answer(page: Page, answer: Lift, view: View) -> None:
    page.say(f"{answer.title}, {answer.mode}", "heading")
    page.gap()
    failing = of_verdict(answer, Verdict.FAILS)
    worst = f"It does not work from here: {lowered(view.said(failing[0].reason))}" if failing else ""
    sentences = [_stands(answer, view), worst, _how_far(answer, view), priming(answer.limits, view)]
    page.say(" ".join(text for text in sentences if text))


def _lay_depths(page: Page, answer: Lift, view: View) -> None:
    page.heading("Flow against depth")
    depths = answer.depths
    held_back = any(depth.flow < depth.full_pipe_flow * (1.0 - _SAME) for depth in depths)
    columns = [
        column("lift", [depth.lift for depth in depths], Dimension.LENGTH, view.system),
        column("water at", [depth.surface for depth in depths], Dimension.LENGTH, view.system),
        column("flow", [depth.flow for depth in depths], Dimension.FLOW, view.system),
    ]
    if held_back:
        columns.append(column("full pipe", [depth.full_pipe_flow for depth in depths], Dimension.FLOW, view.system))
    page.columns(
        *columns,
        ("", ["now" if depth.is_now else "" for depth in depths]),
        ("passed from here on", _passed(depths)),
    )


def _passed(depths: Sequence[Depth]) -> list[str]:
    """Return for each depth the limits that are passed there and at the depth before were not, and those that are again kept."""
    told, before = [], set[str]()
    for depth in depths:
        again = [f"{limit} no longer" for limit in sorted(before - {*depth.fails})]
        told.append(", ".join([*(limit for limit in depth.fails if limit not in before), *again]))
        before = {*depth.fails}
    return told


def lay_out(answer: Lift, page: Page, view: View) -> None:
    """Write the whole sheet."""
    _lay_answer(page, answer, view)
    lay_limits(page, answer.limits, answer.governs, view, levels=True)
    _lay_depths(page, answer, view)
    lay_budget(page, answer.budget, view, "as it stands")
    lay_shifts(page, answer.shifts, view)
    lay_findings(page, answer, view)
    lay_trust(page, answer.trust, answer.surroundings, view)
    lay_cautions(page, answer.kinds)
