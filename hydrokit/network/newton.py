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

from dataclasses import fields
from itertools import chain
from typing import TYPE_CHECKING, Final

import numpy as np
import numpy.typing as npt

from hydrokit.errors import SolverError
from hydrokit.network.acceleration import accelerated, compiled
from hydrokit.network.flows import Flows
from hydrokit.network.laplacian import laplacian
from hydrokit.network.loss import line_loss, starting_flow
from hydrokit.network.search import Search, State, highest_heads, least_flows, spans
from hydrokit.network.start import route
from hydrokit.network.tolerances import ACCEPTED, CUTS, DRIFT, EPS, LETTING_GO, TRAPPED, WANTED

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network.plan import Plan
    from hydrokit.network.search import Mask, Sides

__all__ = ["solve_flows"]

_TOGETHER: Final = 1024
"""Variants solved together; more than that leave the cache of a processor core."""
_STEPS: Final = 300
_EASING: Final = 40
"""Steps after which the flattest slope goes by the other lines, and every line may be let go anew."""
_PATIENCE: Final = 100
"""Steps after which a search is generous with rounding; of a million random rigs that settle without, none took 65."""


def _started(search: Search) -> State:
    """Return flows near a plain guess that balance and keep to their bounds."""
    plan, joints = search.plan, len(search.plan.layout.joints)
    shape = (plan.variants, len(plan.layout.lines))
    flow = starting_flow(plan)
    loss, slope = line_loss(plan, flow) if plan.nominal_law is None else plan.nominal_law
    side = np.where(search.movable, np.int8(0), np.int8(-1))
    head = np.zeros((plan.variants, joints))
    state = State(flow, head, side, loss, slope, loss - search.drop(head), np.zeros(shape, np.int16))
    flow, head, side = search.within(state)
    flow = search.clipped(flow)
    stuck = np.flatnonzero(search.unbalance(flow) > ACCEPTED)
    if stuck.size:
        flow[stuck], head[stuck] = route(plan, stuck), 0.0
        side[stuck] = np.where(~search.movable[stuck], -1, 0)
    side = np.where(
        ~search.movable | (flow <= search.low), np.int8(-1), np.where(flow >= search.high, np.int8(1), np.int8(0))
    )
    loss, slope = search.law(flow)
    return State(flow, head, side, loss, slope, loss - search.drop(head), state.let_go)


def _settled(search: Search, state: State, worst: Array, best: Array) -> Mask:
    """Return True for variants whose residuals are as wanted, or acceptable and no longer getting less."""
    still: Mask = (worst <= ACCEPTED) & (worst >= 0.5 * best)
    wanted = worst <= WANTED
    if (wanted & ~still).any():
        wanted &= search.pull(state) <= DRIFT * search.largest(state.flow)
    return wanted | still


def _let_go(search: Search, state: State, worst: Array, size: Array) -> Mask | None:
    """Let go of held lines across which the head says that they should carry more, or less.

    Returns
    -------
    array of bool, shape (n,), or None
        True for the variants in which there are such lines; None where no line is held.
    """
    held = (state.side != 0) & search.movable
    if not held.any():
        return None
    beyond = state.side * state.error
    out = held & (beyond > (WANTED * size)[:, None])
    if out.any():
        out &= beyond > (EPS * search.heads(state))[:, None]  # less is lost in the rounding of the heads
    if out.any():
        early = out & (state.let_go < LETTING_GO) & (worst < 0.1)[:, None]
        wish = np.where(out, np.abs(state.error), 0.0)
        late = out & (wish >= wish.max(axis=1, keepdims=True)) & (worst <= ACCEPTED)[:, None]
        trapped = out & (beyond > (TRAPPED * size)[:, None])
        state.let_go += early
        state.side = np.where(early | late | trapped, np.int8(0), state.side)
    return np.asarray(out.any(axis=1))


def _straight(search: Search, state: State) -> tuple[Array, Array, Sides, Array]:
    """Return flows and heads with no more lines held than are, and how far to go there: to the first bound."""
    flow, head = search.target(state, state.side)
    way = flow - state.flow
    room = np.where(way < 0.0, search.low - state.flow, search.high - state.flow)
    limit = np.divide(room, way, out=np.full_like(way, np.inf), where=(way != 0.0) & (state.side == 0))
    reach = np.minimum(1.0, np.maximum(limit.min(axis=1, keepdims=True), 0.0))
    hit = (limit <= reach) & (state.side == 0) & (reach < 1.0)
    return flow, head, np.where(hit, np.where(way < 0.0, np.int8(-1), np.int8(1)), state.side), reach


