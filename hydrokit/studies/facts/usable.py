"""What a rig really delivers: no more than suction allows its pumps, and no more than their switches let through."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.network import solve_plan
from hydrokit.rules import State
from hydrokit.rules.allowed import allowed_flow
from hydrokit.rules.cycling import cycling, hunts

if TYPE_CHECKING:
    from hydrokit.bounds import Array

__all__ = ["HELD_BACK", "held_back", "usable", "usable_flow"]

HELD_BACK: Final = 1e-9
"""Share of the full pipe's flow below which less is rounding, and nothing is held back."""


def held_back(state: State) -> dict[str, dict[int, Array]]:
    """Return the flow, m³/s, shape (n,), to which suction, and to which its switch, holds back each pump that it does.

    Infinite in variants in which it does not. A hunting pump is held back to the mean of what is taken; where that is
    not known, to nothing less than its duty.
    """
    found: dict[str, dict[int, Array]] = {"suction": {}, "switch": {}}
    for pump in state.running:
        duty, allowed = state.flow_at(pump), allowed_flow(state, pump)
        less = allowed < np.maximum(duty, 0.0)
        if less.any():
            found["suction"][pump] = np.where(less, allowed, np.inf)
        stopped = hunts(state, pump) & (duty > 0.0)
        cycle = cycling(state, pump) if stopped.any() else None
        if cycle is not None:
            found["switch"][pump] = np.where(stopped, cycle.mean_flow, np.inf)
    return found


def usable(state: State) -> State:
    """Return the rig with its pumps held back as suction and switches hold them; the same where they do not.

    A rig with flows that are asked for whatever the pressure stays as it is: they could no longer be met.
    """
    limits = [pumps for pumps in held_back(state).values() if pumps]
    ends = state.plan.ends
    if not limits or np.any(ends.demand):
        return state
    shape = state.solution.flows.flow.shape
    low, high = np.array(np.broadcast_to(ends.low, shape)), np.array(np.broadcast_to(ends.high, shape))
    for pumps in limits:
        for pump, flow in pumps.items():
            line = state.line_at(pump)
            high[:, line] = np.minimum(high[:, line], flow)
            low[:, line] = np.where(np.isfinite(flow), np.maximum(low[:, line], 0.0), low[:, line])
    return State(solve_plan(replace(state.plan, ends=replace(ends, low=low, high=high))))


def usable_flow(state: State) -> Array:
    """Return what is really delivered in every variant, m³/s, shape (n,)."""
    return usable(state).delivered
