r"""One implicit step of time for the tanks of a rig (TR-BDF2).

A trapezoidal stage to :math:`t + \gamma \Delta t` and a second-order backward stage to :math:`t + \Delta t`, with
:math:`\gamma = 2 - \sqrt 2`, so that both have the same share of the step in their own inflow: second order, and it
damps the stiff levelling of two tanks through a short balance line [bank]_ [hosea]_. Each stage is one network solve
with the tanks as storage.

References
----------
.. [bank] Bank, R. E. et al., Transient simulation of silicon devices and circuits, IEEE Trans. Electron Devices 32
   (1985), 1992-2007.
.. [hosea] Hosea, M. E. and Shampine, L. F., Analysis and implementation of TR-BDF2, Applied Numerical Mathematics 20
   (1996), 21-37; error estimate from there.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.network.newton import solve_flows
from hydrokit.network.storage import Stage

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network.ports import Index, Mask
    from hydrokit.network.storage import Storage

__all__ = ["MIDDLE", "WEIGHTS", "Situation", "Step", "inflow_now", "step"]

MIDDLE: Final = 2.0 - np.sqrt(2.0)
"""Share of the step at which its middle stage ends."""
_SHARE: Final = 0.5 * MIDDLE
_FIRST: Final = np.sqrt(2.0) / 4.0
WEIGHTS: Final = (_FIRST, _FIRST, _SHARE)
"""Shares of the step that the flows at its start, its middle stage and its end stand for; they sum to 1."""
_THIRD_ORDER: Final = ((1.0 - _FIRST) / 3.0, (3.0 * _FIRST + 1.0) / 3.0, _SHARE / 3.0)
"""The same for an answer one order better, to tell the error by."""

_SWEEPS: Final = 40
_SETTLED: Final = 1e-11
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

    ``volume`` (n, T) at its end; ``flows`` of the lines at its three points, (n, L) each; ``inflow`` (n, T) at its end;
    ``error`` (n, T) of the volumes, in m³, infinite where a stage has not settled; ``guess`` for the next solve.
    """

    volume: Array
    flows: tuple[Array, Array, Array]
    inflow: Array
    error: Array
    guess: Array


def _repeated(storage: Storage, exposed: Mask, stage: Stage, first: Array) -> tuple[Array, Mask]:
    """Return all flows of a stage, and which variants have settled; the same ports are exposed in every one.

    What falls in from above and how far floats are open follow from the flows, and these from them: by repetition, each
    time stepping to where a straight line through the last two tries would have them agree.
    """
    falls, floats = storage.falls(exposed), storage.floats
    felt = bool(floats.line.size) or bool(falls[:, storage.node >= 0].any())
    flow = stage.guess.copy()
    tried = np.concatenate([first, stage.guess[:, : storage.lines] @ falls], axis=1)
    settled = np.full(len(flow), not felt)
    rows = np.arange(len(flow))
    tanks = len(storage.tanks)
    before: tuple[Array, Array] | None = None
    for _ in range(_SWEEPS):
        inflow, injected = tried[:, :tanks], tried[:, tanks:]
        openings = floats.opening((stage.base + stage.share * inflow) / storage.area)
        stage = replace(stage, injected=injected, openings=openings)
        found = solve_flows(storage.step_plan(exposed, stage)).flow
        flow[rows] = found
        if not felt:
            break
        lines = found[:, : storage.lines]
        told = np.concatenate([lines @ storage.into, lines @ falls], axis=1)
        off = told - tried
        done = np.abs(off).max(axis=1) <= _SETTLED * np.maximum(np.abs(found).max(axis=1), _STANDSTILL)
        settled[rows[done]] = True
        left = np.flatnonzero(~done)
        if left.size == 0:
            break
        tried = told if before is None else _straightened(told, off, *before)
        before = (told[left], off[left])
        rows, tried, storage = rows[left], tried[left], storage.take(left)
        stage = replace(stage.take(left), guess=found[left])
        floats = storage.floats
    return flow, settled


def _straightened(told: Array, off: Array, told_before: Array, off_before: Array) -> Array:
    """Return where a straight line through two tries has what is tried agree with what comes out."""
    change = off - off_before
    size = (change * change).sum(axis=1, keepdims=True)
    share = np.divide((change * off).sum(axis=1, keepdims=True), size, out=np.zeros_like(size), where=size > 0.0)
    straight: Array = told - np.clip(share, -2.0, 2.0) * (told - told_before)
    return straight


def _implicit(
    storage: Storage, situation: Situation, base: Array, share: Array, guess: Array, first: Array
) -> tuple[Array, Array, Mask]:
    """Return all flows and the net inflow (n, T) when each tank holds ``base`` plus ``share`` seconds of its inflow.

    ``first`` is the net inflow to begin with. The third result, (n,), is False where a stage has not settled: the step
    is too long.
    """
    count, tanks = base.shape
    nothing, openings = np.zeros((count, tanks)), np.ones((count, storage.floats.line.size))
    stage = Stage(base, share, situation.shut, situation.pinned, situation.dry, nothing, openings, guess)
    exposed = situation.exposed
    if (exposed == exposed[:1]).all():
        flow, settled = _repeated(storage, exposed[0], stage, first)
    else:
        flow, settled = np.empty_like(guess), np.empty(count, np.bool_)
        patterns, pattern_of = np.unique(exposed, axis=0, return_inverse=True)
        for number, pattern in enumerate(patterns):
            rows = np.flatnonzero(pattern_of.reshape(-1) == number)
            flow[rows], settled[rows] = _repeated(storage.take(rows), pattern, stage.take(rows), first[rows])
    return flow, flow[:, : storage.lines] @ storage.into, settled


def inflow_now(storage: Storage, situation: Situation, volume: Array, guess: Array) -> tuple[Array, Array]:
    """Return all flows, storage lines included, and the net inflow (n, T), at this instant."""
    none = np.zeros((len(volume), 1))
    flow, inflow, _ = _implicit(storage, situation, volume, none, guess, np.zeros_like(volume))
    return flow, inflow


def step(storage: Storage, situation: Situation, volume: Array, flow: Array, guess: Array, seconds: Array) -> Step:
    """Take one step of ``seconds`` (n, 1) from ``volume`` (n, T) at line flows ``flow`` (n, L)."""
    begins = flow @ storage.into
    share = _SHARE * seconds
    middle, at_middle, settled = _implicit(storage, situation, volume + share * begins, share, guess, begins)
    base = volume + seconds * _FIRST * (begins + at_middle)
    end, inflow, also_settled = _implicit(storage, situation, base, share, middle, at_middle)
    off = [third - second for third, second in zip(_THIRD_ORDER, WEIGHTS, strict=True)]
    error = seconds * np.abs(off[0] * begins + off[1] * at_middle + off[2] * inflow)
    error[~(settled & also_settled)] = np.inf
    lines = storage.lines
    return Step(base + share * inflow, (flow, middle[:, :lines], end[:, :lines]), inflow, error, end)
