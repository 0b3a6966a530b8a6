"""The course of filling or emptying: steps and events of every variant, volumes that close, and what passed where.

Volumes are the state. A step that would pass an event is cut to end on it: a tank that reaches its goal, its brim or
its lowest outlet, a line's end that the water covers or leaves. A brimming tank stays full and spills what more
arrives. What leaves one tank arrives in another, passes an outlet or is spilled, to the last digit, for all are sums of
the same flows.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.errors import SolverError
from hydrokit.timeline.events import Events, events_of, inflow_when_close
from hydrokit.timeline.legs import Legs
from hydrokit.timeline.marks import first_guess, soonest, to_mark
from hydrokit.timeline.method import WEIGHTS
from hydrokit.timeline.state import begin, by_rows
from hydrokit.timeline.step import Step, step

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.bounds import Array
    from hydrokit.network import Plan
    from hydrokit.network.ports import Index, Mask
    from hydrokit.network.storage import Storage
    from hydrokit.timeline.state import Run

    Progress = Callable[[float], None]
    Meter = Callable[[Plan, Array], Array]

__all__ = ["Course", "Task", "run"]

_TOLERANCE: Final = 1.5e-5
"""Greatest error of a step, as a share of the tank's volume."""
_TRIES: Final = 60
_STEPS: Final = 20_000
_STILL: Final = 1e-9
"""Share of a tank's volume that may still move in the time that is left for it to count as still."""
_STEEPEST: Final = 8.0
_BOLDER: Final = 0.7
"""Further cut at every try: the error of a step that spans a sudden change does not go with its cube."""
_STEADY: Final = 1e-3
"""Error over what is allowed below which inflows hardly change in a step."""
_WARY: Final = 1.5
"""By how much a step may be longer than one that had to be cut, for what made it err still lies ahead, or while an
outlet that passes on what arrives may at any moment carry no more of it."""
_FAR_OFF: Final = 100.0
"""Errors over what is allowed from which on a step is cut more boldly."""
_INSTANT: Final = 1e-7
"""Share of the time so far within which a joint that lacks water counts as lacking it at once."""
_MOMENT: Final = 1e-6
"""s; the same at the beginning."""
_TOWARDS_LACK: Final = 0.25
"""Share of a step to try next where a joint would lack water before its end."""
_NO_TIME: Final = 1e-300
"""s; a step that takes none, and that rates can still be divided by."""
_SHORTEST: Final = 1e-12
"""Share of the time so far below which a step is too short to be told apart from the next."""


@dataclass(frozen=True, slots=True)
class Task:
    """What to follow: until the goal volumes (n, T; NaN for none) are reached, nothing moves, or the time is up.

    ``order`` lists tanks, as indices, whose filling lines, ``fills`` (L, T), are opened one after the other; empty for
    all at once. A tank that has the share ``nearly`` (T,) of its
    goal counts as having reached it once its net inflow is under the share ``enough`` (T,) of the most since then; NaN
    for never. ``first`` ends a course at the first goal. ``meter`` turns the plan of the variants still
    followed and their line flows (n, L) into rates (n, M) that are summed over time, such as electrical power.
    """

    goal: Array
    time_limit: float
    order: tuple[int, ...] = ()
    fills: Mask | None = None
    nearly: Array | None = None
    enough: Array | None = None
    first: bool = False
    meter: Meter | None = None


@dataclass(frozen=True, slots=True)
class Course:
    """What happened in n variants; volumes in m³, times in s, infinite where a thing did not happen.

    ``reached`` (n, T) when each goal was reached and ``at_reach`` (n, T, T) the volumes of all tanks then, the same for
    ``brimmed``, when each tank first spilled; ``bared`` (n, T) when each fell to its lowest outlet; ``passed`` (n, L)
    what each line carried, ``spilled`` (n, T) what ran over, ``metered`` (n, M); ``lacking`` joints (n, J) could not be
    given what they ask for, which ended the course; ``flow`` (n, L) at the
    end and ``first_flow`` at the start. ``legs`` record the first variant.
    """

    tanks: tuple[str, ...]
    time: Array
    start_volume: Array
    volume: Array
    reached: Array
    at_reach: Array
    brimmed: Array
    at_brim: Array
    bared: Array
    passed: Array
    spilled: Array
    metered: Array
    lacking: Mask
    flow: Array
    first_flow: Array
    legs: Legs
    steps: int


