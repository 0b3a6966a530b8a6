"""The sheet of ``envelope``: whether the rig holds in every condition, which corner fails first, and all corners."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from hydrokit.answers import Verdict
from hydrokit.bounds import Dimension
from hydrokit.sheets.columns import column
from hydrokit.sheets.findings import lay_findings
from hydrokit.sheets.places import limit_and_place, lowered, said
from hydrokit.sheets.trust import lay_cautions, lay_trust

if TYPE_CHECKING:
    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View
    from hydrokit.studies.conditions import Corner, Envelope, GivesWay

__all__ = ["lay_out"]

_COLUMNS: Final = 4
"""Most conditions that have a column each; more of them share one."""


def _called(answer: Envelope, corner: Corner) -> str:
    """Return a corner in words: filters worn, water temperature coldest, level lowest."""
    return ", ".join(f"{name} {word}" for name, word in zip(answer.varied, corner.settings, strict=True)) or "as it is"


def _spread(answer: Envelope, view: View) -> str:
    least, most = (view.show(flow, Dimension.FLOW) for flow in (answer.least_flow, answer.most_flow))
    told = f"It delivers {least} to {most}."
    broken = sum(not corner.stays_whole for corner in answer.corners)
    if broken:
        where = "any corner" if broken == len(answer.corners) else f"{broken} of {len(answer.corners)} corners"
        told = f"It would deliver {least} to {most} if the water stayed whole, which it does not in {where}: no arrival can be claimed there."
    known = [corner.fill_time for corner in answer.corners if corner.fill_time is not None]
    if not known:
        return told
    shortest, longest = (view.show(time, Dimension.TIME) for time in (min(known), max(known)))
    few = f" in {len(known)} corners; in the others it is not known" if len(known) < len(answer.corners) else ""
    return f"{told} Filling takes {shortest} to {longest}{few}."


def _overall(answer: Envelope) -> str:
    failing = sum(corner.failing > 0 for corner in answer.corners)
    count = len(answer.corners)
    if count == 1:
        return f"Nothing was varied: in the one corner there is it {'fails' if failing else 'holds'}."
    if failing == count:
        return f"It fails in every one of {count} corners."
    if failing:
        return f"It holds in {count - failing} of {count} corners and fails in {failing}."
    if any(corner.verdict is Verdict.CLOSE for corner in answer.corners):
        return f"It holds in all {count} corners, in some with little in hand."
    return f"It holds in all {count} corners, as far as its limits could be judged."


def _where(way: GivesWay, answer: Envelope, view: View) -> str:
    """Return what the conditions are where the first limit gives way, of those that change on the way there."""
    best, first = answer.corners[way.best], answer.corners[way.corner]
    changed = {name for name, a, b in zip(answer.varied, best.settings, first.settings, strict=True) if a != b}
    told = {
        "filters": lambda: f"filters {view.show(way.loading, Dimension.FRACTION, digits=2)} loaded",
        "water temperature": lambda: f"water at {view.show(way.water_temperature, Dimension.TEMPERATURE)}",
        "level": lambda: (
            "levels between highest and lowest"  # there are several, which no one figure tells
            if way.level is None
            else f"the level at {view.show(way.level, Dimension.LENGTH)}"
        ),
        "battery": lambda: f"{view.show(way.charge, Dimension.FRACTION, digits=2)} in the battery",
        "altitude": lambda: f"the site at {view.show(way.altitude, Dimension.LENGTH)}",
    }
    return ", ".join(told[name]() for name in answer.varied if name in changed)


def _first(answer: Envelope, view: View) -> str:
    tightest = answer.corners[answer.tightest]
    if answer.gives_way is not None:
        return (
            f"Fails first: {said(answer.gives_way.limit)}. From the best corner ({_called(answer, answer.corners[answer.best])})"
            f" it gives way with {_where(answer.gives_way, answer, view)}. {view.said(tightest.reason)}"
        )
    if tightest.failing:
        return f"Even at best ({_called(answer, answer.corners[answer.best])}) it fails: {lowered(view.said(tightest.reason))}"
    if not tightest.limit:
        return ""
    return f"The least in hand: {said(tightest.limit)}, with {_called(answer, tightest)}. {view.said(tightest.reason)}"


def _lay_corners(page: Page, answer: Envelope, view: View) -> None:
    page.heading("Every corner")
    flow, flows = column("flow", [corner.flow for corner in answer.corners], Dimension.FLOW, view.system)
    time, times = column("fills in", [corner.fill_time for corner in answer.corners], Dimension.TIME, view.system)
    heads = [name.replace("water temperature", "water") for name in answer.varied]
    together = len(heads) > _COLUMNS
    if together:
        middle = (len(heads) + 1) // 2
        heads = [f"{', '.join(heads[:middle])},\n{', '.join(heads[middle:])}"]
    rows = []
    for row, corner in enumerate(answer.corners):
        mark = "first" if row == answer.tightest and corner.failing else "best" if row == answer.best else ""
        worst = limit_and_place(corner.limit)[0] if corner.verdict is not Verdict.HOLDS else ""
        settings = [" ".join(corner.settings)] if together else [*corner.settings]
        rows.append([*settings, flows[row], times[row], corner.verdict.value, worst, mark])
    page.table([*heads, flow, time, "", "worst", ""], rows)


def lay_out(answer: Envelope, page: Page, view: View) -> None:
    """Write the whole sheet."""
    page.say(f"{answer.title}, {answer.mode}", "heading")
    page.gap()
    sentences = [_overall(answer), _spread(answer, view), _first(answer, view)]
    page.say(" ".join(text for text in sentences if text))
    _lay_corners(page, answer, view)
    if answer.not_varied:
        page.heading("Not varied")
        page.points(said(text) for text in answer.not_varied)
    corner = answer.corners[answer.tightest]
    page.heading(f"What the rules say with {_called(answer, corner)}")
    lay_findings(page, answer, view)
    lay_trust(page, answer.trust, answer.surroundings, view)
    lay_cautions(page, answer.kinds)
