"""Volumes as cubics and flows as parabolas, against ones that are known."""

from __future__ import annotations

import numpy as np
import pytest

from hydrokit.timeline.curve import crossing, fading, hermite, hermite_rate, parabola
from hydrokit.timeline.method import ENDS

SHARES = np.array([0.0, 0.3, ENDS[2], 0.9, 1.0])


def test_a_cubic_is_the_one_with_these_ends_and_slopes() -> None:
    """1 + 2 x - 3 x² + 4 x³, its slope 2 - 6 x + 12 x²."""
    cubic = tuple(np.array(each) for each in (1.0, 4.0, 2.0, 8.0))
    assert hermite(SHARES, cubic) == pytest.approx(1.0 + 2.0 * SHARES - 3.0 * SHARES**2 + 4.0 * SHARES**3)
    assert hermite_rate(SHARES, cubic) == pytest.approx(2.0 - 6.0 * SHARES + 12.0 * SHARES**2)


def test_a_parabola_is_the_one_through_these_flows() -> None:
    def flow(share: np.ndarray) -> np.ndarray:
        return 5.0 - 2.0 * share - 3.0 * share**2

    known = tuple(flow(np.array(share)) for share in (0.0, ENDS[2], 1.0))
    assert parabola(SHARES, known) == pytest.approx(flow(SHARES))
    assert fading(np.array([4.0]), known) == pytest.approx([1.0 / 3.0])  # (3 x - 1) (x + 1) = 0


def test_a_volume_meets_a_mark_on_its_way_up_or_down() -> None:
    up = tuple(np.array([each]) for each in (0.0, 1.0, 0.0, 2.0))  # x²
    down = tuple(-each for each in up)
    assert crossing(np.array([0.25]), np.array([1.0]), up) == pytest.approx([0.5])
    assert crossing(np.array([-0.25]), np.array([-1.0]), down) == pytest.approx([0.5])
