r"""Faults fitted to readings by bounded least squares, many guesses at what is wrong at the same time.

A guess frees the grades of some faults and keeps the others at 0, as the rig is stated. Its misfit is

.. math:: \chi^2 = (y - f(u))^T C^{-1} (y - f(u)), \qquad 0 \le u \le 1

with *C* from the spread of each reading and from what the tolerances of the rig's own data do to all of them together.
Every guess is first laid over a grid, then improved by Gauss and Newton's step, damped and kept within its bounds; all
guesses, their slopes and their trial steps are variants of one plan, so that a round costs one solve.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from hydrokit.bounds import Array

__all__ = ["Fit", "Fits", "Grid", "Start", "finer", "grid_of", "grid_rows", "improved", "started", "uncertainty"]

Index = npt.NDArray[np.intp]
GRADES: Final = np.array([0.0, 0.04, 0.09, 0.15, 0.22, 0.29, 0.37, 0.45, 0.54, 0.63, 0.72, 0.81, 0.9, 1.0])
_STEP: Final = 1e-4
_DAMPINGS: Final = (0.0, 0.3)
_ROUNDS: Final = 6
_SETTLED: Final = 1e-3
"""Change of a misfit below which no guess is improved further; they are told apart by whole units."""
_NOTHING: Final = 1e-9
"""Curvature of a misfit that counts as none."""
_OUT: Final = 1e12
"""Misfit of grades at which the rig does nothing that could be read."""


@dataclass(frozen=True, slots=True)
class Start:
    """One guess: which faults it frees, and the grades, shape (P,), to start from."""

    free: tuple[int, ...]
    grades: Array


@dataclass(frozen=True, slots=True)
class Fit:
    """One guess fitted: grades (P,), what they foretell (R,), slopes of that against what is free (F, R), and misfit."""

    guess: Start
    grades: Array
    foretold: Array
    slopes: Array
    misfit: float


@dataclass(frozen=True, slots=True)
class Fits:
    """Readings (R,) with a matrix that whitens their errors, and the model that foretells them from grades (n, P)."""

    model: Callable[[Array], Array]
    readings: Array
    whiten: Array

    def errors(self, foretold: Array) -> Array:
        """Return whitened errors, shape (..., R); infinite where something cannot be read."""
        known = np.isfinite(foretold).all(axis=-1, keepdims=True)
        found: Array = np.where(known, (np.where(known, foretold, 0.0) - self.readings) @ self.whiten.T, np.inf)
        return found

    def misfits(self, foretold: Array) -> Array:
        """Return the misfit of each row."""
        found: Array = np.minimum((self.errors(foretold) ** 2).sum(axis=-1), _OUT)
        return found


@dataclass(frozen=True, slots=True)
class Grid:
    """What is foretold with one fault at a time at each grade, shape (P, G, R); the first grade is 0 for all."""

    foretold: Array

    @property
    def stated(self) -> Array:
        """What the rig as stated foretells, shape (R,)."""
        found: Array = self.foretold[0, 0]
        return found


def grid_rows(faults: int) -> Array:
    """Return the grades of the grid, shape (1 + P (G - 1), P): the rig as stated, then each fault on its own."""
    rows = np.zeros((1 + faults * (len(GRADES) - 1), faults))
    for fault in range(faults):
        first = 1 + fault * (len(GRADES) - 1)
        rows[first : first + len(GRADES) - 1, fault] = GRADES[1:]
    return rows


def grid_of(foretold: Array, faults: int) -> Grid:
    """Return the grid from what its rows foretell, shape (1 + P (G - 1), R)."""
    own = foretold[1:].reshape(faults, len(GRADES) - 1, -1)
    stated = np.broadcast_to(foretold[0], (faults, 1, foretold.shape[1]))
    return Grid(np.concatenate([stated, own], axis=1))


def finer(grid: Grid, times: int) -> tuple[Array, Array]:
    """Return grades between those of the grid and what is foretold there by straight lines, (g,) and (P, g, R)."""
    at = np.linspace(0.0, len(GRADES) - 1.0, (len(GRADES) - 1) * times + 1)
    low = np.minimum(at.astype(np.intp), len(GRADES) - 2)
    share = (at - low)[:, None]
    foretold = grid.foretold[:, low] * (1.0 - share) + grid.foretold[:, low + 1] * share
    return np.interp(at, np.arange(len(GRADES)), GRADES), foretold


def started(fits: Fits, grid: Grid, *, together: int) -> list[Start]:
    """Return guesses of so many faults at once, and grades to start from: the best of the grid, effects added up."""
    faults = len(grid.foretold)
    grades, foretold = finer(grid, 10 if together == 1 else 1)
    found = []
    for free in combinations(range(faults), together):
        total = foretold[free[0]] - grid.stated
        for fault in free[1:]:
            total = total[..., None, :] + (foretold[fault] - grid.stated)
        misfits = fits.misfits(total + grid.stated)
        best = np.unravel_index(int(np.argmin(misfits)), misfits.shape)
        start = np.zeros(faults)
        start[list(free)] = grades[list(best)]
        found.append(Start(free, start))
    return found


class _Rounds:
    """Guesses on their way; rows are guesses."""

    def __init__(self, fits: Fits, starts: Sequence[Start]) -> None:
        self.fits = fits
        self.free = [start.free for start in starts]
        self.grades = np.stack([start.grades for start in starts])
        self.foretold, self.slopes = self._looked_at(self.grades, list(range(len(starts))))
        self.misfit = fits.misfits(self.foretold)

    def _looked_at(self, grades: Array, guesses: Sequence[int]) -> tuple[Array, list[Array]]:
        """Return what grades (m, P) of some guesses foretell, (m, R), and the slopes against what each frees."""
        rows = []
        for row, guess in zip(grades, guesses, strict=True):
            block = np.repeat(row[None], 1 + len(self.free[guess]), axis=0)
            for place, fault in enumerate(self.free[guess], start=1):
                block[place, fault] += _STEP if row[fault] < 0.5 else -_STEP
            rows.append(block)
        foretold = self.fits.model(np.concatenate(rows))
        at, base, slopes = 0, [], []
        for block, guess in zip(rows, guesses, strict=True):
            own = foretold[at : at + len(block)]
            at += len(block)
            steps = [block[place, fault] - block[0, fault] for place, fault in enumerate(self.free[guess], start=1)]
            base.append(own[0])
            slopes.append((own[1:] - own[0]) / np.array(steps)[:, None])
        return np.stack(base), slopes

    def _step(self, guess: int, damping: float) -> Array:
        """Return a guess's grades after a damped step within its bounds."""
        free = list(self.free[guess])
        slope = np.nan_to_num(self.slopes[guess] @ self.fits.whiten.T)
        error = np.nan_to_num(self.fits.errors(self.foretold[guess]), posinf=0.0, neginf=0.0)
        here = self.grades[guess, free]
        curve = slope @ slope.T
        pull = -(slope @ error)
        curve[np.diag_indices(len(free))] *= 1.0 + damping
        moved: Array = self.grades[guess].copy()
        moved[free] = _bounded(curve, pull, here)
        return moved

    def round(self) -> float:
        """Try one step of every guess, plain and damped; return the greatest gain."""
        guesses = [guess for guess in range(len(self.free)) for _ in _DAMPINGS]
        trials = np.stack([self._step(guess, damping) for guess in range(len(self.free)) for damping in _DAMPINGS])
        halved = 0.5 * (trials + self.grades[guesses])
        trials[1 :: len(_DAMPINGS)] = halved[1 :: len(_DAMPINGS)]
        foretold, slopes = self._looked_at(trials, guesses)
        misfit = self.fits.misfits(foretold)
        gain = 0.0
        for guess in range(len(self.free)):
            best = min(range(guess * len(_DAMPINGS), (guess + 1) * len(_DAMPINGS)), key=lambda at: float(misfit[at]))
            if misfit[best] < self.misfit[guess]:
                gain = max(gain, float(self.misfit[guess] - misfit[best]))
                self.grades[guess], self.foretold[guess] = trials[best], foretold[best]
                self.slopes[guess], self.misfit[guess] = slopes[best], misfit[best]
        return gain


