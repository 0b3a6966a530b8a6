"""What happens when the pumps stop: tanks that drain back the way they were filled."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.parts import Tank
from hydrokit.rules.naming import listed
from hydrokit.rules.rule import Measure, Rule
from hydrokit.rules.ways import reached

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = ["NO_DRAIN_BACK"]


def _lower(state: State, name: str, tank: str) -> Array:
    """Return where an end lies so low that a tank runs empty into it."""
    floor = state.full(state.plan.values.of(f"tanks.{tank}", state.rig.tanks[tank], "floor"))
    if name in state.rig.sources:
        return np.asarray(state.head_of(name) < state.surface_of(tank), np.bool_)
    there = state.rig.tanks[name]
    top = state.plan.values.of(f"tanks.{name}", there, "floor") + state.plan.values.of(f"tanks.{name}", there, "depth")
    return np.asarray(top <= floor, np.bool_)


def _drains_into(state: State, number: int, tank: str) -> dict[str, Array]:
    """Return where a tank can empty itself backward through a line that ends in it, and in which variants."""
    start = [*state.rig.lines.values()][number].start
    back = any(way.line == number and way.start == tank and way.end == start for way in state.ways)
    if not back:
        return {}
    fixed = {*state.rig.sources, *state.rig.tanks, *state.rig.outlets}
    onward = [way for way in state.ways if way.line != number and way.start not in fixed]
    found = {
        name: _lower(state, name, tank)
        for name in sorted(reached({start}, onward) & fixed - {tank, *state.rig.outlets})
    }
    return {name: lower for name, lower in found.items() if lower.any()}


def _word(state: State, number: int, tank: str, into: dict[str, Array], row: int) -> tuple[Phrase, Phrase]:
    line = f"line {state.plan.layout.lines[number]}"
    names = [name for name, lower in into.items() if lower[row]]
    if not names:
        return phrase(f"Tank {tank} cannot empty itself back through {line}."), phrase("")
    return (
        phrase(
            f"Tank {tank} can empty itself back through {line} into {listed(names)} when the pump stops: the line meets it"
            " under its water."
        ),
        phrase("Let the line end above the water, or fit a non-return valve in it."),
    )


def _no_drain_back(state: State) -> Iterator[Measure]:
    ends = state.rig.ends()
    for number, (name, line) in enumerate(state.rig.lines.items()):
        if state.closed[number] or not isinstance(ends[line.end], Tank):
            continue
        into = _drains_into(state, number, line.end)
        drains = np.any([*into.values()], axis=0) if into else np.zeros(state.variants, np.bool_)
        nothing = np.full(state.variants, np.nan)
        yield Measure(
            place=f"lines.{name}",
            value=nothing,
            limit=nothing,
            margin=np.where(drains, -1.0, 1.0),
            word=partial(_word, state, number, line.end, into),
        )


NO_DRAIN_BACK: Final = Rule(
    name="no draining back",
    doc="No tank empties itself, through the line that fills it, into open water or a tank that lies below it.",
    dimension=Dimension.NUMBER,
    source="common practice, no source",
    measure=_no_drain_back,
)
