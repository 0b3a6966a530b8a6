"""When the compiled search is used, and how a plan is handed to it.

Loading it takes about a second, and compiling it the first time some ten. It is therefore loaded where a great many
variants are solved at once, or where :func:`speed_up` asks for it, and from then on serves every plan of the process
that it can. Without the extra ``fast`` everything is solved all the same, only more slowly.
"""

from __future__ import annotations

from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import numpy.typing as npt

from hydrokit.errors import MissingExtra, SolverError
from hydrokit.extras import require_extra
from hydrokit.laws.friction import friction_factor
from hydrokit.network.flows import Flows
from hydrokit.network.laplacian import DENSE_LIMIT

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.laws.pump_curve import CurveTable
    from hydrokit.network.plan import Plan, Pumps

__all__ = ["MANY", "accelerated", "compiled", "solving", "speed_up", "worth_compiling"]

MANY: Final = 100_000
"""Solves, in one piece of work, that are worth loading the compiled search for."""
_ALIKE: Final = 1e-10
"""Relative; how closely the compiled search must find a flow that is known."""

_loaded: dict[str, Any] = {}
_asked: ContextVar[bool | None] = ContextVar("asked", default=None)

Index = npt.NDArray[np.intp]


def speed_up() -> None:
    """Load the compiled solver, so that every later solve in this process uses it.

    Answers stay the same but for rounding. Without this call it is loaded by itself where many variants are solved at
    once.

    Raises
    ------
    MissingExtra
        If numba, of the extra ``fast``, is not installed or does not load.
    SolverError
        If the compiled solver does not give what the other does.

    Notes
    -----
    Compiled once on a machine, some ten seconds; loaded from the compiler's cache afterwards, about a second. Answers
    reached before and after this call may differ in their last digits.

    Examples
    --------
    >>> speed_up()
    """
    if _loaded:
        return
    require_extra("fast", "numba")
    from hydrokit.network.compiled.search import search

    _loaded["search"] = search
    if not _as_it_should():  # kept by the compiler from a time before something that it was made of has changed
        _loaded["search"].recompile()
        if not _as_it_should():
            _loaded.clear()
            raise SolverError("the compiled solver does not give the friction that it should")


def _as_it_should() -> bool:
    """Return whether one hose between two levels carries what ``fluids`` says that it does."""
    bore, rough, number, kinematic = 0.0125, 1e-4, 2e4, 1e-6
    group = number**2 * friction_factor(reynolds=number, relative_roughness=rough)
    flow, per_flow = number * np.pi * bore * kinematic / 4.0, 4.0 / (np.pi * bore * kinematic)
    line = np.array([[[-np.inf, np.inf, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1e-4, np.nan, np.nan]]])
    found, residuals, steps = np.empty((1, 1)), np.empty((1, 2)), np.empty(1, np.intp)
    _loaded["search"](
        line, np.array([[[per_flow, rough, 1.0 / group, np.nan]]]), np.zeros(1, np.intp), *_pumps(None, np.zeros(1, np.intp), 1),
        np.zeros((1, 2), np.intp), np.zeros(1, np.bool_), np.empty((1, 0)), np.array([[1.0, 1e-10, 1.0]]),
        found, np.empty((1, 0)), np.empty((1, 1), np.bool_), residuals, steps,
    )  # fmt: skip
    return bool(steps[0] >= 0 and abs(found[0, 0] / flow - 1.0) < _ALIKE)


@contextmanager
def solving(*, compiled: bool) -> Iterator[None]:
    """Solve with the compiled solver, or without it, whatever is loaded: so that pieces of one result agree to the digit."""
    before = _asked.set(compiled)
    try:
        if compiled:
            speed_up()
        yield
    finally:
        _asked.reset(before)


def worth_compiling(solves: int) -> bool:
    """Return whether a piece of work of so many solves is worth loading the compiled solver for, and it can be loaded."""
    if solves < MANY:
        return False
    try:
        require_extra("fast", "numba")
    except MissingExtra:
        return False
    return True


def accelerated(plan: Plan) -> bool:
    """Return whether a plan goes through the compiled search; loads it where the plan has many variants."""
    if not _loaded and worth_compiling(plan.variants):
        speed_up()
    if _asked.get() is False:
        return False
    few = len(plan.layout.joints) <= DENSE_LIMIT
    return bool(_loaded) and few and (plan.pumps is None or plan.pumps.slip is None)


