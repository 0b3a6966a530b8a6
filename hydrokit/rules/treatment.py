"""What reaches each barrier against what it is rated for: flow, cloudiness, time in the medium, clarity, age; chlorine."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.laws.disinfection import TABLE_LOGS
from hydrokit.parts import Filter, Lamp
from hydrokit.rules.credits import chlorinated, media_contact, rated_flow
from hydrokit.rules.highest import at_highest_flow
from hydrokit.rules.naming import capital
from hydrokit.rules.quality import quality_of
from hydrokit.rules.reductions import wanted_logs
from hydrokit.rules.rule import Measure, Missing, Rule, margin_above, margin_below

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = ["CHLORINE_CONTACT", "CLOUDINESS", "LAMP_AGE", "LAMP_CLARITY", "MEDIA_CONTACT", "RATED_FLOW"]


def _flow_word(name: str, flow: Array, limit: Array, row: int) -> tuple[Phrase, Phrase]:
    said = phrase(
        f"{capital(name)} passes up to {{flow}}, rated for {{limit}}.",
        flow=(flow[row], Dimension.FLOW),
        limit=(limit[row], Dimension.FLOW),
    )
    if flow[row] <= limit[row]:
        return said, phrase("")
    return said, phrase("Throttle the flow, fit two side by side, or take a larger one.")


def _rated_flow(state: State) -> Iterator[Measure | Missing]:
    for index, element in state.elements(Filter, Lamp):
        flow, rating = np.abs(at_highest_flow(state).flow_at(index)), rated_flow(state, element)
        if rating is None:
            yield Missing(place=element.address, needed="rated_flow of the filter or lamp")
            continue
        limit = state.full(rating)
        yield Measure(
            place=element.address,
            value=flow,
            limit=limit,
            margin=margin_below(flow, limit),
            word=partial(_flow_word, state.named(element.address), flow, limit),
        )


RATED_FLOW: Final = Rule(
    name="filter flow",
    doc="No filter or lamp passes more than it is rated for, at the moment of the highest flow: pipe full, filters new, water"
    " as warm and high as its tolerance allows.",
    formula="greatest flow through the part <= rated_flow x side_by_side",
    dimension=Dimension.FLOW,
    source="the part's rating",
    measure=_rated_flow,
    needs=("rated_flow of the filter or lamp",),
    close=0.0,
)


def _limit_word(
    text: str, advice: str, dimension: Dimension, arrays: tuple[Array, Array, Array], row: int
) -> tuple[Phrase, Phrase]:
    value, limit, margin = (array[row] for array in arrays)
    said = phrase(capital(text), value=(value, dimension), limit=(limit, dimension))
    return said, phrase("" if margin >= 0.0 else advice)


def _limited(
    place: str, value: Array, limit: Array, margin: Array, said: tuple[str, str], dimension: Dimension
) -> Measure:
    word = partial(_limit_word, *said, dimension, (value, limit, margin))
    return Measure(place=place, value=value, limit=limit, margin=margin, word=word)


def _cloudiness(state: State) -> Iterator[Measure | Missing]:
    highest = at_highest_flow(state)
    for index, element in state.elements(Filter, Lamp):
        greatest = state.of(element, "greatest_turbidity")
        if greatest is None:
            continue
        if state.plan.values.of("site", state.rig.site, "turbidity") is None:
            yield Missing(place=element.address, needed="turbidity of the site")
            continue
        value, limit = quality_of(state).turbidity_before(index), highest.full(greatest)
        text = f"the water that reaches {state.named(element.address)} may have {{value}}, rated for {{limit}}."
        advice = "Let the water settle, fit a finer stage before it, or wait for clearer water."
        judged = _limited(
            element.address, value, limit, margin_below(value, limit), (text, advice), Dimension.TURBIDITY
        )
        yield replace(judged, applies=~state.stands_still(highest.flow_at(index)))


def _media_contact(state: State) -> Iterator[Measure | Missing]:
    for index, element in state.elements(Filter):
        wanted = state.of(element, "contact_time")
        if wanted is None:
            continue
        time = media_contact(state, element, at_highest_flow(state).flow_at(index))
        if time is None:
            yield Missing(place=element.address, needed="medium_volume of the filter")
            continue
        limit = state.full(wanted)
        text = (
            f"water stays {{value}} in the medium of {state.named(element.address)}, at least {{limit}} is asked for."
        )
        advice = "Throttle the flow, fit two side by side, or take a larger one."
        yield _limited(element.address, time, limit, margin_above(time, limit), (text, advice), Dimension.TIME)


def _lamp_clarity(state: State) -> Iterator[Measure | Missing]:
    for _, element in state.elements(Lamp):
        least = state.of(element, "rated_transmittance")
        clear = state.plan.values.of("site", state.rig.site, "transmittance")
        if least is None or clear is None:
            needed = "rated_transmittance of the lamp" if least is None else "transmittance of the site"
            yield Missing(place=element.address, needed=needed)
            continue
        value, limit = state.full(clear), state.full(least)
        text = f"1 cm of the water lets {{value}} of the light of {state.named(element.address)} through, rated for {{limit}}."
        advice = "Take clearer water, or carbon before the lamp; brown water starves a lamp, and the eye cannot tell."
        yield _limited(element.address, value, limit, margin_above(value, limit), (text, advice), Dimension.FRACTION)


def _lamp_age(state: State) -> Iterator[Measure | Missing]:
    for _, element in state.elements(Lamp):
        life = state.of(element, "life")
        if life is None:
            yield Missing(place=element.address, needed="life of the lamp")
            continue
        value, limit = state.full(state.of(element, "age")), state.full(life)
        text = f"{state.named(element.address)} has burnt {{value}} of the {{limit}} that it is rated for."
        advice = "Fit a new lamp: past its life it still glows, and is credited with nothing."
        yield _limited(element.address, value, limit, margin_below(value, limit), (text, advice), Dimension.TIME)


def _chlorine_word(name: str, arrays: tuple[Array, Array, Array], row: int) -> tuple[Phrase, Phrase]:
    value, limit, margin = (float(array[row]) for array in arrays)
    said = (
        f"The chlorine in {name} is credited with {value:.3g} log of viruses and of bacteria, and nothing against"
        f" Cryptosporidium; {limit:.3g} log of viruses are wanted."
    )
    advice = "Wait longer or dose more, in clear water, or leave the rest to another barrier; test for free chlorine."
    return phrase(said), phrase("" if margin >= 0.0 else advice)


def _chlorine_contact(state: State) -> Iterator[Measure | Missing]:
    for name in state.rig.tanks:
        credit = quality_of(state).credit_of(f"tanks.{name}") if chlorinated(state, name) else None
        if credit is None:
            continue
        unjudged = [condition.said for condition in credit.conditions if condition.met is None]
        if unjudged:
            reason = f"The contact of its chlorine cannot be judged: {'; '.join(unjudged)}."
            yield Missing(place=credit.place, needed="ph of the site", reason=reason, advice="State it, measured.")
            continue
        value = credit.counted[:, 1]
        limit = np.minimum(wanted_logs(state)[:, 1], TABLE_LOGS["virus"])
        margin = margin_above(value, limit)
        yield Measure(
            place=credit.place,
            value=value,
            limit=limit,
            margin=margin,
            word=partial(_chlorine_word, state.named(credit.place), (value, limit, margin)),
            applies=fills if (fills := quality_of(state).gained(name) > 0.0).any() else None,
        )


CLOUDINESS: Final = Rule(
    name="cloudiness of the feed",
    doc="The water that reaches a barrier is no cloudier than it is rated for.",
    formula="turbidity before the barrier <= greatest_turbidity",
    dimension=Dimension.TURBIDITY,
    source="the part's rating",
    measure=_cloudiness,
    needs=("turbidity of the site",),
    close=0.0,
)

MEDIA_CONTACT: Final = Rule(
    name="time in the medium",
    doc="Water stays in carbon or another medium as long as its maker asks, at the moment of the highest flow.",
    formula="medium_volume x side_by_side / greatest flow >= contact_time",
    dimension=Dimension.TIME,
    source="the part's rating; empty-bed contact time, common practice, no source",
    measure=_media_contact,
    needs=("medium_volume of the filter",),
    close=0.0,
)

LAMP_CLARITY: Final = Rule(
    name="clarity for the lamp",
    doc="The water lets through at least as much of the lamp's light as it is rated for.",
    formula="transmittance of the site >= rated_transmittance of the lamp",
    dimension=Dimension.FRACTION,
    source="the part's rating; EPA 815-R-06-007, in spirit: a credit holds for the conditions of the validation alone",
    measure=_lamp_clarity,
    needs=("rated_transmittance of the lamp", "transmittance of the site"),
    close=0.0,
)

LAMP_AGE: Final = Rule(
    name="age of the lamp",
    doc="A lamp is not past the life that it is rated for.",
    formula="age <= life",
    dimension=Dimension.TIME,
    source="the part's rating",
    measure=_lamp_age,
    needs=("life of the lamp",),
)

CHLORINE_CONTACT: Final = Rule(
    name="chlorine contact",
    doc="The chlorine in a tank alone reaches the log reduction of viruses that is wanted, up to where the tables end.",
    formula="logs credited for Ct = free chlorine left x wait >= logs wanted, at most 4 of viruses",
    dimension=Dimension.NUMBER,
    source="US EPA 815-R-20-003, tables B-1 and B-2, entered conservatively; clear water only",
    measure=_chlorine_contact,
    needs=("ph of the site",),
    close=0.0,
    advisory=True,
)
