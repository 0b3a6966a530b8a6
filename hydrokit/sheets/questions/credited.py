"""What each barrier and each end is credited with: one table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hydrokit.sheets.places import said

if TYPE_CHECKING:
    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View
    from hydrokit.studies.facts.credited import Credited

__all__ = ["lay_credited"]


def _cell(logs: float | None) -> str:
    return "" if logs is None else f"{logs:.3g}"


def _name(row: Credited) -> str:
    return {"barrier": said(row.place), "end": f"in {said(row.place)}", "wanted": "wanted"}[row.role]


def lay_credited(page: Page, credited: tuple[Credited, ...], view: View) -> None:
    """Write the log reductions credited at the moment of the highest flow."""
    del view  # log reductions have no unit
    if not credited:
        return
    page.heading("Log reductions credited")
    rows = [
        [_name(row), _cell(row.bacteria), _cell(row.viruses), _cell(row.protozoa), "; ".join(row.struck_out)]
        for row in credited
    ]
    page.table(["", "bacteria", "viruses", "protozoa", "does not count, because"], rows)
    page.say(
        "What the makers claim, counted only inside their conditions at the highest flow. It proves nothing of the water."
    )
