"""How much water each filter still passes before it is full, or past the life that its maker states."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.laws.media import solids_of_loading
from hydrokit.network.ends import brim_volume
from hydrokit.parts import Filter
from hydrokit.rules.naming import capital, listed
from hydrokit.rules.rule import Measure, Missing, Rule
from hydrokit.rules.solids import LAWS, arriving, end_ratio, raw_solids

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = ["FILTER_LIFE", "Holding", "fill_volume", "holding_of", "lacking"]

_VOLUME = Dimension.VOLUME


@dataclass(frozen=True, slots=True)
class Holding:
    """What each filter of the open lines holds and may pass, all side by side, shape (n, F); NaN where it is not known.

    ``capacity`` is the mass of solids at the end drop, in kg, ``keeps`` the share of those that come, ``life`` the volume
    that it may pass and ``passed`` what it has passed, in m³; ``loading`` how far to its end drop it is.
    """

    filters: list[int]
    capacity: Array
    keeps: Array
    life: Array
    passed: Array
    loading: Array

    def started(self, state: State, late: int) -> Array:
        """Return the share of its capacity that each filter has in it already, by one of its two laws, (n, F)."""
        shares = np.zeros_like(self.loading)
        for place, index in enumerate(self.filters):
            part = state.plan.elements[index].part
            assert isinstance(part, Filter)
            shares[:, place] = solids_of_loading(
                loading=np.minimum(self.loading[:, place], 1.0), end_ratio=end_ratio(part), law=LAWS[part.element][late]
            )
        return shares


def holding_of(state: State) -> Holding:
    """Return what each filter of the open lines holds and may pass."""
    filters = [index for index, _ in state.elements(Filter)]

    def column(name: str, missing: float = np.nan) -> Array:
        stated = [state.of(state.plan.elements[index], name) for index in filters]
        told = [state.full(missing if each is None else each) for each in stated]
        return np.stack(told, axis=1) if told else np.empty((state.variants, 0))

    beside = column("side_by_side")
    return Holding(
        filters=filters,
        capacity=column("dirt_capacity") * beside,
        keeps=column("retains"),
        life=column("life") * beside,
        passed=column("passed") * beside,
        loading=column("loading", 0.0),
    )


def lacking(state: State, part: Filter) -> tuple[str, ...]:
    """Return what is not stated of all that tells how fast a filter fills with solids."""
    turbidity: Any = state.plan.values.of("site", state.rig.site, "turbidity")
    told = {"turbidity of the site": turbidity, "dirt_capacity": part.dirt_capacity, "retains": part.retains}
    return tuple(name for name, value in told.items() if value is None)


def fill_volume(state: State) -> Array | None:
    """Return what all tanks hold when full that the mode leads water to, m³, shape (n,); None where it leads to none."""
    tanks = [name for name in state.deliveries if name in state.rig.tanks]
    if not tanks:
        return None
    return np.asarray(sum(state.full(brim_volume(state.rig, name, state.plan.values)) for name in tanks), np.float64)


def _rest(left: Array, rate: Array) -> Array:
    """Return how much is delivered until what is left is used up; infinite where nothing uses it."""
    return np.divide(np.maximum(left, 0.0), rate, out=np.full_like(rate, np.inf), where=rate > 0.0)


def _in_hand(lasts: Array, wanted: Array) -> Array:
    """Return what is left beyond what is wanted, over the larger of both; between -1 and 1."""
    known = np.where(np.isfinite(lasts), lasts, 0.0)
    return np.asarray((known - wanted) / np.maximum(np.maximum(known, wanted), 1e-30), np.float64)


def _wanted(state: State) -> Array:
    """Return what a filter is to last at least, m³: one fill of the tanks, else a day's use, else nothing."""
    fill, daily = fill_volume(state), state.plan.values.of("site", state.rig.site, "daily_use")
    if fill is not None:
        return fill
    return state.full(0.0 if daily is None else daily)


