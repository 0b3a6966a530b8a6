"""The suction side: cavitation, priming, and vacuum."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.laws.pump_duty import npsh_required
from hydrokit.laws.suction import DISSOLVED_GAS_MARGIN, dry_lift_limit, npsh_wanted
from hydrokit.parts import CentrifugalPump, FootValve, Hose, NonReturnValve
from hydrokit.rules.rule import Measure, Missing, Rule, margin_above, margin_below

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = ["HOSE_VACUUM", "NPSH", "PRIMES", "PUMP_VACUUM", "WHOLE_WATER", "keeps_prime", "static_lift"]

_LENGTH, _ABSOLUTE, _VACUUM = Dimension.LENGTH, Dimension.ABSOLUTE_PRESSURE, Dimension.VACUUM
_WORTH_A_RATING: Final = 2e3
"""Pa; a shallower vacuum flattens no hose, so no rating is asked for."""


def static_lift(state: State, pump: int) -> Array | None:
    """Return the height of a pump above the water it draws, m; None where several lines feed it."""
    start = state.suction_start(pump)
    if start is None:
        return None
    return state.walk.height[:, state.inlet(pump)] - state.surface_of(*start)


def keeps_prime(state: State, pump: int) -> bool:
    """Return whether a foot or non-return valve keeps the suction hose full when the pump stops."""
    return any(
        isinstance(state.plan.elements[index].part, (FootValve, NonReturnValve)) for index in state.upstream(pump)
    )


def npsh_offered(state: State, pump: int) -> Array:
    """Return the NPSH available at a pump's inlet, m."""
    station, conditions = state.inlet(pump), state.conditions
    air: Any = (conditions.air_pressure - conditions.vapour_pressure) / conditions.weight
    return np.asarray(state.walk.head[:, station] - state.walk.height[:, station] + air, np.float64)


def _npsh_word(name: str, available: Array, required: Array, wanted: Array, row: int) -> tuple[Phrase, Phrase]:
    said = phrase(
        f"{name} is offered {{available}} of NPSH and requires {{required}}; {{wanted}} is wanted for safety.",
        available=(available[row], _LENGTH),
        required=(required[row], _LENGTH),
        wanted=(wanted[row], _LENGTH),
    )
    if available[row] >= wanted[row]:
        return said, phrase("")
    return said, phrase("Lower the pump, or make the suction hose shorter or wider; clean the strainer.")


def _npsh(state: State) -> Iterator[Measure | Missing]:
    for pump in state.running:
        part, place = state.pump_of(pump), state.plan.elements[pump].address
        if part.npsh_required is None:
            if part.vacuum_rating is None:
                yield Missing(place=place, needed="npsh_required or vacuum_rating")
            continue
        flow = np.maximum(state.flow_at(pump), 0.0)
        speed = state.of(state.plan.elements[pump], "speed") if isinstance(part, CentrifugalPump) else 1.0
        asked, _ = npsh_required(points=part.npsh_required, flow=flow, speed_ratio=speed)
        required = state.full(asked)
        if np.isnan(required).all():
            yield Missing(place=place, needed="npsh_required at this flow")
            continue
        wanted = np.full(state.variants, np.nan)
        known = ~np.isnan(required)
        wanted[known] = npsh_wanted(npsh_required=required[known])
        available = npsh_offered(state, pump)
        yield Measure(
            place=place,
            value=available,
            limit=required,
            margin=margin_above(available, required),
            word=partial(_npsh_word, place, available, required, wanted),
            hand=margin_above(wanted, required),
        )


NPSH: Final = Rule(
    name="NPSH in hand",
    doc="The suction side offers each pump the net positive suction head it requires, with some in hand.",
    dimension=_LENGTH,
    source="Hydraulic Institute, ANSI/HI 9.6.1 (ratio 1.2 or 1 m, whichever is more; secondary, from memory)",
    measure=_npsh,
    needs=("npsh_required of the pump, or its vacuum_rating",),
)


def _primes_word(name: str, lift: Array, limit: Array, valve: bool, row: int) -> tuple[Phrase, Phrase]:  # noqa: FBT001
    said: dict[str, Any] = {"lift": (lift[row], _LENGTH), "limit": (limit[row], _LENGTH)}
    if limit[row] <= 0.0:
        reason = phrase(f"{name} stands {{lift}} above the water and does not prime itself", lift=said["lift"])
    else:
        reason = phrase(
            f"{name} stands {{lift}} above the water; here it draws a dry hose full up to {{limit}}", **said
        )
    if lift[row] <= limit[row]:
        return Phrase(reason.text + ".", reason.values), phrase("")
    if valve:
        return (
            Phrase(reason.text + ", but the valve below it keeps a hose that was once filled full.", reason.values),
            phrase("Fill the suction hose by hand before the first start, and after every leak."),
        )
    return (
        Phrase(reason.text + ", and nothing keeps the hose full.", reason.values),
        phrase("Lower the pump, fit a foot valve and fill the hose by hand, or take a pump of greater dry lift."),
    )


def _primes(state: State) -> Iterator[Measure | Missing]:
    for pump in state.running:
        element = state.plan.elements[pump]
        part, lift = state.pump_of(pump), static_lift(state, pump)
        if lift is None or (lift <= 0.0).all():
            continue
        stated, valve = state.of(element, "dry_lift"), keeps_prime(state, pump)
        if stated is None and not isinstance(part, CentrifugalPump):
            yield Missing(place=element.address, needed="dry_lift")
            continue
        conditions = state.conditions
        speed: Any = getattr(part, "speed", 1.0)
        limit = state.full(
            0.0
            if stated is None
            else dry_lift_limit(
                dry_lift=stated,
                air_pressure=conditions.air_pressure,
                vapour_pressure=conditions.vapour_pressure,
                density=conditions.density,
                speed_ratio=np.minimum(speed, 1.0),
            )
        )
        margin = np.where(lift <= 0.0, 1.0, (limit - lift) / np.maximum(lift, 1e-9))
        yield Measure(
            place=element.address,
            value=lift,
            limit=limit,
            margin=np.maximum(margin, 0.0) if valve else margin,
            word=partial(_primes_word, element.address, lift, limit, valve),
        )


