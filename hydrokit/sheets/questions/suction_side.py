"""What the sheets of ``lift`` and ``limit`` share: limits of the lift, the budget of the suction side, what shifts it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from hydrokit.bounds import Dimension
from hydrokit.rules.priming import PRIMES
from hydrokit.rules.suction import NPSH
from hydrokit.sheets.columns import column
from hydrokit.sheets.places import said

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View
    from hydrokit.studies.suction.budgets import Budget
    from hydrokit.studies.suction.lift_limits import LiftLimit
    from hydrokit.studies.suction.shifts import Shift

__all__ = ["gives_way", "lay_budget", "lay_limits", "lay_shifts", "priming"]

_NOTES: Final = {
    "beyond": "holds as high as the air can push water",
    "never": "not kept even 5 m under water",
    "not known": "not known: what it takes is not stated",
}

_SETTING: Final[dict[str, Callable[[Shift, View], str]]] = {
    "altitude": lambda shift, view: view.show(shift.altitude, Dimension.LENGTH),
    "water temperature": lambda shift, view: view.show(shift.water_temperature, Dimension.TEMPERATURE),
    "suction bore": lambda shift, view: view.show(shift.suction_bore, Dimension.LENGTH, "next size"),
    "suction length": lambda shift, view: view.show(shift.suction_length, Dimension.LENGTH),
    "pump position": lambda shift, view: f"pump at {view.show(shift.pump_height, Dimension.LENGTH)}",
}


def gives_way(governs: str) -> str:
    """Return what gives way further up: NPSH where less is left than is wanted to be safe, before it fails."""
    return "less NPSH is left than is wanted to be safe" if governs == NPSH.name else f"fails: {governs}"


def priming(limits: Sequence[LiftLimit], view: View) -> str:
    """Return in a sentence up to where the pump draws an empty hose full."""
    primes = next(limit for limit in limits if limit.limit == PRIMES.name)
    by_hand = " A valve below keeps a hose full that was filled by hand, so this does not limit it once it is full."
    if primes.reach == "not known":
        return "Up to where it draws water into an empty hose is not known, as its dry lift is not stated."
    if primes.lift is None or primes.lift <= 0.0:
        told = "It draws no water into an empty hose from below itself."
    else:
        told = f"Into an empty hose it draws water up to {view.show(primes.lift, Dimension.LENGTH)} high."
    return told if primes.binds else told + by_hand


def _note(limit: LiftLimit, governs: str) -> str:
    if limit.reach != "found":
        return _NOTES[limit.reach]
    if not limit.binds:
        return "with an empty hose only"
    return "governs" if limit.limit == governs else ""


def lay_limits(page: Page, limits: Sequence[LiftLimit], governs: str, view: View, *, levels: bool) -> None:
    """Write each limit with the lift at which it gives way, the lowest first; the level of the water if asked for."""
    page.heading("How high it could lift, limit by limit")
    ordered = sorted(limits, key=lambda limit: (limit.lift is None, limit.lift or 0.0))
    surfaces = [limit.surface if levels else None for limit in ordered]
    page.columns(
        ("limit", [limit.limit for limit in ordered]),
        column("greatest lift", [limit.lift for limit in ordered], Dimension.LENGTH, view.system),
        column("water then at", surfaces, Dimension.LENGTH, view.system),
        ("", [_note(limit, governs) for limit in ordered]),
    )


def lay_budget(page: Page, budget: Budget | None, view: View, where: str) -> None:
    """Write where the head of the air goes."""
    if budget is None:
        return
    page.heading(f"Budget of the suction side {where}, at {view.show(budget.flow, Dimension.FLOW)}")
    lines = [
        ("air gives", budget.air_head),
        ("vapour pressure takes", -budget.vapour_head),
        ("height takes" if budget.lift >= 0.0 else "water above the pump gives", -budget.lift),
        ("friction takes", -budget.friction_head),
        ("NPSH left for the pump", budget.npsh_available),
        ("the pump requires", None if budget.npsh_required is None else -budget.npsh_required),
        ("left over", budget.margin),
    ]
    head, cells = column("head", [value for _, value in lines], Dimension.LENGTH, view.system)
    rows = [[name, cell or "not known"] for (name, _), cell in zip(lines, cells, strict=True)]
    page.table(["", head], rows)


def lay_shifts(page: Page, shifts: Sequence[Shift], view: View) -> None:
    """Write how the lift shifts where one thing is varied alone."""
    page.heading("What shifts it, each varied alone")
    before = ["", *(shift.varied for shift in shifts)]
    page.columns(
        ("", ["" if shift.varied == above else shift.varied for shift, above in zip(shifts, before, strict=False)]),
        ("", [_SETTING[shift.varied](shift, view) if shift.varied in _SETTING else "" for shift in shifts]),
        column("greatest\nlift", [shift.greatest_lift for shift in shifts], Dimension.LENGTH, view.system),
        ("governed by", [said(shift.governs) for shift in shifts]),
        column("empty\nhose", [shift.dry_lift for shift in shifts], Dimension.LENGTH, view.system),
        column("flow\nfrom here", [shift.flow for shift in shifts], Dimension.FLOW, view.system),
    )
