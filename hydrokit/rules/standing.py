"""What happens when the pump stops: prime lost, tanks drained back."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.parts import FootValve, NonReturnValve, Tank
from hydrokit.rules.rule import Measure, Rule
from hydrokit.rules.suction import keeps_prime, static_lift

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = ["HOLDS_PRIME", "NO_DRAIN_BACK"]


def _prime_word(place: str, margin: Array, row: int) -> tuple[Phrase, Phrase]:
    if margin[row] >= 1.0:
        return phrase(f"The hose below {place} stays full when it stops."), phrase("")
    return (
        phrase(
            f"Nothing below {place} but the pump itself holds the water when it stops: it must prime at every start."
        ),
        phrase("Fit a foot valve or a non-return valve at the bottom of the suction hose."),
    )


def _holds_prime(state: State) -> Iterator[Measure]:
    for pump in state.running:
        lift = static_lift(state, pump)
        if lift is None:
            continue
        held = keeps_prime(state, pump)
        margin = np.where((lift <= 0.0) | held, 1.0, 0.0)
        yield Measure(
            place=state.plan.elements[pump].address,
            value=np.full(state.variants, np.nan),
            limit=np.full(state.variants, np.nan),
            margin=margin,
            word=partial(_prime_word, state.plan.elements[pump].address, margin),
        )


HOLDS_PRIME: Final = Rule(
    name="prime is kept",
    doc="A foot or non-return valve keeps the suction hose of a pump above its water full when the pump stops.",
    dimension=Dimension.NUMBER,
    source="common practice, no source",
    measure=_holds_prime,
)


def _drain_word(place: str, end: str, margin: Array, row: int) -> tuple[Phrase, Phrase]:
    if margin[row] >= 0.0:
        return phrase(f"{end} cannot empty itself back through {place}."), phrase("")
    return (
        phrase(f"{end} empties itself back through {place} when the pump stops: it is joined below its water."),
        phrase("Let the line end above the water, or fit a non-return valve in it."),
    )


def _no_drain_back(state: State) -> Iterator[Measure]:
    ends = state.rig.ends()
    low = np.asarray(state.plan.ends.low)
    for number, (name, line) in enumerate(state.rig.lines.items()):
        if state.closed[number] or not isinstance(ends[line.end], Tank):
            continue
        way_back = [*reversed(state.line_elements(number))]
        way_back += state.upstream(way_back[-1]) if way_back else []
        valves = (FootValve, NonReturnValve)
        valve = any(
            isinstance(state.plan.elements[index].part, valves) or state.plan.elements[index].one_way
            for index in way_back
        )
        back = (low[:, number] < 0.0) & (not valve)
        margin = np.where(np.broadcast_to(back, (state.variants,)), -1.0, 1.0)
        yield Measure(
            place=f"lines.{name}",
            value=np.full(state.variants, np.nan),
            limit=np.full(state.variants, np.nan),
            margin=margin,
            word=partial(_drain_word, f"lines.{name}", line.end, margin),
        )


NO_DRAIN_BACK: Final = Rule(
    name="no draining back",
    doc="No tank empties itself back through the line that fills it.",
    dimension=Dimension.NUMBER,
    source="common practice, no source",
    measure=_no_drain_back,
)
