"""Which ways water could take in a mode, whatever the heads: lines that are open, and whether they let water back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hydrokit.parts import Filter, Lamp

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hydrokit.network import Plan
    from hydrokit.rig import Line, Mode

__all__ = ["Way", "blocked_by", "elements_by_line", "levelled", "reached", "treats_somewhere", "ways_of"]


@dataclass(frozen=True, slots=True)
class Way:
    """One sense in which water could pass an open line; ``treats`` where it passes a barrier on it."""

    start: str
    end: str
    line: int
    treats: bool


def elements_by_line(plan: Plan) -> list[list[int]]:
    """Return the indices of each line's elements, in order."""
    found: list[list[int]] = [[] for _ in plan.layout.lines]
    for index, line in enumerate(plan.element_line.tolist()):
        found[line].append(index)
    return found


def _only_out(plan: Plan, line: Line) -> bool:
    """Return whether water leaves a line at its end but never enters it there: into the air, or falling into a tank."""
    return line.end in plan.rig.outlets or plan.rig.falls_in(line)


def _lets_back(plan: Plan, line: int, elements: Iterable[int]) -> bool:
    """Return whether nothing keeps water from running through a line backward."""
    own = plan.rig.lines[plan.layout.lines[line]]
    return not (_only_out(plan, own) or any(plan.elements[index].one_way for index in elements))


def blocked_by(plan: Plan, mode: Mode, elements: Iterable[int]) -> str:
    """Return the address of the pump that a mode stops and that then blocks a line; empty where there is none."""
    off = set(mode.off)
    for index in elements:
        element = plan.elements[index]
        if element.address in off and getattr(element.part, "displacement", False):
            return element.address
    return ""


def _treats(plan: Plan, elements: Iterable[int]) -> bool:
    parts = (plan.elements[index].part for index in elements)
    return any(
        isinstance(part, Lamp) or (isinstance(part, Filter) and part.medium in {"membrane", "ceramic"})
        for part in parts
    )


def ways_of(plan: Plan, mode: Mode) -> list[Way]:
    """Return every way that water could take in a mode of the plan's rig, not only in the mode that was solved."""
    ways = []
    shut = set(mode.closed)
    for number, (own, (name, line)) in enumerate(zip(elements_by_line(plan), plan.rig.lines.items(), strict=True)):
        if f"lines.{name}" in shut or blocked_by(plan, mode, own):
            continue
        treats = _treats(plan, own)
        ways.append(Way(line.start, line.end, number, treats))
        if _lets_back(plan, number, own):
            ways.append(Way(line.end, line.start, number, treats))
    return ways


def reached(starts: Iterable[str], ways: Iterable[Way]) -> set[str]:
    """Return the starts and every end to which some of the ways lead from them."""
    onward: dict[str, list[str]] = {}
    for way in ways:
        onward.setdefault(way.start, []).append(way.end)
    found = set(starts)
    waiting = list(found)
    while waiting:
        for end in onward.get(waiting.pop(), ()):
            if end not in found:
                found.add(end)
                waiting.append(end)
    return found


def levelled(tanks: Iterable[str], ways: Iterable[Way]) -> list[set[str]]:
    """Return the tanks between which water can run to and fro, those together that level with each other."""
    every, onward = {*tanks}, [*ways]
    beyond = {name: reached({name}, onward) & every for name in every}
    found = [{other for other in there if name in beyond[other]} for name, there in beyond.items()]
    return [group for at, group in enumerate(found) if len(group) > 1 and group not in found[:at]]


def treats_somewhere(plan: Plan) -> bool:
    """Return whether in any mode water goes a way on which something treats it."""
    return any(way.treats for name in plan.rig.mode_names() for way in ways_of(plan, plan.rig.mode(name)[1]))
