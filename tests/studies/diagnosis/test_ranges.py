"""How good or bad a condition may be, on a model in proportion to its grades, where the answer is known by hand."""

from __future__ import annotations

import numpy as np
import pytest

from hydrokit.studies.diagnosis.faults import Fault
from hydrokit.studies.diagnosis.fitting import Fit, Fits, Start, grid_of, grid_rows, improved
from hydrokit.studies.diagnosis.ranges import conditions_of
from hydrokit.studies.diagnosis.suspects import Verdicts

BASE = np.array([20.0, 30.0])
EFFECT = np.array([[10.0, 0.0], [9.0, 2.0]])
"""What each fault does to the two readings, in their standard deviations: nearly the same."""


def foretold(grades: np.ndarray) -> np.ndarray:
    return BASE + grades @ EFFECT


def test_a_fault_goes_unnoticed_as_far_as_the_one_that_is_fitted_gives_way_to_it() -> None:
    """A misfit that rises by one leaves the second only what it does across the first: half of its grade does 1.

    The first falls by nine tenths of that meanwhile, and has the room. Fixed, it would let the other reach 1 / √85 only.
    """
    fits = Fits(foretold, foretold(np.array([0.5, 0.0])), np.eye(2))
    (first,) = improved(fits, [Start((0,), np.array([0.4, 0.0]))])
    nothing = np.zeros(2)
    stated = Fit(Start((), nothing), nothing, BASE, np.empty((0, 2)), float(fits.misfits(BASE)))
    faults = [Fault(kind, "lines.run.pump", field, lambda grade: grade) for kind, field in (("worn pump", "wear"), ("air leak", "air"))]  # fmt: skip
    found = Verdicts(stated, (first,), (), explained=True, chance=1.0)
    worn, leak = conditions_of(faults, fits, grid_of(foretold(grid_rows(2)), 2), found)
    assert (worn.value, worn.low, worn.high) == pytest.approx((0.5, 0.4, 0.6), abs=1e-6)
    assert (leak.value, leak.low) == (0.0, 0.0)
    assert leak.high == pytest.approx(0.5, abs=0.0115)  # a step of the grid there
    assert leak.told
