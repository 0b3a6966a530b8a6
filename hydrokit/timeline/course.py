"""The course of filling or emptying: steps and events of every variant, volumes that close, and what passed where.

Volumes are the state. A step that would pass an event is cut to end on it: a tank that reaches its goal or its brim,
an outlet that falls bare. A brimming tank stays full and spills what more arrives. What leaves one tank arrives in
another, passes an outlet or is spilled, to the last digit, for all are sums of the same flows.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.errors import SolverError
from hydrokit.timeline.state import Mask, Run, begin
from hydrokit.timeline.step import WEIGHTS, Step, step

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.bounds import Array
    from hydrokit.network.storage import Storage

    Progress = Callable[[float], None]
    Meter = Callable[[Array], Array]

__all__ = ["Course", "Task", "run"]

_TOLERANCE: Final = 2e-5
"""Greatest error of a step, as a share of the tank's volume."""
_ON_EVENT: Final = 1e-10
_TRIES: Final = 60
_STEPS: Final = 20_000
_STILL: Final = 1e-7
"""Share of a tank's volume per second below which nothing is said to move."""
_STEEPEST: Final = 8.0


@dataclass(frozen=True, slots=True)
class Task:
    """What to follow: until the goal volumes (n, T; NaN for none) are reached, nothing moves, or the time is up.

    ``order`` lists tanks, as indices, whose filling lines are opened one after the other; empty for all at once.
    ``meter`` turns line flows (n, L) into rates (n, M) that are summed over time, such as electrical power.
    """

    goal: Array
    time_limit: float
    order: tuple[int, ...] = ()
    meter: Meter | None = None


@dataclass(frozen=True, slots=True)
class Course:
    """What happened in n variants; volumes in m³, times in s, infinite where a thing did not happen.

    ``reached`` (n, T) when each goal was reached and ``at_reach`` (n, T, T) the volume of all tanks then; ``brimmed``
    (n, T) when each tank began to spill, ``bared`` (n, L) when each line's outlet fell bare; ``passed`` (n, L) what
    each line carried, ``spilled`` (n, T) what ran over, ``metered`` (n, M). ``times`` (k,), ``levels`` (k, T) and
    ``flows`` (k, L) record the first variant.
    """

    tanks: tuple[str, ...]
    time: Array
    start_volume: Array
    volume: Array
    reached: Array
    at_reach: Array
    brimmed: Array
    bared: Array
    passed: Array
    spilled: Array
    metered: Array
    times: Array
    levels: Array
    flows: Array
    steps: int


@dataclass(slots=True)
class _Sums:
    """What is summed up and noted over the whole course, for every variant."""

    reached: Array
    at_reach: Array
    brimmed: Array
    bared: Array
    passed: Array
    spilled: Array
    metered: Array
    times: list[float] = field(default_factory=list)
    levels: list[Array] = field(default_factory=list)
    flows: list[Array] = field(default_factory=list)

    def note(self, now: Run) -> None:
        """Record the first variant."""
        if now.rows.size and now.rows[0] == 0:
            self.times.append(float(now.time[0]))
            self.levels.append((now.volume / now.storage.area)[0])
            self.flows.append(now.flow[0].copy())


@dataclass(frozen=True, slots=True)
class _Events:
    """Share of the step at which the first thing happens, 1 where nothing does; and what happens by its end."""

    share: Array
    goal: Mask
    brim: Mask
    bare: Mask


def _share(before: Array, after: Array, mark: Array, crossed: Mask) -> Array:
    change = np.where(crossed, after - before, 1.0)
    share = np.where(crossed, np.clip((np.where(crossed, mark, 0.0) - before) / change, 0.0, 1.0), 1.0)
    first: Array = share.min(axis=1, initial=1.0)
    return first


