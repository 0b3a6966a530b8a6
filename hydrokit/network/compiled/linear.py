"""The linearised equations of one step, solved for one variant."""

from __future__ import annotations

from typing import Any

from hydrokit.network.compiled.balance import drop, unbalance
from hydrokit.network.compiled.columns import (
    AHEAD,
    CONDUCTANCE,
    ERROR,
    FLOW,
    HIGH,
    LOW,
    SHIFT,
    SLOPE,
    TRIAL,
    TRIAL_SIDE,
    inlined,
)
from hydrokit.network.tolerances import HELD

__all__ = ["target"]


@inlined
def _solved(matrix: Any, heads: Any) -> bool:
    """Solve a symmetric positive definite system for the shift of heads, in place; False where it is not."""
    count = heads.shape[1]
    for column in range(count):
        pivot = matrix[column, column]
        if not pivot > 0.0:
            return False
        for row in range(column + 1, count):
            factor = matrix[row, column] / pivot
            if factor != 0.0:
                for other in range(column + 1, count):
                    matrix[row, other] -= factor * matrix[column, other]
                heads[SHIFT, row] -= factor * heads[SHIFT, column]
    for column in range(count - 1, -1, -1):
        for other in range(column + 1, count):
            heads[SHIFT, column] -= matrix[column, other] * heads[SHIFT, other]
        heads[SHIFT, column] /= matrix[column, column]
    return True


@inlined
def _assemble(ends: Any, work: Any, matrix: Any, least: float) -> None:
    joints = matrix.shape[0]
    for joint in range(joints):
        for other in range(joints):
            matrix[joint, other] = 0.0
    for line in range(work.shape[1]):
        weight = work[CONDUCTANCE, line]
        if weight == 0.0:  # held: a negligible one, so that cut-off joints keep a defined head
            weight = least
        start, end = ends[line, 0], ends[line, 1]
        if start < joints:
            matrix[start, start] += weight
        if end < joints:
            matrix[end, end] += weight
            if start < joints:
                matrix[start, end] -= weight
                matrix[end, start] -= weight
    for joint in range(joints):
        if matrix[joint, joint] == 0.0:  # every line that meets there is shut: any head will do
            matrix[joint, joint] = 1.0


@inlined
def target(
    row: int, lines: Any, ends: Any, stores: Any, demand: Any, work: Any, sides: Any, heads: Any, matrix: Any
) -> bool:
    """Write flows and the shift of heads that satisfy the linearised equations with some lines held."""
    strongest = 0.0
    for line in range(work.shape[1]):
        if sides[TRIAL_SIDE, line] == 0:
            work[CONDUCTANCE, line] = 1.0 / work[SLOPE, line]
            work[TRIAL, line] = work[FLOW, line] - work[CONDUCTANCE, line] * work[ERROR, line]
            if not stores[line]:
                strongest = max(strongest, work[CONDUCTANCE, line])
        else:
            work[CONDUCTANCE, line] = 0.0
            work[TRIAL, line] = lines[row, line, LOW if sides[TRIAL_SIDE, line] < 0 else HIGH]
    if heads.shape[1] == 0:
        return True
    unbalance(row, ends, demand, work, TRIAL, heads, SHIFT)
    _assemble(ends, work, matrix, HELD * (strongest if strongest > 0.0 else 1.0))
    if not _solved(matrix, heads):
        return False
    for line in range(work.shape[1]):
        work[TRIAL, line] += work[CONDUCTANCE, line] * drop(ends, heads, SHIFT, line)
    storing = False
    for line in range(work.shape[1]):
        storing |= stores[line]
    if storing:
        unbalance(row, ends, demand, work, TRIAL, heads, AHEAD)
        for line in range(work.shape[1]):
            if stores[line]:
                work[TRIAL, line] += heads[AHEAD, ends[line, 0]]
    return True
