"""Whether a pump finds water when it starts, and keeps it when it stops."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.laws.suction import dry_lift_limit
from hydrokit.parts import CentrifugalPump
from hydrokit.rules.drawing import highest_point, pump_height, static_lift
from hydrokit.rules.naming import capital, listed
from hydrokit.rules.rule import Measure, Missing, Rule
from hydrokit.rules.ways import reached

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.drawing import Suction
    from hydrokit.rules.rule import Mask
    from hydrokit.rules.state import State

__all__ = ["HOLDS_PRIME", "PRIMES"]

_LENGTH = Dimension.LENGTH


def _name(state: State, pump: int) -> str:
    return capital(state.named(state.plan.elements[pump].address))


def _climb(state: State, pump: int) -> Array | None:
    """Return how far an empty hose must be drawn full, m: to its highest point, which may lie above the pump.

    Below 0 where the water comes by itself; None where another pump pushes it.
    """
    lift = static_lift(state, pump)
    if lift is None:
        return None
    return lift + highest_point(state, pump) - pump_height(state, pump)


def _pushed_against(state: State, pump: int) -> Array:
    """Return the gauge pressure that the air must be pushed out against, Pa.

    Water left from last time stands in the delivery up to the lowest end it leads to, and valves ask for their cracking
    pressure.
    """
    plan, line = state.plan, state.line_at(pump)
    after = [index for index in state.own[line] if index > pump]
    end = [*state.rig.lines.values()][line].end
    lowest = np.full(state.variants, np.inf)
    ends = np.broadcast_to(plan.ends.fixed_end, state.solution.flows.flow.shape)
    forward = [way for way in state.ways if way.start == state.rig.lines[plan.layout.lines[way.line]].start]
    there = reached({end}, forward)
    for number, each in enumerate(state.rig.lines.values()):
        if (number == line or each.start in there) and not state.closed[number]:
            lowest = np.fmin(lowest, ends[:, number])
    stands = np.maximum(lowest - state.walk.height[:, state.outlet(pump)], 0.0)
    cracking = np.broadcast_to(plan.element_losses.cracking, state.walk.loss.shape)[:, after].sum(axis=1)
    return np.asarray((np.where(np.isfinite(stands), stands, 0.0) + cracking) * state.weight, np.float64)


def _dry_limit(state: State, pump: int) -> Array:
    """Return how far a pump draws an empty hose full, here and today, m; 0 where it does not prime itself."""
    element, conditions = state.plan.elements[pump], state.conditions
    stated = state.of(element, "dry_lift")
    if stated is None:
        return np.zeros(state.variants)
    limit = dry_lift_limit(
        dry_lift=stated,
        air_pressure=conditions.air_pressure,
        vapour_pressure=conditions.vapour_pressure,
        density=conditions.density,
        speed_ratio=np.minimum(state.idle_speed(pump), 1.0),  # a faster motor makes the valves no tighter
        back_pressure_gauge=_pushed_against(state, pump),
    )
    return np.maximum(state.full(limit), 0.0)


def _primes_word(state: State, pump: int, climb: Array, limit: Array, side: Suction, row: int) -> tuple[Phrase, Phrase]:
    name = _name(state, pump)
    up = (abs(float(climb[row])), _LENGTH)
    if climb[row] <= 0.0:
        return phrase(f"{name} lies below the water, and so does all its suction hose: it fills by itself."), phrase("")
    if limit[row] <= 0.0:
        reason = phrase(f"{name} must draw water {{lift}} up and does not prime itself", lift=up)
    else:
        reason = phrase(
            f"{name} must draw water {{lift}} up; here it draws a dry hose full up to {{limit}}",
            lift=up,
            limit=(limit[row], _LENGTH),
        )
    if climb[row] <= limit[row]:
        return Phrase(reason.text + ".", reason.values), phrase("")
    if side.held:
        return (
            Phrase(reason.text + ", but the valve below it keeps a hose full that was filled once.", reason.values),
            phrase("Fill the suction hose by hand before the first start, and after every leak."),
        )
    other = "fit a foot valve and fill the hose by hand, or take a pump of greater dry lift."
    if limit[row] <= 0.0:
        advice = phrase(f"Put the pump below the water, {other}")
    else:
        advice = phrase(f"Lower it to {{limit}} above the water, no more, {other}", limit=(limit[row], _LENGTH))
    return Phrase(reason.text + ", and nothing keeps the hose full.", reason.values), advice


def _not_drawing(state: State, pump: int, side: Suction) -> Measure:
    """Return what there is to say of a pump that draws from no open water: another pushes, or nothing comes at all."""
    others = listed(state.named(state.plan.elements[index].address) for index in side.fed_by) if side.fed_by else ""
    if others:
        said = phrase(f"{_name(state, pump)} gets its water pushed by {others}."), phrase("")
    else:
        said = (
            phrase(f"{_name(state, pump)} runs dry: no open line brings it water."),
            phrase("Open one, or switch it off."),
        )
    nothing = np.full(state.variants, np.nan)
    return Measure(
        place=state.plan.elements[pump].address,
        value=nothing,
        limit=nothing,
        margin=np.full(state.variants, 1.0 if others else -1.0),
        word=lambda _row: said,
    )


def _primes(state: State) -> Iterator[Measure | Missing]:
    for pump in state.running:
        element, side, climb = state.plan.elements[pump], state.suction(pump), _climb(state, pump)
        if climb is None:
            yield _not_drawing(state, pump, side)
            continue
        unstated = state.of(element, "dry_lift") is None and not isinstance(element.part, CentrifugalPump)
        if unstated and (climb > 0.0).any():
            yield Missing(place=element.address, needed="dry_lift of the pump")
            continue
        limit = _dry_limit(state, pump)
        margin = np.where(climb <= 0.0, 1.0, (limit - climb) / np.maximum(np.maximum(limit, climb), 1e-9))
        yield Measure(
            place=element.address,
            value=climb,
            limit=limit,
            margin=np.maximum(margin, 0.0) if side.held else margin,
            word=partial(_primes_word, state, pump, climb, limit, side),
        )


PRIMES: Final = Rule(
    name="pump primes",
    doc="Each pump above its water can draw an empty suction hose full, here and today, or finds it full.",
    dimension=_LENGTH,
    source="dry lift as stated, in proportion to air pressure less vapour pressure and to speed, less what the air is"
    " pushed out against: common practice, no source; a pump that does not state any does not prime itself, unless it is a"
    " displacement pump",
    measure=_primes,
    needs=("dry_lift of a diaphragm or hand pump above its water",),
)


def _prime_word(state: State, pump: int, kept: Mask, row: int) -> tuple[Phrase, Phrase]:
    name = state.named(state.plan.elements[pump].address)
    if kept[row]:
        return phrase(f"The hose before {name} stays full when it stops."), phrase("")
    return (
        phrase(f"Nothing before {name} holds the water when it stops: it must prime at every start."),
        phrase("Fit a foot valve or a non-return valve at the bottom of the suction hose."),
    )


def _holds_prime(state: State) -> Iterator[Measure]:
    for pump in state.running:
        climb, side = _climb(state, pump), state.suction(pump)
        if climb is None:
            continue
        kept = np.asarray((climb <= 0.0) | side.held, np.bool_)
        nothing = np.full(state.variants, np.nan)
        yield Measure(
            place=state.plan.elements[pump].address,
            value=nothing,
            limit=nothing,
            margin=np.where(kept, 1.0, 0.0),
            word=partial(_prime_word, state, pump, kept),
        )


HOLDS_PRIME: Final = Rule(
    name="prime is kept",
    doc="A foot or non-return valve keeps the suction hose of a pump above its water full when the pump stops.",
    dimension=Dimension.NUMBER,
    source="common practice, no source",
    measure=_holds_prime,
    advisory=True,
)
