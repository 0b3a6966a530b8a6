from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.errors import RangeError
from hydrokit.laws.log_reduction import parallel_logs, series_logs, share_passing

LOGS = st.lists(st.floats(0.0, 8.0), min_size=2, max_size=5)


@given(LOGS)
def test_in_series_the_shares_passing_multiply(logs: list[float]) -> None:
    passing = np.prod([share_passing(one) for one in logs])
    assert share_passing(series_logs(np.array(logs))) == pytest.approx(passing, rel=1e-9)


@given(LOGS)
def test_side_by_side_lies_between_the_worst_path_and_the_best(logs: list[float]) -> None:
    together = parallel_logs(flow_shares=np.full(len(logs), 1.0 / len(logs)), logs=np.array(logs))
    assert min(logs) - 1e-9 <= together <= max(logs) + 1e-9


@given(st.floats(0.0, 8.0))
def test_equal_paths_make_no_difference(logs: float) -> None:
    together = parallel_logs(flow_shares=np.array([0.3, 0.7]), logs=np.array([logs, logs]))
    assert together == pytest.approx(logs, abs=1e-9)


def test_no_reduction_is_nothing_and_not_less() -> None:
    assert str(parallel_logs(flow_shares=np.array([0.3, 0.7]), logs=np.zeros(2))) == "0.0"


def test_a_way_round_rules() -> None:
    shares = np.array([[0.9, 0.1], [0.999, 0.001]])
    assert parallel_logs(flow_shares=shares, logs=np.array([6.0, 0.0])) == pytest.approx([1.0, 3.0], abs=5e-4)


def test_variants_stay_apart() -> None:
    assert np.array_equal(series_logs(np.array([[1.0, 2.0], [0.0, 4.0]])), [3.0, 4.0])


def test_shares_that_do_not_add_up_are_refused() -> None:
    with pytest.raises(RangeError, match=r"flow_shares: found a sum of 0\.9, expected shares that add up to 1"):
        parallel_logs(flow_shares=np.array([0.5, 0.4]), logs=np.array([1.0, 2.0]))


def test_a_negative_reduction_is_refused() -> None:
    with pytest.raises(RangeError, match=r"^logs: found -1"):
        series_logs(np.array([1.0, -1.0]))
