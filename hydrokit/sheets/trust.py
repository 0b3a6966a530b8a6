"""How an answer was reached, what it rests on, and the cautions."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from hydrokit.bounds import Dimension
from hydrokit.rules.naming import listed
from hydrokit.sheets.cautions import cautions_for
from hydrokit.sheets.places import said

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from hydrokit.answers import Phrase, Trust
    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View
    from hydrokit.studies.facts.agreeing import Agreement
    from hydrokit.studies.facts.surroundings import Surroundings

__all__ = ["CAUTIONS", "REACHED", "lay_agreement", "lay_cautions", "lay_residuals", "lay_trust", "within"]

REACHED: Final = "How this was reached"
CAUTIONS: Final = "Cautions"
"""Headings of what stands at the end of every sheet."""
_GUESS: Final = " is a guess"
_LEAST_TOLD: Final = 1e-12
"""What is nearer than that is a matter of rounding; a nought would claim more."""


def within(difference: float) -> str:
    """Return how near something comes, as a share; never nearer than rounding lets anybody tell.

    Examples
    --------
    >>> within(3e-17), within(0.00123)
    ('1e-12', '0.001')
    """
    return f"{max(difference, _LEAST_TOLD):.1g}"


def lay_trust(page: Page, trust: Trust, surroundings: Surroundings, view: View) -> None:
    """Write the conditions, how well the equations close, and what was assumed."""
    page.heading(REACHED)
    page.say(
        f"At {view.show(surroundings.altitude, Dimension.LENGTH)} the air stands at"
        f" {view.show(surroundings.air_pressure, Dimension.ABSOLUTE_PRESSURE)}; the water is at"
        f" {view.show(surroundings.water_temperature, Dimension.TEMPERATURE)}, its viscosity"
        f" {view.show(surroundings.viscosity, Dimension.VISCOSITY)}."
    )
    lay_residuals(page, trust, view)


def lay_residuals(page: Page, trust: Trust, view: View) -> None:
    """Write how well the equations close, and what was assumed."""
    if trust.steps:
        steps = "1 step" if trust.steps == 1 else f"{trust.steps} steps"
        flows, heads = within(trust.mass_residual), within(trust.energy_residual)
        page.say(f"Solved in {steps}: flows balance to within {flows} of the largest, heads to within {heads}.")
    if trust.assumed:
        page.say("It rests on what nobody measured or stated:")
        page.points(_assumed(trust.assumed, view))


def _assumed(texts: Sequence[str | Phrase], view: View) -> list[str]:
    """Return what was assumed as people say it, everything that is a guess in one point."""
    told = [said(text) if isinstance(text, str) else view.said(text) for text in texts]
    guesses = [text.removesuffix(_GUESS) for text in told if text.endswith(_GUESS)]
    if len(guesses) < 2:
        return told
    return [*(text for text in told if not text.endswith(_GUESS)), f"guesses: {listed(guesses)}"]


def lay_agreement(page: Page, agreement: Agreement | None) -> None:
    """Write how near a second method comes, and what it cannot tell."""
    if agreement is None:
        return
    if agreement.flow_difference is not None:
        head = (
            ""
            if agreement.head_difference is None
            else f", and by {within(agreement.head_difference)} of the largest head, at {agreement.head_place}"
        )
        page.say(
            f"Verified by a second method that shares no solver and no line law with the first: {agreement.method}."
            f" The two differ at most by {within(agreement.flow_difference)} of the largest flow, in {agreement.flow_place}"
            f"{head}."
        )
    if agreement.unverified:
        page.say("Not verified:")
        page.points(said(text) for text in agreement.unverified)


def lay_cautions(page: Page, kinds: Collection[str]) -> None:
    """Write what must be said whatever the answer is."""
    page.heading(CAUTIONS)
    page.points(cautions_for(kinds))
