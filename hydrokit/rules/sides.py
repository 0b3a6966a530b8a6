"""Which ends of a rig raw water reaches and which treated water does.

Which side an end lies on follows from the barriers that water passes on its way there, over all modes of the rig: a tank
that one mode fills through a membrane holds treated water in the mode that draws from it. A tank that raw water fills and
that water leaves through a barrier only stays raw when a supply tops it up.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hydrokit.rules.ways import reached, ways_of

if TYPE_CHECKING:
    from hydrokit.rules.state import State
    from hydrokit.rules.ways import Way

__all__ = ["Sides", "sides_of", "supplies_of"]


@dataclass(frozen=True, slots=True)
class Sides:
    """The ends that raw water can reach, and those that treated water can."""

    raw: set[str]
    treated: set[str]


def supplies_of(state: State) -> set[str]:
    """Return the sources whose water is fit to drink."""
    return {name for name, source in state.rig.sources.items() if source.treated}


def sides_of(state: State) -> Sides:
    """Return what raw and treated water can reach in the mode that was solved."""
    stored, before = _stored(state)
    return _sides(state, state.ways, stored, before)


def _sides(state: State, ways: list[Way], stored: Sides, before: set[str]) -> Sides:
    """Return what raw and treated water reaches in a mode, given what tanks hold, and which are raw by design."""
    sources, supplies = state.rig.sources, supplies_of(state)
    raw = reached(({*sources} - supplies) | stored.raw, [way for way in ways if not way.treats])
    clean = supplies | stored.treated
    behind = {way.end for way in ways if way.treats and way.start in raw | clean}
    onward = [way for way in ways if way.end not in sources]  # treated water in a pond is pond water
    supplied = reached(supplies, [way for way in onward if way.end not in before])
    return Sides(raw, supplied | reached(stored.treated | behind - {*sources}, onward))


def _before_barriers(state: State, modes: list[list[Way]]) -> set[str]:
    """Return the tanks that raw water fills and that water leaves through a barrier only, by the ways of all modes."""
    tanks, filled = {*state.rig.tanks}, {*state.rig.sources} - supplies_of(state)
    untreated = [[way for way in ways if not way.treats] for ways in modes]
    while True:
        more = filled | {end for ways in untreated for end in reached(filled, ways) & tanks}
        if more == filled:
            break
        filled = more
    barriers = {way.start for ways in modes for way in ways if way.treats}

    def only_through(name: str) -> bool:
        onward = reached({name}, [way for ways in untreated for way in ways])
        return bool(onward & barriers) and not onward & {*state.rig.outlets}

    return {name for name in filled & tanks if only_through(name)}


def _filled(state: State, modes: list[list[Way]], found: Sides, before: set[str]) -> Sides:
    """Return which tanks the ways of all modes fill with raw and with treated water, given what they hold already."""
    tanks = {*state.rig.tanks}
    while True:
        sides = [_sides(state, ways, found, before) for ways in modes]
        raw, treated = (
            set[str]().union(*(getattr(side, word) for side in sides)) & tanks for word in ("raw", "treated")
        )
        if (raw, treated) == (found.raw, found.treated):
            return found
        found = Sides(raw, treated)


def _stored(state: State) -> tuple[Sides, set[str]]:
    """Return which tanks hold raw water and which hold treated, over all modes, and which are raw by design.

    A tank holds what the lines that are drawn into it bring; only one into which none is drawn, such as the second of a
    pair that level out, holds what comes by any way. A tank that both can reach is a fault of the mode that lets raw
    water in; elsewhere it counts as treated.
    """
    lines = [*state.rig.lines.values()]
    modes = [ways_of(state.plan, state.rig.mode(name)[1]) for name in state.rig.mode_names()]
    forward = [[way for way in ways if way.start == lines[way.line].start] for ways in modes]
    before = _before_barriers(state, forward)
    first = _filled(state, forward, Sides(set(), set()), before)
    known = first.raw | first.treated
    later = _filled(state, modes, first, before)
    raw, treated = first.raw | (later.raw - known), first.treated | (later.treated - known)
    return Sides(raw - treated, treated), before
