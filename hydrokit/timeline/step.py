"""One implicit step of time for the tanks of a rig: each stage is one network solve with the tanks as storage."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.network.repeating import straightened
from hydrokit.network.storage import Stage
from hydrokit.network.supplies import solve_fed
from hydrokit.timeline.arriving import arrivals
from hydrokit.timeline.method import COMPANION, ENDS, ROWS, SHARE, WEIGHTS

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network.ports import Index, Mask
    from hydrokit.network.storage import Storage

__all__ = ["Situation", "Step", "inflow_now", "step"]

_SWEEPS: Final = 40
_SETTLED: Final = 1e-9
_UNSEEN: Final = 1e-9
"""Share of a tank's volume within which a stage need not know what it holds."""
_SHUTS_TO: Final = 0.2
"""Share of its opening that a float valve keeps from one sweep to the next, lest it be tried shut."""
_PARTINGS: Final = 12
"""How often lines may be found to bring water into a dry tank, or no longer to."""
_STANDSTILL: Final = 1e-12
"""Flow in m³/s that changes from sweep to sweep are measured against where nothing larger is at work."""


@dataclass(frozen=True, slots=True)
class Situation:
    """What does not change during a step, with n variants, L lines, T tanks and P ports.

    ``shut`` lines (n, L) carry nothing; ``pinned`` tanks (n, T) are brim-full; ``dry`` ones stand at their lowest
    outlet; ``exposed`` ports (n, P) are out of the water.
    """

    shut: Mask
    pinned: Mask
    dry: Mask
    exposed: Mask

    def take(self, rows: Index) -> Situation:
        """Return the situation of some of the variants."""
        return Situation(*(getattr(self, item.name)[rows] for item in fields(self)))


@dataclass(frozen=True, slots=True)
class Step:
    """Where a step leads.

    ``volume`` (n, T) at its end; ``flows`` of the lines at its four points, (n, L) each; ``inflow`` (n, T) at its end;
    ``error`` (n, T) of the volumes, in m³, infinite where a stage has not settled; ``guess`` for the next solve.
    """

    volume: Array
    flows: tuple[Array, ...]
    inflow: Array
    error: Array
    guess: Array


def _repeated(storage: Storage, exposed: Mask, stage: Stage) -> tuple[Array, Mask]:
    """Return all flows of a stage, and which variants have settled; the same ports are exposed in every one.

    What falls in from above and how far floats are open follow from the flows, and these from them: by repetition. What
    falls in is tried next where a straight line through the last two tries would have it agree; of a float valve the
    solver is told the tangent.
    """
    tries = _Tries(storage, exposed, stage)
    flow, rows = stage.guess.copy(), np.arange(len(stage.base))
    settled = np.full(len(flow), not tries.felt)
    for _ in range(_SWEEPS):
        found = solve_fed(tries.storage.step_plan(exposed, tries.stage()))[1].flow
        flow[rows] = found
        if not tries.felt:
            break
        done = tries.agree(found)
        settled[rows[done]] = True
        left = np.flatnonzero(~done)
        if left.size == 0:
            break
        rows = rows[left]
        tries.go_on(found, left)
    return flow, settled


class _Tries:
    """What is tried for the inflow that falls into tanks, and for the net inflow of tanks with a float valve."""

    def __init__(self, storage: Storage, exposed: Mask, stage: Stage) -> None:
        self.storage, self.held = storage, stage
        self.falls = storage.falls(exposed)
        self.falls[:, storage.node < 0] = 0.0
        self.gaining = np.zeros(len(storage.tanks))
        self.gaining[storage.floats.tank] = 1.0
        self.felt = bool(self.falls.any() or self.gaining.any())
        self.tried = self.possible(self.told_by(stage.guess))
        self.least = storage.floats.opening(stage.base / storage.area)
        self.before: tuple[Array, Array] | None = None

    def stage(self) -> Stage:
        """Return the stage with what is tried next; a float valve shuts by no more than most of its way at once."""
        storage, held, floats = self.storage, self.held, self.storage.floats
        tanks = len(storage.tanks)
        if not floats.line.size:
            return replace(held, injected=self.tried[:, :tanks])
        inflow, level = self.tried[:, tanks:], held.base / storage.area
        self.least = _SHUTS_TO * self.least
        rise = held.share / storage.area[:, floats.tank]
        most = np.divide(
            floats.most_gain(self.least, level), rise, out=np.full(self.least.shape, np.inf), where=rise > 0.0
        )
        tame = np.minimum(inflow[:, floats.tank], np.where(self.least > 0.0, most, np.inf))
        through = np.maximum(held.guess[:, floats.line] + tame - inflow[:, floats.tank], 0.0)
        inflow[:, floats.tank] = tame
        openings = floats.opening((held.base + held.share * inflow) / storage.area)
        self.least = np.maximum(self.least, openings)
        return replace(held, injected=self.tried[:, :tanks], openings=openings, through=through)

    def told_by(self, flow: Array) -> Array:
        """Return what comes out of a try."""
        lines = flow[:, : self.storage.lines]
        return np.concatenate([lines @ self.falls, lines @ self.storage.into * self.gaining], axis=1)

    def possible(self, tried: Array) -> Array:
        """Return what may be tried: water falls into tanks from above, never out of them."""
        tanks = len(self.storage.tanks)
        return np.concatenate([np.maximum(tried[:, :tanks], 0.0), tried[:, tanks:]], axis=1)

    def agree(self, flow: Array) -> Mask:
        """Return in which variants what comes out is what was tried."""
        off = np.abs(self.told_by(flow) - self.tried)
        share, full = self.held.share, np.broadcast_to(self.storage.full, self.held.base.shape)
        unseen = np.divide(_UNSEEN * full, share, out=np.zeros(full.shape), where=share > 0.0)
        flowing = _SETTLED * np.maximum(np.abs(flow).max(axis=1, keepdims=True), _STANDSTILL)
        return np.asarray((off <= np.maximum(flowing, np.tile(unseen, 2))).all(axis=1))

    def go_on(self, flow: Array, left: Index) -> None:
        """Set what to try next in the variants that are left."""
        told = self.told_by(flow)
        off = told - self.tried
        before = None if self.gaining.any() else self.before
        tried = told if before is None else straightened(told, off, *before)
        self.before = (told[left], off[left])
        tried = self.possible(tried)
        self.tried, self.least, self.storage = tried[left], self.least[left], self.storage.take(left)
        self.held = replace(self.held.take(left), guess=flow[left])


