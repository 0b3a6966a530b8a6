"""Flow through barriers against what they are rated for, and raw water kept from treated."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.parts import Filter, Lamp, Source
from hydrokit.rules.rule import Measure, Missing, Rule, margin_below

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = ["RATED_FLOW", "RAW_APART", "TREATED_APART"]


def _flow_word(place: str, flow: Array, limit: Array, row: int) -> tuple[Phrase, Phrase]:
    said = phrase(
        f"{place} passes {{flow}}, rated for {{limit}}.",
        flow=(flow[row], Dimension.FLOW),
        limit=(limit[row], Dimension.FLOW),
    )
    if flow[row] <= limit[row]:
        return said, phrase("")
    return said, phrase(f"Throttle the flow, fit two of {place} side by side, or take a larger one.")


def _rated_flow(state: State) -> Iterator[Measure | Missing]:
    for index, element in state.elements(Filter, Lamp):
        flow = np.abs(state.flow_at(index))
        rating = state.of(element, "rated_flow")
        if rating is None:
            yield Missing(place=element.address, needed="rated_flow")
            continue
        limit = state.full(rating * (state.of(element, "side_by_side") if isinstance(element.part, Filter) else 1.0))
        yield Measure(
            place=element.address,
            value=flow,
            limit=limit,
            margin=margin_below(flow, limit),
            word=partial(_flow_word, element.address, flow, limit),
        )


RATED_FLOW: Final = Rule(
    name="filter flow",
    doc="No filter or lamp passes more than it is rated for.",
    dimension=Dimension.FLOW,
    source="the part's rating",
    measure=_rated_flow,
    needs=("rated_flow of the filter or lamp",),
    close=0.0,
)


def _treats(state: State, line: int) -> bool:
    parts = (state.plan.elements[index].part for index in state.line_elements(line))
    return any(
        isinstance(part, Lamp) or (isinstance(part, Filter) and part.medium in ("membrane", "ceramic"))
        for part in parts
    )


def _ways(state: State) -> list[tuple[str, str, int, bool]]:
    """Return (from, to, line, treats) for every way that water could take along an open line."""
    low = np.asarray(state.plan.ends.low)
    ways = []
    for number, line in enumerate(state.rig.lines.values()):
        if state.closed[number]:
            continue
        treats = _treats(state, number)
        ways.append((line.start, line.end, number, treats))
        if (low[:, number] < 0.0).any():
            ways.append((line.end, line.start, number, treats))
    return ways


def _spread(starts: set[str], ways: list[tuple[str, str]]) -> set[str]:
    reached = set(starts)
    while True:
        more = {end for start, end in ways if start in reached} - reached
        if not more:
            return reached
        reached |= more


def _sides(state: State) -> tuple[set[str], set[str], bool]:
    """Return the ends that raw water can reach, those that treated water can reach, and whether anything treats."""
    ways = _ways(state)
    raw_sources = {name for name, source in state.rig.sources.items() if not source.treated}
    raw = _spread(raw_sources, [(start, end) for start, end, _, treats in ways if not treats])
    behind = {end for start, end, _, treats in ways if treats and start in raw}
    clean = {name for name, source in state.rig.sources.items() if source.treated}
    onward = [(start, end) for start, end, _, _ in ways if not isinstance(state.rig.ends()[end], Source)]
    return raw, _spread(behind | clean, onward), any(treats for *_, treats in ways)


def _binary(place: str, state: State, *, good: bool, reason: str, advice: str) -> Measure:
    number = np.full(state.variants, 1.0 if good else -1.0)
    return Measure(
        place=place,
        value=np.full(state.variants, np.nan),
        limit=np.full(state.variants, np.nan),
        margin=number,
        word=lambda _row: (phrase(reason), phrase("" if good else advice)),
    )


def _raw_apart(state: State) -> Iterator[Measure | Missing]:
    raw, treated, treats = _sides(state)
    if not treats:
        yield Missing(place="the rig", needed="a barrier that treats: a membrane, ceramic or lamp")
        return
    for name in (*state.rig.tanks, *state.rig.outlets):
        if name not in treated:
            continue
        group = "tanks" if name in state.rig.tanks else "outlets"
        around = name in raw
        yield _binary(
            f"{group}.{name}",
            state,
            good=not around,
            reason=f"Raw water can reach {name} round the barrier."
            if around
            else f"Water reaches {name} through the barrier only.",
            advice="Take the way round out, or close it with a valve that cannot be left open by mistake.",
        )


def _treated_apart(state: State) -> Iterator[Measure | Missing]:
    low = np.asarray(state.plan.ends.low)
    _, _, treats = _sides(state)
    if not treats:
        return
    for number, name in enumerate(state.plan.layout.lines):
        if state.closed[number] or not _treats(state, number):
            continue
        back = bool((low[:, number] < 0.0).any())
        yield _binary(
            f"lines.{name}",
            state,
            good=not back,
            reason=f"Nothing in {name} stops water from running back from the treated side to the raw."
            if back
            else f"Water cannot run back through {name} from the treated side to the raw.",
            advice="Fit a non-return valve in that line, or let it end above the water of the tank.",
        )


RAW_APART: Final = Rule(
    name="no way round the barrier",
    doc="No open line lets raw water reach a tank or outlet of treated water without passing a barrier.",
    dimension=Dimension.NUMBER,
    source="common practice, no source; local drinking-water codes rule",
    measure=_raw_apart,
    needs=("a barrier that treats: a membrane, ceramic or lamp",),
)

TREATED_APART: Final = Rule(
    name="no way back",
    doc="Treated water cannot run back through a barrier to the raw side.",
    dimension=Dimension.NUMBER,
    source="EN 1717 and local backflow codes, in spirit; common practice, no source",
    measure=_treated_apart,
)
