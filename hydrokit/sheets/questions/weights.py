"""What the vehicle carries: one table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hydrokit.bounds import Dimension
from hydrokit.sheets.columns import column

if TYPE_CHECKING:
    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View
    from hydrokit.studies.facts.weights import Weights

__all__ = ["lay_weights"]


def lay_weights(page: Page, weights: Weights | None, view: View) -> None:
    """Write what both supports carry in every state of the tanks."""
    if weights is None:
        return
    page.heading("Weight on the vehicle")
    page.columns(
        ("tanks", [fill.tanks for fill in weights.fills]),
        column("in all", [fill.mass for fill in weights.fills], Dimension.MASS, view.system),
        column("centre at", [fill.centre for fill in weights.fills], Dimension.LENGTH, view.system),
        column(weights.front, [fill.front for fill in weights.fills], Dimension.MASS, view.system),
        column("of all", [fill.front_share for fill in weights.fills], Dimension.FRACTION, view.system),
        column(weights.rear, [fill.rear for fill in weights.fills], Dimension.MASS, view.system),
    )
    said = "On level ground, at rest."
    if weights.left_out:
        told = (
            "1 part states no mass and is"
            if weights.left_out == 1
            else f"{weights.left_out} parts state no mass and are"
        )
        said += f" {told} left out."
    page.say(f"{said} Weigh it: every plate counts, and local road law decides.")
    for pair in weights.apart:
        page.say(
            f"On this slope a cross-link sets the water of {pair.low}"
            f" {view.show(pair.difference, Dimension.LENGTH)} higher against its tank than that of {pair.high}."
        )
