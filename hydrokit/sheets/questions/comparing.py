"""The sheet of ``compare``: which rig comes first, figure by figure, and everything in which they differ."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from hydrokit.answers import Verdict
from hydrokit.bounds import Dimension, Spec, specs_of
from hydrokit.sheets.columns import percent
from hydrokit.sheets.findings import EVERY
from hydrokit.sheets.places import said
from hydrokit.sheets.trust import lay_cautions, lay_residuals
from hydrokit.studies.comparing import Side
from hydrokit.units import aligned

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View
    from hydrokit.studies.comparing import Comparison

__all__ = ["lay_out"]

_MARK: Final = "differs"
_ROWS: Final = 30
_SMALL_SHARE: Final = 0.005
_FIGURES: Final = {
    "verdict": "verdict",
    "mode": "mode",
    "failing": "limits that fail",
    "flow": "flow delivered",
    "full_pipe_flow": "flow of the full pipe",
    "suction_margin": "water whole, in hand",
    "lowest_pressure": "lowest pressure",
    "highest_pressure": "highest pressure, gauge",
    "fill_time": "tanks full after",
}


def _answer(answer: Comparison, view: View) -> str:
    if not answer.better:
        return (
            "Neither is better: as few limits fail, and as much water arrives."
            if len(answer.sides) == 2
            else "No rig comes first alone: as few limits fail, and as much water arrives."
        )
    first = next(side for side in answer.sides if side.name == answer.better)
    others = [side for side in answer.sides if side is not first]
    told = f"{first.name} comes first: {view.show(first.flow, Dimension.FLOW)} arrives and"
    told += f" {_failing(len(first.failing))};"
    each = [
        f"{side.name} {view.show(side.flow, Dimension.FLOW)}, {_failing(len(side.failing))}" for side in others
    ]  # fmt: skip
    return f"{told} {'; '.join(each)}."


def _failing(count: int) -> str:
    return "no limit fails" if count == 0 else "1 limit fails" if count == 1 else f"{count} limits fail"


def _cells(answer: Comparison, name: str, view: View) -> list[str]:
    """Return one figure of every rig, all in the unit that suits the largest."""
    values: list[Any] = [getattr(side, name) for side in answer.sides]
    spec = specs_of(Side).get(name)
    if isinstance(spec, Spec):
        unit, cells = aligned(values, spec.dimension, view.system)
        return [f"{cell} {unit}".rstrip() if cell else "not known" for cell in cells]
    return [str(len(value)) if isinstance(value, tuple) else str(value) for value in values]


def _lay_figures(page: Page, answer: Comparison, view: View) -> None:
    page.heading("Figure by figure")
    page.table(
        ["", *(side.name for side in answer.sides), ""],
        [
            [label, *_cells(answer, name, view), _MARK if name in answer.differs else ""]
            for name, label in _FIGURES.items()
        ],
    )


def _names(answer: Comparison) -> list[str]:
    return [side.name for side in answer.sides]


def _lay_findings(page: Page, answer: Comparison, view: View) -> None:
    shown = [row for row in answer.findings_apart if EVERY in view.also or set(row.verdicts) != {None, Verdict.HOLDS}]
    left = len(answer.findings_apart) - len(shown)
    if not answer.findings_apart:
        return
    page.heading("Limits on which they differ")
    rows = [
        [row.rule, said(row.place), *("does not apply" if each is None else each.value for each in row.verdicts)]
        for row in shown
    ]
    if rows:
        page.table(["limit", "at", *_names(answer)], rows)
    if left:
        more = "1 more holds" if left == 1 else f"{left} more hold"
        page.say(f"{more} wherever {'it applies' if left == 1 else 'they apply'}, which is not in every rig.")


def _lay_heads(page: Page, answer: Comparison) -> None:
    rows = [row for row in answer.heads if max(share or 0.0 for share in row.shares) >= _SMALL_SHARE]
    if not rows:
        return
    page.heading("Where the head goes, of all that is spent")
    cells = [
        [
            "the height gained" if row.place == "lift" else said(row.place),
            *(percent(share, 1) for share in row.shares),
        ]
        for row in rows
    ]
    page.table(["part", *_names(answer)], cells)


def _cut(rows: list[list[str]], page: Page, view: View, heads: Sequence[str]) -> None:
    shown = rows if EVERY in view.also else rows[:_ROWS]
    page.table(heads, shown)
    if len(shown) < len(rows):
        page.say(f"{len(rows) - len(shown)} more; --all lists every one.")


def _lay_inputs(page: Page, answer: Comparison, view: View) -> None:
    page.heading("What was stated differently")
    rows = [
        [row.address, *(view.show(value, row.dimension, "not stated") for value in row.values)] for row in answer.inputs
    ]
    rows += [[row.address, *("none" if word is None else word for word in row.words)] for row in answer.words]
    if rows:
        _cut(rows, page, view, ["address", *_names(answer)])
    else:
        page.say("Nothing: the rigs are the same.")


def lay_out(answer: Comparison, page: Page, view: View) -> None:
    """Write the whole sheet."""
    page.say(f"{answer.title}, {answer.mode}", "heading")
    page.gap()
    page.say(_answer(answer, view))
    _lay_figures(page, answer, view)
    _lay_findings(page, answer, view)
    _lay_heads(page, answer)
    _lay_inputs(page, answer, view)
    page.heading("How this was reached")
    lay_residuals(page, answer.trust, view)
    lay_cautions(page, answer.kinds)
