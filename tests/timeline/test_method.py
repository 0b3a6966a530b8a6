"""The method of the steps against what its order and stability ask of it."""

from __future__ import annotations

import numpy as np
import pytest

from hydrokit.timeline.method import COMPANION, ENDS, ROWS, SHARE, WEIGHTS


def matrix() -> np.ndarray:
    rows = np.zeros((4, 4))
    for place, row in enumerate(ROWS):
        rows[place, : len(row)] = row
    return rows + SHARE * np.diag([0.0, 1.0, 1.0, 1.0])


def grown(weights: np.ndarray, stiffness: float) -> float:
    """What a step of y' = -stiffness y makes of 1."""
    rows = matrix()
    stages = np.linalg.solve(np.eye(4) + stiffness * rows, np.ones(4))
    return float(1.0 - stiffness * weights @ stages)


def test_conditions_of_third_order() -> None:
    """Butcher's conditions up to order three, as in any textbook (Hairer, Norsett and Wanner, vol. I, ch. II.2)."""
    weights, ends, rows = np.array(WEIGHTS), np.array(ENDS), matrix()
    assert [weights.sum(), weights @ ends, weights @ ends**2, weights @ rows @ ends] == pytest.approx(
        [1, 1 / 2, 1 / 3, 1 / 6]
    )
    assert rows.sum(axis=1).tolist() == pytest.approx(ends.tolist())


def test_the_companion_is_of_second_order() -> None:
    weights, ends = np.array(COMPANION), np.array(ENDS)
    assert [weights.sum(), weights @ ends] == pytest.approx([1.0, 0.5])
    assert abs(weights @ ends**2 - 1.0 / 3.0) > 1e-3


def test_published_coefficients() -> None:
    """Kennedy and Carpenter (2003), ARK3(2)4L[2]SA, implicit part; from memory."""
    weights = (1471266399579 / 7840856788654, -4482444167858 / 7529755066697, 11266239266428 / 11593286722821, SHARE)
    companion = (2756255671327 / 12835298489170, -10771552573575 / 22201958757719, 9247589265047 / 10645013368117)
    third = (2746238789719 / 10658868560708, -640167445237 / 6845629431997)
    np.testing.assert_allclose(WEIGHTS, weights, rtol=1e-10)
    np.testing.assert_allclose(COMPANION[:3], companion, rtol=1e-10)
    np.testing.assert_allclose(ROWS[2], third, rtol=1e-10)


def test_the_stiffest_equation_is_damped_at_once() -> None:
    assert abs(grown(np.array(WEIGHTS), 1e9)) < 1e-6
    assert all(abs(grown(np.array(WEIGHTS), 10.0**power)) < 1.0 for power in range(-3, 9))
    assert abs(grown(np.array(COMPANION), 1e9)) < 1.0
