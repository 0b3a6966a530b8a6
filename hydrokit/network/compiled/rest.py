"""Flows that hardly differ from a bound or from rest are there exactly, where that satisfies mass and energy as well."""

from __future__ import annotations

from typing import Any

from hydrokit.network.compiled.balance import drop, largest_flow, unbalance
from hydrokit.network.compiled.bounds import highest_head
from hydrokit.network.compiled.columns import (
    AHEAD,
    ENERGY,
    FIXED,
    FLOW,
    HEAD,
    HIGH,
    LOW,
    MASS,
    SIDE,
    SPAN,
    TRIAL,
    TRIAL_LOSS,
    inlined,
)
from hydrokit.network.compiled.laws import line_law
from hydrokit.network.tolerances import EPS, ROUNDING, STANDSTILL, WANTED

__all__ = ["come_to_rest"]


@inlined
def _rested(row: int, lines: Any, work: Any) -> tuple[bool, bool]:
    """Write the flows at their bounds or at rest as a trial; return whether any is another than found, and whether all rest."""
    fastest, moved = 0.0, False
    for line in range(work.shape[1]):
        fastest = max(fastest, abs(work[FLOW, line]))
    slack = ROUNDING * fastest
    at_rest = fastest <= STANDSTILL
    still = STANDSTILL if at_rest else slack
    for line in range(work.shape[1]):
        flow, low, high = work[FLOW, line], lines[row, line, LOW], lines[row, line, HIGH]
        if abs(flow - low) <= slack:
            flow = low
        elif abs(flow - high) <= slack:
            flow = high
        elif abs(flow) <= still:
            flow = 0.0
        moved |= flow != work[FLOW, line]
        work[TRIAL, line] = flow
    return moved, at_rest


@inlined
def _judged(
    row: int, lines: Any, ends: Any, demand: Any, work: Any, sides: Any, heads: Any, scale: Any
) -> tuple[float, float, float]:
    """Return the residuals of mass and energy of the trial, whose losses are known, and what the heads' rounding is of their size."""
    size, energy = scale[row, SPAN], 0.0
    for line in range(work.shape[1]):
        size = max(size, abs(work[TRIAL_LOSS, line]))
        if sides[SIDE, line] == 0:
            energy = max(energy, abs(work[TRIAL_LOSS, line] - drop(ends, heads, HEAD, line) - lines[row, line, FIXED]))
    mass = unbalance(row, ends, demand, work, TRIAL, heads, AHEAD)
    return mass / largest_flow(row, work, TRIAL, scale), energy / size, EPS * highest_head(row, heads, scale) / size


@inlined
def come_to_rest(
    row: int, lines: Any, hoses: Any, hose_line: Any, pumps: Any, currents: Any, curves: Any, pump_index: Any,
    ends: Any, demand: Any, work: Any, sides: Any, heads: Any, scale: Any, told: Any,
) -> None:  # fmt: skip
    """Bring what was found to rest where that satisfies mass and energy as wanted, or no worse than before."""
    moved, at_rest = _rested(row, lines, work)
    if not moved:
        return
    line_law(row, lines, hoses, hose_line, pumps, currents, curves, pump_index, work, TRIAL)
    mass, energy, grain = _judged(row, lines, ends, demand, work, sides, heads, scale)
    wanted = min(WANTED, grain) if at_rest else WANTED
    if mass <= max(WANTED, told[MASS]) and energy <= max(wanted, told[ENERGY]):
        told[MASS], told[ENERGY] = mass, energy
        for line in range(work.shape[1]):
            work[FLOW, line] = work[TRIAL, line]
