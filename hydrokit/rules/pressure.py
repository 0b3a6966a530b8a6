"""Pressure against ratings, while running and when everything downstream is shut."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension, specs_of
from hydrokit.rules.rule import Measure, Missing, Rule, margin_below

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = ["RUNNING_PRESSURE", "SHUT_OFF_PRESSURE"]

_GAUGE = Dimension.GAUGE_PRESSURE
_WORTH_A_RATING: Final = 20e3
"""Pa; two metres of water trouble no fitting, so no rating is asked for below."""


def _word(place: str, when: str, pressure: Array, limit: Array, row: int) -> tuple[Phrase, Phrase]:
    said = phrase(
        f"{place} sees up to {{pressure}} {when}, rated for {{limit}}.",
        pressure=(pressure[row], _GAUGE),
        limit=(limit[row], _GAUGE),
    )
    if pressure[row] <= limit[row]:
        return said, phrase("")
    return said, phrase(f"Take a part of a higher rating at {place}, fit a relief valve, or a pump of lower pressure.")


def _measure(state: State, index: int, pressure: Array, when: str) -> Measure | None:
    element = state.plan.elements[index]
    rating = state.of(element, "pressure_rating")
    if rating is None:
        return None
    limit = state.full(rating)
    return Measure(
        place=element.address,
        value=pressure,
        limit=limit,
        margin=margin_below(pressure, limit),
        word=partial(_word, element.address, when, pressure, limit),
    )


def _rated(state: State) -> Iterator[tuple[int, Any]]:
    """Yield every element in an open line whose part could state a pressure rating."""
    for index, element in state.elements(object):
        if element.part is not None and "pressure_rating" in specs_of(type(element.part)):
            yield index, element


def _running(state: State) -> Iterator[Measure]:
    for index, _ in _rated(state):
        gauge = state.walk.gauge_pressure
        pressure = np.maximum(gauge[:, state.inlet(index)], gauge[:, state.outlet(index)])
        measure = _measure(state, index, pressure, "running")
        if measure is not None and (pressure > 0.0).any():  # parts that only see suction are judged by their vacuum
            yield measure


def _shut_off_heads(state: State) -> dict[int, Array]:
    """Return the head, m, that stands at elements downstream of running pumps when nothing flows."""
    pumps = state.plan.pumps
    heads: dict[int, Array] = {}
    if pumps is None:
        return heads
    for place, pump in enumerate(state.running):
        start = state.suction_start(pump)
        supply = state.walk.head[:, state.inlet(pump)] if start is None else state.surface_of(*start)
        head = supply + state.shut_off_head(place)
        switch = state.of(state.plan.elements[pump], "cut_out") if hasattr(state.pump_of(pump), "cut_out") else None
        if switch is not None:
            level = state.walk.height[:, state.outlet(pump)] + switch / state.conditions.weight
            head = np.minimum(head, level)
        for index in _downstream(state, pump):
            heads[index] = np.maximum(heads.get(index, -np.inf), head)
    return heads


def _downstream(state: State, pump: int) -> list[int]:
    """Return the pump and the elements to which its pressure spreads when every end is shut."""
    layout = state.plan.layout
    line = int(state.plan.element_line[pump])
    found = [index for index in state.line_elements(line) if index >= pump]
    fixed = len(layout.joints)
    reached, waiting = {line}, [int(layout.end[line])]
    while waiting:
        joint = waiting.pop()
        if joint == fixed:
            continue
        for other in range(len(layout.lines)):
            forward = int(layout.start[other]) == joint
            backward = int(layout.end[other]) == joint and bool(np.any(state.plan.ends.low[:, other] < 0.0))
            if other in reached or state.closed[other] or not (forward or backward):
                continue
            reached.add(other)
            found += state.line_elements(other)
            waiting.append(int(layout.end[other]) if forward else int(layout.start[other]))
    return found


def _shut_off(state: State) -> Iterator[Measure | Missing]:
    heads = _shut_off_heads(state)
    for index, element in _rated(state):
        if index not in heads:
            continue
        lowest = np.minimum(state.walk.height[:, state.inlet(index)], state.walk.height[:, state.outlet(index)])
        pressure = np.asarray((heads[index] - lowest) * state.conditions.weight, np.float64)
        measure = _measure(state, index, pressure, "when everything downstream is shut")
        if measure is not None:
            yield measure
        elif (pressure > _WORTH_A_RATING).any():
            yield Missing(place=element.address, needed="pressure_rating")


RUNNING_PRESSURE: Final = Rule(
    name="pressure running",
    doc="No part sees more pressure while water flows than it is rated for.",
    dimension=_GAUGE,
    source="the part's rating",
    measure=_running,
    needs=("pressure_rating of the part",),
)

SHUT_OFF_PRESSURE: Final = Rule(
    name="pressure at shut-off",
    doc="No part downstream of a pump sees more than it is rated for when every end is shut and the pump still runs.",
    dimension=_GAUGE,
    source="the part's rating; pressure of the pump at no flow, or its cut-out where that is lower",
    measure=_shut_off,
    needs=("pressure_rating of the part",),
)
