"""Velocity in suction and delivery."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.parts import Hose
from hydrokit.rules.drawing import suction_of
from hydrokit.rules.rule import Measure, Rule, margin_below

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = ["DELIVERY_VELOCITY", "SUCTION_VELOCITY"]

_SUCTION: Final = 1.5
_DELIVERY: Final = 4.5
_DELIVERY_USUAL: Final = 3.0


def _word(name: str, speed: Array, usual: float, limit: float, row: int) -> tuple[Phrase, Phrase]:
    said = phrase(
        f"Water runs at {{speed}} in {name}; {{usual}} is usual, {{limit}} the limit."
        if usual < limit
        else f"Water runs at {{speed}} in {name}; {{limit}} is the limit.",
        speed=(speed[row], Dimension.VELOCITY),
        usual=(usual, Dimension.VELOCITY),
        limit=(limit, Dimension.VELOCITY),
    )
    return said, phrase("" if speed[row] <= usual else f"Take the next bore up for {name}.")


def _measured(state: State, indices: set[int], usual: float, limit: float) -> Iterator[Measure]:
    for index in sorted(indices):
        element = state.plan.elements[index]
        if not isinstance(element.part, Hose):
            continue
        speed = np.abs(state.walk.velocity[:, state.outlet(index)])
        limits = np.full(state.variants, limit)
        yield Measure(
            place=element.address,
            value=speed,
            limit=limits,
            margin=margin_below(speed, limits),
            word=partial(_word, state.named(element.address), speed, usual, limit),
            hand=np.full(state.variants, 1.0 - usual / limit),
            applies=~state.stands_still(state.flow_at(index)),
        )


def _suction_hoses(state: State) -> set[int]:
    """Return the elements before every pump that draws, not those before one that another pump pushes."""
    sides = [suction_of(state, pump) for pump in state.running]
    return {index for side in sides if not side.fed_by for index in side.elements}


def _suction(state: State) -> Iterator[Measure]:
    yield from _measured(state, _suction_hoses(state), _SUCTION, _SUCTION)


def _delivery(state: State) -> Iterator[Measure]:
    delivery = {index for index, _ in state.elements(Hose)} - _suction_hoses(state)
    yield from _measured(state, delivery, _DELIVERY_USUAL, _DELIVERY)


SUCTION_VELOCITY: Final = Rule(
    name="suction velocity",
    doc="Water moves no faster than 1.5 m/s in suction hose.",
    formula="4 flow / (π bore^2) <= 1.5 m/s",
    dimension=Dimension.VELOCITY,
    source="0.6 to 1.5 m/s: common practice, no source",
    measure=_suction,
    advisory=True,
)

DELIVERY_VELOCITY: Final = Rule(
    name="delivery velocity",
    doc="Water moves no faster than 4.5 m/s in any other hose; above 3 m/s is close.",
    formula="4 flow / (π bore^2) <= 4.5 m/s",
    dimension=Dimension.VELOCITY,
    source="1.5 to 3 m/s: common practice, no source; 4.5 m/s: Hydraulic Institute answers, Pumps and Systems, March 2011",
    measure=_delivery,
)
