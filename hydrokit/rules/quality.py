"""What the water at every end of the lines is credited with: barriers found on the network, along every path.

The share of germs that passes goes with the water: along a line each credit thins it, where lines meet the waters mix in
proportion to their flow, and a tank keeps what the modes that fill it brought. So barriers in series add, and a small way
round rules over any barrier beside it. What chlorine did is carried apart, and struck out again where carbon follows.
"""

from __future__ import annotations

from collections import Counter, deque
from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.parts import Filter, Lamp, Source, Tank
from hydrokit.rig import GERMS
from hydrokit.rules.credits import Credit, barrier_credit, chlorinated, tank_credit
from hydrokit.rules.highest import at_highest_flow, at_highest_flow_in
from hydrokit.rules.state import made_once
from hydrokit.rules.ways import ways_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.bounds import Array
    from hydrokit.rules.rule import Mask
    from hydrokit.rules.state import State

__all__ = ["Quality", "Water", "quality_of"]

_RAW: Final = 1.0
_MOST_VISITS: Final = 200
"""How often the water of one end is looked at anew before it is taken as it is."""


@dataclass(frozen=True, slots=True)
class Water:
    """The water of one end or at the end of a line.

    ``passing`` is the share of germs left by the barriers, ``chlorinated`` that left by barriers and chlorine together, both
    of shape (n, 3); ``unknown`` (n, 3) is above 0 where a barrier on the way might count for more if more were stated;
    ``chlorine_lost`` (n, 3) where carbon took out chlorine that had counted;
    ``turbidity`` (n,) is the cloudiest that it may be, NTU, NaN where nothing is known.
    """

    passing: Array
    chlorinated: Array
    unknown: Array
    chlorine_lost: Array
    turbidity: Array

    def same_as(self, other: Water) -> bool:
        """Return whether two waters are the same to the last digit."""
        return all(
            np.array_equal(getattr(self, item.name), getattr(other, item.name), equal_nan=True) for item in fields(self)
        )

    def where(self, fresh: Mask, other: Water | None) -> Water:
        """Return another water in the variants (n,) in which there is fresh one, this water in the rest."""
        if other is None:
            return self
        both = ((getattr(other, item.name), getattr(self, item.name)) for item in fields(self))
        return Water(*(np.where(fresh[:, None] if new.ndim > 1 else fresh, new, old) for new, old in both))


def _mixed(streams: list[tuple[Array, Water]]) -> Water:
    """Return waters mixed in proportion to their flows; the cloudiest counts for all of it."""
    flow = np.stack([flow for flow, _ in streams])
    share = flow / np.where(flow.sum(axis=0) > 0.0, flow.sum(axis=0), 1.0)
    waters = [water for _, water in streams]

    still = (1.0 - share.sum(axis=0))[:, None]  # where nothing runs nothing is credited

    def mean(name: str) -> Array:
        return np.asarray((share[:, :, None] * np.stack([getattr(each, name) for each in waters])).sum(axis=0))

    running = [np.where(part > 0.0, each.turbidity, -np.inf) for part, each in zip(share, waters, strict=True)]
    cloudiest = np.max(running, axis=0)
    cloudiest = np.where(np.isinf(cloudiest), np.nan, cloudiest)
    return Water(
        mean("passing") + still, mean("chlorinated") + still, mean("unknown"), mean("chlorine_lost"), cloudiest
    )