@dataclass(slots=True)
class _Sums:
    """What is summed up and noted over the whole course, for every variant."""

    time: Array
    volume: Array
    flow: Array
    reached: Array
    at_reach: Array
    brimmed: Array
    at_brim: Array
    bared: Array
    passed: Array
    spilled: Array
    metered: Array
    lacking: Mask
    legs: Legs = field(default_factory=Legs)

    def note(self, now: Run, happened: Mask, when: Array, volumes: Array | None, ago: Array | None = None) -> None:
        """Write down the time, and all volumes, at which something first happened; ``ago`` (n, T) seconds before now."""
        first = happened & np.isinf(when[now.rows])
        if not first.any():
            return
        rows, tanks = np.nonzero(first)
        when[now.rows[rows], tanks] = now.time[rows] - (0.0 if ago is None else ago[rows, tanks])
        if volumes is not None:
            volumes[now.rows[rows], tanks] = now.volume[rows]

    def leave(self, now: Run, ended: Mask) -> None:
        """Write down how some variants ended."""
        rows = now.rows[ended]
        self.time[rows], self.volume[rows], self.flow[rows] = now.time[ended], now.volume[ended], now.flow[ended]
        self.lacking[rows] = now.lacking[ended]


def _empty_sums(now: Run, meters: int) -> _Sums:
    (count, tanks), lines = now.volume.shape, now.storage.lines
    volumes = np.repeat(now.volume[:, None, :], tanks, axis=1)
    return _Sums(
        time=np.zeros(count),
        volume=now.volume.copy(),
        flow=now.flow.copy(),
        reached=np.where(now.there, 0.0, np.inf),
        at_reach=volumes,
        brimmed=np.where(now.brimming, 0.0, np.inf),
        at_brim=volumes.copy(),
        bared=np.where(now.dry, 0.0, np.inf),
        passed=np.zeros((count, lines)),
        spilled=np.zeros((count, tanks)),
        metered=np.zeros((count, meters)),
        lacking=np.zeros_like(now.lacking),
    )


def _worst(now: Run, taken: Step) -> Array:
    """Return the error of a step over what is allowed, shape (n,)."""
    worst: Array = (np.where(now.brimming, 0.0, taken.error) / now.full).max(axis=1, initial=0.0) / _TOLERANCE
    return worst


def _scattered(whole: Step | None, found: Step, rows: Index, count: int) -> Step:
    """Return steps of all variants with those of some rows written in."""
    if whole is None:
        if len(rows) == count:
            return found

        def blank(part: Array) -> Array:
            return np.zeros((count, *part.shape[1:]))

        flows = tuple(blank(flow) for flow in found.flows)
        whole = Step(blank(found.volume), flows, blank(found.inflow), blank(found.error), blank(found.guess))
    for name in ("volume", "inflow", "error", "guess"):
        getattr(whole, name)[rows] = getattr(found, name)
    for mine, other in zip(whole.flows, found.flows, strict=True):
        mine[rows] = other
    return whole


def _step_of(now: Run) -> tuple[Array, ...]:
    """Return a step as a row of arrays."""
    taken = step(now.storage, now.situation(), now.volume, now.flow, now.guess, now.seconds[:, None])
    return taken.volume, taken.inflow, taken.error, taken.guess, *taken.flows


