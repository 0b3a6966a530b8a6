"""The order of the barriers: coarse before fine, a lamp last, no carbon behind chlorine."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING, Final

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.parts import Filter, Lamp, Part
from hydrokit.rules.credits import chlorinated
from hydrokit.rules.naming import capital
from hydrokit.rules.rule import Measure, Rule, in_words
from hydrokit.rules.ways import reached, ways_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.rules.state import State

__all__ = ["STAGE_ORDER"]


@dataclass(frozen=True, slots=True)
class _Fault:
    reason: str
    advice: str


def _upstream(state: State, index: int) -> tuple[list[int], list[str]]:
    """Return the barriers and the tanks that water may have passed before it comes to a barrier, over all modes."""
    line, lines = state.line_at(index), [*state.rig.lines.values()]
    ways = [way for name in state.rig.mode_names() for way in ways_of(state.plan, state.rig.mode(name)[1])]
    back = [replace(way, start=way.end, end=way.start) for way in ways if way.end not in state.rig.sources]
    beyond = reached({lines[line].start}, back)
    passed = {way.line for way in ways if way.end in beyond and way.start == lines[way.line].start} - {line}
    before = [other for other in state.own[line] if other < index]
    before += [other for number in sorted(passed) for other in state.own[number]]
    barriers = [other for other in before if isinstance(state.plan.elements[other].part, (Filter, Lamp))]
    return barriers, [name for name in state.rig.tanks if name in beyond]


def _coarser(state: State, part: Part | None, index: int, before: list[int]) -> Iterator[_Fault]:
    if not isinstance(part, Filter) or part.pore_size is None:
        return
    for other in before:
        earlier = state.plan.elements[other].part
        if isinstance(earlier, Filter) and earlier.pore_size is not None and earlier.pore_size < part.pore_size:
            here, there = (state.named(state.plan.elements[each].address) for each in (index, other))
            reason = f"{capital(here)} is coarser than {there} before it, which takes up all the dirt."
            yield _Fault(reason, "Put the coarse stage first: the fine one then lasts longer.")


def _behind_lamp(state: State, part: Part | None, index: int, before: list[int]) -> Iterator[_Fault]:
    if not isinstance(part, Filter):
        return
    for other in before:
        if isinstance(state.plan.elements[other].part, Lamp):
            here, there = (state.named(state.plan.elements[each].address) for each in (index, other))
            reason = f"{capital(here)} stands behind {there}, whose light needs the clearest water there is."
            yield _Fault(reason, "Put the lamp behind every filter, last before the tank or tap.")


def _behind_chlorine(state: State, part: Part | None, index: int, tanks: list[str]) -> Iterator[_Fault]:
    if not isinstance(part, Filter) or part.medium != "carbon":
        return
    for name in tanks:
        if chlorinated(state, name):
            here = state.named(state.plan.elements[index].address)
            reason = f"{capital(here)} takes out the chlorine of tank {name}, so its contact is not credited behind it."
            yield _Fault(reason, "Dose behind the carbon, or move the carbon before the tank.")


def _word(said: tuple[Phrase, Phrase], _row: int) -> tuple[Phrase, Phrase]:
    return said


def _order(state: State) -> Iterator[Measure]:
    for index, element in state.elements(Filter, Lamp):
        before, tanks = _upstream(state, index)
        faults = [
            *_coarser(state, element.part, index, before),
            *_behind_lamp(state, element.part, index, before),
            *_behind_chlorine(state, element.part, index, tanks),
        ]
        good = f"{capital(state.named(element.address))} stands where it belongs among the stages."
        reason = " ".join(dict.fromkeys(fault.reason for fault in faults)) or good
        said = phrase(reason), phrase(" ".join(dict.fromkeys(fault.advice for fault in faults)))
        yield in_words(state, element.address, -1.0 if faults else 1.0, partial(_word, said))


STAGE_ORDER: Final = Rule(
    name="order of stages",
    doc="Coarse stages stand before fine ones, a lamp behind all filters, and no carbon behind chlorine.",
    formula="yes or no: pore_size falls along the way of the water, a lamp comes last, carbon before chlorine",
    dimension=Dimension.NUMBER,
    source="common practice, no source",
    measure=_order,
    advisory=True,
)