class Quality:
    """What the water is credited with in one solved mode.

    Parameters
    ----------
    state : State
        At the moment of the highest flow.
    stored : callable
        Returns the water that a tank holds which this mode does not fill; None where no mode fills it.
    """

    def __init__(self, state: State, stored: Callable[[str], Water | None]) -> None:
        self.state, self.stored = state, stored
        self.lines = [*state.rig.lines.values()]
        self.flows = np.where(np.abs(state.solution.flows.flow) > 1e-9, state.solution.flows.flow, 0.0)
        self._credits: dict[str, Credit] = {}
        self._before: dict[int, Array] = {}
        self._stored: dict[str, Water] = {}

    @property
    def credits(self) -> dict[str, Credit]:
        """The credit of every barrier and chlorinated tank that the water has passed, by place.

        Those that it passed in another mode, on its way into a tank drawn from in this one, are among them.
        """
        return self._credits if self.waters else {}

    def take_over(self, other: Quality) -> None:
        """Take over what counted in another mode."""
        self._credits = {**other.credits, **self._credits}

    def credit_of(self, place: str) -> Credit | None:
        """Return the credit of a barrier or tank; None where the water of this mode has not passed it."""
        return self.credits.get(place)

    def turbidity_before(self, index: int) -> Array:
        """Return how cloudy the water may be that reaches a barrier, NTU, shape (n,)."""
        raw = self._raw("").turbidity
        return self._before.get(index, raw) if self.waters else raw

    def gained(self, name: str) -> Array:
        """Return all that runs into an end, m³/s, shape (n,)."""
        return self._sum(name, into=True)

    def given(self, name: str) -> Array:
        """Return all that runs out of an end, m³/s, shape (n,)."""
        return self._sum(name, into=False)

    def _sum(self, name: str, *, into: bool) -> Array:
        total = np.zeros(self.state.variants)
        for number, forward in self._arriving.get(name, ()):
            total = total + np.maximum(self.flows[:, number] * (1.0 if forward == into else -1.0), 0.0)
        return total

    @cached_property
    def waters(self) -> dict[str, Water]:
        """The water at every end."""
        found = {name: self._raw(name) for name in self.state.rig.ends()}
        visits = Counter[str]()
        waiting = deque(found)
        while waiting:
            name = waiting.popleft()
            visits[name] += 1
            water = self._arrived(name, found)
            if water.same_as(found[name]) or visits[name] > _MOST_VISITS:
                continue  # what runs in a circle only thins further: stopping early claims too little
            found[name] = water
            beyond = (self._other(number, name) for number, _ in self._arriving.get(name, ()))
            waiting.extend(end for end in beyond if end not in waiting)
        return found

    @cached_property
    def _arriving(self) -> dict[str, list[tuple[int, bool]]]:
        """The lines that meet each end, and whether water that runs forward in them arrives there."""
        found: dict[str, list[tuple[int, bool]]] = {}
        for number, line in enumerate(self.lines):
            found.setdefault(line.end, []).append((number, True))
            found.setdefault(line.start, []).append((number, False))
        return found

    def _other(self, number: int, name: str) -> str:
        line = self.lines[number]
        return line.end if line.start == name else line.start

    def _raw(self, name: str) -> Water:
        state, end = self.state, self.state.rig.ends().get(name)
        passing = np.full((state.variants, len(GERMS)), _RAW)
        if isinstance(end, Source) and end.treated:
            passing = 0.0 * passing
        cloudy = state.plan.values.of("site", state.rig.site, "turbidity")
        return Water(passing, passing, 0.0 * passing, 0.0 * passing, state.full(np.nan if cloudy is None else cloudy))

    def _arrived(self, name: str, waters: dict[str, Water]) -> Water:
        """Return the water of an end, given that of all others."""
        end = self.state.rig.ends()[name]
        if isinstance(end, Source):
            return waters[name]
        streams = []
        for number, forward in self._arriving.get(name, ()):
            flow, line = self.flows[:, number], self.lines[number]
            if forward and (flow > 0.0).any():
                streams.append((np.maximum(flow, 0.0), self.through(number, waters[line.start])))
            if not forward and (flow < 0.0).any():
                streams.append((np.maximum(-flow, 0.0), waters[line.end]))  # backward no barrier counts
        fresh = _mixed(streams) if streams else None
        if not isinstance(end, Tank):
            return waters[name] if fresh is None else fresh
        if fresh is not None and chlorinated(self.state, name):
            fresh = self._chlorinated(name, fresh)
        fills = self.gained(name) > 0.0
        return fresh if fresh is not None and fills.all() else self._held(name).where(fills, fresh)

    def _held(self, name: str) -> Water:
        """Return the water that a tank holds which this mode does not fill: raw where no other mode fills it either."""
        if name not in self._stored:
            held = self.stored(name)
            self._stored[name] = self._raw(name) if held is None else held
        return self._stored[name]

    def _chlorinated(self, name: str, water: Water) -> Water:
        credit = tank_credit(self.state, name, water.turbidity, self.gained(name), self.given(name))
        self._credits[credit.place] = credit
        left = water.passing * 10.0**-credit.counted
        return replace(water, chlorinated=left, unknown=np.maximum(water.unknown, credit.unknown))

    def through(self, number: int, water: Water) -> Water:
        """Return what water becomes along a line, run from its start to its end."""
        state = self.state
        passing, chlorine = water.passing, water.chlorinated
        unknown, lost, turbidity = water.unknown, water.chlorine_lost, water.turbidity
        for index in state.own[number]:
            element = state.plan.elements[index]
            if not isinstance(element.part, (Filter, Lamp)):
                continue
            credit = barrier_credit(state, index, turbidity)
            self._credits[credit.place], self._before[index] = credit, turbidity
            if _might_claim(element.part):
                unknown = np.maximum(unknown, credit.unknown)
            left = 10.0**-credit.counted
            if isinstance(element.part, Filter):
                if element.part.medium == "carbon":
                    lost = np.maximum(lost, np.asarray(chlorine < passing, np.float64))
                    chlorine = passing  # carbon takes the chlorine out
                after: Any = state.of(element, "turbidity_after")
                turbidity = turbidity if after is None else np.fmin(turbidity, after)
            passing, chlorine = passing * left, chlorine * left
        return Water(passing, chlorine, unknown, lost, turbidity)


def _worst(waters: list[Water]) -> Water:
    """Return the worst that a tank may hold, of what several modes bring."""
    return Water(
        *(
            np.asarray(np.maximum.reduce([getattr(water, item.name) for water in waters]), np.float64)
            for item in fields(Water)
        )
    )


@made_once
def quality_of(state: State) -> Quality:
    """Return what the water is credited with in a state's mode, at the moment of the highest flow."""
    return _quality_in(state, state.plan.mode, ())


def _quality_in(state: State, mode: str, seen: tuple[str, ...]) -> Quality:
    """Return what the water is credited with in a mode.

    ``seen`` are modes that are being looked at already: what fills a tank from itself brings nothing new.
    """
    highest = at_highest_flow(state) if mode == state.plan.mode else at_highest_flow_in(state, mode)
    others = [name for name in state.rig.mode_names() if name not in (*seen, mode)]

    def stored(tank: str) -> Water | None:
        filling = [
            name for name in others if any(way.end == tank for way in ways_of(state.plan, state.rig.mode(name)[1]))
        ]
        qualities = [_quality_in(state, name, (*seen, mode)) for name in filling]
        waters = [quality.waters[tank] for quality in qualities if (quality.gained(tank) > 0.0).any()]
        for quality in qualities:
            made.take_over(quality)
        return _worst(waters) if waters else None

    made = Quality(highest, stored)
    return made


def _might_claim(part: Filter | Lamp) -> bool:
    """Return whether a barrier that states no claim may still be one: sediment and carbon elements are not."""
    claimed = any(getattr(part, name) is not None for name in ("bacteria_logs", "virus_logs", "protozoa_logs"))
    return claimed or isinstance(part, Lamp) or part.medium in {"membrane", "ceramic"}
