"""Log reductions credited along every path, against those wanted."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.parts import Filter, Lamp, Outlet
from hydrokit.rig import GERMS, TIERS
from hydrokit.rules.credits import chlorinated, claims
from hydrokit.rules.naming import capital, listed
from hydrokit.rules.quality import quality_of
from hydrokit.rules.rule import Measure, Missing, Rule
from hydrokit.rules.ways import reached, treats_somewhere, ways_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = ["LOG_REDUCTION", "anything_claimed", "credited_logs", "judged_ends", "wanted_logs"]

_MOST: Final = 99.0
_DECIMALS: Final = 9  # so that logs turned into shares and back still meet what is wanted
_NEEDED: Final = "bacteria_logs, virus_logs and protozoa_logs of the barriers"


def wanted_logs(state: State) -> Array:
    """Return the log reductions wanted, shape (n, 3): those stated, else those of the tier."""
    targets = state.rig.targets
    stated = [state.plan.values.of("targets", targets, name) for name in GERMS]
    return np.stack(
        [
            state.full(targets.of_tier(germs) if value is None else value)
            for germs, value in zip(GERMS, stated, strict=True)
        ],
        axis=1,
    )


def credited_logs(state: State, name: str) -> Array:
    """Return the log reductions that the water of an end is credited with, shape (n, 3)."""
    passing = np.maximum(quality_of(state).waters[name].chlorinated, 10.0**-_MOST)
    return np.asarray(np.maximum(-np.log10(passing), 0.0).round(_DECIMALS), np.float64)


def judged_ends(state: State) -> list[str]:
    """Return the tanks and outlets that this mode fills with water that no barrier follows in any mode."""
    rig = state.rig
    ways = [way for name in rig.mode_names() for way in ways_of(state.plan, rig.mode(name)[1])]
    found = []
    for name in (*rig.tanks, *rig.outlets):
        beyond = reached({name}, [way for way in ways if way.end not in rig.sources])
        follows = any(way.start in beyond and way.treats for way in ways) and not isinstance(rig.ends()[name], Outlet)
        if not follows and (quality_of(state).gained(name) > 0.0).any():
            found.append(name)
    return found


def anything_claimed(state: State) -> bool:
    """Return whether any barrier states a claim or a dose, or chlorine is put into a tank."""
    parts = (element.part for element in state.plan.elements)
    barriers = any(isinstance(part, (Filter, Lamp)) and claims(part) for part in parts)
    return barriers or any(chlorinated(state, name) for name in state.rig.tanks)


def _of_other_variants(state: State, place: str, row: int) -> bool:
    """Return whether a credit is that of a tank which the mode fills in other variants alone."""
    if not place.startswith("tanks."):
        return False
    fills = quality_of(state).gained(place.partition(".")[2]) > 0.0
    return bool(fills.any() and not fills[row])


def _struck(state: State, name: str, row: int) -> list[str]:
    """Return what strikes out which credit, in words."""
    said = [
        f"the credit of {state.named(credit.place)} does not count: {' and '.join(reasons)}"
        for credit in quality_of(state).credits.values()
        if not _of_other_variants(state, credit.place, row)
        if np.nan_to_num(credit.claimed[row]).any() or credit.place.startswith("tanks.")
        if (reasons := [*credit.struck_by(row)])
    ]
    water = quality_of(state).waters[name]
    if (water.chlorine_lost[row] > 0.0).any():
        said.append("the contact of chlorine does not count behind carbon, which takes it out")
    return said


def _told(logs: Array) -> str:
    """Return log reductions of the three classes in words."""
    return listed(
        f"{'all' if value >= _MOST else f'{value:.3g} log'} of {germs}"
        for value, germs in zip(logs, GERMS, strict=True)
    )


def _source(state: State) -> str:
    targets = state.rig.targets
    stated = [name for name in GERMS if getattr(targets, name) is not None]
    if len(stated) == len(GERMS):
        return f"as stated for the rig{f' ({targets.note})' if targets.note else ''}"
    return f"{targets.tier} tier: {TIERS[targets.tier][1]}"


def _word(state: State, address: str, arrays: tuple[Array, Array, Array], row: int) -> tuple[Phrase, Phrase]:
    credited, wanted, unknown = (array[row] for array in arrays)
    text = f"What reaches {state.named(address)} is credited with {_told(credited)}; wanted are {_told(wanted)}"
    text += f" ({_source(state)})."
    struck = _struck(state, address.partition(".")[2], row)
    if struck:
        text += " " + capital("; ".join(struck)) + "."
    short = credited < wanted
    if not short.any():
        return phrase(_plain(text)), phrase("")
    if (short & (unknown > 0.0)).any():
        needed = [germs for germs, open_ in zip(GERMS, short & (unknown > 0.0), strict=True) if open_]
        text += f" What the barriers are worth against {listed(needed)} is not stated in full."
    advice = (
        "Bring the barriers inside their conditions, state what their makers or a test report claim, or add a barrier for"
        " the class that is short. A micron rating is no credit, and no credit replaces a test of the water."
    )
    return phrase(_plain(text)), phrase(advice)


def _plain(text: str) -> str:
    return text.replace("{", "(").replace("}", ")")  # notes of a rig are no gaps to fill


def _log_reduction(state: State) -> Iterator[Measure | Missing]:
    claimed = anything_claimed(state)
    if not claimed and not treats_somewhere(state.plan):
        return  # "no way round the barrier" says that there is none
    wanted, rig = wanted_logs(state), state.rig
    for name in judged_ends(state):
        address = f"{'tanks' if name in rig.tanks else 'outlets'}.{name}"
        if not claimed:
            yield Missing(
                place=address,
                needed=_NEEDED,
                reason="No barrier states what it is credited with, so nothing can be set against what is wanted"
                f" ({_source(state)}).",
                advice=f"State {_NEEDED}, from a test report. A micron rating is no credit.",
            )
            continue
        yield _judged(state, name, address, wanted)


def _judged(state: State, name: str, address: str, wanted: Array) -> Measure:
    credited, unknown = credited_logs(state, name), quality_of(state).waters[name].unknown
    short = (credited - wanted) / np.maximum(wanted, 1.0)
    worst = short.argmin(axis=1)[:, None]
    margin = np.take_along_axis(short, worst, axis=1)[:, 0]
    open_question = ((credited < wanted) & (unknown > 0.0)).any(axis=1)
    surely = ((credited < wanted) & ~(unknown > 0.0)).any(axis=1)
    return Measure(
        place=address,
        value=np.take_along_axis(credited, worst, axis=1)[:, 0],
        limit=np.take_along_axis(wanted, worst, axis=1)[:, 0],
        margin=np.where(open_question & ~surely, np.nan, margin),
        word=partial(_word, state, address, (credited, wanted, unknown)),
        applies=quality_of(state).gained(name) > 0.0,
    )


LOG_REDUCTION: Final = Rule(
    name="log reductions credited",
    doc="The water of every tank and outlet is credited with the log reductions wanted, of bacteria, viruses and protozoa:"
    " series add, waters that meet are weighed by their flow, and a claim counts only while every stated condition is met"
    " at the moment of the highest flow. A credit never says that water is safe.",
    formula="sum of the logs credited in series >= logs wanted, for each class of germs; waters that meet:"
    " -log10(sum(flow x 10^-logs) / sum(flow))",
    dimension=Dimension.NUMBER,
    source="claims of the makers; EPA 815-R-06-007 and 815-R-20-003 for lamps and chlorine; the tier named under targets",
    measure=_log_reduction,
    needs=(_NEEDED,),
    close=0.0,
)