def _events(now: Run, after: Array) -> _Events:
    full, before = now.full(), now.volume
    slack = _ON_EVENT * full
    wanted = np.isfinite(now.goal)
    goal = wanted & (after >= now.goal - slack) & (before < now.goal - slack)
    goal |= wanted & (after <= now.goal + slack) & (before > now.goal + slack)
    brim = ~now.brimming & (after >= full - slack) & (after > before)
    tank, mark = now.tank_of_line(), now.bare_volume()
    bare = ~now.bare & (after[:, tank] <= mark + slack[:, tank]) & (after[:, tank] < before[:, tank])
    share = np.minimum(_share(before, after, now.goal, goal), _share(before, after, full, brim))
    return _Events(np.minimum(share, _share(before[:, tank], after[:, tank], mark, bare)), goal, brim, bare)


def _attempt(now: Run) -> tuple[Step, Mask, Array]:
    """Take one step; say which variants may keep it, and by how much the others should cut it."""
    taken = step(now.storage, now.situation(), now.volume, now.flow, now.guess, now.seconds[:, None])
    full = now.full()
    after = np.where(now.brimming, now.volume, taken.volume)
    worst = (np.where(now.brimming, 0.0, taken.error) / full).max(axis=1, initial=0.0) / _TOLERANCE
    events = _events(now, after)
    beyond = (1.0 - events.share) * np.abs(after - now.volume).max(axis=1, initial=0.0)
    early = beyond > 2.0 * _ON_EVENT * full.max(axis=1, initial=0.0)
    erring = ~(worst <= 1.0)
    pace = 0.9 * np.clip(worst, 1e-9, 1e9) ** (-1.0 / 3.0)
    return taken, ~(erring | early), np.where(erring, np.clip(pace, 0.05, 0.8), events.share)


def _parts(taken: Step) -> tuple[Array, ...]:
    return taken.volume, *taken.flows, taken.inflow, taken.error, taken.guess


def _step_of(parts: list[Array]) -> Step:
    volume, first, middle, last, inflow, error, guess = parts
    return Step(volume, (first, middle, last), inflow, error, guess)


def _good_step(now: Run) -> tuple[Step, _Events]:
    """Return a step that every variant may keep; ``now.seconds`` becomes what each took."""
    count = len(now.rows)
    pending = np.arange(count)
    whole: list[Array] = []
    for _ in range(_TRIES):
        part = now if len(pending) == count else now.take(pending)
        taken, kept, factor = _attempt(part)
        whole = whole or [np.zeros((count, *found.shape[1:])) for found in _parts(taken)]
        for mine, found in zip(whole, _parts(taken), strict=True):
            mine[pending[kept]] = found[kept]
        now.seconds[pending[~kept]] *= factor[~kept]
        pending = pending[~kept]
        if pending.size == 0:
            good = _step_of(whole)
            return good, _events(now, np.where(now.brimming, now.volume, good.volume))
    raise SolverError("events in a tank follow each other too closely to be told apart")


def _accept(now: Run, sums: _Sums, taken: Step, events: _Events, meter: Meter | None) -> None:
    """Move on to the end of a step, and add up what passed in it."""
    rows, seconds = now.rows, now.seconds[:, None]
    gain = taken.volume - now.volume
    sums.spilled[rows] += np.where(now.brimming, gain, 0.0)
    for weight, flow in zip(WEIGHTS, taken.flows, strict=True):
        sums.passed[rows] += weight * seconds * flow
        if meter is not None:
            sums.metered[rows] += weight * seconds * meter(flow)
    now.volume = np.where(now.brimming, now.volume, taken.volume)
    now.time = now.time + now.seconds
    now.guess, now.inflow, now.flow = taken.guess, taken.inflow, taken.flows[2]
    over = events.brim & ~now.brimming
    sums.spilled[rows] += np.where(over, now.volume - now.full(), 0.0)
    now.volume = np.where(over, now.full(), now.volume)
    for mark, happened in ((sums.reached, events.goal), (sums.brimmed, over), (sums.bared, events.bare)):
        first = happened & np.isinf(mark[rows])
        mark[rows] = np.where(first, now.time[:, None], mark[rows])
    volumes = np.broadcast_to(now.volume[:, None, :], sums.at_reach[rows].shape)
    sums.at_reach[rows] = np.where(events.goal[:, :, None], volumes, sums.at_reach[rows])
    now.brimming, now.bare = now.brimming | over, now.bare | events.bare
    if now.order:
        turn = np.array([*now.order, -1])[np.minimum(now.turn, len(now.order))]
        now.turn = now.turn + ((turn >= 0) & events.goal[np.arange(len(rows)), np.maximum(turn, 0)])


