"""A filter put in front of those that the raw water meets first: an edit of the rig."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from hydrokit.bounds import Mistakes
from hydrokit.catalogue import part as generic
from hydrokit.errors import InputError
from hydrokit.parts import Filter
from hydrokit.studies.pumping.swaps import labelled

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.rig import Rig
    from hydrokit.rules import State

__all__ = ["chosen", "first_met", "in_front"]


def chosen(prefilter: str | Filter) -> tuple[str, Filter]:
    """Return a filter and what to call it: as given, else out of the catalogue by its name.

    Raises
    ------
    InputError
        If the catalogue has no such part, or it is no filter.
    """
    if isinstance(prefilter, Filter):
        return prefilter.name or "the filter given", prefilter
    try:
        found = generic(prefilter)
    except InputError as error:
        raise InputError([replace(each, place="prefilter") for each in error.mistakes]) from None
    if not isinstance(found, Filter):
        mistakes = Mistakes()
        mistakes.add("prefilter", f"{prefilter}, a {found.kind}", "a filter of the catalogue", "filter-pleated-20")
        mistakes.settle()
    assert isinstance(found, Filter)
    return prefilter, found


def first_met(state: State) -> tuple[str, ...]:
    """Return the addresses of the filters in use that raw water meets first, one for each line that has such."""
    lines = [*state.rig.lines.items()]
    flow = state.solution.flows.flow[0]
    own = {number: [label for label, part in zip(line.labels(), line.parts, strict=True) if isinstance(part, Filter)]
           for number, (_, line) in enumerate(lines)}  # fmt: skip

    def filtered(end: str, seen: frozenset[str] = frozenset()) -> bool:
        """Return whether some of the water that comes to an end has passed a filter."""
        if end in seen:
            return False
        into = [
            number
            for number, (_, line) in enumerate(lines)
            if line.end == end and (end in state.rig.tanks or (flow[number] > 0.0 and not state.closed[number]))
        ]
        return any(own[number] or filtered(lines[number][1].start, seen | {end}) for number in into)

    return tuple(
        f"lines.{name}.{own[number][0]}"
        for number, (name, line) in enumerate(lines)
        if own[number] and not state.closed[number] and flow[number] > 0.0 and not filtered(line.start)
    )


def in_front(state: State, places: Sequence[str], added: Filter) -> tuple[Rig, tuple[str, ...]]:
    """Return the rig with a filter just before each of some others, and the addresses of those put in.

    Every address stays as it was.

    Parameters
    ----------
    state : State
    places : sequence of str
        Addresses of the filters it goes before, one in a line.
    added : Filter
        Takes the height of the one it goes before.
    """
    lines, new = dict(state.rig.lines), []
    for place in places:
        _, name, label = place.split(".")
        parts = list(labelled(lines[name]))
        words = [part.name for part in parts]
        word = "prefilter"
        while word in words:
            word += "-"
        at = words.index(label)
        before = parts[at]
        parts.insert(at, replace(added, name=word, height=getattr(before, "height", None)))
        lines[name] = replace(lines[name], parts=tuple(parts))
        new.append(f"lines.{name}.{word}")
    return replace(state.rig, lines=lines), tuple(new)
