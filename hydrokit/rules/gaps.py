"""Air gaps: water fit to drink that fills a raw tank falls into it from so high that none can be sucked or pushed back."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.rules.rule import Measure, Missing, Rule, margin_above
from hydrokit.rules.sides import sides_of, supplies_of
from hydrokit.rules.ways import reached

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rig import Line
    from hydrokit.rules.sides import Sides
    from hydrokit.rules.state import State

__all__ = ["AIR_GAP", "gapped", "highest_water"]

_BORES: Final = 2.0
"""Bores of an air gap."""
_LEAST: Final = 0.020
"""m; an air gap is no less."""
_HAIR: Final = 1e-6
"""m; less is rounding."""


def gapped(state: State, sides: Sides) -> set[int]:
    """Return the numbers of the open lines that bring water fit to drink into raw tanks, and need an air gap.

    Those from a supply, or from a joint that it reaches without a tank between, however they enter; those from elsewhere
    where they fall in, for what enters under water is a way round or back. A line whose start raw water reaches by some
    other way as well is not among them: its end changes nothing.
    """
    rig, treated = state.rig, sides.treated - sides.raw
    supplied = reached(supplies_of(state), [way for way in state.ways if way.end not in rig.tanks])
    lines = [*rig.lines.values()]
    found = {
        way.line
        for way in state.ways
        if way.start == lines[way.line].start
        and not way.treats
        and way.end in {*rig.tanks} & (sides.raw - sides.treated)
        and (way.start in supplied or (way.start in treated and rig.falls_in(lines[way.line])))
    }
    raw = {*rig.sources} - supplies_of(state) | ({*rig.tanks} & sides.raw)
    elsewhere = reached(raw, [way for way in state.ways if not way.treats and way.line not in found])
    return {number for number in found if lines[number].start not in elsewhere}


def highest_water(state: State, name: str) -> Array:
    """Return the height to which water rises in a tank, m, shape (n,): the overflow's mouth, else the brim."""
    tank, address = state.rig.tanks[name], f"tanks.{name}"
    mouth, bore, floor, depth = (
        state.plan.values.of(address, tank, field) for field in ("overflow_height", "overflow_bore", "floor", "depth")
    )
    highest = state.full(np.asarray(floor, np.float64) + depth)
    if mouth is not None and bore is not None:
        highest = np.where(np.asarray(bore) > 0.0, mouth, highest)
    return state.full(highest)


def _lip(state: State, line: Line) -> Array | None:
    """Return the height at which a line ends in its tank, m, shape (n,); None where it ends above and how high is not stated."""
    tank, address = state.rig.tanks[line.end], f"tanks.{line.end}"
    floor, stated = (state.plan.values.of(address, tank, field) for field in ("floor", "inlet_height"))
    falls = state.rig.falls_in(line)
    if stated is not None and falls == (tank.inlet == "top"):
        return state.full(stated)
    return None if falls else state.full(floor)


def _bore_at_end(state: State, number: int) -> Array | None:
    """Return the bore of the last part of a line that has one, m, shape (n,)."""
    bores = (state.plan.elements[index].bore for index in reversed(state.own[number]))
    last = next((bore for bore in bores if bore is not None), None)
    return None if last is None else state.full(last)


def _word(state: State, name: str, gap: Array, needed: Array, row: int) -> tuple[Phrase, Phrase]:
    line = state.rig.lines[name]
    tank, start = state.named(f"tanks.{line.end}"), line.start
    asked = (needed[row], Dimension.LENGTH)
    advice = phrase(
        f"Let line {name} end {{needed}} or more above the highest water of {tank}; a non-return valve does not do instead.",
        needed=asked,
    )
    if gap[row] < 0.0:
        reason = phrase(
            f"Line {name} ends {{below}} under the highest water of {tank}: there is no air gap, where {{needed}} are needed"
            f" to keep raw water out of {start}.",
            below=(-gap[row], Dimension.LENGTH),
            needed=asked,
        )
        return reason, advice
    reason = phrase(
        f"Line {name} ends {{gap}} above the highest water of {tank}; the air gap that keeps raw water out of {start} is"
        " {needed}.",
        gap=(gap[row], Dimension.LENGTH),
        needed=asked,
    )
    return reason, phrase("") if gap[row] >= needed[row] else advice


def _air_gaps(state: State) -> Iterator[Measure | Missing]:
    for number in sorted(gapped(state, sides_of(state))):
        name = state.plan.layout.lines[number]
        line = state.rig.lines[name]
        lip, bore = _lip(state, line), _bore_at_end(state, number)
        if lip is None:
            usual = state.rig.tanks[line.end].inlet == "top"
            yield Missing(
                place=f"lines.{name}",
                needed=f"inlet_height of tank {line.end}",
                advice=""
                if usual
                else f'State inlet = "top" and inlet_height of tank {line.end}, and enters = "bottom" of lines under water.',
            )
        elif bore is None:
            yield Missing(place=f"lines.{name}", needed=f"bore of line {name} at its end")
        else:
            gap, needed = lip - highest_water(state, line.end), np.maximum(_BORES * bore, _LEAST)
            gap = np.where(np.abs(gap - needed) <= _HAIR, needed, gap)
            yield Measure(
                place=f"lines.{name}",
                value=gap,
                limit=needed,
                margin=margin_above(gap, needed),
                word=partial(_word, state, name, gap, needed),
                hand=np.zeros(state.variants),
            )


AIR_GAP: Final = Rule(
    name="air gap",
    doc="Water fit to drink that fills a tank of raw water falls into it from above, over an air gap.",
    formula="inlet_height - (overflow_height, else floor + depth) >= 2 bore, and 20 mm; bore at the end of the line",
    dimension=Dimension.LENGTH,
    source="EN 1717, air gaps AA and AB; ASME A112.1.2 asks for twice the opening as well, and 25 mm at least; from memory",
    measure=_air_gaps,
    needs=("inlet_height of the tank", "bore of the line at its end"),
)
