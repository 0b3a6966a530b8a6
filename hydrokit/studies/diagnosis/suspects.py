"""From fits to suspects: what explains the readings as well as anything, with as few faults as will do.

Each fault that a guess frees must pay for itself: a misfit counts with six more for every fault, which chance alone gains
with none of a handful of faults in about nineteen of twenty sets of readings. Guesses within four of the least fit as well:
two standard deviations of one reading, had it told them apart. Two faults at once are thought of only where none alone
explains the readings. All of these are our own choice.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.studies.diagnosis.fitting import Fit, Fits, Grid, Start, improved, started

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["Verdicts", "chance", "verdicts"]

_PRICE: Final = 6.0
_AS_WELL: Final = 4.0
_IMPROBABLE: Final = 0.01
"""Chance of a misfit that large or larger below which a guess does not explain the readings."""


@dataclass(frozen=True, slots=True)
class Verdicts:
    """What the fits come to.

    ``named`` are the guesses that explain the readings best, the best first; none where the rig as stated does.
    ``ruled_out`` are the others of as many faults, the best first. ``explained`` is False where not even the best comes
    near enough.
    """

    stated: Fit
    named: tuple[Fit, ...]
    ruled_out: tuple[Fit, ...]
    explained: bool
    chance: float


def chance(misfit: float, freedom: int) -> float:
    """Return the chance of a misfit that large or larger if nothing but the spread of the readings is at work.

    Examples
    --------
    >>> chance(3.84, 1)
    0.050
    """
    if freedom <= 0:
        return 1.0
    from scipy.special import gammaincc

    return float(gammaincc(0.5 * freedom, 0.5 * misfit))


def _sorted(fits: Sequence[Fit]) -> list[Fit]:
    return sorted(fits, key=lambda fit: fit.misfit)


def _parted(stated: Fit, fits: Sequence[Fit]) -> tuple[tuple[Fit, ...], tuple[Fit, ...]]:
    """Return the fits that explain the readings as well as the best, and the others; none where the stated rig does."""
    ordered = _sorted(fits)
    if not ordered:
        return (), ()
    price = _PRICE * len(ordered[0].guess.free)
    if stated.misfit <= ordered[0].misfit + price:
        return (), tuple(ordered)
    limit = ordered[0].misfit + _AS_WELL
    return tuple(fit for fit in ordered if fit.misfit <= limit), tuple(fit for fit in ordered if fit.misfit > limit)


def _explains(fit: Fit, readings: int) -> float:
    return chance(fit.misfit, readings - len(fit.guess.free))


def verdicts(fits: Fits, grid: Grid) -> Verdicts:
    """Return what readings say of the faults on a grid."""
    faults, readings = len(grid.foretold), len(fits.readings)
    nothing = np.zeros(faults)
    stated = Fit(Start((), nothing), nothing, grid.stated, np.empty((0, readings)), float(fits.misfits(grid.stated)))
    named, others = _parted(stated, improved(fits, started(fits, grid, together=1)))
    best = named[0] if named else stated
    likely = _explains(best, readings)
    if likely < _IMPROBABLE and faults > 1 and readings > 2:
        pairs = _sorted(improved(fits, started(fits, grid, together=2)))
        if pairs[0].misfit + _PRICE < (named[0].misfit if named else stated.misfit - _PRICE):
            named, others = _parted(stated, pairs)
            likely = _explains(named[0], readings) if named else likely
    return Verdicts(stated, named, others, likely >= _IMPROBABLE, likely)
