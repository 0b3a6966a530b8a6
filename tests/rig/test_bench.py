"""Readings at the bench: what is refused."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from hydrokit.errors import RangeError
from hydrokit.rig import Reading


@pytest.mark.parametrize("value", ["35 kPa", None, np.array([1.0, 2.0]), True, 10**400, float("nan")])
def test_a_reading_is_one_finite_number(value: Any) -> None:
    with pytest.raises(RangeError, match=r"value: found .*, expected a finite number"):
        Reading(kind="vacuum", value=value)


@pytest.mark.parametrize("field", ["uncertainty", "at", "side"])
def test_all_else_of_a_reading_is_what_it_should_be(field: str) -> None:
    with pytest.raises(RangeError, match=f"{field}: found"):
        Reading(kind="vacuum", value=35e3, **{field: ["3"]})