def _stage(storage: Storage, situation: Situation, base: Array, share: Array, guess: Array) -> Stage:
    count, tanks = base.shape
    nothing, openings = np.zeros((count, tanks)), np.ones((count, storage.floats.line.size))
    return Stage(base, share, situation.shut, situation.pinned, situation.dry, nothing, openings, openings, guess)


def _implicit(
    storage: Storage, situation: Situation, base: Array, share: Array, guess: Array
) -> tuple[Array, Array, Mask]:
    """Return all flows and the net inflow (n, T) when each tank holds ``base`` plus ``share`` seconds of its inflow.

    The third result, (n,), is False where a stage has not settled: the step is too long. Which lines bring water into dry
    tanks, and so end at their level, is guessed at first, then told by the flows.
    """
    stage, exposed = _stage(storage, situation, base, share, guess), situation.exposed
    apart = arrivals(storage, stage, exposed, guess)
    flow, settled = _solved(storage, exposed | apart, stage)
    kept = np.zeros_like(apart)  # of those guessed at, only the ones by which water does come stay
    for _ in range(_PARTINGS):
        arriving = arrivals(storage, stage, exposed, flow, kept)
        rows = np.flatnonzero((arriving != apart).any(axis=1))
        if rows.size == 0:
            break
        apart[rows] = arriving[rows]
        kept, some = apart, replace(stage.take(rows), guess=flow[rows])
        flow[rows], settled[rows] = _solved(storage.take(rows), (exposed | apart)[rows], some)
    else:
        settled[rows] = False
    return flow, flow[:, : storage.lines] @ storage.into, settled


def _solved(storage: Storage, exposed: Mask, stage: Stage) -> tuple[Array, Mask]:
    """Return all flows of a stage, and which variants have settled; ``exposed`` are ports (n, P)."""
    if (exposed == exposed[:1]).all():
        return _repeated(storage, exposed[0], stage)
    flow, settled = np.empty_like(stage.guess), np.empty(len(exposed), np.bool_)
    patterns, pattern_of = np.unique(exposed, axis=0, return_inverse=True)
    for number, pattern in enumerate(patterns):
        rows = np.flatnonzero(pattern_of.reshape(-1) == number)
        flow[rows], settled[rows] = _repeated(storage.take(rows), pattern, stage.take(rows))
    return flow, settled


def inflow_now(storage: Storage, situation: Situation, volume: Array, guess: Array) -> tuple[Array, Array]:
    """Return all flows, storage lines included, and the net inflow (n, T), at this instant."""
    none = np.zeros((len(volume), 1))
    flow, inflow, _ = _implicit(storage, situation, volume, none, guess)
    return flow, inflow


def step(storage: Storage, situation: Situation, volume: Array, flow: Array, guess: Array, seconds: Array) -> Step:
    """Take one step of ``seconds`` (n, 1) from ``volume`` (n, T) at line flows ``flow`` (n, L)."""
    flows, inflows, tried = [flow], [flow @ storage.into], [guess]
    base, settled = volume, np.ones(len(volume), np.bool_)
    for place in (1, 2, 3):
        base = volume + seconds * sum(part * inflow for part, inflow in zip(ROWS[place], inflows, strict=True))
        ahead = _ahead(tried, place)
        all_flows, inflow, done = _implicit(storage, situation, base, SHARE * seconds, ahead)
        flows.append(all_flows[:, : storage.lines])
        inflows.append(inflow)
        tried.append(all_flows)
        settled &= done
    off = sum((one - other) * inflow for one, other, inflow in zip(WEIGHTS, COMPANION, inflows, strict=True))
    error = seconds * np.abs(off)
    error[~settled] = np.inf
    return Step(base + SHARE * seconds * inflows[-1], tuple(flows), inflows[-1], error, tried[-1])


def _ahead(tried: list[Array], place: int) -> Array:
    """Return a guess at the flows of a stage: on the straight line through the two points before it."""
    if place == 1:
        return tried[0]
    near, far = (place - 1, 0) if place == 2 else (2, 1)
    share = (ENDS[place] - ENDS[far]) / (ENDS[near] - ENDS[far])
    return tried[far] + share * (tried[near] - tried[far])
