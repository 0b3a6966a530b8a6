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

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np
import numpy.typing as npt

from hydrokit.network.newton import solve_flows

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network.storage import Storage

__all__ = ["WEIGHTS", "Situation", "Step", "inflow_now", "step"]

_GAMMA: Final = 2.0 - np.sqrt(2.0)
_SHARE: Final = 0.5 * _GAMMA
_FIRST: Final = np.sqrt(2.0) / 4.0
WEIGHTS: Final = (_FIRST, _FIRST, _SHARE)
"""Shares of the step that the flows at its start, its middle stage and its end stand for; they sum to 1."""

_SWEEPS: Final = 40
_SETTLED: Final = 1e-11

Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Situation:
    """What stands still during a step: lines that are shut, tanks that are brim-full; shapes (n, L) and (n, T)."""

    shut: Mask
    brimming: Mask


@dataclass(frozen=True, slots=True)
class Step:
    """Where a step leads: volumes (n, T), line flows at its three points (n, L) each, error of the volumes (n, T)."""

    volume: Array
    flows: tuple[Array, Array, Array]
    inflow: Array
    error: Array
    guess: Array


def _net(storage: Storage, flow: Array) -> Array:
    return flow[:, : storage.lines] @ storage.into


def _implicit(
    storage: Storage, situation: Situation, base: Array, share: Array, guess: Array, first: Array
) -> tuple[Array, Array, Mask]:
    """Return line flows and net inflow when each tank holds ``base`` plus ``share`` seconds of its own net inflow.

    ``first`` is the net inflow to begin with; what falls in from the top and how far floats are open follow from it by
    repetition. The third result, (n,), is False where that has not settled: the step is too long.
    """
    area = storage.area
    falls = storage.falls.astype(np.float64)
    felt = bool(falls.any() and (storage.node[storage.falls.any(axis=0)] >= 0).any()) or storage.floats.line.size > 0
    inflow = first
    settled = np.zeros(len(base), np.bool_)
    injected = np.maximum(guess[:, : storage.lines], 0.0) @ falls
    for _ in range(_SWEEPS):
        level = (base + share * inflow) / area
        plan = storage.step_plan(
            level=base / area,
            rise=share / area,
            injected=injected,
            shut=situation.shut,
            pinned=situation.brimming,
            openings=storage.floats.opening(level),
            guess=guess,
        )
        guess = solve_flows(plan).flow
        now = _net(storage, guess)
        fallen = guess[:, : storage.lines] @ falls
        change = np.maximum(np.abs(now - inflow), np.abs(fallen - injected)).max(axis=1, initial=0.0)
        settled = change <= _SETTLED * np.maximum(np.abs(guess).max(axis=1), 1e-12)
        inflow, injected = now, fallen
        if not felt or settled.all():
            break
    return guess, inflow, settled | (not felt)


def inflow_now(storage: Storage, situation: Situation, volume: Array, guess: Array) -> tuple[Array, Array]:
    """Return line flows and net inflow at this instant, shapes (n, L) and (n, T)."""
    none = np.zeros((len(volume), 1))
    flow, inflow, _ = _implicit(storage, situation, volume, none, guess, np.zeros_like(volume))
    return flow, inflow


def step(storage: Storage, situation: Situation, volume: Array, flow: Array, guess: Array, seconds: Array) -> Step:
    """Take one step of ``seconds`` (n, 1) from ``volume`` (n, T) at line flows ``flow`` (n, L)."""
    begins = _net(storage, flow)
    middle, at_middle, settled = _implicit(
        storage, situation, volume + _SHARE * seconds * begins, _SHARE * seconds, guess, begins
    )
    base = volume + seconds * _FIRST * (begins + at_middle)
    end, inflow, also_settled = _implicit(storage, situation, base, _SHARE * seconds, middle, at_middle)
    reached = base + _SHARE * seconds * inflow
    # third-order weights less the second-order ones: what the step may have got wrong
    third = ((1.0 - _FIRST) / 3.0 - _FIRST, (3.0 * _FIRST + 1.0) / 3.0 - _FIRST, _SHARE / 3.0 - _SHARE)
    error = seconds * np.abs(third[0] * begins + third[1] * at_middle + third[2] * inflow)
    error[~(settled & also_settled)] = np.inf
    lines = storage.lines
    return Step(reached, (flow, middle[:, :lines], end[:, :lines]), inflow, error, end)
