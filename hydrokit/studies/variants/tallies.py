"""What is remembered of many variants while their rows go by: counts, the worst residuals, the best rows."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.answers import Verdict
from hydrokit.files.result_tables import plain_values
from hydrokit.studies.variants.swept import UNSOLVED, columns_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy.typing as npt

    from hydrokit.studies.variants.swept import Question, Table

__all__ = ["Tally", "rows_of", "summary_of"]

_MOST_VALUES: Final = 100
"""Of an axis of more values it is not counted how each does."""
_WORST: Final = ("steps", "mass_residual", "energy_residual")

Row = dict[str, Any]


def rows_of(question: Question, table: Table) -> list[Row]:
    """Return the rows of a table as plain data by name of the column; None where there is nothing."""
    columns = columns_of(question)
    cells = (plain_values(column, table[column.name]) for column in columns)
    names = [column.name for column in columns]
    return [dict(zip(names, row, strict=True)) for row in zip(*cells, strict=True)]


def _by_value(question: Question, table: Table, places: npt.NDArray[np.intp]) -> list[Any]:
    """Return of each axis how many variants have each value, how many of them keep every limit, and their most flow, else -1."""
    kept = table["failing"] == 0.0
    found: list[Any] = []
    for at, axis in zip(places.T, question.product.axes, strict=True):
        count = len(axis)
        if count > _MOST_VALUES:
            found.append(None)
            continue
        most = np.full(count, -1.0)
        np.maximum.at(most, at[kept], table["flow"][kept])
        counts = (np.bincount(at[those], minlength=count).tolist() for those in (np.ones_like(kept), kept))
        found.append([*counts, most.tolist()])
    return found


def summary_of(question: Question, table: Table, first: int, shown: int) -> dict[str, Any]:
    """Return what is to be remembered of a run of variants, as plain data.

    Parameters
    ----------
    question : Question
    table : mapping of name to array, shape (n,)
        Its columns.
    first : int
        Number of its first variant, from 0.
    shown : int
        How many of the best rows to remember.
    """
    verdict, solved = table["verdict"], table["verdict"] != UNSOLVED
    best = np.lexsort(
        (table["variant"], -table["flow"], table["failing"])
    )  # NaN, of those without an answer, comes last
    best = best[solved[best]][:shown]
    flow = table["flow"][solved].tolist()
    return {
        "verdicts": Counter(verdict.tolist()),
        "limits": Counter(table["limit"][verdict == Verdict.FAILS.value].tolist()),
        "worst": [max(table[name][solved].tolist(), default=0.0) for name in _WORST],
        "flows": [min(flow), max(flow)] if flow else [],
        "best": rows_of(question, {name: values[best] for name, values in table.items()}),
        "values": _by_value(question, table, question.product.places(first, first + len(verdict))),
    }


@dataclass(slots=True)
class Tally:
    """Sums up summaries of runs of variants; ``shown`` is how many of the best rows are kept."""

    shown: int
    verdicts: Counter[str] = field(default_factory=Counter)
    limits: Counter[str] = field(default_factory=Counter)
    worst: list[float] = field(default_factory=lambda: [0.0] * len(_WORST))
    flows: list[float] = field(default_factory=list)
    best: list[Row] = field(default_factory=list)
    values: list[Any] = field(default_factory=list)

    def add(self, summary: Mapping[str, Any]) -> None:
        """Take in one more summary; the order in which they come makes no difference."""
        self.verdicts.update(summary["verdicts"])
        self.limits.update(summary["limits"])
        self.worst = [max(pair) for pair in zip(self.worst, summary["worst"], strict=True)]
        flows = [*self.flows, *summary["flows"]]
        self.flows = [min(flows), max(flows)] if flows else []
        ranked = sorted([*self.best, *summary["best"]], key=lambda row: (row["failing"], -row["flow"], row["variant"]))
        self.best = ranked[: self.shown]
        pairs = zip(self.values, summary["values"], strict=True) if self.values else ()
        merged = [None if new is None else _merged(old, new) for old, new in pairs]
        self.values = merged or summary["values"]

    @property
    def solved(self) -> int:
        """How many variants have an answer."""
        return self.verdicts.total() - self.verdicts[UNSOLVED]


def _merged(old: list[Any], new: list[Any]) -> list[Any]:
    tried, kept = ([a + b for a, b in zip(*pair, strict=True)] for pair in zip(old[:2], new[:2], strict=True))
    return [tried, kept, [max(pair) for pair in zip(old[2], new[2], strict=True)]]
