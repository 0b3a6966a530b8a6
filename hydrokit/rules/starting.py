"""How often a pressure switch starts its pump, and the accumulator that would calm it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.laws.pressure_switch import accumulator_drawdown, switch_cycle
from hydrokit.parts import Outlet, PoweredPump
from hydrokit.rules.cutting import circles
from hydrokit.rules.cycling import cycling, given_at, hunts
from hydrokit.rules.drawing import fed_pumps
from hydrokit.rules.rule import Measure, Missing, Rule, margin_above
from hydrokit.rules.shutting import Behind, behind

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.rule import Mask
    from hydrokit.rules.state import State

__all__ = ["STARTS", "Starting", "starting"]

_TIME: Final = Dimension.TIME
_RUN: Final = 60.0
"""s; for which a pump should run at each start. Source: common practice, no source."""
_BELOW: Final = 14e3
"""Pa; how far below cut-in an accumulator is charged. Source: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Starting:
    """A pump that its switch starts and stops, shape (n,).

    ``take`` is what is drawn, m³/s: while it hunts what the rig takes, else half of what the pump gives, at which it starts
    most often. ``run_time`` in s and ``starts`` in a second are NaN where no accumulator is stated; ``calm`` is the
    accumulator with which it would run for a minute at each start, m³, charged to ``precharge``, Pa.
    """

    hunting: Mask
    take: Array
    run_time: Array
    starts: Array
    calm: Array
    precharge: Array


def starting(state: State, pump: int) -> Starting:
    """Return how a pump with both pressures of its switch stated starts and stops."""
    element = state.plan.elements[pump]
    low, high = (state.full(state.of(element, name)) for name in ("cut_in", "cut_out"))
    volume, stated = state.of(element, "accumulator"), state.of(element, "precharge")
    precharge = np.maximum(low - _BELOW, 0.0) if stated is None else state.full(stated)
    given = np.maximum(given_at(state, pump, 0.5 * (low + high)), 1e-9)
    hunting = hunts(state, pump)
    cycle = cycling(state, pump) if hunting.any() else None
    take = np.where(hunting, 0.5 * given if cycle is None else cycle.mean_flow, 0.5 * given)
    take = np.clip(take, 1e-12, given * (1.0 - 1e-9))
    pressures = {"cut_in_gauge": low, "cut_out_gauge": high, "air_pressure": state.conditions.air_pressure}
    best = np.maximum(low - _BELOW, 0.0)
    yields = np.asarray(accumulator_drawdown(volume=1.0, precharge_gauge=best, **pressures))
    run, starts = np.full(state.variants, np.nan), np.full(state.variants, np.nan)
    if volume is not None:
        drawdown = accumulator_drawdown(volume=volume, precharge_gauge=precharge, **pressures)
        turn = switch_cycle(drawdown=np.maximum(drawdown, 1e-9), pump_flow=given, take=take)
        run, starts = state.full(turn.run_time), state.full(turn.starts_rate)
    return Starting(hunting, take, run, starts, _RUN * (given - take) / yields, best)


def _word(state: State, pump: int, found: Starting, row: int) -> tuple[Phrase, Phrase]:
    name = state.named(state.plan.elements[pump].address)
    said = {
        "take": (found.take[row], Dimension.FLOW),
        "calm": (found.calm[row], Dimension.VOLUME),
        "charge": (found.precharge[row], Dimension.GAUGE_PRESSURE),
    }
    when = "While it hunts" if found.hunting[row] else "With {take} drawn, half of what it gives"
    calmer = phrase("An accumulator of {calm}, charged to {charge}, lets it run for a minute at each start.", **said)
    if np.isnan(found.run_time[row]):
        unsaid = f"{when}, {name} starts as often as the little that the hoses give lets it, which is not known: its accumulator is not stated."
        return phrase(unsaid, **said), Phrase(f"{calmer.text} State it, or 0 for none.", calmer.values)
    said |= {
        "starts": (found.starts[row] * 60.0, Dimension.NUMBER),
        "run": (found.run_time[row], _TIME),
    }
    reason = phrase(f"{when}, {name} starts about {{starts}} times a minute and runs for {{run}} each time.", **said)
    return reason, phrase("") if found.run_time[row] >= _RUN * (1.0 - 1e-9) else calmer


def _starts(state: State) -> Iterator[Measure | Missing]:
    for pump in fed_pumps(state):
        element = state.plan.elements[pump]
        if not isinstance(element.part, PoweredPump) or state.of(element, "cut_out") is None or circles(state, pump):
            continue
        starts = hunts(state, pump) | _throttled(state, pump)
        if not starts.any():
            continue
        if state.of(element, "cut_in") is None:
            yield Missing(place=element.address, needed="cut_in of the pump", applies=starts)
            continue
        found = starting(state, pump)
        limit = state.full(_RUN)
        yield Measure(
            place=element.address,
            value=found.run_time,
            limit=limit,
            margin=margin_above(found.run_time, limit),
            word=partial(_word, state, pump, found),
            applies=starts,
        )


def _throttled(state: State, pump: int) -> bool:
    """Return whether a tap behind a pump may be opened a little."""
    ends = state.rig.ends()
    there, status = behind(state, pump)
    return status is Behind.SHUT and any(isinstance(ends[name], Outlet) for name in there)


STARTS: Final = Rule(
    name="pump starts",
    doc="A pump with a pressure switch runs for a minute at each start: with what is drawn while it hunts, else, behind a"
    " tap, with half of what it gives drawn, at which it starts most often.",
    formula="run of one start = V_taken / (pump flow - flow drawn) >= 1 min; V_taken = V (p_charge + p_air) (1 /"
    " (cut_in + p_air) - 1 / (cut_out + p_air))",
    dimension=_TIME,
    source="a minute's run for each start, accumulator charged 0.14 bar under cut-in: common practice, no source; balance of"
    " water over one cycle, Boyle's law",
    measure=_starts,
    needs=("accumulator of the pump", "cut_in of the pump"),
    advisory=True,
)