def _advance(search: Search, state: State) -> None:
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
        loss, slope = search.law(trial)
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
            trial, (loss, slope) = kept, search.law(kept)
    state.flow, state.head, state.side, state.loss, state.slope = trial, head, side, loss, slope
    state.error = loss - drop


def solve_flows(plan: Plan) -> Flows:
    """Return flows and heads that satisfy mass and energy in every variant.

    Raises
    ------
    NetworkError
        If a demand cannot be met because no open line leads to it.
    SolverError
        If a variant does not settle; names the worst line of the first and carries the numbers of all. No unconverged
        answer is returned.
    """
    way = _solve_compiled if accelerated(plan) else _solve_together
    if plan.variants <= _TOGETHER:
        return way(plan, np.arange(plan.variants))
    chunks = [slice(first, min(first + _TOGETHER, plan.variants)) for first in range(0, plan.variants, _TOGETHER)]
    parts, errors = [], []
    for rows in chunks:
        try:
            parts.append(way(plan.take_for_search(rows), np.arange(rows.start, rows.stop)))
        except SolverError as error:
            errors.append(error)
    if errors:
        unsettled = [error.variants for error in errors]
        raise SolverError(str(errors[0]), tuple(chain.from_iterable(unsettled)) if all(unsettled) else ())
    return _joined(parts)


def _joined(parts: list[Flows]) -> Flows:
    return Flows(*(np.concatenate([getattr(part, item.name) for part in parts]) for item in fields(Flows)))


def _solve_compiled(plan: Plan, numbers: npt.NDArray[np.intp]) -> Flows:
    """Solve a plan one variant after the other, compiled; the unusual ones all together."""
    found = compiled(plan, spans(plan), least_flows(plan), highest_heads(plan))
    left = np.flatnonzero(found.steps < 0)
    if left.size:
        rest = _solve_together(plan.take_for_search(left), numbers[left])
        for item in fields(Flows):
            getattr(found, item.name)[left] = getattr(rest, item.name)
    return found


def _solve_together(plan: Plan, numbers: npt.NDArray[np.intp]) -> Flows:
    """Solve a plan whose variants are few enough for the cache; ``numbers`` (n,) are theirs among all."""
    joints = laplacian(plan.layout)
    search = Search(plan, joints)
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
        search.eased, search.generous = step >= _EASING, step >= _PATIENCE
        if step == _EASING:
            state.let_go[:] = 0
        (energy, size), mass = search.energy(state), search.unbalance(state.flow)
        worst = np.maximum(energy, mass)
        best = np.where((state.side == seen).all(axis=1), best, np.inf)  # with other lines held, residuals begin anew
        settled = _settled(search, state, worst, best)
        best, seen = np.minimum(best, worst), state.side
        out = _let_go(search, state, worst, size) if search.bounded else None
        if out is not None:
            settled &= ~out
            best[out] = np.inf
        if settled.any():
            ended = rows[settled]
            flow = search.brought_to_rest(state, settled, mass, energy)
            done.flow[ended], done.head[ended] = flow[settled], state.head[settled]
            done.held[ended] = ((flow <= search.low) | (flow >= search.high))[settled]
            done.mass_residual[ended], done.energy_residual[ended] = mass[settled], energy[settled]
            done.steps[ended] = step
            left = np.flatnonzero(~settled)
            if left.size == 0:
                return done
            rows, best, seen, worst, state = rows[left], best[left], seen[left], worst[left], state.take(left)
            search = Search(search.plan.take_for_search(left), joints)
        _advance(search, state)
    line = int(np.where(state.side == 0, np.abs(state.error), 0.0)[0].argmax())
    unsettled = tuple(numbers[rows].tolist())
    raise SolverError(
        f"the network did not settle in {_STEPS} steps; worst at line {plan.layout.lines[line]}"
        f" (variant {unsettled[0]}, residual {float(worst[0]):.2g})",
        unsettled,
    )
