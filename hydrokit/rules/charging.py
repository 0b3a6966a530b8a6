"""Batteries charged in the cold: lithium iron phosphate is harmed by charging under 0 °C, though it may be drawn from."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.laws.battery import CHEMISTRIES
from hydrokit.rules.naming import capital
from hydrokit.rules.rule import Measure, Missing, Rule, margin_above

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = ["COLD_CHARGING"]

_IN_HAND: Final = 5.0
"""K; a battery less warm than that over its limit is close to it. Our own choice."""
_ICE: Final = 273.15


def _word(name: str, temperature: Array, limit: Array, row: int) -> tuple[Phrase, Phrase]:
    said = phrase(
        f"{capital(name)} is charged at {{temperature}}; under {{limit}} one of its kind must not be.",
        temperature=(temperature[row], Dimension.TEMPERATURE),
        limit=(limit[row], Dimension.TEMPERATURE),
    )
    if temperature[row] >= limit[row]:
        return said, phrase("")
    return said, phrase(
        "Keep it warm, or let its electronics shut out what comes in while it is cold, and count on no charge meanwhile."
    )


def _cold_charging(state: State) -> Iterator[Measure | Missing]:
    for name, battery in state.rig.batteries.items():
        place = f"batteries.{name}"
        coldest = 0.0 if battery.chemistry is None else CHEMISTRIES[battery.chemistry].coldest_charge
        power = state.plan.values.of(place, battery, "power_in")
        charged = state.full(0.0 if power is None else power) > 0.0
        if coldest <= 0.0 or not charged.any():
            continue
        temperature = state.plan.values.of(place, battery, "temperature")
        if temperature is None:
            yield Missing(
                place=place, needed="temperature of the battery, the coldest at which it is charged", applies=charged
            )
            continue
        warm, limit = state.full(temperature), state.full(coldest)
        yield Measure(
            place=place,
            value=warm,
            limit=limit,
            margin=margin_above(warm, limit),
            word=partial(_word, state.named(place), warm, limit),
            hand=np.full(state.variants, _IN_HAND / coldest),
            applies=charged,
        )


COLD_CHARGING: Final = Rule(
    name="charged in the cold",
    doc="A battery of lithium iron phosphate that something charges is not colder than 0 °C; less than 5 K over that is close.",
    formula="temperature >= 0 °C for lithium iron phosphate where power_in > 0",
    dimension=Dimension.TEMPERATURE,
    source="0 °C: data sheets of such cells, from memory; the battery's own data sheet rules",
    measure=_cold_charging,
    needs=("temperature of the battery, where power_in charges lithium iron phosphate",),
    close=_IN_HAND / _ICE,
)
