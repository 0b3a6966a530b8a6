"""Pressure against ratings, while water flows and when every end is shut."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension, specs_of
from hydrokit.rules.naming import capital
from hydrokit.rules.resting import heads_at_rest
from hydrokit.rules.rule import Measure, Missing, Rule, margin_below

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.network import Element
    from hydrokit.rules.state import State

__all__ = ["RUNNING_PRESSURE", "SHUT_OFF_PRESSURE"]

_GAUGE = Dimension.GAUGE_PRESSURE
_NOTHING: Final = 1.0
"""Pa; a tenth of a millimetre of water is the pressure of the air itself, up to rounding."""
_WORTH_A_RATING: Final = 20e3
"""Pa; two metres of water trouble no fitting, so no rating is asked for below."""


def _word(name: str, when: str, pressure: Array, limit: Array, row: int) -> tuple[Phrase, Phrase]:
    said = phrase(
        f"{capital(name)} sees up to {{pressure}} {when}, rated for {{limit}}.",
        pressure=(pressure[row], _GAUGE),
        limit=(limit[row], _GAUGE),
    )
    if pressure[row] <= limit[row]:
        return said, phrase("")
    return said, phrase(f"Take a higher rating for {name}, fit a relief valve, or take a pump of lower pressure.")


def _judged(state: State, element: Element, pressure: Array, when: str) -> Measure | None:
    """Return the measure of a part that sees pressure and states a rating."""
    rating = state.of(element, "pressure_rating")
    sees = pressure > _NOTHING  # what sees only suction is judged by its vacuum
    if rating is None or not sees.any():
        return None
    limit = state.full(rating)
    return Measure(
        place=element.address,
        value=pressure,
        limit=limit,
        margin=margin_below(pressure, limit),
        word=partial(_word, state.named(element.address), when, pressure, limit),
        applies=sees,
    )


def _could_state(element: Element) -> bool:
    return element.part is not None and "pressure_rating" in specs_of(type(element.part))


def _running(state: State) -> Iterator[Measure]:
    gauge = state.walk.gauge_pressure
    for index, element in state.elements(object):
        if not _could_state(element):
            continue
        measure = _judged(
            state, element, np.fmax(gauge[:, state.inlet(index)], gauge[:, state.outlet(index)]), "running"
        )
        if measure is not None:
            yield measure


def _shut_off(state: State) -> Iterator[Measure | Missing]:
    for index, element in enumerate(state.plan.elements):
        if not _could_state(element):
            continue
        ends = [state.inlet(index), state.outlet(index)]
        head = heads_at_rest(state)[:, ends].max(axis=1)
        if not np.isfinite(head).all():
            continue  # no pressure reaches it
        pressure = np.asarray((head - state.walk.height[:, ends].min(axis=1)) * state.weight, np.float64)
        measure = _judged(state, element, pressure, "when every end is shut")
        if measure is not None:
            yield measure
        elif state.of(element, "pressure_rating") is None and (pressure > _WORTH_A_RATING).any():
            yield Missing(
                place=element.address, needed="pressure_rating of the part", applies=pressure > _WORTH_A_RATING
            )


RUNNING_PRESSURE: Final = Rule(
    name="pressure running",
    doc="No part sees more pressure while water flows than it is rated for.",
    formula="gauge pressure at the part's inlet or outlet, the greater <= pressure_rating",
    dimension=_GAUGE,
    source="the part's rating",
    measure=_running,
)

SHUT_OFF_PRESSURE: Final = Rule(
    name="pressure at shut-off",
    doc="No part sees more than it is rated for when every end is shut and the pumps still press; in a line that is shut"
    " already, as far as its first hand valve, or everywhere where it has none. Under 0.2 bar needs no rating.",
    formula="ρ g (head with nothing flowing - height of the part) <= pressure_rating",
    dimension=_GAUGE,
    source="the part's rating; pressure of the pump at no flow, or its cut-out or relief where that is lower",
    measure=_shut_off,
    needs=("pressure_rating of the part",),
)
