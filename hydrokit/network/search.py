"""One plan as the search for its flows sees it: where the search stands, the step ahead of it, and what is left over."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from hydrokit.network.loss import line_loss
from hydrokit.network.tolerances import (
    ACCEPTED,
    EASED,
    EPS,
    HELD,
    LEAST_SLOPE,
    NOISE,
    ROUNDING,
    ROUNDS,
    SMALLEST_HEAD,
    STANDSTILL,
    WANTED,
)

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network.laplacian import Laplacian
    from hydrokit.network.plan import Plan

__all__ = ["Search", "State", "highest_heads", "least_flows", "spans"]

Sides = npt.NDArray[np.int8]
Mask = npt.NDArray[np.bool_]


@dataclass(slots=True)
class State:
    """Where the search stands; rows are the variants still being solved."""

    flow: Array
    head: Array
    side: Sides
    loss: Array
    slope: Array
    error: Array
    let_go: npt.NDArray[np.int16]

    def take(self, rows: npt.NDArray[np.intp]) -> State:
        """Return where the search of some of the variants stands."""
        return State(*(getattr(self, name)[rows] for name in self.__slots__))


class Search:
    """Newton's method on one plan; holds what does not change between steps."""

    def __init__(self, plan: Plan, joints: Laplacian) -> None:
        self.plan = plan
        self.joints = joints
        self.stores = plan.layout.stores
        self.drifts = np.ones(len(plan.layout.lines), np.bool_)
        self.drifts[self.stores] = False  # mass, not their own slope, says what they carry
        ends = plan.ends
        shape = (plan.variants, len(plan.layout.lines))
        self.low = np.broadcast_to(ends.low, shape)
        self.high = np.broadcast_to(ends.high, shape)
        self.movable = self.low != self.high
        self.bounded = bool(np.isfinite(self.low).any() or np.isfinite(self.high).any())
        self.span = spans(plan)
        self.highest = highest_heads(plan)
        self.least_flow = least_flows(plan)
        self.generous = False
        self.eased = False

    def law(self, flow: Array) -> tuple[Array, Array]:
        """Return head lost along each line and its slope, both (n, L), no slope flatter than the search bears.

        An ``eased`` search takes as flattest what is so beside the other lines: one that is wide among narrow ones would
        otherwise let held lines leak, and one that is wide and alone would need thousands of steps.
        """
        if not self.eased:
            return line_loss(self.plan, flow)
        loss, slope = line_loss(self.plan, flow, LEAST_SLOPE)
        return loss, np.maximum(slope, EASED * np.median(slope, axis=1, keepdims=True))

    def clipped(self, flow: Array) -> Array:
        """Return flows, those beyond a bound at that bound."""
        inside: Array = np.minimum(np.maximum(flow, self.low), self.high)
        return inside

    def bound(self, side: Sides) -> Array:
        """Return the bound at which each line that is held stands."""
        flow: Array = np.where(side < 0, self.low, self.high)
        return flow

    def drop(self, head: Array) -> Array:
        """Return the head from start to end of each line, shape (n, L), for heads at the joints, shape (n, J)."""
        heads: Array = self.joints.drop(head) + self.plan.ends.fixed_drop
        return heads

    def target(self, state: State, side: Sides) -> tuple[Array, Array]:
        """Return the flows and heads that satisfy the linearised equations with some lines held."""
        free = side == 0
        conductance = np.where(free, 1.0 / state.slope, 0.0)
        carried = np.where(free, state.flow - conductance * state.error, 0.0)
        if self.bounded:
            carried = np.where(free, carried, self.bound(side))
            strongest = (conductance * self.drifts).max(axis=1, keepdims=True)
            strongest[strongest == 0.0] = 1.0
            matrix = np.where(free, conductance, HELD * strongest)
        else:
            matrix = conductance
        excess = self.joints.inflow(carried) - self.plan.ends.demand
        shift = self.joints.solve(matrix, excess)
        flow = carried + conductance * self.joints.drop(shift)
        if self.stores.size:  # a large tank's line is so easy that its flow is lost in the rounding of the heads
            left = self.joints.inflow(flow) - self.plan.ends.demand
            flow[:, self.stores] += left[:, self.plan.layout.start[self.stores]]
        return flow, state.head + shift

    def within(self, state: State) -> tuple[Array, Array, Sides]:
        """Return a target that keeps to the bounds but for rounding, holding lines that would pass them."""
        side = state.side
        flow, head = self.target(state, side)
        for _ in range(ROUNDS if self.bounded else 0):
            low, high = self.passed(state, flow, side)
            if not (low.any() or high.any()):
                break
            side = np.where(low, np.int8(-1), np.where(high, np.int8(1), side))
            flow, head = self.target(state, side)
        return flow, head, side

    def passed(self, state: State, flow: Array, side: Sides) -> tuple[Mask, Mask]:
        """Return which free lines would pass their lower and upper bound by more than rounding, both (n, L)."""
        free = side == 0
        low, high = free & (flow < self.low), free & (flow > self.high)
        if low.any() or high.any():
            slack = self.slack(state)
            low, high = low & (flow < self.low - slack), high & (flow > self.high + slack)
        return low, high

    def size(self, state: State) -> Array:
        """Return the head against which errors are measured, shape (n,): height difference, losses, at least 1 mm."""
        size: Array = np.maximum(self.span, np.abs(state.loss).max(axis=1))
        return size

    def slack(self, state: State) -> Array:
        """Return by how much rounding may pass a bound, shape (n, L).

        No more than mass and energy may miss: a line that stays free is cut back to its bound, and what it would have
        carried beyond is then missing at its joints, and in its own loss. But for what is lost while errors pull at the
        lines by far more than they carry, which the next step makes good. A ``generous`` search takes all that rounding may
        be: lines that rounding alone holds and lets go again and again are then left free.
        """
        free = state.side == 0
        ease = np.where(free & self.drifts, 1.0 / state.slope, 0.0)
        error, largest = np.abs(state.error), self.largest(state.flow)
        at_work = np.where(free, np.maximum(np.abs(state.loss), error), 0.0).max(axis=1)
        head = np.maximum(self.heads(state), at_work)
        pull, rounding = (error * ease).max(axis=1), EPS * head * ease.max(axis=1)
        if self.generous:
            return np.asarray(np.maximum(ROUNDING * np.maximum(largest, pull), rounding)[:, None])
        most = np.minimum(np.maximum(ROUNDING * largest, rounding), WANTED * largest)
        kept = np.minimum(most[:, None], (WANTED * self.size(state))[:, None] / state.slope)
        slack: Array = np.maximum(kept, ROUNDING * pull[:, None])
        return slack

    def heads(self, state: State) -> Array:
        """Return the largest head at any joint or end, of either sign, shape (n,)."""
        heads: Array = np.maximum(self.highest, np.abs(state.head).max(axis=1, initial=0.0))
        return heads

    def pull(self, state: State) -> Array:
        """Return the largest flow by which its own error pulls at a line that is free, shape (n,)."""
        pull: Array = np.where((state.side == 0) & self.drifts, np.abs(state.error) / state.slope, 0.0).max(axis=1)
        return pull

    def energy(self, state: State) -> tuple[Array, Array]:
        """Return the worst energy residual of each variant, relative to the size of its heads, and that size, both (n,)."""
        size = self.size(state)
        return np.where(state.side == 0, np.abs(state.error), 0.0).max(axis=1) / size, size

    def rested(self, flow: Array) -> Array:
        """Return flows of which those that hardly differ from a bound, or from rest, are there exactly.

        Where nothing flows faster than what counts as standstill, that is all of them.
        """
        speed = np.abs(flow)
        fastest = speed.max(axis=1, keepdims=True)
        slack = ROUNDING * fastest
        at_low, at_high = np.abs(flow - self.low) <= slack, np.abs(flow - self.high) <= slack
        kept = np.where(speed <= np.where(fastest <= STANDSTILL, STANDSTILL, slack), 0.0, flow)
        return np.where(at_low, self.low, np.where(at_high, self.high, kept))

    def brought_to_rest(self, state: State, settled: Mask, mass: Array, energy: Array) -> Array:
        """Return flows, rested where those settled satisfy mass and energy so too; change their residuals to fit."""
        flow = self.rested(state.flow)
        moved = np.flatnonzero(settled & (flow != state.flow).any(axis=1))
        if not moved.size:
            return flow
        part, still = Search(self.plan.take_for_search(moved), self.joints), state.take(moved)
        still.flow = flow[moved]
        still.loss, still.slope = part.law(still.flow)
        still.error = still.loss - part.drop(still.head)
        found = part.unbalance(still.flow), part.energy(still)[0]
        # At standstill any zero would do for mass: the heads then tell, as far as their rounding lets them.
        moving = np.abs(state.flow[moved]).max(axis=1) > STANDSTILL
        grain = np.where(moving, WANTED, np.minimum(WANTED, EPS * part.heads(still) / part.size(still)))
        as_good = (found[0] <= np.maximum(WANTED, mass[moved])) & (found[1] <= np.maximum(grain, energy[moved]))
        flow[moved[~as_good]] = state.flow[moved[~as_good]]
        mass[moved[as_good]], energy[moved[as_good]] = (residual[as_good] for residual in found)
        return flow

    def unbalance(self, flow: Array) -> Array:
        """Return the worst mass residual of each variant, relative to its largest flow or demand."""
        demand = self.plan.ends.demand
        if demand.shape[1] == 0:
            return np.zeros(len(flow))
        share: Array = np.abs(self.joints.inflow(flow) - demand).max(axis=1) / self.largest(flow)
        return share

    def climbing(self, state: State, way: Array, climb: Array, ahead: Array) -> Mask:
        """Return where the merit function still climbs at the end of a way, by more than rounding shows, (n, 1)."""
        over: Mask = ahead > 0.5 * np.abs(climb)
        if not over.any():
            return over
        left = np.abs(self.joints.inflow(state.flow) - self.plan.ends.demand).sum(axis=1)
        spill = np.minimum(left, ACCEPTED * self.largest(state.flow))
        noise = ((NOISE * np.abs(way).sum(axis=1) + spill) * self.size(state))[:, None]
        return np.asarray(over & (ahead > noise))

    def largest(self, flow: Array) -> Array:
        """Return the largest flow or demand of each variant, or what counts as standstill."""
        largest: Array = np.maximum(np.abs(flow).max(axis=1), self.least_flow)
        return largest


def spans(plan: Plan) -> Array:
    """Return the height difference at work, shape (n,) or (1,), m; at least what residuals are measured against."""
    ends = [np.ascontiguousarray(heads.T) for heads in (plan.ends.fixed_start, plan.ends.fixed_end)]
    high = np.fmax(*(np.fmax.reduce(heads) for heads in ends))
    low = np.fmin(*(np.fmin.reduce(heads) for heads in ends))
    span: Array = np.fmax(high - low, SMALLEST_HEAD)
    return span


def highest_heads(plan: Plan) -> Array:
    """Return the largest head stated at any end, of either sign, shape (n,) or (1,), m: what rounding of heads goes by."""
    ends = [np.abs(heads.T) for heads in (plan.ends.fixed_start, plan.ends.fixed_end)]
    highest: Array = np.fmax(np.fmax(*(np.fmax.reduce(heads) for heads in ends)), 0.0)
    return highest


def least_flows(plan: Plan) -> Array:
    """Return the flow that residuals of mass are measured against at least, shape (n,) or (1,), m³/s."""
    flow: Array = np.abs(plan.ends.demand).max(axis=1, initial=STANDSTILL)
    return flow