def compiled(plan: Plan, span: Array, least_flow: Array, highest: Array) -> Flows:
    """Return what the compiled search finds for every variant of a plan; -1 steps and anything where it does not settle.

    Parameters
    ----------
    plan : Plan
        One that :func:`accelerated` names.
    span : array, shape (n,) or (1,)
        Height difference of each variant, at least the smallest head that counts. [m]
    least_flow : array, shape (n,) or (1,)
        Largest demand of each variant, at least what counts as standstill. [m^3/s]
    highest : array, shape (n,) or (1,)
        Largest head stated at any end, of either sign. [m]
    """
    layout, ends, losses, hoses = plan.layout, plan.ends, plan.losses, plan.rubbing
    count = plan.variants
    live = np.flatnonzero(((ends.low != 0.0) | (ends.high != 0.0)).any(axis=0))
    place = np.full(len(layout.lines), -1, np.intp)
    place[live] = np.arange(len(live))
    rubs = np.flatnonzero(place[hoses.line] >= 0)
    stores = np.zeros(len(layout.lines), np.bool_)
    stores[layout.stores] = True
    unknown = np.full((1, len(layout.lines)), np.nan)
    nominal_loss, nominal_slope = (unknown, unknown) if plan.nominal_law is None else plan.nominal_law
    flow, heads = np.empty((count, len(live))), np.empty((count, len(layout.joints)))
    held, residuals, steps = np.empty(flow.shape, np.bool_), np.empty((count, 2)), np.empty(count, np.intp)
    _loaded["search"](
        _table(count, live, ends.low, ends.high, ends.fixed_drop, losses.linear, losses.square_forward,
               losses.square_backward, losses.cracking, losses.rest_flow, ends.nominal, nominal_loss, nominal_slope),
        _table(count, rubs, hoses.reynolds_per_flow, hoses.relative_roughness, hoses.head_per_group,
               hoses.fixed_factor if hoses.fixed_factor.size else np.full((1, len(hoses.line)), np.nan)),
        place[hoses.line[rubs]], *_pumps(plan.pumps, place, count),
        np.stack([layout.start[live], layout.end[live]], axis=1), stores[live],
        np.array(np.broadcast_to(ends.demand, heads.shape)), _scale(count, span, least_flow, highest),
        flow, heads, held, residuals, steps,
    )  # fmt: skip
    return Flows(
        _widened(flow, live, place, 0.0), heads, _widened(held, live, place, 1), residuals[:, 0], residuals[:, 1], steps
    )


def _widened(values: Any, live: Index, place: Index, other: float) -> Any:
    """Return columns of live lines as columns of all."""
    if len(live) == len(place):
        return values
    wide = np.full((len(values), len(place)), other, values.dtype)
    wide[:, live] = values
    return wide


def _scale(count: int, span: Array, least_flow: Array, highest: Array) -> Array:
    scale = np.empty((count, 3))
    scale[:, 0], scale[:, 1], scale[:, 2] = span, least_flow, highest
    return scale


def _table(count: int, places: Index, *columns: Array) -> Array:
    """Return some places of columns (1, X) or (n, X) side by side, shape (n, places, columns)."""
    table = np.empty((count, len(places), len(columns)))
    for number, column in enumerate(columns):
        table[:, :, number] = column[:, places]
    return table


def _pumps(pumps: Pumps | None, place: Index, count: int) -> tuple[Array, Array, Array, Index]:
    """Return numbers, currents and curves of the running pumps, and their lines and kinds of drive."""
    if pumps is None:
        return np.empty((count, 0, 6)), np.empty((count, 0, 1, 3)), np.empty((0, 1, 6)), np.empty((0, 2), np.intp)
    running = len(pumps.line)
    drives = [drive for drive in pumps.drives if drive.kind != "constant power"]
    points = max((len(drive.flows) for drive in drives), default=0)
    numbers, currents = np.ones((count, running, 6)), np.zeros((count, running, points + 1, 3))
    currents[..., 0] = np.inf
    index = np.zeros((running, 2), np.intp)
    index[:, 0] = place[pumps.line]
    numbers[:, :, 0], numbers[:, :, 1] = pumps.head_scale, pumps.flow_scale
    for drive in drives:
        at, own = drive.place, len(drive.flows)
        index[at, 1] = 1 if drive.kind == "rotodynamic" else 2
        for column, values in enumerate((drive.supply, drive.loop, drive.winding, drive.rated), 2):
            numbers[:, at, column] = values
        pieces = np.full((count, len(at), own + 1, 3), np.inf)
        pieces[:, :, 1:, 0] = np.swapaxes(drive.knots, 1, 2)
        pieces[..., 1:] = np.swapaxes(drive.currents, 1, 2)
        currents[:, at, : own + 1] = pieces
    return numbers, currents, _curves(pumps.table), index


def _curves(table: CurveTable) -> Array:
    """Return the pieces of each curve, shape (U, S, 6): coefficients, where they count from, where each begins."""
    count, pieces = len(table.shut_off), len(table.starts) + 1
    curves = np.full((count, pieces, 6), -np.inf)
    curves[:, :, :5] = table.pieces.T.reshape(count, pieces, 5)
    curves[:, 1:, 5] = table.starts.T
    return curves
