"""Roots by bracketing, also where they take many more steps than scipy allows by itself."""

from __future__ import annotations

import pytest

from hydrokit.errors import SolverError
from hydrokit.verifying.roots import root_between


def test_a_root_beside_a_bend_is_found_to_the_last_digit() -> None:
    assert root_between(lambda x: x - 1e-3 if x < 1e-3 else 1e9 * (x - 1e-3), -1.0, 1e6) == pytest.approx(
        1e-3, rel=1e-14
    )
    assert root_between(lambda x: x**9, -1.0, 3.0) == pytest.approx(0.0, abs=1e-6)


def test_what_is_not_found_is_no_answer() -> None:
    with pytest.raises(SolverError, match="no flow, head or voltage was found between -1 and 1e\\+06"):
        root_between(lambda x: 1.0 if x > 0.0 else -1.0, -1.0, 1e6, xtol=1e-323)
