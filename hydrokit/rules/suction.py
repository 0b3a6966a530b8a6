"""The suction side of running water: NPSH, water that stays whole, and vacuum against ratings."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.laws.pump_duty import npsh_required
from hydrokit.laws.suction import gas_margin, npsh_wanted
from hydrokit.parts import Hose
from hydrokit.rules.drawing import fed_pumps, pump_height
from hydrokit.rules.lifting import lowered
from hydrokit.rules.naming import capital
from hydrokit.rules.rule import Measure, Missing, Rule, Wording, margin_above, margin_below

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = ["HOSE_VACUUM", "NPSH", "PUMP_VACUUM", "WHOLE_WATER", "npsh_asked", "npsh_offered", "whole_limit"]

_LENGTH, _ABSOLUTE, _VACUUM = Dimension.LENGTH, Dimension.ABSOLUTE_PRESSURE, Dimension.VACUUM
_WORTH_A_RATING: Final = 2e3
"""Pa; a shallower vacuum flattens no hose, so no rating is asked for."""
_SAME: Final = 1.0
"""Pa; pressures that differ by less are one, and the first place that has it is named."""


def npsh_offered(state: State, pump: int) -> Array:
    """Return the NPSH available at a pump's inlet, m."""
    station, conditions = state.inlet(pump), state.conditions
    air: Any = (conditions.air_pressure - conditions.vapour_pressure) / conditions.weight
    return np.asarray(state.walk.head[:, station] - pump_height(state, pump) + air, np.float64)


def npsh_asked(state: State, pump: int, flow: Array) -> Array:
    """Return the NPSH that a pump requires at a flow, m; NaN outside its data sheet."""
    points = state.pump_of(pump).npsh_required
    if points is None:
        return np.full(state.variants, np.nan)
    asked, _ = npsh_required(points=points, flow=np.maximum(flow, 0.0), speed_ratio=state.npsh_speed(pump))
    return state.full(asked)


def _npsh_margin(state: State, pump: int) -> Array:
    return margin_above(npsh_offered(state, pump), npsh_asked(state, pump, state.flow_at(pump)))


def _npsh_word(state: State, pump: int, available: Array, required: Array, wanted: Array, row: int) -> Wording:
    name = capital(state.named(state.plan.elements[pump].address))
    if np.isnan(required[row]):
        return (
            phrase(
                f"{name} works at {{flow}}, for which its data sheet states no NPSH required.",
                flow=(state.flow_at(pump)[row], Dimension.FLOW),
            ),
            phrase("Ask the maker for NPSH required at this flow."),
        )
    said = phrase(
        f"{name} is offered {{available}} of NPSH and requires {{required}}; {{wanted}} is wanted to be safe.",
        available=(available[row], _LENGTH),
        required=(required[row], _LENGTH),
        wanted=(wanted[row], _LENGTH),
    )
    if available[row] >= wanted[row]:
        return said, phrase("")
    if available[row] < required[row]:
        other = "make its suction hose shorter or wider and clean the strainer"
        return said, partial(lowered, state, pump, _npsh_margin, other, row)
    return said, phrase("Lower the pump, or make its suction hose shorter or wider; keep the strainer clean.")


def _npsh(state: State) -> Iterator[Measure | Missing]:
    for pump in fed_pumps(state):
        part, place = state.pump_of(pump), state.plan.elements[pump].address
        if part.npsh_required is None:
            if part.vacuum_rating is None:
                yield Missing(place=place, needed="npsh_required or vacuum_rating of the pump")
            continue
        required = npsh_asked(state, pump, state.flow_at(pump))
        wanted = np.array(required)
        known = ~np.isnan(required)
        wanted[known] = npsh_wanted(npsh_required=required[known])
        available = npsh_offered(state, pump)
        yield Measure(
            place=place,
            value=available,
            limit=required,
            margin=margin_above(available, required),
            word=partial(_npsh_word, state, pump, available, required, wanted),
            hand=margin_above(wanted, required),
        )