def _no_step(now: Run) -> tuple[Array, ...]:
    """Return a step that leads nowhere, and is none to keep."""
    flows = [now.flow.copy() for _ in WEIGHTS]  # copies all, for a shorter step is written into them
    return now.volume.copy(), now.inflow.copy(), np.full_like(now.volume, np.inf), now.guess.copy(), *flows


def _good_step(now: Run) -> tuple[Step, Mask]:
    """Return a step that every variant may keep, and which had to try shorter ones; ``now.seconds`` is what each took."""
    count = len(now.rows)
    pending, cut = np.arange(count), np.zeros(count, np.bool_)
    whole: Step | None = None
    for tried in range(_TRIES):
        part = now if len(pending) == count else now.take(pending)
        (volume, inflow, error, guess, *flows), lacks = by_rows(_step_of, _no_step, part)
        taken = Step(volume, tuple(flows), inflow, error, guess)
        at_once = lacks.any(axis=1) & (part.seconds <= np.maximum(_INSTANT * part.time, _MOMENT))
        worst = _worst(part, taken)
        erring = ~(worst <= 1.0) & ~at_once
        power = np.where(worst > _FAR_OFF, -0.5, -1.0 / 3.0)  # far too long a step errs less than its length would say
        pace = np.clip(0.9 * np.clip(worst, 1e-9, 1e9) ** power, 1e-4, 0.8) * _BOLDER**tried
        events = events_of(part, taken, again=tried > 0)
        again = erring | events.late
        pace = np.where(lacks.any(axis=1), _TOWARDS_LACK, pace)
        now.lacking[pending[at_once]], now.seconds[pending[at_once]] = lacks[at_once], _NO_TIME
        mislead = events.late & (tried == 0)  # what flows beyond a mark may be why it errs
        whole = _scattered(whole, taken, pending, count)
        now.seconds[pending[again]] *= np.where(erring & ~mislead, np.minimum(pace, events.share), events.share)[again]
        cut[pending[erring]] = True
        pending = pending[again]
        if pending.size == 0:
            return whole, cut
    raise SolverError("events in a tank follow each other too closely to be told apart")


def _accept(now: Run, sums: _Sums, taken: Step, events: Events, meter: Meter | None) -> None:
    """Move on to the end of a step, and add up what passed in it."""
    rows, seconds = now.rows, now.seconds[:, None]
    if rows[0] == 0:
        sums.legs.add(now, taken)
    came, speed = inflow_when_close(now, taken)
    now.close, now.most = now.close | came, np.where(came, speed, now.most)
    sums.spilled[rows] += np.where(now.brimming, taken.volume - now.volume, 0.0)
    for weight, flow in zip(WEIGHTS, taken.flows, strict=True):
        sums.passed[rows] += weight * seconds * flow
        if meter is not None:
            sums.metered[rows] += weight * seconds * meter(now.storage.plan, flow)
    now.volume = np.where(now.brimming, now.volume, taken.volume)
    now.time = now.time + now.seconds
    now.guess, now.inflow, now.flow = taken.guess, taken.inflow, taken.flows[-1]
    sums.note(now, events.goal, sums.reached, sums.at_reach, (1.0 - events.ended) * seconds)
    sums.note(now, events.brim, sums.brimmed, sums.at_brim)
    sums.note(now, events.bare, sums.bared, None)
    now.there = now.there | events.goal
    now.brimming = (now.brimming | events.brim) & ~events.ebb
    now.exposed = (now.exposed | events.dip) & ~events.cover
    now.dried = (now.dried | (events.dip & ~now.storage.ports.inward)) & ~events.cover
    now.dry = (now.dry | events.bare) & (now.volume <= now.storage.lowest + 2.0 * now.slack)
    now.advance_turn()


