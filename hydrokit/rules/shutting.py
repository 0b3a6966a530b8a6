"""What becomes of a running pump when all behind it is shut: who stops it, and how soon it heats the water in it."""

from __future__ import annotations

from enum import Enum
from functools import partial
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.parts import CentrifugalPump, DiaphragmPump, Filter, FloatValve, Lamp, Valve
from hydrokit.rules.naming import capital
from hydrokit.rules.rule import Measure, Missing, Rule, in_words, margin_above

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = ["DEAD_HEAD", "RELIEF", "Behind", "behind"]

_GAUGE, _TIME = Dimension.GAUGE_PRESSURE, Dimension.TIME
_HEAT_CAPACITY: Final = 4184.0
"""J/(kg K); of water at 20 °C, by CoolProp; from 5 to 60 °C within half a per cent of that."""
_HOT: Final = 333.15
"""K; 60 °C, at which plastic housings give and skin scalds in seconds. Our own choice."""
_NOTICED: Final = 300.0
"""s; within which somebody notices a pump that delivers nothing. Our own choice."""


class Behind(Enum):
    """What can be shut behind a pump: a way is always open, it is open until a filter on it clogs, or valves can shut all."""

    OPEN = "open"
    CLOGS = "clogs"
    SHUT = "shut"


def behind(state: State, pump: int) -> tuple[tuple[str, ...], Behind]:
    """Return the ends that a pump leads to, and whether all ways there can be shut or clog: by valves, or taps at the end."""
    line = state.line_at(pump)
    own = state.own[line]
    after = own[own.index(pump) + 1 :]
    found: list[tuple[str, Behind]] = []
    _follow(state, line, after, Behind.OPEN, found, {line})
    statuses = {status for _, status in found}
    best = next((status for status in (Behind.OPEN, Behind.CLOGS) if status in statuses), Behind.SHUT)
    return tuple(dict.fromkeys(end for end, _ in found)), best


def _met(state: State, indices: list[int], status: Behind) -> Behind:
    """Return how open a way is after some more elements."""
    for index in indices:
        part = state.plan.elements[index].part
        if isinstance(part, (Valve, FloatValve)):
            return Behind.SHUT
        if isinstance(part, (Filter, Lamp)) and status is Behind.OPEN:
            status = Behind.CLOGS
    return status


def _follow(
    state: State, line: int, indices: list[int], status: Behind, found: list[tuple[str, Behind]], seen: set[int]
) -> None:
    """Follow a line to its end and the open lines on from there; note every end and how open the way to it is."""
    lines = [*state.rig.lines.values()]
    status, end = _met(state, indices, status), lines[line].end
    if end not in state.plan.layout.joints:
        found.append((end, Behind.SHUT if _can_be_shut(state, end) else status))
        return
    for number, each in enumerate(lines):
        if each.start == end and number not in seen and not state.closed[number]:
            _follow(state, number, state.own[number], status, found, seen | {number})


def _can_be_shut(state: State, end: str) -> bool:
    """Return whether an end is a tap or nozzle that states in what time it shuts."""
    outlet = state.rig.outlets.get(end)
    return outlet is not None and state.plan.values.of(f"outlets.{end}", outlet, "closing_time") is not None


def _stop(state: State, pump: int) -> tuple[str, Any] | None:
    """Return what stops a pump or lets its flow off, and at which pressure; None where nothing does."""
    element = state.plan.elements[pump]
    told = {"switch": state.of(element, "cut_out"), "relief valve": state.of(element, "relief")}
    known = [(name, value) for name, value in told.items() if value is not None]
    return min(known, key=lambda each: float(np.min(each[1]))) if known else None


