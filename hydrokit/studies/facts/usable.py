"""What a rig really delivers: no more than suction allows its pumps and their switches and relief valves let through, if the water stays whole."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.network import solve_plan
from hydrokit.parts import Source
from hydrokit.rules import State
from hydrokit.rules.allowed import allowed_flow
from hydrokit.rules.cutting import circles
from hydrokit.rules.cycling import cycling, hunts, relieved, taken_at
from hydrokit.rules.rule import Missing
from hydrokit.rules.suction import WHOLE_WATER

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network.ports import Mask

__all__ = ["held_back", "runs_full", "stays_whole", "usable", "usable_flow"]

_HELD_BACK: Final = 1e-9
"""Share of the full pipe's flow below which less is rounding, and nothing is held back."""
_ROUNDING: Final = 1e-6
"""Share of the pressure below which air and vapour come out; a pump held back to that very pressure still draws whole water."""


def held_back(state: State) -> dict[str, dict[int, Array]]:
    """Return the flow, m³/s, shape (n,), to which suction, its switch and its relief valve hold back each pump that they do.

    Infinite in variants in which it does not. A hunting pump is held back to the mean of what is taken; where that is
    not known, to nothing less than its duty. Of one whose relief valve opens the rig takes what it takes at that pressure;
    where several do at once, or where it pumps in a circle, that is not known.
    """
    found: dict[str, dict[int, Array]] = {"suction": {}, "switch": {}, "relief": {}}
    let_off = {pump: relieved(state, pump) & (state.flow_at(pump) > 0.0) for pump in state.running}
    alone = np.sum([*let_off.values()], axis=0) == 1
    for pump in state.running:
        duty, allowed = state.flow_at(pump), allowed_flow(state, pump)
        less = allowed < np.maximum(duty, 0.0)
        if less.any():
            found["suction"][pump] = np.where(less, allowed, np.inf)
        stopped = hunts(state, pump) & (duty > 0.0)
        cycle = cycling(state, pump) if stopped.any() else None
        if cycle is not None:
            found["switch"][pump] = np.where(stopped, cycle.mean_flow, np.inf)
        if (let_off[pump] & alone).any() and not circles(state, pump):
            taken = taken_at(state, pump, state.full(state.of(state.plan.elements[pump], "relief")))
            found["relief"][pump] = np.where(let_off[pump] & alone, taken, np.inf)
    return found


def usable(state: State) -> State:
    """Return the rig with its pumps held back as suction, switches and relief valves hold them; the same where they do not.

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


def stays_whole(real: State) -> Mask:
    """Return whether the water stays whole wherever it flows on its way to where it arrives, shape (n,).

    Where it does not, as over a crest too high for the air to push water to, what is solved is that of a pipe full of
    water which cannot be full: no flow is known, and none can be claimed to arrive. ``real`` is what :func:`usable` gives.
    """
    whole = np.ones(real.variants, np.bool_)
    for found in WHOLE_WATER.measure(real):
        if not isinstance(found, Missing):
            line = real.rig.lines[found.place.removeprefix("lines.")]
            forward = real.solution.flow(found.place.removeprefix("lines.")) > 0.0
            leads = np.where(forward, _arrives(real, line.end), _arrives(real, line.start))
            whole &= ~(leads & found.applies & (found.margin < -_ROUNDING))
    return whole


def runs_full(state: State, real: State) -> Mask:
    """Return whether nothing holds the flow of the full pipe back and the water stays whole, shape (n,).

    Only there are the flows of a course of filling, whose pumps run on, those of the rig.
    """
    return np.asarray((real.delivered >= state.delivered * (1.0 - _HELD_BACK)) & stays_whole(real))


def _arrives(state: State, end: str) -> bool:
    """Return whether water that comes to an end is gained there or flows on; what runs back into the pond is neither."""
    return end in state.arrivals or not isinstance(state.rig.ends()[end], Source)
