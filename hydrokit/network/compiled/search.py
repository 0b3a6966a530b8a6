"""Newton's method for one variant after the other.

The same steps, cuts and ends of the search as in :mod:`hydrokit.network.newton`, but for the unusual: a variant that
needs another beginning or another way is left to that.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from hydrokit.network.compiled.balance import (
    drop,
    largest_flow,
    put_errors,
    unbalance,
)
from hydrokit.network.compiled.bounds import (
    begin,
    lets_go,
    residuals_of,
    same_sides,
    settled,
    to_bounds,
    within,
)
from hydrokit.network.compiled.columns import (
    AHEAD,
    ENERGY,
    FIXED,
    FLOW,
    HEAD,
    HIGH,
    LOSS,
    LOW,
    MASS,
    SHIFT,
    SIDE,
    SLOPE,
    SPAN,
    TRIAL,
    TRIAL_LOSS,
    TRIAL_SIDE,
    TRIAL_SLOPE,
    WAY,
    inlined,
    kept,
)
from hydrokit.network.compiled.laws import line_law
from hydrokit.network.compiled.rest import come_to_rest
from hydrokit.network.tolerances import (
    ACCEPTED,
    CUTS,
    NOISE,
)

__all__ = ["search"]

_STEPS: Final = 40


@inlined
def _climb(row: int, lines: Any, ends: Any, work: Any, loss: int, heads: Any) -> float:
    """Return by how much the merit function climbs along the way, with losses as in a row of work."""
    climb = 0.0
    for line in range(work.shape[1]):
        climb += work[WAY, line] * (work[loss, line] - drop(ends, heads, AHEAD, line) - lines[row, line, FIXED])
    return climb


@inlined
def _noise(row: int, ends: Any, demand: Any, work: Any, heads: Any, scale: Any) -> float:
    """Return the climb that rounding alone may show."""
    size, length, left = scale[row, SPAN], 0.0, 0.0
    for line in range(work.shape[1]):
        size, length = max(size, abs(work[LOSS, line])), length + abs(work[WAY, line])
    unbalance(row, ends, demand, work, FLOW, heads, SHIFT)
    for joint in range(heads.shape[1]):
        left += abs(heads[SHIFT, joint])
    spill = min(left, ACCEPTED * largest_flow(row, work, FLOW, scale))
    return float((NOISE * length + spill) * size)


@inlined
def _try(row: int, lines: Any, work: Any, sides: Any, reach: float) -> None:
    """Write the flows some share of the way on, lines that are to be held there at their bounds once it is whole."""
    for line in range(work.shape[1]):
        low, high = lines[row, line, LOW], lines[row, line, HIGH]
        held = sides[TRIAL_SIDE if reach == 1.0 else SIDE, line]
        flow = min(max(work[FLOW, line] + reach * work[WAY, line], low), high)
        work[TRIAL, line] = low if held < 0 else (high if held > 0 else flow)


@inlined
def _set_out(row: int, lines: Any, ends: Any, work: Any, heads: Any) -> float:
    """Write the way from the flows to their target; return how the merit function climbs at its beginning."""
    for joint in range(heads.shape[1]):
        heads[AHEAD, joint] = heads[HEAD, joint] + heads[SHIFT, joint]
    for line in range(work.shape[1]):
        work[WAY, line] = work[TRIAL, line] - work[FLOW, line]
    return float(_climb(row, lines, ends, work, LOSS, heads))


@inlined
def _arrive(row: int, lines: Any, ends: Any, work: Any, sides: Any, heads: Any, reach: float) -> None:
    """Take what was tried as where the search stands."""
    for line in range(work.shape[1]):
        if reach == 1.0:
            sides[SIDE, line] = sides[TRIAL_SIDE, line]
        work[FLOW, line], work[LOSS, line] = work[TRIAL, line], work[TRIAL_LOSS, line]
        work[SLOPE, line] = work[TRIAL_SLOPE, line]
    for joint in range(heads.shape[1]):
        heads[HEAD, joint] = heads[AHEAD, joint]
    put_errors(row, lines, ends, work, heads)


@inlined
def _tell(
    row: int, lines: Any, work: Any, heads: Any, told: Any, step: int,
    found: Any, found_heads: Any, found_held: Any, residuals: Any, steps: Any,
) -> None:  # fmt: skip
    """Write what was found for one variant."""
    for line in range(work.shape[1]):
        flow = work[FLOW, line]
        found[row, line], found_held[row, line] = flow, flow <= lines[row, line, LOW] or flow >= lines[row, line, HIGH]
    steps[row], residuals[row, 0], residuals[row, 1] = step, told[MASS], told[ENERGY]
    for joint in range(heads.shape[1]):
        found_heads[row, joint] = heads[HEAD, joint]


@kept
def search(
    lines: Any, hoses: Any, hose_line: Any, pumps: Any, currents: Any, curves: Any, pump_index: Any, ends: Any,
    stores: Any, demand: Any, scale: Any, found: Any, found_heads: Any, found_held: Any, residuals: Any, steps: Any,
) -> None:  # fmt: skip
    """Solve one variant after the other.

    ``found`` (n, L) are the flows, ``found_heads`` (n, J) the heads, ``found_held`` (n, L) tells which lines stand at a
    bound, ``residuals`` (n, 2) those of mass and energy, ``steps`` (n,) how many were taken; -1 where the variant has not
    settled and is left to the other search. One function, because each further layer counts references again.
    """
    count, joints = lines.shape[1], demand.shape[1]
    work, sides, told = np.empty((9, count)), np.empty((4, count), np.int8), np.empty(4)
    heads, matrix = np.empty((3, joints)), np.empty((joints, joints))
    for row in range(steps.size):
        steps[row] = -1
        begin(row, lines, work, sides, heads)
        if np.isnan(work[SLOPE, 0]):
            line_law(row, lines, hoses, hose_line, pumps, currents, curves, pump_index, work, FLOW)
        put_errors(row, lines, ends, work, heads)
        if not within(row, lines, ends, stores, demand, work, sides, heads, matrix, scale):
            continue
        to_bounds(row, lines, work, sides, heads)
        line_law(row, lines, hoses, hose_line, pumps, currents, curves, pump_index, work, FLOW)
        put_errors(row, lines, ends, work, heads)
        if not unbalance(row, ends, demand, work, FLOW, heads, AHEAD) <= ACCEPTED * largest_flow(
            row, work, FLOW, scale
        ):
            continue
        best = np.inf
        for step in range(_STEPS):
            residuals_of(row, ends, stores, demand, work, sides, heads, scale, told)
            wishes = lets_go(row, work, sides, heads, scale, told)
            if not wishes and settled(told, best):
                come_to_rest(
                    row, lines, hoses, hose_line, pumps, currents, curves, pump_index, ends, demand, work, sides,
                    heads, scale, told,
                )  # fmt: skip
                _tell(row, lines, work, heads, told, step, found, found_heads, found_held, residuals, steps)
                break
            if not within(row, lines, ends, stores, demand, work, sides, heads, matrix, scale):
                break
            climb, reach, noise = _set_out(row, lines, ends, work, heads), 1.0, -1.0
            if climb > 0.0:
                break
            for _ in range(CUTS):
                _try(row, lines, work, sides, reach)
                line_law(row, lines, hoses, hose_line, pumps, currents, curves, pump_index, work, TRIAL)
                ahead = _climb(row, lines, ends, work, TRIAL_LOSS, heads)
                if ahead <= -0.5 * climb:
                    break
                if noise < 0.0:
                    noise = _noise(row, ends, demand, work, heads, scale)
                if ahead <= noise:
                    break
                reach *= min(max(-climb / (ahead - climb), 0.1), 0.7)
            best = (
                min(best, max(told[ENERGY], told[MASS]))
                if not wishes and (reach < 1.0 or same_sides(sides))
                else np.inf
            )
            _arrive(row, lines, ends, work, sides, heads, reach)
