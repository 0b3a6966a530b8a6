r"""Worn displacement pumps: part of what they sweep leaks back inside, in proportion to the head that they add.

With G the curve of the tight pump against the flow d that it sweeps, and k the flow that leaks back per metre of head,
what goes through is :math:`Q = d - k\,G(d)`. As G falls with d, the right side rises with it at least as fast as d itself,
and there is one d for each Q, between Q and :math:`Q + k\,G(Q)`: found by Newton's method held within those ends. Where a
tight curve ends upright at the most that a pump sweeps, the worn one slopes down to there instead.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
import numpy.typing as npt

from hydrokit.errors import SolverError
from hydrokit.laws.pump_curve import gain
from hydrokit.network.driven import driven_gains, flow_limits

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network.plan import Pumps

__all__ = ["swept", "tight_gains", "worn_gains"]

_ROUNDS: Final = 200
_STRAIGHT: Final = 8
"""Rounds after which every third one halves: beside a bend of the curve Newton's method creeps."""
_ROUNDING: Final = 1e-15


def tight_gains(pumps: Pumps, flow: Array) -> tuple[Array, Array]:
    """Return the head each running pump would add if nothing leaked back, and its slope, shape (n, U)."""
    if pumps.drives:
        return driven_gains(pumps, flow)
    rise, slope = gain(pumps.table, flow / pumps.flow_scale)
    return rise * pumps.head_scale, slope * (pumps.head_scale / pumps.flow_scale)


def _sought(pumps: Pumps, slip: Array, flow: Array) -> tuple[Array, Array, Array]:
    """Return the flow swept, and gain and slope of the tight curve there, shape (n, U)."""
    rise, slope = tight_gains(pumps, flow)
    reach = slip * rise
    low, high = np.minimum(flow, flow + reach), np.maximum(flow, flow + reach)
    sought = np.clip(flow + reach / (1.0 - slip * slope), low, high)
    for step in range(_ROUNDS):
        rise, slope = tight_gains(pumps, sought)
        back = slip * rise
        excess = sought - back - flow
        small = np.abs(excess) <= _ROUNDING * (np.abs(sought) + np.abs(back) + np.abs(flow))
        done = small | (high - low <= _ROUNDING * np.abs(sought))
        if done.all():
            return sought, rise, slope
        low, high = np.where(excess < 0.0, sought, low), np.where(excess > 0.0, sought, high)
        better = sought - excess / (1.0 - slip * slope)
        inside = (better > low) & (better < high) & (step < _STRAIGHT or step % 3 > 0)
        sought = np.where(done, sought, np.where(inside, better, 0.5 * (low + high)))
    raise SolverError("the flow that leaks back inside a worn pump does not settle")


def worn_gains(pumps: Pumps, flow: Array) -> tuple[Array, Array]:
    """Return the head each running pump adds and its slope, shape (n, U), for the flow through it, shape (n, U)."""
    assert pumps.slip is not None
    flow, slip = np.broadcast_arrays(flow, pumps.slip)
    limit = flow_limits(pumps)
    within, upright = _within(pumps, slip, limit, flow)
    _, rise, slope = _sought(pumps, slip, within)
    slope = slope / (1.0 - slip * slope)
    if upright is not None:
        steep = np.where(upright, slip, 1.0)
        rise = np.where(upright, (limit - flow) / steep, rise)
        slope = np.where(upright, -1.0 / steep, slope)
    return rise, slope


def _within(pumps: Pumps, slip: Array, limit: Array, flow: Array) -> tuple[Array, npt.NDArray[np.bool_] | None]:
    """Return flows that the tight curve reaches, and where the pump sweeps its most instead; None where none does."""
    if not np.isfinite(limit).any():
        return flow, None
    most = np.where(np.isfinite(limit), limit, 0.0) + np.zeros_like(flow)
    most = most - slip * tight_gains(pumps, most)[0]
    upright = np.isfinite(limit) & (slip > 0.0) & (flow > most)
    return np.where(upright, most, flow), upright


def swept(pumps: Pumps, flow: Array) -> Array:
    """Return the flow that each running pump sweeps, shape (n, U), for the flow through it: more by what leaks back."""
    if pumps.slip is None:
        return flow
    flow, slip = np.broadcast_arrays(flow, pumps.slip)
    limit = flow_limits(pumps)
    within, upright = _within(pumps, slip, limit, flow)
    found = _sought(pumps, slip, within)[0]
    return found if upright is None else np.where(upright, limit, found)
