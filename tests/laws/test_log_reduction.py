from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.errors import RangeError
from hydrokit.laws.log_reduction import share_passing

LOGS = st.lists(st.floats(0.0, 8.0), min_size=2, max_size=5)


@given(LOGS)
def test_in_series_the_shares_passing_multiply(logs: list[float]) -> None:
    passing = np.prod([share_passing(one) for one in logs])
    assert share_passing(sum(logs)) == pytest.approx(passing, rel=1e-9)


def test_a_negative_reduction_is_refused() -> None:
    with pytest.raises(RangeError, match=r"^logs: found -1"):
        share_passing(np.array([1.0, -1.0]))
