"""What happens when the pumps stop: tanks that drain back the way they were filled, water that runs on by itself."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.laws.suction import barometric_limit
from hydrokit.network.ends import brim_depth
from hydrokit.parts import Tank
from hydrokit.rules.drawing import drawn_end
from hydrokit.rules.dry_start import lowest_end
from hydrokit.rules.naming import capital, listed
from hydrokit.rules.rule import Measure, Rule, in_words
from hydrokit.rules.ways import reached

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.rule import Mask
    from hydrokit.rules.state import State

__all__ = ["NO_DRAIN_BACK", "STOPS"]


def _lower(state: State, name: str, tank: str) -> Array:
    """Return where an end lies so low that a tank runs empty into it."""
    floor = state.full(state.plan.values.of(f"tanks.{tank}", state.rig.tanks[tank], "floor"))
    if name in state.rig.sources:
        return np.asarray(state.head_of(name) < state.surface_of(tank), np.bool_)
    values = state.plan.values
    top = values.of(f"tanks.{name}", state.rig.tanks[name], "floor") + brim_depth(state.rig, name, values)
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


def _crest(state: State, number: int) -> Array:
    """Return the height of the highest point of a line, m."""
    highest = np.full(state.variants, -np.inf)
    for index in state.own[number]:
        ends = state.walk.height[:, [state.inlet(index), state.outlet(index)]]
        crest = state.plan.elements[index].high_point
        highest = np.fmax(highest, np.fmax.reduce([*ends.T, state.full(-np.inf if crest is None else crest)]))
    return highest


def _held_over(state: State, number: int, tank: str) -> Mask:
    """Return where the air can hold water from a tank over the highest point of a line, so that a full hose drains it."""
    here = state.conditions
    holds = barometric_limit(air_pressure=here.air_pressure, density=here.density, vapour_pressure=here.vapour_pressure)
    return np.asarray(_crest(state, number) - state.surface_of(tank) < holds, np.bool_)


def _word(state: State, number: int, tank: str, into: dict[str, Array], row: int) -> tuple[Phrase, Phrase]:
    line = f"line {state.plan.layout.lines[number]}"
    held = bool(_held_over(state, number, tank)[row])
    names = [name for name, lower in into.items() if lower[row] and held]
    if not names:
        return phrase(f"Tank {tank} cannot empty itself back through {line}."), phrase("")
    over = float(_crest(state, number)[row] - state.surface_of(tank)[row])
    siphon = ", and stays full as a siphon over its highest point, {over} above that" if over > 0.0 else ""
    return (
        phrase(
            f"Tank {tank} can empty itself back through {line} into {listed(names)} when the pump stops: the line meets it"
            f" under its water{siphon}.",
            **({"over": (over, Dimension.LENGTH)} if siphon else {}),
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
        drains = np.logical_and(drains, _held_over(state, number, line.end))
        yield in_words(
            state, f"lines.{name}", np.where(drains, -1.0, 1.0), partial(_word, state, number, line.end, into)
        )


NO_DRAIN_BACK: Final = Rule(
    name="no draining back",
    doc="No tank empties itself, through the line that fills it, into open water or a tank that lies below it; over a high"
    " point too, as a siphon, as far up as the air holds water.",
    formula="yes or no: no way back to a lower surface over a height of less than (p_air - p_vapour) / (ρ g)"
    " above the tank's water",
    dimension=Dimension.NUMBER,
    source="common practice, no source",
    measure=_no_drain_back,
)


def _runs_word(state: State, pump: int, name: str, fall: Array, row: int) -> tuple[Phrase, Phrase]:
    what = state.named(state.plan.elements[pump].address)
    if fall[row] <= 0.0:
        return phrase(f"{capital(what)} must press the water up: it stands still when the pump stops."), phrase("")
    return (
        phrase(
            f"When {what} stops, water runs on through it: {name} stands {{fall}} above the lowest end behind it.",
            fall=(fall[row], Dimension.LENGTH),
        ),
        phrase("Shut a valve when it is enough, or let the line end above the water that it draws."),
    )


def _runs_on(state: State) -> Iterator[Measure]:
    for pump in state.running:
        name = drawn_end(state, pump)
        if state.pump_of(pump).displacement or name is None:
            continue
        lowest = lowest_end(state, pump)
        fall = np.where(np.isfinite(lowest), state.head_of(name) - lowest, 0.0)
        yield Measure(
            place=state.plan.elements[pump].address,
            value=state.head_of(name),
            limit=lowest,
            margin=np.where(fall > 0.0, -1.0, 1.0),
            word=partial(_runs_word, state, pump, name, fall),
        )


STOPS: Final = Rule(
    name="stops with the pump",
    doc="Water does not run on by itself through a centrifugal pump that has stopped; a displacement pump blocks.",
    formula="surface that the pump draws from <= lowest end behind it",
    dimension=Dimension.LENGTH,
    source="common practice, no source",
    measure=_runs_on,
    advisory=True,
)
