"""What flows leave over at the joints, and heads along the lines."""

from __future__ import annotations

from typing import Any

from hydrokit.network.compiled.columns import ERROR, FIXED, HEAD, LEAST_FLOW, LOSS, inlined

__all__ = ["drop", "largest_flow", "put_errors", "unbalance"]


@inlined
def drop(ends: Any, heads: Any, which: int, line: int) -> float:
    """Return the head at a line's start less that at its end; fixed ends count 0."""
    start, end, joints = ends[line, 0], ends[line, 1], heads.shape[1]
    return (heads[which, start] if start < joints else 0.0) - (heads[which, end] if end < joints else 0.0)


@inlined
def unbalance(row: int, ends: Any, demand: Any, work: Any, flow: int, heads: Any, into: int) -> float:
    """Write what each joint gets beyond its demand to a row of heads; return the worst, m³/s."""
    joints = heads.shape[1]
    for joint in range(joints):
        heads[into, joint] = -demand[row, joint]
    for line in range(work.shape[1]):
        if ends[line, 1] < joints:
            heads[into, ends[line, 1]] += work[flow, line]
        if ends[line, 0] < joints:
            heads[into, ends[line, 0]] -= work[flow, line]
    worst = 0.0
    for joint in range(joints):
        worst = max(worst, abs(heads[into, joint]))
    return worst


@inlined
def largest_flow(row: int, work: Any, flow: int, scale: Any) -> float:
    """Return the largest flow of any line, or what counts at least, m³/s."""
    largest = float(scale[row, LEAST_FLOW])
    for line in range(work.shape[1]):
        largest = max(largest, abs(work[flow, line]))
    return largest


@inlined
def put_errors(row: int, lines: Any, ends: Any, work: Any, heads: Any) -> None:
    """Write the errors of the flows and heads as they are."""
    for line in range(work.shape[1]):
        work[ERROR, line] = work[LOSS, line] - drop(ends, heads, HEAD, line) - lines[row, line, FIXED]
