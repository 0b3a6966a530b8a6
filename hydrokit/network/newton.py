r"""Newton's method on the flows and heads of a network, all variants together.

Each line's loss :math:`\phi(Q)` rises with flow, so flows that satisfy mass and energy minimise a convex function of
the flows (its gradient along a line is loss less head difference) among those that balance at every joint and keep
within their bounds; there is one minimum. A step solves the linearised equations [todini]_; lines that would pass a
bound are held there, exactly, and let go again once the head across them says so. Along a step the merit function is
never left rising: the step is cut until its end no longer climbs, so it cannot cycle. Lines that are held carry a
negligible conductance in the matrix alone, so that cut-off joints keep a defined head; no flow leaks through it.

References
----------
.. [todini] Todini, E. and Pilati, S., A gradient method for the solution of looped pipe networks, in Computer
   Applications in Water Supply, vol. 1, 1988, 1-20.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Final

import numpy as np
import numpy.typing as npt

from hydrokit.errors import SolverError
from hydrokit.network.acceleration import accelerated, compiled
from hydrokit.network.flows import Flows
from hydrokit.network.laplacian import laplacian
from hydrokit.network.loss import line_loss, starting_flow
from hydrokit.network.start import route
from hydrokit.network.tolerances import (
    ACCEPTED,
    CUTS,
    DRIFT,
    EPS,
    HELD,
    LETTING_GO,
    NO_FLOW,
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

__all__ = ["Flows", "solve_flows"]

_TOGETHER: Final = 1024
"""Variants solved together; more than that leave the cache of a processor core."""
_STEPS: Final = 300

Sides = npt.NDArray[np.int8]
Mask = npt.NDArray[np.bool_]


@dataclass(slots=True)
class _State:
    """Where the search stands; rows are the variants still being solved."""

    flow: Array
    head: Array
    side: Sides
    loss: Array
    slope: Array
    error: Array
    let_go: npt.NDArray[np.int16]

    def take(self, rows: npt.NDArray[np.intp]) -> _State:
        return _State(*(getattr(self, name)[rows] for name in self.__slots__))


class _Search:
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
        self.span = _spans(plan)
        self.highest = _highest(plan)
        self.least_flow = _least_flow(plan)

    def clipped(self, flow: Array) -> Array:
        inside: Array = np.minimum(np.maximum(flow, self.low), self.high)
        return inside

    def bound(self, side: Sides) -> Array:
        flow: Array = np.where(side < 0, self.low, self.high)
        return flow

    def drop(self, head: Array) -> Array:
        heads: Array = self.joints.drop(head) + self.plan.ends.fixed_drop
        return heads

    def target(self, state: _State, side: Sides) -> tuple[Array, Array]:
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

    def within(self, state: _State) -> tuple[Array, Array, Sides]:
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

    def passed(self, state: _State, flow: Array, side: Sides) -> tuple[Mask, Mask]:
        """Return which free lines would pass their lower and upper bound by more than rounding, both (n, L)."""
        free = side == 0
        low, high = free & (flow < self.low), free & (flow > self.high)
        if low.any() or high.any():
            slack = self.slack(state)
            low, high = low & (flow < self.low - slack), high & (flow > self.high + slack)
        return low, high

    def size(self, state: _State) -> Array:
        """Return the head against which errors are measured, shape (n,): height difference, losses, at least 1 mm."""
        size: Array = np.maximum(self.span, np.abs(state.loss).max(axis=1))
        return size

    def slack(self, state: _State) -> Array:
        """Return by how much rounding may pass a bound, shape (n, 1)."""
        free = state.side == 0
        ease = np.where(free & self.drifts, 1.0 / state.slope, 0.0)
        error = np.abs(state.error)
        flow = np.maximum(self.largest(state.flow), (error * ease).max(axis=1))
        at_work = np.where(free, np.maximum(np.abs(state.loss), error), 0.0).max(axis=1)
        head = np.maximum(self.highest, np.maximum(at_work, np.abs(state.head).max(axis=1, initial=0.0)))
        slack: Array = np.maximum(ROUNDING * flow, EPS * head * ease.max(axis=1))[:, None]
        return slack

    def pull(self, state: _State) -> Array:
        """Return the largest flow by which its own error pulls at a line that is free, shape (n,)."""
        pull: Array = np.where((state.side == 0) & self.drifts, np.abs(state.error) / state.slope, 0.0).max(axis=1)
        return pull

    def rested(self, flow: Array) -> Array:
        """Return flows of which those that rounding alone keeps from a bound, or from rest, are there exactly."""
        slack = np.maximum(ROUNDING * np.abs(flow).max(axis=1, keepdims=True), NO_FLOW)
        at_low, at_high = np.abs(flow - self.low) <= slack, np.abs(flow - self.high) <= slack
        kept = np.where(np.abs(flow) <= NO_FLOW, 0.0, flow)
        return np.where(at_low, self.low, np.where(at_high, self.high, kept))

    def unbalance(self, flow: Array) -> Array:
        """Return the worst mass residual of each variant, relative to its largest flow or demand."""
        demand = self.plan.ends.demand
        if demand.shape[1] == 0:
            return np.zeros(len(flow))
        share: Array = np.abs(self.joints.inflow(flow) - demand).max(axis=1) / self.largest(flow)
        return share

    def climbing(self, state: _State, way: Array, climb: Array, ahead: Array) -> Mask:
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


def _spans(plan: Plan) -> Array:
    """Return the height difference at work, shape (n,) or (1,), m; at least what residuals are measured against."""
    ends = [np.ascontiguousarray(heads.T) for heads in (plan.ends.fixed_start, plan.ends.fixed_end)]
    high = np.fmax(*(np.fmax.reduce(heads) for heads in ends))
    low = np.fmin(*(np.fmin.reduce(heads) for heads in ends))
    span: Array = np.fmax(high - low, SMALLEST_HEAD)
    return span


def _highest(plan: Plan) -> Array:
    """Return the largest head stated at any end, of either sign, shape (n,) or (1,), m: what rounding of heads goes by."""
    ends = [np.abs(heads.T) for heads in (plan.ends.fixed_start, plan.ends.fixed_end)]
    highest: Array = np.fmax(np.fmax(*(np.fmax.reduce(heads) for heads in ends)), 0.0)
    return highest


def _least_flow(plan: Plan) -> Array:
    """Return the flow that residuals of mass are measured against at least, shape (n,) or (1,), m³/s."""
    flow: Array = np.abs(plan.ends.demand).max(axis=1, initial=STANDSTILL)
    return flow


def _started(search: _Search) -> _State:
    """Return flows near a plain guess that balance and keep to their bounds."""
    plan, joints = search.plan, len(search.plan.layout.joints)
    shape = (plan.variants, len(plan.layout.lines))
    flow = starting_flow(plan)
    loss, slope = line_loss(plan, flow) if plan.nominal_law is None else plan.nominal_law
    side = np.where(search.movable, np.int8(0), np.int8(-1))
    head = np.zeros((plan.variants, joints))
    state = _State(flow, head, side, loss, slope, loss - search.drop(head), np.zeros(shape, np.int16))
    flow, head, side = search.within(state)
    flow = search.clipped(flow)
    stuck = np.flatnonzero(search.unbalance(flow) > ACCEPTED)
    if stuck.size:
        flow[stuck], head[stuck] = route(plan, stuck), 0.0
        side[stuck] = np.where(~search.movable[stuck], -1, 0)
    side = np.where(
        ~search.movable | (flow <= search.low), np.int8(-1), np.where(flow >= search.high, np.int8(1), np.int8(0))
    )
    loss, slope = line_loss(plan, flow)
    return _State(flow, head, side, loss, slope, loss - search.drop(head), state.let_go)


def _settled(search: _Search, state: _State, worst: Array, best: Array) -> Mask:
    """Return True for variants whose residuals are as wanted, or acceptable and no longer getting less."""
    still: Mask = (worst <= ACCEPTED) & (worst >= 0.5 * best)
    wanted = worst <= WANTED
    if (wanted & ~still).any():
        wanted &= search.pull(state) <= DRIFT * search.largest(state.flow)
    return wanted | still


def _let_go(search: _Search, state: _State, worst: Array, slack: Array) -> Mask | None:
    """Let go of held lines across which the head says that they should carry more, or less.

    Returns
    -------
    array of bool, shape (n,), or None
        True for the variants in which there are such lines; None where no line is held.
    """
    held = (state.side != 0) & search.movable
    if not held.any():
        return None
    below, above = (state.side < 0) & (state.error < -slack), (state.side > 0) & (state.error > slack)
    out = held & (below | above)
    if out.any():
        early = out & (state.let_go < LETTING_GO) & (worst < 0.1)[:, None]
        wish = np.where(out, np.abs(state.error), 0.0)
        late = out & (wish >= wish.max(axis=1, keepdims=True)) & (worst <= ACCEPTED)[:, None]
        state.let_go += early
        state.side = np.where(early | late, np.int8(0), state.side)
    return np.asarray(out.any(axis=1))


def _straight(search: _Search, state: _State) -> tuple[Array, Array, Sides, Array]:
    """Return flows and heads with no more lines held than are, and how far to go there: to the first bound."""
    flow, head = search.target(state, state.side)
    way = flow - state.flow
    room = np.where(way < 0.0, search.low - state.flow, search.high - state.flow)
    limit = np.divide(room, way, out=np.full_like(way, np.inf), where=(way != 0.0) & (state.side == 0))
    reach = np.minimum(1.0, np.maximum(limit.min(axis=1, keepdims=True), 0.0))
    hit = (limit <= reach) & (state.side == 0) & (reach < 1.0)
    return flow, head, np.where(hit, np.where(way < 0.0, np.int8(-1), np.int8(1)), state.side), reach


def _advance(search: _Search, state: _State) -> None:
    """Take one step: towards the target within bounds, cut until the merit function no longer climbs at its end."""
    flow, head, side = search.within(state)
    way, drop = flow - state.flow, search.drop(head)
    climb = (way * (state.loss - drop)).sum(axis=1, keepdims=True)
    reach: Array = np.ones((len(way), 1))
    if search.bounded:
        low, high = search.passed(state, flow, side)
        astray = (low | high).any(axis=1, keepdims=True) | (climb > 0.0)
        if astray.any():  # holding several lines at once has overdone it
            straight = _straight(search, state)
            flow, head = np.where(astray, straight[0], flow), np.where(astray, straight[1], head)
            side, reach = np.where(astray, straight[2], side), np.where(astray, straight[3], reach)
            way, drop = flow - state.flow, search.drop(head)
            climb = (way * (state.loss - drop)).sum(axis=1, keepdims=True)
    whole = reach
    for _ in range(CUTS):
        trial = state.flow + reach * way
        loss, slope = line_loss(search.plan, trial)
        ahead = (way * (loss - drop)).sum(axis=1, keepdims=True)
        over = search.climbing(state, way, climb, ahead)
        if not over.any():
            break
        cut = np.clip(-climb / np.where(over & (ahead != climb), ahead - climb, 1.0), 0.1, 0.7)
        reach = np.where(over, reach * cut, reach)
    if reach is not whole:
        side = np.where(reach == whole, side, state.side)
    if search.bounded:
        kept = np.where(side < 0, search.low, np.where(side > 0, search.high, search.clipped(trial)))
        if (kept != trial).any():
            trial, (loss, slope) = kept, line_loss(search.plan, kept)
    state.flow, state.head, state.side, state.loss, state.slope = trial, head, side, loss, slope
    state.error = loss - drop


def solve_flows(plan: Plan) -> Flows:
    """Return flows and heads that satisfy mass and energy in every variant.

    Raises
    ------
    NetworkError
        If a demand cannot be met because no open line leads to it.
    SolverError
        If a variant does not settle; names the worst line. No unconverged answer is returned.
    """
    way = _solve_compiled if accelerated(plan) else _solve_together
    if plan.variants <= _TOGETHER:
        return way(plan, np.arange(plan.variants))
    chunks = [slice(first, min(first + _TOGETHER, plan.variants)) for first in range(0, plan.variants, _TOGETHER)]
    parts = [way(plan.take_for_search(rows), np.arange(rows.start, rows.stop)) for rows in chunks]
    return _joined(parts)


def _joined(parts: list[Flows]) -> Flows:
    return Flows(*(np.concatenate([getattr(part, item.name) for part in parts]) for item in fields(Flows)))


def _solve_compiled(plan: Plan, numbers: npt.NDArray[np.intp]) -> Flows:
    """Solve a plan one variant after the other, compiled; the unusual ones all together."""
    found = compiled(plan, _spans(plan), _least_flow(plan), _highest(plan))
    left = np.flatnonzero(found.steps < 0)
    if left.size:
        rest = _solve_together(plan.take_for_search(left), numbers[left])
        for item in fields(Flows):
            getattr(found, item.name)[left] = getattr(rest, item.name)
    return found


def _solve_together(plan: Plan, numbers: npt.NDArray[np.intp]) -> Flows:
    """Solve a plan whose variants are few enough for the cache; ``numbers`` (n,) are theirs among all."""
    joints = laplacian(plan.layout)
    search = _Search(plan, joints)
    state = _started(search)
    lines, count = len(plan.layout.lines), plan.variants
    done = Flows(
        np.empty((count, lines)),
        np.empty((count, len(plan.layout.joints))),
        np.empty((count, lines), np.bool_),
        np.empty(count),
        np.empty(count),
        np.zeros(count, np.intp),
    )
    rows = np.arange(count)
    best, seen = np.full(count, np.inf), state.side
    for step in range(_STEPS):
        size = search.size(state)
        energy = np.where(state.side == 0, np.abs(state.error), 0.0).max(axis=1) / size
        worst = np.maximum(energy, search.unbalance(state.flow))
        settled = _settled(search, state, worst, np.where((state.side == seen).all(axis=1), best, np.inf))
        best, seen = np.minimum(best, worst), state.side
        out = _let_go(search, state, worst, (WANTED * size)[:, None]) if search.bounded else None
        if out is not None:
            settled &= ~out
        if settled.any():
            ended = rows[settled]
            flow = search.rested(state.flow)
            done.flow[ended], done.head[ended] = flow[settled], state.head[settled]
            done.held[ended] = ((flow <= search.low) | (flow >= search.high))[settled]
            done.mass_residual[ended], done.energy_residual[ended] = search.unbalance(flow)[settled], energy[settled]
            done.steps[ended] = step
            left = np.flatnonzero(~settled)
            if left.size == 0:
                return done
            rows, best, seen, state = rows[left], best[left], seen[left], state.take(left)
            search = _Search(search.plan.take_for_search(left), joints)
        _advance(search, state)
    line = int(np.abs(state.error)[0].argmax())
    raise SolverError(
        f"the network did not settle in {_STEPS} steps; worst at line {plan.layout.lines[line]}"
        f" (variant {int(numbers[rows[0]])}, residual {float(worst[0]):.2g})"
    )