def _finished(now: Run, task: Task) -> Mask:
    wanted = np.isfinite(now.goal)
    there = wanted.any(axis=1) & (~wanted | now.there).all(axis=1)
    if task.first:
        there |= (wanted & now.there).any(axis=1)
    left = np.maximum(task.time_limit - now.time, 0.0)[:, None]
    passes_on = now.dry & (np.abs(now.net) <= now.ripple)
    still = (np.where(passes_on, 0.0, np.abs(now.net)) * left <= _STILL * now.full).all(axis=1)
    ended: Mask = there | still | now.lacking.any(axis=1) | (now.time >= task.time_limit * (1.0 - 1e-12))
    return ended


def _share_done(now: Run, start: Array, count: int) -> float:
    """Return how far all variants together have come, 0 to 1, by the volume still to go."""
    whole = np.abs(np.nan_to_num(now.goal - start[now.rows]))
    left = np.where(now.there, 0.0, np.abs(np.nan_to_num(now.goal - now.volume)))
    share = 1.0 - np.divide(left.sum(axis=1), whole.sum(axis=1), out=np.ones(len(left)), where=whole.sum(axis=1) > 0.0)
    return float((count - now.rows.size + np.clip(share, 0.0, 1.0).sum()) / count)


def run(storage: Storage, task: Task, *, progress: Progress | None = None) -> Course:
    """Follow every variant until its goals are reached, nothing moves any more, a joint runs dry, or the time is up.

    Raises
    ------
    SolverError
        If events follow each other too closely, or a network does not settle.
    """
    tanks, lines = len(storage.tanks), storage.lines
    fills = np.zeros((lines, tanks), np.bool_) if task.fills is None else task.fills
    never = np.full(tanks, np.nan)
    nearly, enough = (never if shares is None else shares for shares in (task.nearly, task.enough))
    now = begin(storage, task.goal, task.order, fills, nearly, enough)
    start, count = now.volume.copy(), len(now.rows)
    now.refresh()
    now.seconds = first_guess(now, _TOLERANCE)
    first_flow = now.flow.copy()
    sums = _empty_sums(now, 0 if task.meter is None else task.meter(storage.plan, now.flow).shape[1])
    steps = 0
    while True:
        ended = _finished(now, task)
        if ended.any():
            sums.leave(now, ended)
            now = now.take(np.flatnonzero(~ended))
        if progress is not None:
            progress(_share_done(now, start, count))
        if now.rows.size == 0:
            break
        steps += 1
        _advance(now, sums, task, steps)
    return Course(
        tanks=storage.tanks,
        start_volume=start,
        first_flow=first_flow,
        steps=steps,
        **{name: getattr(sums, name) for name in _Sums.__slots__},
    )


def _advance(now: Run, sums: _Sums, task: Task, steps: int) -> None:
    """Take one step with every variant, and see what it brings."""
    now.seconds = np.minimum(now.seconds, task.time_limit - now.time)
    taken, cut = _good_step(now)
    too_short = (now.seconds <= _SHORTEST * now.time) & ~now.lacking.any(axis=1)
    if steps > _STEPS or too_short.any():
        raise SolverError(f"the tanks change to and fro without end after {float(now.time.min()):.4g} s")
    events = events_of(now, taken)
    worst = _worst(now, taken)
    growth = np.clip(
        0.9 * np.maximum(worst, 1e-9) ** (-1.0 / 3.0), 0.3, np.where(cut | now.passes_on(), _WARY, _STEEPEST)
    )
    _accept(now, sums, taken, events, task.meter)
    longer = np.minimum(now.seconds * growth, to_mark(soonest(now), steady=worst < _STEADY))
    happened = events.happened
    if happened.any():
        now.refresh()
        sums.note(now, now.brimming, sums.brimmed, sums.at_brim)
        longer = np.where(happened, first_guess(now, _TOLERANCE), longer)
    while (left := now.faint(now.inflow)).any():  # what filled a tank has ended, or it came close within this very step
        sums.note(now, left, sums.reached, sums.at_reach)
        now.there = now.there | left
        now.advance_turn()
        now.refresh()
        longer = np.where(left.any(axis=1), first_guess(now, _TOLERANCE), longer)
    now.seconds = longer