def _finished(now: Run, sums: _Sums, task: Task) -> Mask:
    wanted = np.isfinite(now.goal)
    there = wanted.any(axis=1) & (~wanted | np.isfinite(sums.reached[now.rows])).all(axis=1)
    still = (np.abs(np.where(now.brimming, 0.0, now.inflow)) <= _STILL * now.full()).all(axis=1)
    ended: Mask = there | still | (now.time >= task.time_limit * (1.0 - 1e-12))
    return ended


def run(storage: Storage, task: Task, *, progress: Progress | None = None) -> Course:
    """Follow every variant until its goals are reached, nothing moves any more, or the time is up.

    Raises
    ------
    SolverError
        If events follow each other too closely, or a network does not settle.
    """
    count, tanks, lines = storage.plan.variants, len(storage.tanks), storage.lines
    now = begin(storage, task.goal, task.order)
    start = now.volume.copy()
    final, time = start.copy(), np.zeros(count)
    meters = 0 if task.meter is None else task.meter(np.zeros((1, lines))).shape[1]
    sums = _Sums(
        reached=np.where(np.abs(start - now.goal) <= _ON_EVENT * now.full(), 0.0, np.inf),
        at_reach=np.repeat(start[:, None, :], tanks, axis=1),
        brimmed=np.where(now.brimming, 0.0, np.inf),
        bared=np.where(now.bare, 0.0, np.inf),
        passed=np.zeros((count, lines)),
        spilled=np.zeros((count, tanks)),
        metered=np.zeros((count, meters)),
    )
    now.refresh()
    now.plan_step(task.time_limit)
    sums.note(now)
    steps = 0
    while now.rows.size:
        ended = _finished(now, sums, task)
        if ended.any():
            rows = now.rows[ended]
            final[rows], time[rows] = now.volume[ended], now.time[ended]
            now = now.take(np.flatnonzero(~ended))
            if progress is not None:
                progress(1.0 - now.rows.size / count)
            continue
        steps += 1
        if steps > _STEPS:
            raise SolverError(f"a course of filling did not end within {_STEPS} steps")
        now.seconds = np.minimum(now.seconds, np.maximum(task.time_limit - now.time, 1e-9))
        taken, events = _good_step(now)
        happened = events.goal.any(axis=1) | events.brim.any(axis=1) | events.bare.any(axis=1)
        grown = _growth(now, taken)
        _accept(now, sums, taken, events, task.meter)
        now.seconds = now.seconds * grown
        if happened.any() or now.bare.any() or now.brimming.any():
            now.refresh()
            longer = now.seconds
            now.plan_step(task.time_limit)
            now.seconds = np.where(happened, now.seconds, longer)
        sums.note(now)
    return Course(
        tanks=storage.tanks,
        time=time,
        start_volume=start,
        volume=final,
        reached=sums.reached,
        at_reach=sums.at_reach,
        brimmed=sums.brimmed,
        bared=sums.bared,
        passed=sums.passed,
        spilled=sums.spilled,
        metered=sums.metered,
        times=np.array(sums.times),
        levels=np.array(sums.levels).reshape(-1, tanks),
        flows=np.array(sums.flows).reshape(-1, lines),
        steps=steps,
    )


def _growth(now: Run, taken: Step) -> Array:
    """Return by how much the next step may be longer, from the error of this one."""
    worst = (np.where(now.brimming, 0.0, taken.error) / now.full()).max(axis=1, initial=0.0) / _TOLERANCE
    growth: Array = np.clip(0.9 * np.maximum(worst, 1e-9) ** (-1.0 / 3.0), 0.3, _STEEPEST)
    return growth