NPSH: Final = Rule(
    name="NPSH in hand",
    doc="The suction side offers each pump the net positive suction head it requires, with some in hand.",
    formula="NPSH available = head at the inlet - height of the pump + (p_air - p_vapour) / (ρ g) >="
    " npsh_required; under the greater of 1.2 x npsh_required and npsh_required + 1 m is close",
    dimension=_LENGTH,
    source="Hydraulic Institute, ANSI/HI 9.6.1 (ratio 1.2 or 1 m, whichever is more; secondary, from memory)",
    measure=_npsh,
    needs=("npsh_required of the pump at its flow, or its vacuum_rating",),
)


def _lowest(state: State, number: int) -> tuple[Array, Array, tuple[str, ...]]:
    """Return the lowest absolute pressure along a line, which place it is at, and what the places are called."""
    own = state.own[number]
    stations = [state.inlet(own[0]), *(state.outlet(index) for index in own)]
    pressure = np.concatenate(
        [
            state.walk.absolute_pressure[:, stations],
            state.walk.crest_gauge_pressure[:, own] + state.full(state.conditions.air_pressure)[:, None],
        ],
        axis=1,
    )
    filled = np.where(np.isnan(pressure), np.inf, pressure)
    lowest = filled.min(axis=1)
    # a station is named by the part that the water enters next: that is where a gauge would be screwed in
    last = f"the end of line {state.plan.layout.lines[number]}"
    names = [last]
    for index in reversed(own):
        element = state.plan.elements[index]
        names.insert(0, names[0] if element.part is None else f"the inlet of {state.named(element.address)}")
    names += [f"the high point of {state.named(state.plan.elements[index].address)}" for index in own]
    return lowest, (filled <= lowest[:, None] + _SAME).argmax(axis=1), tuple(names)


def whole_limit(state: State) -> Array:
    """Return the absolute pressure, Pa, below which air and vapour come out of the water, (n,)."""
    air, vapour = state.conditions.air_pressure, state.conditions.vapour_pressure
    return state.full(vapour + gas_margin(air_pressure=air, vapour_pressure=vapour))


def _whole_margin(state: State, pump: int) -> Array:
    return margin_above(_lowest(state, state.line_at(pump))[0], whole_limit(state))


def _whole_word(state: State, number: int, lowest: Array, at: Array, names: tuple[str, ...], row: int) -> Wording:
    limit = whole_limit(state)
    said = phrase(
        f"The lowest pressure in line {state.plan.layout.lines[number]} is {{lowest}}, at {names[int(at[row])]}; below"
        " {limit} air and vapour come out of the water.",
        lowest=(lowest[row], _ABSOLUTE),
        limit=(limit[row], _ABSOLUTE),
    )
    if lowest[row] >= limit[row]:
        return said, phrase("")
    pumps = [index for index in state.own[number] if index in state.on]
    if pumps and int(at[row]) <= state.own[number].index(pumps[0]):
        other = "make its suction hose shorter or wider and clean the strainer"
        return said, partial(lowered, state, pumps[0], _whole_margin, other, row)
    return said, phrase(
        "Lower that place by about {short}, or spend less head before it: shorter or wider hose.",
        short=((limit[row] - lowest[row]) / state.weight[row], _LENGTH),
    )


def _whole_water(state: State) -> Iterator[Measure]:
    limit = whole_limit(state)
    for number, name in enumerate(state.plan.layout.lines):
        flows = ~state.stands_still(state.solution.flow(name))
        if state.closed[number] or not flows.any():
            continue
        lowest, at, names = _lowest(state, number)
        yield Measure(
            place=f"lines.{name}",
            value=lowest,
            limit=limit,
            margin=margin_above(lowest, limit),
            word=partial(_whole_word, state, number, lowest, at, names),
            applies=flows,
        )


