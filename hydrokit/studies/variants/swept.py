"""A run of variants solved and judged together, as columns; a variant without an answer leaves its own row empty, no other."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.errors import NetworkError, SolverError
from hydrokit.files.result_tables import Column
from hydrokit.network import solve
from hydrokit.rules import State
from hydrokit.studies.course.times_to_fill import fill_times
from hydrokit.studies.facts.usable import runs_full, usable
from hydrokit.studies.variants.verdicts import alike, verdicts

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    import numpy.typing as npt

    from hydrokit.rig import Rig
    from hydrokit.studies.variants.products import Product

    Rows = npt.NDArray[np.intp]
    Table = dict[str, npt.NDArray[Any]]

__all__ = ["UNSOLVED", "Question", "columns_of", "swept"]

UNSOLVED: Final = "unsolved"
"""Stands for the verdict of a variant that has no answer."""


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked of every variant; picklable, so that it can be asked elsewhere.

    ``held`` is set in every variant, ``ends`` are the addresses of the tanks and outlets at which water may arrive.
    """

    rig: Rig
    mode: str
    product: Product
    held: Mapping[str, float]
    ends: tuple[str, ...]
    fill_time: bool


def columns_of(question: Question) -> tuple[Column, ...]:
    """Return the columns of a table of results: values that are varied, then what comes of them."""
    varied = [Column(axis.address, axis.spec.dimension.si_unit, "number") for axis in question.product.axes]
    return (
        Column("variant", "", "count"),
        *varied,
        Column("flow", "m^3/s", "number"),
        Column("full_pipe_flow", "m^3/s", "number"),
        *(Column(f"{end}.flow", "m^3/s", "number") for end in question.ends),
        *([Column("fill_time", "s", "number")] if question.fill_time else []),
        Column("verdict", "", "word"),
        Column("limit", "", "word"),
        Column("margin", "1", "number"),
        Column("least_margin", "1", "number"),
        Column("suction_margin", "1", "number"),
        Column("failing", "", "count"),
        Column("mass_residual", "1", "number"),
        Column("energy_residual", "1", "number"),
        Column("steps", "", "count"),
    )


def _empty(question: Question, count: int) -> Table:
    """Return a table of variants none of which has an answer."""
    table: Table = {column.name: np.full(count, np.nan) for column in columns_of(question)}
    table["verdict"] = np.full(count, UNSOLVED, np.object_)
    table["limit"] = np.full(count, "", np.object_)
    return table


def _results(question: Question, state: State, real: State) -> Table:
    """Return what comes of variants that are alike."""
    found, flows = verdicts(state), state.solution.flows
    arriving = {end: np.zeros(state.variants) for end in question.ends}
    ends = {end.partition(".")[2]: end for end in question.ends}
    arriving |= {ends[name]: flow for name, flow in real.deliveries.items() if name in ends}
    return {
        "flow": real.delivered,
        "full_pipe_flow": state.delivered,
        **{f"{end}.flow": flow for end, flow in arriving.items()},
        "verdict": found.verdict,
        "limit": found.limit,
        "margin": found.margin,
        "least_margin": found.least,
        "suction_margin": found.suction,
        "failing": found.failing,
        "mass_residual": flows.mass_residual,
        "energy_residual": flows.energy_residual,
        "steps": flows.steps,
    }


def _let_go(state: State) -> None:
    """Forget what was worked out of a state.

    Some of it holds the state itself, and such circles are found but now and then: chunks of them would pile up.
    """
    worked_out = dict(vars(state))
    vars(state).clear()
    for each in worked_out.values():
        if isinstance(each, State):
            _let_go(each)


def _where_settled(work: Callable[[Rows], None], rows: Rows) -> None:
    """Do work on some rows; where it does not settle on all together, on each half by itself, down to single rows."""
    if not rows.size:
        return
    try:
        work(rows)
    except (SolverError, NetworkError):
        if len(rows) > 1:
            middle = len(rows) // 2
            _where_settled(work, rows[:middle])
            _where_settled(work, rows[middle:])


def swept(question: Question, first: int, last: int) -> Table:
    """Return what comes of the variants numbered from ``first`` up to ``last``, a column each of shape (n,), SI.

    Numbers that are not known are NaN, words empty; what is counted is a float as well, for the same reason. A variant
    that does not settle, or whose demand cannot be met, has no number but its own values, and ``UNSOLVED`` as verdict.
    The time to fill is that of the full pipe: it is left empty where suction or a switch holds the flow back or
    the water does not stay whole, where some tank never is full, and where the filling does not settle.
    """
    product = question.product
    places = product.places(first, last)
    table, full = _empty(question, last - first), np.zeros(last - first, np.bool_)
    table["variant"] = np.arange(first + 1, last + 1, dtype=np.float64)
    table |= product.variation(places)

    def varied(rows: Rows) -> dict[str, Any]:
        return product.variation(places[rows])

    def solved(rows: Rows) -> State:
        return State(solve(question.rig, question.mode, {**question.held, **varied(rows)}))

    def answer(rows: Rows) -> None:
        state = solved(rows)
        groups = alike(state, varied(rows))
        for group in groups:
            own = state if len(groups) == 1 else solved(rows[group])
            real = usable(own)
            full[rows[group]] = runs_full(own, real)
            for name, values in _results(question, own, real).items():
                table[name][rows[group]] = values
            _let_go(real)
            _let_go(own)
        _let_go(state)

    def time(rows: Rows) -> None:
        table["fill_time"][rows] = fill_times(question.rig, question.mode, {**question.held, **varied(rows)})

    _where_settled(answer, np.arange(last - first))
    if question.fill_time:
        _where_settled(time, np.flatnonzero(full))
        table["fill_time"][~np.isfinite(table["fill_time"])] = np.nan
    return table
