"""Whether water arrives where an open line leads."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.rules.rule import Measure, Rule

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = ["ARRIVES"]


def _word(end: str, start: str, flow: Array, short: Array, bare: Array, row: int) -> tuple[Phrase, Phrase]:
    if flow[row] > 0.0:
        return phrase(f"{{flow}} arrives at {end}.", flow=(flow[row], Dimension.FLOW)), phrase("")
    if bare[row]:
        return (
            phrase(f"Nothing arrives at {end}: the water in {start} stands no higher than its outlet."),
            phrase(f"Fill {start}, or lower its outlet."),
        )
    return (
        phrase(f"Nothing arrives at {end}: {{short}} of head is missing.", short=(short[row], Dimension.LENGTH)),
        phrase(
            "Take a pump with more pressure at no flow, lower the end of the line, or raise the water it draws from."
        ),
    )


def _arrives(state: State) -> Iterator[Measure]:
    plan, shape = state.plan, state.solution.flows.flow.shape
    ends = np.broadcast_to(plan.ends.fixed_end, shape)
    bare = np.broadcast_to(plan.ends.high, shape) == 0.0
    for number, (name, line) in enumerate(state.rig.lines.items()):
        if line.end not in state.deliveries or (state.closed[number] and not bare[:, number].any()):
            continue
        flow: Any = np.where(state.stands_still(state.solution.flow(name)), 0.0, state.solution.flow(name))
        last = int(plan.stations.begins[number]) + len(state.line_elements(number))
        short = np.maximum(ends[:, number] - state.walk.head[:, last], 1e-3)
        yield Measure(
            place=f"lines.{name}",
            value=flow,
            limit=np.zeros_like(flow),
            margin=np.where(flow > 0.0, 1.0, -short / (1.0 + short)),
            word=partial(_word, line.end, line.start, flow, short, bare[:, number]),
        )


ARRIVES: Final = Rule(
    name="water arrives",
    doc="Every open line that leads to a tank or outlet carries water to it.",
    dimension=Dimension.FLOW,
    source="conservation of energy",
    measure=_arrives,
)
