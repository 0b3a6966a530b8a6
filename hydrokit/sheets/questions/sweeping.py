"""The sheet of ``sweep``: how many variants keep every limit, the best of them, and how each value does."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, Final

from hydrokit.answers import Verdict
from hydrokit.bounds import Dimension
from hydrokit.sheets.columns import column
from hydrokit.sheets.findings import lay_findings
from hydrokit.sheets.places import limit_and_place, said
from hydrokit.sheets.trust import lay_cautions, lay_trust

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View
    from hydrokit.studies.sweeping import Setting, Sweep, SweptVariant

__all__ = ["lay_out"]

_MOST_VALUES: Final = 12
"""A value that is varied in more steps than these has no table of its own; JSON tells them."""
_COLUMNS: Final = 3
"""Most varied values that have a column each; more of them share one."""


def _tried(settings: Sequence[Setting], view: View) -> str:
    """Return a variant in words: bore of delivery-hose (intake) 12.5 mm, height of lift-pump (intake) 1 m."""
    return ", ".join(f"{said(each.place)} {view.show(each.value, each.dimension, digits=4)}" for each in settings)


def _values(settings: Sequence[Setting], view: View) -> str:
    return ", ".join(view.show(each.value, each.dimension, digits=4) for each in settings)


def _overall(answer: Sweep) -> str:
    count, kept = answer.variants, answer.kept
    if count == 1:
        return "One variant keeps every limit that could be judged." if kept else "The one variant fails."
    if kept == count:
        first = f"{'Both' if count == 2 else f'All {count:,}'} variants keep every limit that could be judged"
    elif kept:
        first = f"Of {count:,} variants {kept:,} {'keeps' if kept == 1 else 'keep'} every limit that could be judged"
    else:
        first = f"Not one of {count:,} variants keeps every limit"
    some = "all of them" if answer.close == kept else f"{answer.close:,} of them"
    more = f", {some if kept > 1 else 'but'} with little in hand" if answer.close else ""
    lacking = (
        "1 has no answer: it does not settle"
        if answer.unsolved == 1
        else f"{answer.unsolved:,} have no answer: they do not settle"
    )
    unsolved = f" {lacking}." if answer.unsolved else ""
    return f"{first}{more}.{unsolved}"


def _best(answer: Sweep, view: View) -> str:
    best = answer.best[0]
    flow = view.show(best.flow, Dimension.FLOW)
    word = "Best" if best.verdict is not Verdict.FAILS else "The least bad"
    told = f"{word}: {_tried(best.settings, view)}; {flow} then arrives."
    if best.limit and best.margin is not None:
        words = {Verdict.FAILS: "What fails most is", Verdict.CLOSE: "Close to its limit is"}
        return f"{told} {words.get(best.verdict or Verdict.HOLDS, 'The least in hand is')} {said(best.limit)}."
    return told


def _spread(answer: Sweep, view: View) -> str:
    least, most = (view.show(flow, Dimension.FLOW) for flow in (answer.least_flow, answer.most_flow))
    return f"From variant to variant, {least} to {most} arrives." if least != most else ""


def _lay_variants(page: Page, rows: Sequence[SweptVariant], view: View) -> None:
    settings = rows[0].settings
    together = len(settings) > _COLUMNS
    if together:
        named = ", ".join(said(each.place) for each in settings)
        page.say(f"Values in this order: {named}.")
        tried = [("values", [_values(row.settings, view) for row in rows])]
    else:
        tried = [
            (
                said(each.place).replace(" of ", "\nof ", 1).replace(" (", "\n("),
                [view.show(row.settings[place].value, each.dimension, digits=4) for row in rows],
            )
            for place, each in enumerate(settings)
        ]
    columns = [
        ("variant", [f"{row.variant}" for row in rows]),
        *tried,
        column("flow", [row.flow for row in rows], Dimension.FLOW, view.system),
        column("fills in", [row.fill_time for row in rows], Dimension.TIME, view.system),
        ("", [str(row.verdict or "unsolved") for row in rows]),
        ("decided by", [limit_and_place(row.limit)[0] for row in rows]),
        ("in hand", [view.show(row.margin, Dimension.FRACTION, digits=2) for row in rows]),
    ]
    page.columns(*columns)


def _lay_values(page: Page, answer: Sweep, view: View) -> None:
    for place, group in groupby(answer.values, key=lambda each: each.setting.place):
        counted = list(group)
        if not 1 < len(counted) <= _MOST_VALUES:
            continue
        page.heading(f"By {said(place)}")
        dimension = counted[0].setting.dimension
        columns = [
            ("value", [view.show(each.setting.value, dimension, digits=4) for each in counted]),
            ("variants", [f"{each.variants}" for each in counted]),
            ("keep every limit", [f"{each.kept}" for each in counted]),
            column("most flow\nof these,", [each.most_flow for each in counted], Dimension.FLOW, view.system),
        ]
        page.columns(*columns)


def _lay_limits(page: Page, answer: Sweep) -> None:
    if answer.limits:
        page.heading("What decides the variants that fail")
        rows = [
            (said(rule), said(place), f"{each.variants}")
            for each in answer.limits
            for rule, place in [limit_and_place(each.limit)]
        ]
        page.table(["limit", "at", "variants"], rows)


def lay_out(answer: Sweep, page: Page, view: View) -> None:
    """Write the whole sheet."""
    count = "1 variant" if answer.variants == 1 else f"{answer.variants:,} variants"
    page.say(f"{answer.title}, {answer.mode}: {count}", "heading")
    page.gap()
    sentences = [_overall(answer), _best(answer, view), _spread(answer, view)]
    page.say(" ".join(text for text in sentences if text))
    if answer.file:
        page.say(f"Every variant is in {answer.file}, SI, a row each.")
    some = answer.variants > len(answer.best)
    page.heading(f"The best {len(answer.best)}: fewest limits failing, then most flow" if some else "Best first")
    _lay_variants(page, answer.best, view)
    _lay_values(page, answer, view)
    _lay_limits(page, answer)
    page.heading(f"What the rules say with {_tried(answer.best[0].settings, view)}")
    lay_findings(page, answer, view)
    lay_trust(page, answer.trust, answer.surroundings, view)
    lay_cautions(page, answer.kinds)
