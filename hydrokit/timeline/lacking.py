"""Which joints can no longer be given what they ask for, now that tanks are dry or outlets bare.

Air lies on the water of a tank: a dry one passes on what arrives there against the pressure of that air, and what draws
on it cannot suck at the lines that fill it. Whether that will do is a matter of what lines may carry, whatever the heads.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from hydrokit.network.start import unmet
from hydrokit.network.storage import Stage
from hydrokit.timeline.step import inflow_now

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network import Plan
    from hydrokit.network.ports import Mask
    from hydrokit.network.storage import Storage
    from hydrokit.timeline.step import Situation

__all__ = ["joints_of", "lacking_now"]


def joints_of(storage: Storage) -> int:
    """Return how many joints (J) the rig has; the plan's further ones are tanks."""
    return len(storage.plan.layout.joints) - int((storage.node >= 0).sum())


def lacking_now(storage: Storage, situation: Situation, volume: Array, guess: Array) -> tuple[Mask, Array]:
    """Return which joints of the rig (n, J) get less than they ask for at this instant, and better guesses at all flows.

    Each variant by itself: first with as much coming into dry tanks as lines may carry, for what comes cannot be solved
    for where even that is too little; then with what does come while those that joints draw on are held at their level.
    """
    joints, every = joints_of(storage), np.arange(len(volume))
    lacking, better, dry = np.zeros((len(volume), joints), np.bool_), guess.copy(), situation.dry.copy()
    alone = [(storage.take(row), situation.take(row), volume[row], guess[row]) for row in every[:, None]]
    for row, now in enumerate(alone):
        lacking[row] = unmet(_bounded(*now))[0, :joints]
        dry[row] &= ~_drawn_on(*now)[0]
    left = np.flatnonzero(~lacking.any(axis=1))
    if left.size:
        held = replace(situation.take(left), dry=dry[left])
        better[left] = inflow_now(storage.take(left), held, volume[left], guess[left])[0]
    for row in left.tolist():
        lacking[row] = unmet(_bounded(*alone[row], better[row]))[0, :joints]
    return lacking, better


def _stage(storage: Storage, situation: Situation, volume: Array, guess: Array) -> Stage:
    """Return this instant as a stage of one variant into whose tanks nothing falls."""
    none, openings = np.zeros_like(volume), storage.floats.opening(volume / storage.area)
    now = (situation.shut, situation.pinned, situation.dry)
    return Stage(volume, np.zeros((1, 1)), *now, none, openings, np.zeros_like(openings), guess)


def _bounded(
    storage: Storage, situation: Situation, volume: Array, guess: Array, arriving: Array | None = None
) -> Plan:
    """Return the plan of one variant for its bounds alone, in which what falls into a tank comes to it by its line.

    ``arriving`` flows (L,) are the most that lines bring into dry tanks.
    """
    ports, exposed, dry = storage.ports, situation.exposed[0], situation.dry[0]
    plan = storage.step_plan(exposed & (storage.node[ports.tank] < 0), _stage(storage, situation, volume, guess))
    low, high = plan.ends.low[0], plan.ends.high[0]
    for line, tank, ends, bare in zip(ports.line, ports.tank, ports.ends, exposed, strict=True):
        most = np.inf if arriving is None or not dry[tank] else abs(float(arriving[line]))
        if arriving is not None and (arriving[line] > 0.0) != ends:
            most = 0.0 if dry[tank] else most
        if ends:
            low[line], high[line] = max(low[line], 0.0 if bare else -np.inf), min(high[line], most)
        else:
            low[line], high[line] = max(low[line], -most), min(high[line], 0.0 if bare else np.inf)
    return plan


def _drawn_on(storage: Storage, situation: Situation, volume: Array, guess: Array) -> Mask:
    """Return the tanks (1, T) that joints which ask for water could draw on, without any of it falling on its way."""
    plan = storage.step_plan(situation.exposed[0], _stage(storage, situation, volume, guess))
    layout, fixed = plan.layout, len(plan.layout.joints)
    may_flow = (plan.ends.low[0] < 0.0) | (plan.ends.high[0] > 0.0)
    met = np.append(plan.ends.demand[0] > 0.0, False)
    ends = np.stack([layout.start, layout.end])[:, may_flow & (layout.start != fixed) & (layout.end != fixed)]
    while True:
        joined = ends[:, met[ends].any(axis=0)]
        if met[joined].all():
            return np.asarray((storage.node >= 0) & met[storage.node])[None, :]
        met[joined] = True
