"""How good or bad each condition of a rig may be, and the readings still be explained.

For every guess that explains the readings as well as the best, each fault that it frees ranges over one standard deviation
about its fit; any other may grow from as stated until the misfit has risen by one, the freed grades giving way meanwhile.
There the effects of faults are taken to add up. The range of a condition is that of all these guesses together.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.studies.diagnosis.accusing import Condition
from hydrokit.studies.diagnosis.fault_words import condition_dimension
from hydrokit.studies.diagnosis.fitting import finer, uncertainty

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.bounds import Array
    from hydrokit.studies.diagnosis.faults import Fault
    from hydrokit.studies.diagnosis.fitting import Fit, Fits, Grid
    from hydrokit.studies.diagnosis.suspects import Verdicts

__all__ = ["conditions_of"]

_RISE: Final = 1.0
_UNTOLD: Final = 0.9
"""Grade from which on a condition could hardly be worse, so that the readings say nothing of it."""
_BETWEEN: Final = 8


def _unnoticed(fits: Fits, fit: Fit, fault: int, grades: Array, effects: Array) -> float:
    """Return the grade up to which a fault that a fit does not free goes unnoticed."""
    misfits = [fits.misfits(fit.foretold + effects[fault])]
    for freed in fit.guess.free:
        own = [np.interp(fit.grades[freed], grades, column) for column in effects[freed].T]
        giving_way = (fit.foretold - own + effects[freed])[:, None] + effects[fault]
        misfits.append(fits.misfits(giving_way).min(axis=0))
    least = np.min(misfits, axis=0)
    noticed = np.flatnonzero(least > least[0] + _RISE)
    return float(grades[max(int(noticed[0]) - 1, 0)] if noticed.size else grades[-1])


def _ends(fits: Fits, fit: Fit, fault: int, grades: Array, effects: Array) -> tuple[float, float]:
    if fault not in fit.guess.free:
        return 0.0, _unnoticed(fits, fit, fault, grades, effects)
    spread = float(uncertainty(fits, fit)[fit.guess.free.index(fault)])
    return max(float(fit.grades[fault]) - spread, 0.0), min(float(fit.grades[fault]) + spread, 1.0)


def conditions_of(faults: Sequence[Fault], fits: Fits, grid: Grid, found: Verdicts) -> tuple[Condition, ...]:
    """Return the state of a rig: each condition as the best guess has it, and its range over all that fit as well."""
    guesses = found.named or (found.stated,)
    grades, foretold = finer(grid, _BETWEEN)
    rows = []
    for place, fault in enumerate(faults):
        ends = [_ends(fits, guess, place, grades, foretold - grid.stated) for guess in guesses]
        low, high = min(least for least, _ in ends), max(most for _, most in ends)
        value, *limits = (float(each) for each in fault.value(np.array([guesses[0].grades[place], low, high])))
        rows.append(
            Condition(
                fault=fault.kind,
                place=fault.place,
                dimension=condition_dimension(fault),
                value=value,
                low=min(limits),
                high=max(limits),
                told=high < _UNTOLD,
            )
        )
    return tuple(rows)