PRIMES: Final = Rule(
    name="pump primes",
    doc="Each pump above its water can draw an empty suction hose full, here and today, or finds it full.",
    dimension=_LENGTH,
    source="dry lift as stated, in proportion to air pressure less vapour pressure, and to speed: common practice, no source",
    measure=_primes,
    needs=("dry_lift of the pump",),
)


def _whole_word(
    state: State, station: Array, lowest: Array, limit: Array, names: tuple[str, ...], row: int
) -> tuple[Phrase, Phrase]:
    where = names[int(station[row])]
    reason = f"The lowest pressure is {{lowest}}, at {where}; below {{limit}} air and vapour come out of the water"
    values = {"lowest": (lowest[row], _ABSOLUTE), "limit": (limit[row], _ABSOLUTE)}
    if lowest[row] >= limit[row]:
        return phrase(reason + ".", **values), phrase("")
    short = (limit[row] - lowest[row]) / float(state.full(state.conditions.weight)[row])
    return (
        phrase(reason + ".", **values),
        phrase(
            "Lower the pump or the high point by at least {short}, or spend less head before it: shorter or wider hose.",
            short=(short, _LENGTH),
        ),
    )


def _whole_water(state: State) -> Iterator[Measure]:
    limit = state.full(state.conditions.vapour_pressure) + DISSOLVED_GAS_MARGIN
    for number, name in enumerate(state.plan.layout.lines):
        own = state.line_elements(number)
        still = state.stands_still(state.solution.flow(name))
        if not own or still.all():
            continue
        stations = [state.inlet(own[0]), *(state.outlet(index) for index in own)]
        labels = [state.plan.elements[index].address for index in own]
        pressure = np.concatenate(
            [
                state.walk.absolute_pressure[:, stations],
                state.walk.crest_gauge_pressure[:, own] + state.full(state.conditions.air_pressure)[:, None],
            ],
            axis=1,
        )
        station = np.nanargmin(pressure, axis=1)
        lowest = np.nanmin(pressure, axis=1)
        # a station is named by what the water enters next: that is where a gauge would be screwed in
        names = (*(f"the inlet of {label}" for label in labels), f"the end of lines.{name}", *labels)
        yield Measure(
            place=f"lines.{name}",
            value=lowest,
            limit=limit,
            margin=np.where(still, np.nan, margin_above(lowest, limit)),
            word=partial(_whole_word, state, station, lowest, limit, names),
        )


WHOLE_WATER: Final = Rule(
    name="water stays whole",
    doc="Nowhere along a flowing line does the pressure fall so low that air and vapour come out of the water.",
    dimension=_ABSOLUTE,
    source="vapour pressure (IAPWS) plus 20 kPa for dissolved air, about 2 m of water: common practice, no source",
    measure=_whole_water,
)


def _vacuum_word(place: str, vacuum: Array, limit: Array, row: int) -> tuple[Phrase, Phrase]:
    said = phrase(
        f"{place} stands under {{vacuum}}, rated for {{limit}}.",
        vacuum=(vacuum[row], _VACUUM),
        limit=(limit[row], _VACUUM),
    )
    if vacuum[row] <= limit[row]:
        return said, phrase("")
    return said, phrase("Take hard suction hose of a deeper rating, or lower the pump, or widen the hose.")


def _measure_vacuum(state: State, place: str, vacuum: Array, rating: Any) -> Measure | Missing:
    if rating is None:
        return Missing(place=place, needed="vacuum_rating")
    limit = state.full(rating)
    return Measure(
        place=place,
        value=vacuum,
        limit=limit,
        margin=margin_below(vacuum, limit),
        word=partial(_vacuum_word, place, vacuum, limit),
    )


def _hose_vacuum(state: State) -> Iterator[Measure | Missing]:
    for index, element in state.elements(Hose):
        deepest = -np.minimum(
            state.walk.gauge_pressure[:, state.inlet(index)], state.walk.gauge_pressure[:, state.outlet(index)]
        )
        if (deepest > _WORTH_A_RATING).any() and not state.stands_still(state.flow_at(index)).all():
            yield _measure_vacuum(state, element.address, np.maximum(deepest, 0.0), state.of(element, "vacuum_rating"))


HOSE_VACUUM: Final = Rule(
    name="hose keeps its shape",
    doc="No hose stands under a deeper vacuum than it is rated for.",
    dimension=_VACUUM,
    source="the hose's rating",
    measure=_hose_vacuum,
    needs=("vacuum_rating of the hose",),
)


def _pump_vacuum(state: State) -> Iterator[Measure | Missing]:
    for pump in state.running:
        element = state.plan.elements[pump]
        vacuum = np.maximum(-state.walk.gauge_pressure[:, state.inlet(pump)], 0.0)
        rating = state.of(element, "vacuum_rating")
        if rating is not None:
            yield _measure_vacuum(state, element.address, vacuum, rating)


PUMP_VACUUM: Final = Rule(
    name="pump inlet vacuum",
    doc="The vacuum at a pump's inlet is no deeper than the pump is rated for.",
    dimension=_VACUUM,
    source="the pump's rating",
    measure=_pump_vacuum,
    needs=("vacuum_rating of the pump",),
)
