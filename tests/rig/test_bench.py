"""Readings at the bench: what is refused."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from hydrokit.errors import RangeError
from hydrokit.rig import Reading
from hydrokit.rig.bench import GAUGES


@pytest.mark.parametrize("value", ["35 kPa", None, np.array([1.0, 2.0]), True, 10**400, float("nan")])
def test_a_reading_is_one_finite_number(value: Any) -> None:
    with pytest.raises(RangeError, match=r"value: found .*, expected a finite number"):
        Reading(kind="vacuum", value=value)


@pytest.mark.parametrize("field", ["uncertainty", "at", "side"])
def test_all_else_of_a_reading_is_what_it_should_be(field: str) -> None:
    with pytest.raises(RangeError, match=f"{field}: found"):
        Reading(kind="vacuum", value=35e3, **{field: ["3"]})


@pytest.mark.parametrize("kind", sorted(GAUGES))
def test_no_usual_gauge_is_exact_where_it_reads_nothing(kind: str) -> None:
    """Errors count in units of the spread: one of 0 would make any other reading impossible."""
    assert GAUGES[kind].uncertainty(0.0) > 0.0
    assert GAUGES[kind].uncertainty(-1.0) == GAUGES[kind].uncertainty(1.0)


@pytest.mark.parametrize("uncertainty", [0.0, -1.0])
def test_no_reading_is_stated_as_exact(uncertainty: float) -> None:
    with pytest.raises(RangeError, match=r"vacuum.uncertainty: found .*, expected more than 0"):
        Reading(kind="vacuum", value=35e3, uncertainty=uncertainty)
