"""Raw water kept from treated.

Whether the two can meet is judged for the mode at hand; where a line of treated water ends over a raw tank, by its air gap.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.rules.gaps import gapped, highest_water
from hydrokit.rules.rule import Measure, Missing, Rule, in_words
from hydrokit.rules.sides import sides_of, supplies_of
from hydrokit.rules.ways import treats_somewhere

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = ["RAW_APART", "TREATED_APART"]

_HAIR: Final = 1e-6
"""m; less is rounding."""
_NO_BARRIER: Final = "a barrier that treats: a membrane, a ceramic or a lamp"


def _binary(state: State, place: str, *, good: bool, reason: str, advice: str) -> Measure:
    said = (phrase(reason), phrase("" if good else advice))
    return in_words(state, place, 1.0 if good else -1.0, partial(_said, said))


def _said(said: tuple[Phrase, Phrase], _row: int) -> tuple[Phrase, Phrase]:
    return said


def _addresses(state: State, names: set[str]) -> Iterator[tuple[str, str]]:
    """Yield name and address of the tanks and outlets among some ends that this mode's open lines meet."""
    met = {way.end for way in state.ways} | {way.start for way in state.ways}
    for group in ("tanks", "outlets"):
        for name in getattr(state.rig, group):
            if name in names & met:
                yield name, f"{group}.{name}"


def _raw_apart(state: State) -> Iterator[Measure | Missing]:
    sides = sides_of(state)
    for _, address in _addresses(state, sides.raw - sides.treated):
        if not treats_somewhere(state.plan):
            yield Missing(
                place=address,
                needed=_NO_BARRIER,
                reason="No membrane, ceramic or lamp stands in its way: nothing tells raw water from treated.",
                advice="If the water is to be drunk, fit a barrier, or treat it in the tank.",
            )
    yield from _supplies_apart(state, sides.raw)
    for name, address in _addresses(state, sides.treated):
        around = name in sides.raw
        yield _binary(
            state,
            address,
            good=not around,
            reason=f"Raw water can reach {state.named(address)} round the barrier."
            if around
            else f"Water comes to {state.named(address)} through a barrier only.",
            advice="Take the way round out, or close it with a valve that cannot be left open by mistake.",
        )


def _supplies_apart(state: State, raw: set[str]) -> Iterator[Measure]:
    """Yield the supplies of water fit to drink into which nothing keeps raw water from running back."""
    for name in sorted(supplies_of(state) & raw):
        supply = state.named(f"sources.{name}")
        yield _binary(
            state,
            f"sources.{name}",
            good=False,
            reason=f"Raw water can run back into {supply}, whose water is fit to drink.",
            advice="Take water from it over an air gap only (EN 1717 or the local code).",
        )


def _drowned_by(state: State, number: int) -> Array:
    """Return by how much water in a full tank stands above the inlet through which a line falls in, m; 0 where it cannot.

    That is where the inlet's height is stated, nothing on the line works one way, and the water rises to the overflow's
    mouth, else to the brim.
    """
    name = state.plan.layout.lines[number]
    line = state.rig.lines[name]
    one_way = any(state.plan.elements[index].one_way for index in state.own[number])
    if one_way or not state.rig.falls_in(line):
        return state.full(0.0)
    tank, address = state.rig.tanks[line.end], f"tanks.{line.end}"
    lip = state.plan.values.of(address, tank, "inlet_height")
    if lip is None or tank.inlet != "top":
        return state.full(0.0)
    below = highest_water(state, line.end) - state.full(lip)
    return np.where(below > _HAIR, below, 0.0)


def _back_word(state: State, name: str, drowned: Array | None, row: int) -> tuple[Phrase, Phrase]:
    if drowned is None:
        return phrase(
            f"Nothing in line {name} stops water from running back from the treated side to the raw."
        ), phrase("Fit a non-return valve in that line, or let it end above the water of the tank.")
    if drowned[row] <= 0.0:
        return phrase(f"Water cannot run back through line {name} from the treated side to the raw."), phrase("")
    tank = state.named(f"tanks.{state.rig.lines[name].end}")
    return phrase(
        f"The inlet of line {name} lies {{below}} under the water of {tank} when that is full: what draws on the line then"
        " draws the tank's water back through it.",
        below=(drowned[row], Dimension.LENGTH),
    ), phrase(
        "Let it end above the overflow by 20 mm or twice its bore, whichever is more (EN 1717), or fit a non-return valve in"
        " that line."
    )


def _treated_apart(state: State) -> Iterator[Measure]:
    sides = sides_of(state)
    treated, over_a_gap = sides.treated - sides.raw, gapped(state, sides)
    for number, (name, line) in enumerate(state.rig.lines.items()):
        if number in over_a_gap:
            continue
        ways = [way for way in state.ways if way.line == number]
        back = any(way.start in treated and way.end in sides.raw for way in ways)
        barrier = any(way.treats for way in ways) and line.start in sides.raw
        if not (back or barrier):
            continue
        drowned = _drowned_by(state, number)
        yield in_words(
            state,
            f"lines.{name}",
            np.where(back | (drowned > 0.0), -1.0, 1.0),
            partial(_back_word, state, name, None if back else drowned),
        )


RAW_APART: Final = Rule(
    name="no way round the barrier",
    doc="No open line lets raw water reach a tank or outlet of treated water without passing a barrier.",
    formula="yes or no, over every way that open lines leave to the water, in all modes",
    dimension=Dimension.NUMBER,
    source="common practice, no source; local drinking-water codes rule",
    measure=_raw_apart,
    needs=(_NO_BARRIER,),
)

TREATED_APART: Final = Rule(
    name="no way back",
    doc="Treated water cannot run back to the raw side, through a barrier or beside it; nor does the inlet of a"
    " barrier's line lie under the water of the tank that it falls into.",
    formula="yes or no, over every way that open lines leave to the water, in all modes; inlet_height >= overflow_height,"
    " else floor + depth, unless the line works one way",
    dimension=Dimension.NUMBER,
    source="EN 1717 and local backflow codes, in spirit; common practice, no source",
    measure=_treated_apart,
)
