"""How far a value may go before something stops holding: the same halving search for many cases at once."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable

    import numpy.typing as npt

    from hydrokit.bounds import Array

__all__ = ["Edges", "Reach", "last_held"]

_PARTS: Final = 8
"""Parts into which every stretch is cut at a time; all cuts of all cases are solved in one batch."""


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


def _on_grid(
    held: Callable[[npt.NDArray[np.intp], Array], npt.NDArray[np.bool_]], cases: int, values: Array
) -> npt.NDArray[np.bool_]:
    """Return what holds for every case at every value of the grid, shape (cases, values, limits)."""
    rows = np.repeat(np.arange(cases), len(values))
    found = held(rows, np.tile(values, cases))
    return found.reshape(cases, len(values), found.shape[1])


def last_held(
    held: Callable[[npt.NDArray[np.intp], Array], npt.NDArray[np.bool_]],
    *,
    cases: int,
    values: Array,
    tolerance: float = 1e-7,
) -> Edges:
    """Return, for every case and limit, the last value beyond which the limit never holds again.

    Parameters
    ----------
    held : callable
        Takes the case and the value of each row, both of shape (m,), and returns whether each limit holds,
        shape (m, limits).
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
    grid = _on_grid(held, cases, values)
    last = grid.shape[1] - 1 - np.argmax(grid[:, ::-1, :], axis=1)
    ever = grid.any(axis=1)
    beyond = ever & (last == grid.shape[1] - 1)
    reach = np.where(~ever, Reach.NEVER, np.where(beyond, Reach.BEYOND, Reach.FOUND)).astype(object)
    edge = np.full(last.shape, np.nan)
    case, limit = np.nonzero(ever & ~beyond)
    if not case.size:
        return Edges(edge, reach)
    low, high = values[last[case, limit]], values[last[case, limit] + 1]
    shares = np.arange(1, _PARTS) / _PARTS
    for _ in range(int(np.ceil(np.log(np.max(high - low) / tolerance) / np.log(_PARTS)))):
        cuts = low[:, None] + (high - low)[:, None] * shares
        good = held(np.repeat(case, len(shares)), cuts.ravel())
        own = good[np.arange(len(good)), np.repeat(limit, len(shares))].reshape(cuts.shape)
        steps = np.concatenate([low[:, None], cuts, high[:, None]], axis=1)
        place = np.where(own.any(axis=1), len(shares) - np.argmax(own[:, ::-1], axis=1), 0)
        rows = np.arange(len(place))
        low, high = steps[rows, place], steps[rows, place + 1]
    edge[case, limit] = low
    return Edges(edge, reach)