def _relief_word(
    state: State, pump: int, stop: tuple[str, Any] | None, status: Behind, row: int
) -> tuple[Phrase, Phrase]:
    name = capital(state.named(state.plan.elements[pump].address))
    if stop is not None:
        told = {"pressure": (float(state.full(stop[1])[row]), _GAUGE)}
        return phrase(
            f"Shut off, {name[:1].lower()}{name[1:]} is held at {{pressure}} by its {stop[0]}.", **told
        ), phrase("")
    if status is Behind.OPEN:
        return phrase(f"{name} has neither switch nor relief valve, but nothing behind it can be shut."), phrase("")
    most = {"most": (float(state.shut_off_head(pump)[row]) * float(state.weight[row]), _GAUGE)}
    cause = "a valve or tap behind it is shut" if status is Behind.SHUT else "a filter behind it clogs"
    return (
        phrase(
            f"{name} has neither switch nor relief valve: when {cause} it presses on, to {{most}} by its curve, until it or"
            " something before the stop gives way.",
            **most,
        ),
        phrase("Fit a pressure switch, or a relief valve that takes all its flow below the lowest rating behind it."),
    )


def _reliefs(state: State) -> Iterator[Measure]:
    margins = {Behind.OPEN: 1.0, Behind.CLOGS: 0.0, Behind.SHUT: -1.0}
    for pump in state.running:
        if not isinstance(state.pump_of(pump), DiaphragmPump):
            continue
        (_, status), stop = behind(state, pump), _stop(state, pump)
        yield in_words(
            state,
            state.plan.elements[pump].address,
            margins[status] if stop is None else 1.0,
            partial(_relief_word, state, pump, stop, status),
        )


RELIEF: Final = Rule(
    name="relief at shut-off",
    doc="A displacement pump behind which a valve or tap can be shut has a pressure switch or a relief valve; one behind which only a"
    " filter can clog had better have one.",
    formula="yes or no: the pump states cut_out or relief",
    dimension=Dimension.NUMBER,
    source="common practice, no source",
    measure=_reliefs,
)


def _power_at_rest(state: State, pump: int) -> Array | None:
    """Return the power that a pump takes when nothing flows, W; None where its data sheet does not say."""
    part: Any = state.pump_of(pump)
    speed = state.idle_speed(pump)
    for points, factor in ((part.powers, 1.0), (part.currents, part.rated_voltage)):
        at_rest = [value for flow, value in points or () if flow == 0.0]
        if at_rest and factor is not None:
            return np.asarray(at_rest[0] * factor * speed**3, np.float64)
    return None


def _heat_word(state: State, pump: int, time: Array, power: Array, row: int) -> tuple[Phrase, Phrase]:
    name = capital(state.named(state.plan.elements[pump].address))
    reason = phrase(
        f"{name} against a shut valve puts {{power}} into the water in it, which is at {{hot}} after {{time}}.",
        power=(power[row], Dimension.POWER),
        hot=(_HOT, Dimension.TEMPERATURE),
        time=(time[row], _TIME),
    )
    if time[row] >= _NOTICED:
        return reason, phrase("")
    return reason, phrase(
        "Leave a small way back open, fit a switch that stops it, or never shut the valve with it running."
    )


def _heats(state: State) -> Iterator[Measure | Missing]:
    for pump in state.running:
        element = state.plan.elements[pump]
        shuts = behind(state, pump)[1] is Behind.SHUT
        if not isinstance(element.part, CentrifugalPump) or not shuts or state.of(element, "cut_out") is not None:
            continue
        power, held = _power_at_rest(state, pump), state.of(element, "holds")
        if power is None or held is None:
            needed = "water that the pump holds" if power is not None else "power of the pump at no flow"
            yield Missing(place=element.address, needed=needed)
            continue
        now = state.full(state.plan.values.of("site", state.rig.site, "water_temperature"))
        mass = state.full(held) * state.conditions.density
        time = np.maximum(_HOT - now, 0.0) * _HEAT_CAPACITY * mass / np.maximum(power, 1e-12)
        limit = state.full(_NOTICED)
        yield Measure(
            place=element.address,
            value=time,
            limit=limit,
            margin=margin_above(time, limit),
            word=partial(_heat_word, state, pump, time, power),
        )


DEAD_HEAD: Final = Rule(
    name="dead-head heating",
    doc="A centrifugal pump whose valve is shut takes five minutes or more to heat the water in it to 60 °C.",
    formula="ρ c V (60 °C - water temperature) / power at no flow >= 5 min, V being what the pump holds",
    dimension=_TIME,
    source="all its power goes into the water that it holds; 60 °C and five minutes are our own choice",
    measure=_heats,
    needs=("water that the pump holds", "power or current of the pump at no flow"),
    advisory=True,
)
