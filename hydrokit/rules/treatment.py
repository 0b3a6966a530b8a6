"""Flow through barriers against what they are rated for."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.parts import Filter, Lamp
from hydrokit.rules.naming import capital
from hydrokit.rules.rule import Measure, Missing, Rule, margin_below

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = ["RATED_FLOW"]


def _flow_word(name: str, flow: Array, limit: Array, row: int) -> tuple[Phrase, Phrase]:
    said = phrase(
        f"{capital(name)} passes {{flow}}, rated for {{limit}}.",
        flow=(flow[row], Dimension.FLOW),
        limit=(limit[row], Dimension.FLOW),
    )
    if flow[row] <= limit[row]:
        return said, phrase("")
    return said, phrase("Throttle the flow, fit two side by side, or take a larger one.")


def _rated_flow(state: State) -> Iterator[Measure | Missing]:
    for index, element in state.elements(Filter, Lamp):
        flow = np.abs(state.flow_at(index))
        rating = state.of(element, "rated_flow")
        if rating is None:
            yield Missing(place=element.address, needed="rated_flow of the filter or lamp")
            continue
        limit = state.full(rating * (state.of(element, "side_by_side") if isinstance(element.part, Filter) else 1.0))
        yield Measure(
            place=element.address,
            value=flow,
            limit=limit,
            margin=margin_below(flow, limit),
            word=partial(_flow_word, state.named(element.address), flow, limit),
        )


RATED_FLOW: Final = Rule(
    name="filter flow",
    doc="No filter or lamp passes more than it is rated for, at the flow of the full pipe, the most there can be.",
    dimension=Dimension.FLOW,
    source="the part's rating",
    measure=_rated_flow,
    needs=("rated_flow of the filter or lamp",),
    close=0.0,
)
