"""Frost: what holds water, and whether it is drained or taken out."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.parts import Filter, Lamp, Pump
from hydrokit.rules.naming import capital
from hydrokit.rules.rule import Measure, Missing, Rule, in_words

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.rules.state import State

__all__ = ["FROST"]


def _word(name: str, drains: bool, fine: bool, _row: int) -> tuple[Phrase, Phrase]:  # noqa: FBT001
    if drains:
        return phrase(f"{capital(name)} is drained or taken out before frost."), phrase("")
    if fine:
        return (
            phrase(f"Water stays in {name} when the rig is drained; a membrane or ceramic that froze is scrap."),
            phrase(
                "Take it out and keep it above freezing. The damage cannot be seen: where it may have frozen, replace it."
            ),
        )
    return (
        phrase(
            f"Water stays in {name} when the rig is drained, and splits it when it freezes: ice takes 9 % more room."
        ),
        phrase("Fit a drain at its lowest point, or take it out before frost."),
    )


def _frost(state: State) -> Iterator[Measure | Missing]:
    for _, element in state.elements(Filter, Lamp, Pump):
        part = element.part
        assert isinstance(part, (Filter, Lamp, Pump))
        if part.drains is None:
            yield Missing(
                place=element.address,
                needed="drains of the part, true or false",
                reason="Nobody says whether water can be drained from it before frost.",
                advice="State drains = true, or false where water stays in it.",
            )
            continue
        fine = isinstance(part, Filter) and part.medium in {"membrane", "ceramic"}
        yield in_words(
            state,
            element.address,
            1.0 if part.drains else -1.0,
            partial(_word, state.named(element.address), part.drains, fine),
        )


FROST: Final = Rule(
    name="drained for frost",
    doc="Filters, lamps and pumps are drained or taken out before frost.",
    formula="yes or no: drains of the part is true",
    dimension=Dimension.NUMBER,
    source="common practice, no source",
    measure=_frost,
    needs=("drains of the part, true or false",),
    advisory=True,
)