def _word(state: State, index: int, spans: tuple[Array, Array], lives: Array, row: int) -> tuple[Phrase, Phrase]:
    element = state.plan.elements[index]
    assert isinstance(element.part, Filter)
    least, most = (float(each[row]) for each in spans)
    name, stated_life = capital(state.named(element.address)), float(lives[row])
    missing = lacking(state, element.part)
    unsaid = f"; its solids are not counted, for {listed(missing)} {_is(missing)} not stated" if missing else ""
    if min(least, stated_life) <= _NOTHING:
        used_up = "at its end drop" if least <= _NOTHING else "past the litres that its maker states"
        return phrase(f"{name} is {used_up} now."), phrase("Change it, or flush it, before the next fill.")
    said = {"least": (min(least, stated_life), _VOLUME), "most": (min(most, stated_life), _VOLUME)}
    if not np.isfinite(least) or stated_life <= least:
        reason = phrase(
            f"{name} lasts for {{least}} more that arrive, by the life that its maker states{unsaid}.", **said
        )
    elif least == most:
        reason = phrase(f"{name} lasts for {{least}} more that arrive, until its end drop.", **said)
    else:
        reason = phrase(f"{name} lasts for {{least}} to {{most}} more that arrive, by what the water carries.", **said)
    return reason, phrase("Have a new element at hand, or one to flush it with, before the next fill.")


def _lasts(state: State) -> Iterator[Measure | Missing]:
    held, raw = holding_of(state), raw_solids(state)
    come = arriving(state, held.filters)
    wanted, used = _wanted(state), held.started(state, 1)  # under the law by which it holds most at what it is loaded
    delivered = np.where(state.delivered > 0.0, state.delivered, np.nan)
    for place, index in enumerate(held.filters):
        element = state.plan.elements[index]
        assert isinstance(element.part, Filter)
        through = come.flow[:, place] / delivered
        life = _rest(held.life[:, place] - held.passed[:, place], np.where(np.isnan(held.life[:, place]), 0.0, through))
        spans = (np.full(state.variants, np.inf),) * 2
        if raw is not None and not lacking(state, element.part):
            left = held.capacity[:, place] * (1.0 - used[:, place])
            caught = through * come.share[:, place] * held.keeps[:, place]
            spans = _rest(left, raw[2] * caught), _rest(left, raw[0] * caught)
        elif np.isnan(held.life[:, place]).all():
            yield _unknown(state, index)
            continue
        lasts = np.minimum(spans[0], life)
        yield Measure(
            place=element.address,
            value=lasts,
            limit=wanted,
            margin=_in_hand(lasts, wanted),
            word=partial(_told, state, index, spans, life, wanted),
            applies=(through > 0.0) & np.isfinite(lasts),
        )


def _told(
    state: State, index: int, spans: tuple[Array, Array], life: Array, wanted: Array, row: int
) -> tuple[Phrase, Phrase]:
    reason, advice = _word(state, index, spans, life, row)
    lasts = min(float(spans[0][row]), float(life[row]))
    return reason, advice if lasts < _IN_HAND * float(wanted[row]) else phrase("")


def _is(names: tuple[str, ...]) -> str:
    return "is" if len(names) == 1 else "are"


def _unknown(state: State, index: int) -> Missing:
    element = state.plan.elements[index]
    assert isinstance(element.part, Filter)
    missing = lacking(state, element.part)
    return Missing(
        place=element.address,
        needed=listed(missing),
        reason=f"How long it lasts cannot be told: neither its life nor {listed(missing)} {_is(missing)} stated.",
        advice="State the litres of its life, or what it holds and keeps back and how cloudy the water is.",
    )


_NOTHING: Final = 1e-7
"""m³; what passes no more than that passes nothing."""
_IN_HAND: Final = 2.0
"""Fills; a filter that lasts for fewer is close to its end. Our own choice."""

FILTER_LIFE: Final = Rule(
    name="filter life",
    doc="Each filter lasts for at least one more fill of the tanks, or a day's use where there are none, before it is full of"
    " solids or past its stated life.",
    formula="litres left >= one fill of the tanks, or a day's use; litres left = the lesser of life - passed and"
    " capacity left / (solids of the water x share kept back); under two fills is close",
    dimension=_VOLUME,
    source="the filter's dirt capacity and life; solids of the raw water by its turbidity, 1.5 mg/L for each NTU within 0.5"
    " to 3: common practice, no source",
    measure=_lasts,
    needs=("life of the filter", "or its dirt_capacity and retains", "with turbidity of the site"),
    close=1.0 - 1.0 / _IN_HAND,
    advisory=True,
)
