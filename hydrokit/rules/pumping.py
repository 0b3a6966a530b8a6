"""Whether a pump works where its curve is known, and whether its pressure switch lets it run."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.parts import CentrifugalPump, DiaphragmPump
from hydrokit.rules.cycling import cycling
from hydrokit.rules.drawing import fed_pumps
from hydrokit.rules.naming import capital
from hydrokit.rules.rule import Measure, Missing, Rule, in_words, margin_below

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.rule import Mask
    from hydrokit.rules.state import State

__all__ = ["STEADY_SWITCH", "WORKING_RANGE"]

_FLOW, _GAUGE = Dimension.FLOW, Dimension.GAUGE_PRESSURE
_BEST_LOW: Final = 0.7
_BEST_HIGH: Final = 1.2
_SAME: Final = 1e-9
"""Relative; a flow this close to an end of the data sheet is on it."""


def _range_word(name: str, flow: Array, limits: dict[str, Array], row: int) -> tuple[Phrase, Phrase]:
    low, high, flat, best = (float(limits[word][row]) for word in ("low", "high", "flat", "best"))
    said = {"flow": (flow[row], _FLOW)}
    if flow[row] < flat:
        return (
            phrase(
                f"{name} works on the flat of its curve: any flow up to {{flat}} is as likely, no duty is stable.",
                flat=(flat, _FLOW),
            ),
            phrase("Open the line downstream, or take a pump whose pressure still falls at this flow."),
        )
    if not low * (1.0 - _SAME) <= flow[row] <= high * (1.0 + _SAME):
        edge, word = (high, "ends") if flow[row] > high else (low, "begins")
        return (
            phrase(
                f"{name} works at {{flow}}, outside its data sheet, which {word} at {{edge}}: the curve there is a guess.",
                edge=(edge, _FLOW),
                **said,
            ),
            phrase("Ask the maker for more points of the curve, or choose a pump for this duty."),
        )
    if np.isfinite(best) and not _BEST_LOW * best <= flow[row] <= _BEST_HIGH * best:
        return (
            phrase(f"{name} works at {{flow}}, far from its best at {{best}}.", best=(best, _FLOW), **said),
            phrase("Choose a pump whose best flow lies nearer."),
        )
    return phrase(f"{name} works at {{flow}}, inside its data sheet.", **said), phrase("")


def _in_range(state: State, index: int) -> Measure:
    place = state.on[index]
    table, element, flow = state.pumps.table, state.plan.elements[index], state.flow_at(index)
    stated: Any = state.of(element, "best_flow") if isinstance(element.part, CentrifugalPump) else None
    limits = {
        "low": state.flow_at_sheet(index, table.data_low[place]),
        "high": state.flow_at_sheet(index, table.data_high[place]),
        # a curve that is level, not rising, crosses that of the rig but once: its duty is stable
        "flat": state.flow_at_sheet(index, table.flat_to[place] * table.rises[place]),
        "best": state.flow_at_sheet(index, np.nan if stated is None else stated),
    }
    near: Any = (flow >= _BEST_LOW * limits["best"]) & (flow <= _BEST_HIGH * limits["best"])
    known = (flow >= limits["low"] * (1.0 - _SAME)) & (flow <= limits["high"] * (1.0 + _SAME))
    inside = known & (near | np.isnan(limits["best"]))
    return Measure(
        place=element.address,
        value=flow,
        limit=limits["high"],
        margin=np.where(flow < limits["flat"], -1.0, np.where(inside, 1.0, 0.0)),
        word=partial(_range_word, capital(state.named(element.address)), flow, limits),
        applies=~state.stands_still(flow),
    )


def _dead_end(state: State, index: int) -> Measure:
    name = capital(state.named(state.plan.elements[index].address))
    relieved = state.of(state.plan.elements[index], "relief") is not None
    presses = state.pump_of(index).displacement and not relieved
    what = "it presses on until something gives way" if presses else "it churns the same water until it boils"
    said = phrase(f"{name} is on, but its line is shut and no switch stops it: {what}.")
    advice = phrase("Switch it off in this mode, or open its line.")
    return in_words(state, state.plan.elements[index].address, -1.0, lambda _row: (said, advice))


def _working_range(state: State) -> Iterator[Measure]:
    for index in state.on:
        element = state.plan.elements[index]
        if not state.closed[state.line_at(index)]:
            yield _in_range(state, index)
        elif isinstance(element.part, CentrifugalPump | DiaphragmPump) and state.of(element, "cut_out") is None:
            yield _dead_end(state, index)


WORKING_RANGE: Final = Rule(
    name="pump working range",
    doc="Each pump works where its curve is stated and falls, near its best flow where that is known, and not against a"
    " line that is shut.",
    formula="first point of the curve <= flow <= its last, above the flow up to which the curve rises; 0.7"
    " best_flow <= flow <= 1.2 best_flow",
    dimension=_FLOW,
    source="the pump's data sheet; 70 to 120 % of best flow: ANSI/HI 9.6.3, preferred operating region, from memory",
    measure=_working_range,
)


def _hunting(state: State, index: int, row: int) -> Phrase:
    """Return what becomes of a pump that its switch stops."""
    cycle = cycling(state, index)
    if cycle is None:
        return phrase(": it hunts, on and off.")
    least, most = sorted((float(cycle.flow_at_cut_in[row]), float(cycle.flow_at_cut_out[row])))
    if most <= 0.0:
        return phrase(": it stops there and does not start again.")
    return phrase(
        ": it hunts, on for about {share} of the time, and the flow swings between {least} and {most}.",
        share=(cycle.run_share[row], Dimension.FRACTION),
        least=(least, _FLOW),
        most=(most, _FLOW),
    )


def _switch_word(
    state: State, index: int, pressure: Array, limit: Array, relieved: Mask, row: int
) -> tuple[Phrase, Phrase]:
    name = capital(state.named(state.plan.elements[index].address))
    said = {"pressure": (pressure[row], _GAUGE), "limit": (limit[row], _GAUGE)}
    stops = "its relief valve lets its flow off at" if relieved[row] else "its switch stops it at"
    if pressure[row] < limit[row]:
        return phrase(f"{name} works against {{pressure}}; {stops} {{limit}}.", **said), phrase("")
    first = phrase(f"{name} would have to work against {{pressure}}, but {stops} {{limit}}", **said)
    if relieved[row]:
        return (
            Phrase(f"{first.text}: less arrives than with all its flow.", first.values),
            phrase("Open the line downstream: wider hose, fresh filters; or take another pump for this pressure."),
        )
    after = _hunting(state, index, row)
    return (
        Phrase(first.text + after.text, first.values + after.values),
        phrase(
            "Open the line downstream: wider hose, fresh filters; or take a pump with a higher cut-out or a bypass."
        ),
    )


def _steady_switch(state: State) -> Iterator[Measure | Missing]:
    for index in fed_pumps(state):
        element = state.plan.elements[index]
        if not isinstance(element.part, DiaphragmPump | CentrifugalPump):
            continue
        cut_out, relief = state.of(element, "cut_out"), state.of(element, "relief")
        if cut_out is None and relief is None:
            if isinstance(element.part, DiaphragmPump):
                yield Missing(place=element.address, needed="cut_out of the pump")
            continue
        pressure = state.walk.gauge_pressure[:, state.outlet(index)]
        stops, lets_off = (state.full(np.inf if each is None else each) for each in (cut_out, relief))
        limit = np.minimum(stops, lets_off)
        yield Measure(
            place=element.address,
            value=pressure,
            limit=limit,
            margin=margin_below(pressure, limit),
            word=partial(_switch_word, state, index, pressure, limit, lets_off < stops),
            applies=~np.isnan(pressure),
        )


STEADY_SWITCH: Final = Rule(
    name="pump runs steadily",
    doc="The pressure at each pump's outlet, with every open end wide open, stays below that at which its switch stops it or its"
    " relief valve lets its flow off.",
    formula="gauge pressure at the pump's outlet < the lesser of cut_out and relief",
    dimension=_GAUGE,
    source="the pump's data sheet",
    measure=_steady_switch,
    needs=("cut_out or relief of a diaphragm pump",),
)