def _bounded(curve: Array, pull: Array, here: Array) -> Array:
    """Return where a quadratic is least within 0 to 1, from its curvature and its pull at a point, side by side.

    What meets a bound on the straight way to the least is held there, one after the other, and let go again where the rest,
    once at its own least, leaves it pulled inward.
    """
    held: npt.NDArray[np.bool_] = np.zeros(len(here), np.bool_)
    moved: Array = here.copy()
    for _ in range(3 * len(here) + 1):
        way = _way_to_least(curve, pull - curve @ (moved - here), ~held)
        room = np.where(way < 0.0, moved, 1.0 - moved)
        limit = np.divide(room, np.abs(way), out=np.full_like(way, np.inf), where=way != 0.0)
        if limit.min() < 1.0:
            first = int(limit.argmin())
            moved = np.clip(moved + limit[first] * way, 0.0, 1.0)
            held[first] = True
            continue
        moved = np.clip(moved + way, 0.0, 1.0)
        rest = pull - curve @ (moved - here)
        inward = np.where(held, np.where(moved < 0.5, rest, -rest), 0.0)
        if inward.max() <= _NOTHING * np.abs(pull).max():
            break
        held[int(inward.argmax())] = False
    return moved


def _way_to_least(curve: Array, pull: Array, loose: npt.NDArray[np.bool_]) -> Array:
    """Return the way to where a quadratic is least with only some of its grades moving."""
    way = np.zeros_like(pull)
    if loose.any():
        within = curve[np.ix_(loose, loose)]
        scale = np.maximum(np.trace(within) / len(within), 1e-12)
        way[loose] = np.linalg.solve(within + 1e-9 * scale * np.eye(len(within)), pull[loose])
    return way


def improved(fits: Fits, starts: Sequence[Start]) -> list[Fit]:
    """Return guesses fitted as well as they go, in their order."""
    if not starts:
        return []
    rounds = _Rounds(fits, starts)
    for _ in range(_ROUNDS):
        if rounds.round() < _SETTLED:
            break
    return [
        Fit(start, grades, foretold, slopes, float(misfit))
        for start, grades, foretold, slopes, misfit in zip(
            starts, rounds.grades, rounds.foretold, rounds.slopes, rounds.misfit, strict=True
        )
    ]


def uncertainty(fits: Fits, fit: Fit) -> Array:
    """Return the spread of each grade that a fit frees, one standard deviation, shape (F,); huge where nothing tells it."""
    slope = np.nan_to_num(fit.slopes @ fits.whiten.T)
    curve: Any = slope @ slope.T + _NOTHING * np.eye(len(slope))
    spread: Array = np.sqrt(np.diag(np.linalg.inv(curve)))
    return spread
