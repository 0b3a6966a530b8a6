"""What the tanks of a rig do in a mode: which are filled, which are drawn from, and where they start."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.bounds import Mistakes, nearest, require
from hydrokit.network.storage import storage_of
from hydrokit.parts import Pump
from hydrokit.studies.facts.trust import tanks_told
from hydrokit.timeline import Task, run
from hydrokit.timeline.state import ON_EVENT

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from hydrokit.bounds import Array
    from hydrokit.network import Plan
    from hydrokit.network.ports import Mask
    from hydrokit.network.storage import Storage
    from hydrokit.timeline import Course

__all__ = ["MONTH", "Tanks", "asks", "draws", "tanks_of"]

MONTH: Final = 30.0 * 86_400.0
"""s; after so long a course is given up, where nothing else is asked for."""
NEARLY_FULL: Final = 0.98
"""Share of a float valve's shut level at which its tank counts as full, and of its goal at which a levelling tank may."""
FAINT: Final = 0.01
"""Share of its largest inflow at which a tank behind a float valve counts as full."""
LEVELLED: Final = 0.1
"""Share of the inflow it had when nearly full at which a tank counts as full: two brims of one height would else level for
ever. These three are our own choice."""


@dataclass(frozen=True, slots=True)
class Tanks:
    """The tanks of a plan: ``filled`` are the ones that open lines lead to, ``fills`` (L, T) marks the lines that do."""

    plan: Plan
    storage: Storage
    filled: tuple[str, ...]
    fills: Mask
    assumed: tuple[str, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """All tanks, in the order of the arrays."""
        return self.storage.tanks

    def bare(self) -> tuple[str, ...]:
        """Return the tanks that water is drawn from and that stand at their lowest outlet or below at the start."""
        storage = self.storage
        low: Mask = np.asarray(
            (storage.start_level * storage.area <= storage.lowest + ON_EVENT * storage.full).any(axis=0)
        )
        return tuple(name for name, stands_low in zip(self.names, low, strict=True) if stands_low)

    def volumes(self, levels: Mapping[str, float], place: str) -> Array:
        """Return the volumes (1, T) at stated depths of water; NaN where none is stated.

        Raises
        ------
        InputError
            If there is no such tank or it is not so deep; every mistake at once.
        """
        mistakes = Mistakes()
        volume = np.full((len(self.storage.area), len(self.names)), np.nan)
        for name, level in levels.items():
            if name not in self.names:
                mistakes.add(
                    f"{place}.{name}", "no such tank", f"one of {', '.join(self.names)}", nearest(name, self.names)
                )
                continue
            at = self.names.index(name)
            require(f"{place}.{name}", level, 0.0, float(self.storage.depth[:, at].min()), "m")
            volume[:, at] = level * self.storage.area[:, at]
        mistakes.settle()
        return volume

    def nearly(self, goal: Array) -> tuple[Array, Array]:
        """Return the share of its goal that a tank must hold, and of its inflow to be left, to count as full; (T,) each.

        Any share will do behind a float valve. A tank whose inflow does not depend on its level fills to the last drop,
        and none that is to be emptied counts.
        """
        storage, at_float = self.storage, self.storage.floats.tank
        held, left = np.where(storage.node >= 0, NEARLY_FULL, np.nan), np.full(len(self.names), LEVELLED)
        held[at_float], left[at_float] = 0.0, FAINT
        rises = (goal > storage.start_level * storage.area).all(axis=0)
        return np.where(rises, held, np.nan), left

    def follow(
        self,
        goal: Array,
        *,
        time_limit: float,
        order: Sequence[str] = (),
        first: bool = False,
        meter: Callable[[Plan, Array], Array] | None = None,
        progress: Callable[[float], None] | None = None,
    ) -> Course:
        """Return the course until the goal volumes are reached, nothing moves or the time is up."""
        held, left = self.nearly(goal)
        task = Task(
            goal=goal,
            time_limit=time_limit,
            order=tuple(self.names.index(name) for name in order),
            fills=self.fills,
            nearly=held,
            enough=left,
            first=first,
            meter=meter,
        )
        return run(self.storage, task, progress=progress)

    def _levelled_with_floats(self) -> Array:
        """Return the volumes (n, T) at which tanks count as full that are filled by levelling with others alone.

        Where every line that fills those others has a float valve, that is when they stand as high as it lets them; NaN
        elsewhere.
        """
        storage, rig = self.storage, self.plan.rig
        goal = np.full((self.plan.variants, len(self.names)), np.nan)
        at_float = {int(tank): place for place, tank in enumerate(storage.floats.tank)}
        fed = {place for place in range(len(self.names)) if self.fills[:, place].any()}
        if not at_float or not fed <= at_float.keys():
            return goal
        shut = storage.floor[:, storage.floats.tank] + storage.floats.shut_level
        highest = shut.max(axis=1, keepdims=True)
        for name in self.filled:
            place = list(rig.tanks).index(name)
            if place not in fed:
                level = NEARLY_FULL * np.maximum(highest - storage.floor[:, place : place + 1], 0.0)
                goal[:, place] = (level * storage.area[:, place : place + 1])[:, 0]
        return goal

    def full_volumes(self) -> Array:
        """Return the volumes (n, T) at which the tanks to be filled count as full, NaN for the others.

        One that starts above counts as full from the start.
        """
        storage = self.storage
        goal = np.array(np.broadcast_to(storage.full, (self.plan.variants, len(self.names))))
        for place, tank in enumerate(storage.floats.tank):
            shut = NEARLY_FULL * storage.floats.shut_level[:, place] * storage.area[:, tank]
            goal[:, tank] = np.minimum(goal[:, tank], shut)
        goal = np.fmin(goal, self._levelled_with_floats())
        others = [place for place, name in enumerate(self.names) if name not in self.filled]
        goal[:, others] = np.nan
        return np.maximum(goal, storage.start_level * storage.area)


def _lines(plan: Plan) -> tuple[Mask, Mask, Mask]:
    """Return which lines are open, which have a pump in them, and which let water both ways; each (L,)."""
    may_go = np.asarray((plan.ends.high > 0.0).any(axis=0))
    may_return = np.asarray((plan.ends.low < 0.0).any(axis=0))
    pumped = np.zeros(len(may_go), np.bool_)
    for line, element in zip(plan.element_line, plan.elements, strict=True):
        pumped[line] |= isinstance(element.part, Pump)
    return may_go | may_return, pumped, may_go & may_return


def _balances(plan: Plan) -> Mask:
    """Return which lines (L,) are open between two tanks, without a pump, for water to go either way."""
    _, pumped, both_ways = _lines(plan)
    lines = plan.rig.lines.values()
    joins = np.array([line.start in plan.rig.tanks and line.end in plan.rig.tanks for line in lines])
    return joins & both_ways & ~pumped


def _filled(plan: Plan) -> tuple[str, ...]:
    """Return the tanks that open lines lead to, and those that level with them through a balance line."""
    rig, (open_lines, _, _), balances = plan.rig, _lines(plan), _balances(plan)
    lines = list(rig.lines.values())
    found = {
        line.end
        for place, line in enumerate(lines)
        if line.end in rig.tanks and open_lines[place] and not balances[place]
    }
    pairs = [(line.start, line.end) for place, line in enumerate(lines) if balances[place]]
    for _ in range(len(rig.tanks)):
        found |= {name for pair in pairs if found & set(pair) for name in pair}
    found = found or {end for _, end in pairs}
    return tuple(name for name in rig.tanks if name in found)


def _below_brim(storage: Storage, name: str) -> bool:
    """Return whether an overflow lets a tank fill less far than to its depth in any variant."""
    values, place = storage.plan.values, storage.tanks.index(name)
    depth = values.of(f"tanks.{name}", storage.plan.rig.tanks[name], "depth")
    return bool(np.any(storage.depth[:, place] < depth))


def tanks_of(plan: Plan, *, all_full: bool = False) -> Tanks:
    """Return the tanks of a plan built with ``levels_apart``.

    Those to be filled start empty where no level is stated, the others full; with ``all_full`` all start full.
    """
    rig, filled = plan.rig, _filled(plan)
    shares = {name: 0.0 if name in filled and not all_full else 1.0 for name in rig.tanks}
    balances, open_lines = _balances(plan), _lines(plan)[0]
    fills = np.zeros((len(rig.lines), len(rig.tanks)), np.bool_)
    met: set[str] = set()
    for number, line in enumerate(rig.lines.values()):
        met |= {line.start, line.end} if open_lines[number] else set()
        if line.end in rig.tanks and open_lines[number] and not balances[number]:
            fills[number, list(rig.tanks).index(line.end)] = True
    unstated = [
        name for name in rig.tanks if name in met and plan.values.of(f"tanks.{name}", rig.tanks[name], "level") is None
    ]
    told = [
        text
        for word, start in (("empty", 0.0), ("full", 1.0))
        for text in tanks_told(
            [name for name in unstated if shares[name] == start], (f"starts {word}", f"start {word}")
        )
    ]
    storage = storage_of(plan, shares)
    low = [name for name in rig.tanks if name in met and _below_brim(storage, name)]
    told += tanks_told(
        low,
        (
            "fills up to its overflow, which carries all that arrives",
            "fill up to their overflows, which carry all that arrives",
        ),
    )
    return Tanks(plan, storage, filled, fills, tuple(told))


def draws(tanks: Tanks, flow: Array) -> bool:
    """Return whether line flows (L,) take water from a tank and let it out of an outlet."""
    rig = tanks.plan.rig
    out = sum(flow[place] for place, line in enumerate(rig.lines.values()) if line.end in rig.outlets)
    return bool(out > 0.0 and (flow @ tanks.storage.into < 0.0).any())


def asks(tanks: Tanks, flow: Array) -> bool:
    """Return whether line flows (L,) take water from a tank in a rig of which a joint asks for water."""
    asked = (tanks.plan.ends.demand > 0.0).any()
    return bool(asked and (flow @ tanks.storage.into < 0.0).any())
