"""How far a value may go before something stops holding: the same bracketed search for many cases at once."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable

    import numpy.typing as npt

    from hydrokit.bounds import Array

    Index = npt.NDArray[np.intp]

__all__ = ["Edges", "Reach", "last_held"]

_HALVED_EVERY: Final = 3
"""Every so many steps a stretch is halved, whatever its ends suggest, so that the search always comes to an end."""
_TOGETHER: Final = 96
"""How many values are looked at together; up to about here one more costs next to nothing."""
_MOST_STEPS: Final = 200
"""A stretch of any length is closed in to the last digit of a float in fewer."""


class Reach(StrEnum):
    """How a search for the last value that holds came out."""

    FOUND = "found"
    BEYOND = "beyond"
    NEVER = "never"


@dataclass(frozen=True, slots=True)
class Edges:
    """The last value at which each case and limit still holds, shape (cases, limits).

    ``value`` is NaN where nothing was found; ``reach`` says why: it holds beyond the range searched, or never in it.
    """

    value: Array
    reach: npt.NDArray[np.object_]


def _on_grid(slack: Callable[[Index, Array], Array], cases: int, values: Array) -> Array:
    """Return what is left of every limit for every case at every value of the grid, shape (cases, values, limits)."""
    rows = np.repeat(np.arange(cases), len(values))
    found = slack(rows, np.tile(values, cases))
    return found.reshape(cases, len(values), found.shape[1])


def last_held(slack: Callable[[Index, Array], Array], *, cases: int, values: Array, tolerance: float = 1e-7) -> Edges:
    """Return, for every case and limit, the last value beyond which the limit never holds again.

    Parameters
    ----------
    slack : callable
        Takes the case and the value of each row, both of shape (m,), and returns what is left of each limit, shape
        (m, limits): a limit holds where that is 0 or more. It may jump, and be infinite.
    cases : int
        How many cases there are.
    values : array, shape (g,)
        A rising grid that brackets the edges; what happens between two of its values twice over is not seen.
    tolerance : float
        How closely an edge is to be found, in the unit of the values.

    Returns
    -------
    Edges
    """
    grid = _on_grid(slack, cases, values)
    holds = grid >= 0.0
    last = holds.shape[1] - 1 - np.argmax(holds[:, ::-1, :], axis=1)
    ever = holds.any(axis=1)
    beyond = ever & (last == holds.shape[1] - 1)
    reach = np.where(~ever, Reach.NEVER, np.where(beyond, Reach.BEYOND, Reach.FOUND)).astype(object)
    edge = np.full(last.shape, np.nan)
    case, limit = np.nonzero(ever & ~beyond)
    if case.size:
        at = last[case, limit]
        ends = _Ends(values[at], values[at + 1], grid[case, at, limit], grid[case, at + 1, limit])
        edge[case, limit] = _closed_in(slack, case, limit, ends, tolerance)
    return Edges(edge, reach)


@dataclass(slots=True)
class _Ends:
    """Stretches at whose lower end a limit holds, and at whose upper end it does not, with what is left at either."""

    low: Array
    high: Array
    left_low: Array
    left_high: Array

    def guess(self, tolerance: float, *, halve: bool) -> Array:
        """Return where between its ends each stretch is looked at next."""
        middle = 0.5 * (self.low + self.high)
        if halve:
            return middle
        told = np.isfinite(self.left_low) & np.isfinite(self.left_high)
        share = np.where(told, self.left_low, 0.5) / np.where(told, self.left_low - self.left_high, 1.0)
        chord = self.low + share * (self.high - self.low)
        return np.clip(
            chord, np.minimum(self.low + 0.5 * tolerance, middle), np.maximum(self.high - 0.5 * tolerance, middle)
        )

    def looked_at(self, rows: Index, tolerance: float, *, halve: bool) -> Array:
        """Return where some stretches are looked at next, rising, shape (rows, points).

        A guess each; where there are few stretches even divisions as well, as many rows at once cost little more than one.
        """
        low, high = self.low[rows, None], self.high[rows, None]
        parts = max(_TOGETHER // len(rows), 1)
        divisions = low + np.arange(1, parts) / parts * (high - low)
        guess = self.guess(tolerance, halve=halve)[rows, None]
        return np.sort(np.concatenate([guess, divisions], axis=1), axis=1)

    def take(self, rows: Index, at: Array, left: Array) -> None:
        """Close some stretches in around the last point that holds, of those they were looked at, shape (rows, points).

        An end that stays counts for half from then on, so that the next guess falls on its side.
        """
        points = np.column_stack([self.low[rows], at, self.high[rows]])
        found = np.column_stack([self.left_low[rows], left, self.left_high[rows]])
        each, most = np.arange(len(rows)), at.shape[1]
        last = most - np.argmax(np.column_stack([found[:, most:0:-1] >= 0.0, np.ones(len(rows), bool)]), axis=1)
        self.low[rows], self.high[rows] = points[each, last], points[each, last + 1]
        self.left_low[rows] = np.where(last == 0, 0.5, 1.0) * found[each, last]
        self.left_high[rows] = np.where(last == most, 0.5, 1.0) * found[each, last + 1]


def _closed_in(
    slack: Callable[[Index, Array], Array], case: Index, limit: Index, ends: _Ends, tolerance: float
) -> Array:
    """Return the lower ends of stretches that have been closed in to the tolerance."""
    for step in range(1, _MOST_STEPS + 1):
        rows = np.flatnonzero(ends.high - ends.low > tolerance)
        if not rows.size:
            break
        at = ends.looked_at(rows, tolerance, halve=step % _HALVED_EVERY == 0)
        points = at.shape[1]
        found = slack(np.repeat(case[rows], points), at.ravel())
        left = found[np.arange(at.size), np.repeat(limit[rows], points)]
        ends.take(rows, at, left.reshape(at.shape))
    return ends.low