WHOLE_WATER: Final = Rule(
    name="water stays whole",
    doc="Nowhere along a line that flows does the pressure fall so low that air and vapour come out of the water. A line"
    " that stands still is open to the air somewhere, or shut: the water in it just drops to where it can stand.",
    formula="lowest absolute pressure of the line >= p_vapour + 20 kPa, but no more than (p_vapour + p_air) / 2",
    dimension=_ABSOLUTE,
    source="vapour pressure (IAPWS) plus 20 kPa for dissolved air, about 2 m of water: common practice, no source",
    measure=_whole_water,
)


def _vacuum_word(name: str, vacuum: Array, limit: Array, advice: Callable[[int], Phrase], row: int) -> Wording:
    said = phrase(
        f"{capital(name)} stands under {{vacuum}}, rated for {{limit}}.",
        vacuum=(vacuum[row], _VACUUM),
        limit=(limit[row], _VACUUM),
    )
    return said, phrase("") if vacuum[row] <= limit[row] else partial(advice, row)


def _harder(_row: int) -> Phrase:
    return phrase("Take hard suction hose of a deeper rating; or lower the pump, or widen the hose.")


def _hose_vacuum(state: State) -> Iterator[Measure | Missing]:
    air = state.walk.gauge_pressure
    for index, element in state.elements(Hose):
        flows = ~state.stands_still(state.flow_at(index))
        places = [air[:, state.inlet(index)], air[:, state.outlet(index)], state.walk.crest_gauge_pressure[:, index]]
        vacuum = np.maximum(-np.fmin.reduce(places), 0.0)
        deep = flows & (vacuum > _WORTH_A_RATING)
        if not deep.any():
            continue
        rating = state.of(element, "vacuum_rating")
        if rating is None:
            yield Missing(place=element.address, needed="vacuum_rating of the hose", applies=deep)
            continue
        limit = state.full(rating)
        yield Measure(
            place=element.address,
            value=vacuum,
            limit=limit,
            margin=margin_below(vacuum, limit),
            word=partial(_vacuum_word, state.named(element.address), vacuum, limit, _harder),
            applies=deep,
        )


HOSE_VACUUM: Final = Rule(
    name="hose keeps its shape",
    doc="No hose stands under a deeper vacuum than it is rated for; one under less than 2 kPa needs no rating.",
    formula="p_air - lowest absolute pressure in the hose <= vacuum_rating",
    dimension=_VACUUM,
    source="the hose's rating",
    measure=_hose_vacuum,
    needs=("vacuum_rating of the hose",),
)


def _inlet_vacuum(state: State, pump: int) -> Array:
    return np.maximum(-state.walk.gauge_pressure[:, state.inlet(pump)], 0.0)


def _vacuum_margin(state: State, pump: int) -> Array:
    return margin_below(_inlet_vacuum(state, pump), state.full(state.of(state.plan.elements[pump], "vacuum_rating")))


def _pump_vacuum(state: State) -> Iterator[Measure | Missing]:
    for pump in fed_pumps(state):
        element = state.plan.elements[pump]
        rating = state.of(element, "vacuum_rating")
        if rating is None:
            continue  # judged by its NPSH, and where neither is stated that rule says so
        vacuum, limit = _inlet_vacuum(state, pump), state.full(rating)
        other = "make its suction hose shorter or wider and clean the strainer"
        yield Measure(
            place=element.address,
            value=vacuum,
            limit=limit,
            margin=_vacuum_margin(state, pump),
            word=partial(
                _vacuum_word,
                state.named(element.address),
                vacuum,
                limit,
                partial(lowered, state, pump, _vacuum_margin, other),
            ),
        )


PUMP_VACUUM: Final = Rule(
    name="pump inlet vacuum",
    doc="The vacuum at a pump's inlet is no deeper than the pump is rated for.",
    formula="p_air - absolute pressure at the pump's inlet <= vacuum_rating",
    dimension=_VACUUM,
    source="the pump's rating",
    measure=_pump_vacuum,
    needs=("vacuum_rating of the pump, or its npsh_required",),
)
