"""Lines held at their bounds and let go again, for one variant; and what counts as settled."""

from __future__ import annotations

from typing import Any

from hydrokit.network.compiled.balance import largest_flow, unbalance
from hydrokit.network.compiled.columns import (
    AHEAD,
    ENERGY,
    ERROR,
    FLOW,
    FREED,
    HEAD,
    HIGH,
    HIGHEST,
    LOSS,
    LOW,
    MASS,
    MOVING,
    NOMINAL,
    NOMINAL_LOSS,
    NOMINAL_SLOPE,
    PULL,
    SHIFT,
    SIDE,
    SIZE,
    SLOPE,
    SPAN,
    TRIAL,
    TRIAL_SIDE,
    inlined,
    shared,
)
from hydrokit.network.compiled.linear import target
from hydrokit.network.tolerances import ACCEPTED, DRIFT, EPS, LETTING_GO, ROUNDING, ROUNDS, WANTED

__all__ = [
    "begin",
    "highest_head",
    "lets_go",
    "residuals_of",
    "same_sides",
    "settled",
    "to_bounds",
    "within",
]


@inlined
def highest_head(row: int, heads: Any, scale: Any) -> float:
    """Return the largest head at any joint or end, of either sign."""
    head = float(scale[row, HIGHEST])
    for joint in range(heads.shape[1]):
        head = max(head, abs(heads[HEAD, joint]))
    return head


@inlined
def _slack(row: int, stores: Any, work: Any, sides: Any, heads: Any, scale: Any) -> tuple[float, float, float]:
    """Return by how much rounding may pass a bound, no more than the balance at a joint may miss, or than errors pull at lines.

    The third is the size of heads, of which the loss of a line may miss as little.
    """
    head, size, ease, pull = highest_head(row, heads, scale), scale[row, SPAN], 0.0, 0.0
    for line in range(work.shape[1]):
        size = max(size, abs(work[LOSS, line]))
        if sides[SIDE, line] == 0:
            head = max(head, abs(work[LOSS, line]), abs(work[ERROR, line]))
            if not stores[line]:
                ease, pull = max(ease, 1.0 / work[SLOPE, line]), max(pull, abs(work[ERROR, line]) / work[SLOPE, line])
    largest = largest_flow(row, work, FLOW, scale)
    return min(max(ROUNDING * largest, EPS * head * ease), WANTED * largest), ROUNDING * pull, size


@inlined
def _passes(row: int, lines: Any, stores: Any, work: Any, sides: Any, heads: Any, scale: Any) -> bool:
    """Hold lines that would pass a bound by more than rounding, or than their own loss may miss; return if there were any."""
    most, pull, size, any_passes = -1.0, 0.0, 0.0, False
    for line in range(work.shape[1]):
        flow, low, high = work[TRIAL, line], lines[row, line, LOW], lines[row, line, HIGH]
        if sides[TRIAL_SIDE, line] == 0 and (flow < low or flow > high):
            if most < 0.0:
                most, pull, size = _slack(row, stores, work, sides, heads, scale)
            slack = max(min(most, WANTED * size / work[SLOPE, line]), pull)
            if flow < low - slack:
                sides[TRIAL_SIDE, line], any_passes = -1, True
            elif flow > high + slack:
                sides[TRIAL_SIDE, line], any_passes = 1, True
    return any_passes


@shared
def within(
    row: int,
    lines: Any,
    ends: Any,
    stores: Any,
    demand: Any,
    work: Any,
    sides: Any,
    heads: Any,
    matrix: Any,
    scale: Any,
) -> bool:
    """Write a target that keeps to the bounds but for rounding, holding lines that would pass them; False: none."""
    for line in range(work.shape[1]):
        sides[TRIAL_SIDE, line] = sides[SIDE, line]
    for _ in range(ROUNDS):
        if not target(row, lines, ends, stores, demand, work, sides, heads, matrix):
            return False
        if not _passes(row, lines, stores, work, sides, heads, scale):
            return True
    return False


