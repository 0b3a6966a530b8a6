"""Whether a pump finds water when it starts, and keeps it when it stops."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.parts import CentrifugalPump
from hydrokit.rules.drawing import climb_of, static_lift, suction_of
from hydrokit.rules.dry_start import dry_limit, prime_time
from hydrokit.rules.lifting import lowered
from hydrokit.rules.naming import capital, listed
from hydrokit.rules.rule import Measure, Missing, Rule, in_words, margin_below

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.drawing import Suction
    from hydrokit.rules.rule import Mask, Wording
    from hydrokit.rules.state import State

__all__ = ["DRY_RUNNING", "HOLDS_PRIME", "PRIMES"]

_SAME: Final = 1e-9
"""m by which heights of the same point may differ in rounding."""
_LENGTH, _TIME = Dimension.LENGTH, Dimension.TIME


def _name(state: State, pump: int) -> str:
    return capital(state.named(state.plan.elements[pump].address))


def _primes_margin(state: State, pump: int) -> Array:
    climb = climb_of(state, pump)
    assert climb is not None
    return np.where(climb <= 0.0, 1.0, dry_limit(state, pump) - climb)


def _primes_word(state: State, pump: int, climb: Array, limit: Array, side: Suction, row: int) -> Wording:
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
    reason = Phrase(reason.text + ", and nothing keeps the hose full.", reason.values)
    other = "fit a foot valve and fill the hose by hand, or take a pump of greater dry lift"
    if limit[row] <= 0.0:
        return reason, phrase(f"Put the pump below the water, {other}.")
    lift = static_lift(state, pump)
    assert lift is not None
    if climb[row] > lift[row] + _SAME:
        return reason, phrase(f"Lay the suction hose no higher than the pump, {other}.")
    return reason, partial(lowered, state, pump, _primes_margin, other, row)


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
    return in_words(state, state.plan.elements[pump].address, 1.0 if others else -1.0, lambda _row: said)


def _primes(state: State) -> Iterator[Measure | Missing]:
    for pump in state.running:
        element, side, climb = state.plan.elements[pump], suction_of(state, pump), climb_of(state, pump)
        if climb is None:
            yield _not_drawing(state, pump, side)
            continue
        unstated = state.of(element, "dry_lift") is None and not isinstance(element.part, CentrifugalPump)
        if unstated:
            yield Missing(place=element.address, needed="dry_lift of the pump", applies=climb > 0.0)
        limit = dry_limit(state, pump)
        margin = np.where(climb <= 0.0, 1.0, (limit - climb) / np.maximum(np.maximum(limit, climb), 1e-9))
        yield Measure(
            place=element.address,
            value=climb,
            limit=limit,
            margin=np.maximum(margin, 0.0) if side.held else margin,
            word=partial(_primes_word, state, pump, climb, limit, side),
            applies=climb <= 0.0 if unstated else None,
        )


PRIMES: Final = Rule(
    name="pump primes",
    doc="Each pump above its water can draw an empty suction hose full, here and today, or finds it full.",
    formula="climb to the pump or the highest hose before it <= dry_lift x (speed, at most 1) x (p_air - p_vapour) / (the same"
    " at rating) - (pressure that the air is pushed out against) / (ρ g) x (pressure left at the inlet) / p_air",
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
        climb, side = climb_of(state, pump), suction_of(state, pump)
        if climb is None:
            continue
        kept = np.asarray((climb <= 0.0) | side.held, np.bool_)
        yield in_words(
            state, state.plan.elements[pump].address, np.where(kept, 1.0, 0.0), partial(_prime_word, state, pump, kept)
        )


HOLDS_PRIME: Final = Rule(
    name="prime is kept",
    doc="A foot or non-return valve keeps the suction hose of a pump above its water full when the pump stops.",
    formula="yes or no: a foot or non-return valve stands before the pump",
    dimension=Dimension.NUMBER,
    source="common practice, no source",
    measure=_holds_prime,
    advisory=True,
)


def _dry_word(state: State, pump: int, time: Array, limit: Array, row: int) -> tuple[Phrase, Phrase]:
    name = _name(state, pump)
    if time[row] <= 0.0:
        return phrase(f"{name} never runs dry: its suction side fills by itself."), phrase("")
    if not np.isfinite(time[row]):
        return (
            phrase(
                f"{name} never draws its empty hose full, and may run dry for {{limit}}.", limit=(limit[row], _TIME)
            ),
            phrase("Fill the suction side by hand before every start, or put the pump lower."),
        )
    reason = phrase(
        f"{name} runs on air for {{time}} until it has drawn its empty hose full, and may run dry for {{limit}}; what a"
        " leak adds to that is not known.",
        time=(time[row], _TIME),
        limit=(limit[row], _TIME),
    )
    if time[row] <= limit[row]:
        return reason, phrase("")
    return reason, phrase("Take a narrower or shorter suction hose, put the pump lower, or fill the hose by hand.")


def _dry_running(state: State) -> Iterator[Measure | Missing]:
    for pump in state.running:
        element, climb = state.plan.elements[pump], climb_of(state, pump)
        if climb is None:
            continue  # whether it finds water at all is told of it already
        draws = _draws_itself(state, pump, climb)
        told, limit = prime_time(state, pump), state.of(element, "dry_run_time")
        time = np.zeros(state.variants) if told is None else told
        if told is None:
            yield _untimed(state, pump, draws & (climb > 0.0))
            draws = draws & (climb <= 0.0)
        if limit is None:
            yield Missing(place=element.address, needed="dry_run_time of the pump", applies=draws & (time > 0.0))
            draws = draws & (time <= 0.0)
        most = state.full(np.nan if limit is None else limit)  # not asked of one that finds water at once
        margin = np.where(time <= 0.0, 1.0, margin_below(np.minimum(time, 1e12), most))
        yield Measure(
            place=element.address,
            value=time,
            limit=most,
            margin=np.maximum(margin, 0.0) if suction_of(state, pump).held else margin,
            word=partial(_dry_word, state, pump, time, most),
            applies=draws,
        )


def _untimed(state: State, pump: int, applies: Mask) -> Missing:
    """Return what is missing where it is not known how long a pump runs on air."""
    place = state.plan.elements[pump].address
    if state.pump_of(pump).displacement:
        return Missing(place=place, needed="dry_lift of the pump", applies=applies)
    return Missing(
        place=place,
        needed="time to prime",
        reason=f"How long {state.named(place)} runs on air cannot be told: only of a displacement pump is known what it"
        " sweeps.",
        advice="Time it once, from the start to the first water.",
        applies=applies,
    )


def _draws_itself(state: State, pump: int, climb: Array) -> Mask:
    """Return where a pump draws an empty hose full by itself, or finds it full."""
    stated = state.of(state.plan.elements[pump], "dry_lift")
    if stated is None:
        return (climb <= 0.0) | state.pump_of(pump).displacement
    return (climb <= 0.0) | (state.full(stated) > 0.0)


DRY_RUNNING: Final = Rule(
    name="dry running",
    doc="Each pump has drawn its empty suction side full before it has run dry for longer than it may; a hose that a valve"
    " keeps full is emptied by its first leak.",
    formula="time to prime <= dry_run_time; time to prime = time in which the pump sweeps out the air before it as that"
    " thins, at its open flow, which falls evenly to nothing at the lift to which it draws an empty hose",
    dimension=_TIME,
    source="the pump's data sheet; time to prime by a balance of the air in the hose, swept at the pump's open flow: our own"
    " derivation",
    measure=_dry_running,
    needs=("dry_run_time of the pump", "dry_lift of the pump"),
)
