"""Fits of grades to readings, on models whose answer is known by hand or by ``scipy.optimize.lsq_linear``."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import lsq_linear

from hydrokit.studies.diagnosis.fitting import (
    GRADES,
    Fits,
    Start,
    finer,
    grid_of,
    grid_rows,
    improved,
    started,
    uncertainty,
)

BASE = np.array([10.0, 5.0, -2.0, 1.0])
EFFECT = np.array([[-4.0, 1.0, 0.5, 0.0], [-3.0, -2.0, 0.0, 1.0], [-1.0, 0.5, 2.0, -0.5]])
SPREAD = np.array([0.1, 0.2, 0.05, 0.1])
"""Four readings of which three faults change each in proportion to its grade."""


def foretold(grades: np.ndarray) -> np.ndarray:
    return BASE + grades @ EFFECT


def fits(readings: np.ndarray) -> Fits:
    return Fits(foretold, readings, np.diag(1.0 / SPREAD))


def test_the_grid_holds_each_fault_alone_at_each_grade() -> None:
    grid = grid_of(foretold(grid_rows(3)), 3)
    assert (GRADES[0], GRADES[-1]) == (0.0, 1.0)
    assert (np.diff(GRADES) > 0.0).all()
    assert grid.stated.tolist() == BASE.tolist()
    expected = BASE + GRADES[None, :, None] * EFFECT[:, None, :]
    assert grid.foretold == pytest.approx(expected)
    grades, between = finer(grid, 10)
    assert len(grades) == 10 * (len(GRADES) - 1) + 1
    assert grades[::10] == pytest.approx(GRADES)
    assert between == pytest.approx(BASE + grades[None, :, None] * EFFECT[:, None, :])


@pytest.mark.parametrize("true", [[0.36, 0.0, 0.0], [0.0, 0.0, 0.85]])
def test_one_fault_alone_starts_at_the_nearest_grade_and_ends_at_its_own(true: list[float]) -> None:
    own = fits(foretold(np.array(true)))
    starts = started(own, grid_of(foretold(grid_rows(3)), 3), together=1)
    assert [start.free for start in starts] == [(0,), (1,), (2,)]
    fault = int(np.argmax(true))
    assert starts[fault].grades[fault] == pytest.approx(true[fault], abs=0.006)
    found = improved(own, starts)
    assert int(np.argmin([fit.misfit for fit in found])) == fault
    assert found[fault].grades == pytest.approx(true, abs=1e-6)
    assert found[fault].misfit == pytest.approx(0.0, abs=1e-6)
    assert found[fault].foretold == pytest.approx(own.readings, abs=1e-5)


@pytest.mark.parametrize(
    "wanted", [[0.3, 0.6, 0.0], [1.4, 0.2, 0.0], [-0.5, 0.7, 0.0], [1.5, -0.3, 0.0], [-0.4, 1.6, 0.0], [0.2, 0.9, 0.4]]
)
def test_two_faults_end_where_bounded_least_squares_do(wanted: list[float]) -> None:
    own = fits(BASE + np.array(wanted) @ EFFECT)
    (found,) = improved(own, [Start((0, 1), np.array([0.5, 0.5, 0.0]))])
    expected = lsq_linear((EFFECT[:2] / SPREAD).T, (own.readings - BASE) / SPREAD, bounds=(0.0, 1.0), tol=1e-14)
    assert found.grades == pytest.approx([*expected.x, 0.0], abs=1e-4)
    assert found.misfit == pytest.approx(2.0 * expected.cost, rel=1e-4, abs=1e-6)


def test_pairs_start_with_their_effects_added_up() -> None:
    true = np.array([0.0, GRADES[4], GRADES[9]])
    starts = started(fits(foretold(true)), grid_of(foretold(grid_rows(3)), 3), together=2)
    assert [start.free for start in starts] == [(0, 1), (0, 2), (1, 2)]
    assert starts[2].grades == pytest.approx(true)


def test_the_spread_of_grades_is_that_of_the_normal_equations() -> None:
    own = fits(foretold(np.array([0.3, 0.6, 0.0])))
    (found,) = improved(own, [Start((0, 1), np.array([0.5, 0.5, 0.0]))])
    effect = EFFECT[:2] / SPREAD
    assert uncertainty(own, found) == pytest.approx(np.sqrt(np.diag(np.linalg.inv(effect @ effect.T))), rel=1e-5)


def test_grades_at_which_nothing_can_be_read_explain_nothing() -> None:
    own = fits(BASE)
    assert own.misfits(np.array([[np.nan, 5.0, -2.0, 1.0], BASE])).tolist() == [1e12, 0.0]