@inlined
def to_bounds(row: int, lines: Any, work: Any, sides: Any, heads: Any) -> None:
    """Take the target as it is, each flow within its bounds, and the heads that go with it."""
    for line in range(work.shape[1]):
        low, high = lines[row, line, LOW], lines[row, line, HIGH]
        work[FLOW, line] = min(max(work[TRIAL, line], low), high)
        at_low = not sides[MOVING, line] or work[FLOW, line] <= low
        sides[SIDE, line] = -1 if at_low else (1 if work[FLOW, line] >= high else 0)
    for joint in range(heads.shape[1]):
        heads[HEAD, joint] = heads[SHIFT, joint]


@inlined
def residuals_of(
    row: int, ends: Any, stores: Any, demand: Any, work: Any, sides: Any, heads: Any, scale: Any, told: Any
) -> None:
    """Write size of heads, residuals of energy and mass, and the largest pull of its own error at a line, over flows."""
    size, energy, pull = scale[row, SPAN], 0.0, 0.0
    for line in range(work.shape[1]):
        size = max(size, abs(work[LOSS, line]))
        if sides[SIDE, line] == 0:
            energy = max(energy, abs(work[ERROR, line]))
            if not stores[line]:
                pull = max(pull, abs(work[ERROR, line]) / work[SLOPE, line])
    largest = largest_flow(row, work, FLOW, scale)
    told[SIZE], told[ENERGY], told[PULL] = size, energy / size, pull / largest
    told[MASS] = unbalance(row, ends, demand, work, FLOW, heads, AHEAD) / largest


@inlined
def _wish(work: Any, sides: Any, line: int, slack: float) -> float:
    """Return the error by which the head across a held line says that it is to be let go, else 0."""
    beyond = sides[SIDE, line] * work[ERROR, line]
    return float(beyond) if sides[MOVING, line] and beyond > slack else 0.0


@inlined
def lets_go(row: int, work: Any, sides: Any, heads: Any, scale: Any, told: Any) -> bool:
    """Return whether lines want to be let go, by more than is lost in the rounding of heads; let go of those that are to be."""
    slack = max(WANTED * told[SIZE], EPS * highest_head(row, heads, scale))
    worst, strongest = max(told[ENERGY], told[MASS]), 0.0
    for line in range(work.shape[1]):
        strongest = max(strongest, _wish(work, sides, line, slack))
    if strongest == 0.0:
        return False
    for line in range(work.shape[1]):
        wish = _wish(work, sides, line, slack)
        early = sides[FREED, line] < LETTING_GO and worst < 0.1
        if wish > 0.0 and (early or (worst <= ACCEPTED and wish >= strongest)):
            sides[FREED, line] += early
            sides[SIDE, line] = 0
    return True


@inlined
def settled(told: Any, best: float) -> bool:
    """Return whether residuals are as wanted, or acceptable and no longer getting less."""
    worst = max(told[ENERGY], told[MASS])
    if worst <= ACCEPTED and worst >= 0.5 * best:
        return True
    return bool(worst <= WANTED and told[PULL] <= DRIFT)


@inlined
def same_sides(sides: Any) -> bool:
    """Return whether the same lines are held as before the step."""
    for line in range(sides.shape[1]):
        if sides[SIDE, line] != sides[TRIAL_SIDE, line]:
            return False
    return True


@inlined
def begin(row: int, lines: Any, work: Any, sides: Any, heads: Any) -> None:
    """Write the flows to begin with, no line held that can move."""
    for line in range(work.shape[1]):
        low, high = lines[row, line, LOW], lines[row, line, HIGH]
        sides[MOVING, line], sides[FREED, line] = low != high, 0
        sides[SIDE, line] = 0 if low != high else -1
        work[FLOW, line] = min(max(lines[row, line, NOMINAL], low), high)
        work[LOSS, line], work[SLOPE, line] = lines[row, line, NOMINAL_LOSS], lines[row, line, NOMINAL_SLOPE]
    for joint in range(heads.shape[1]):
        heads[HEAD, joint] = 0.0
