from __future__ import annotations

import pytest

from hydrokit.bounds import Dimension
from hydrokit.units import Measured, measured


@pytest.mark.parametrize(
    ("text", "dimension"),
    [
        ("3 ± 1 m2", Dimension.AREA),
        ("3 ± 1 m²", Dimension.AREA),
        ("3 ± 1 m3", Dimension.VOLUME),
        ("3 ± 1 kg/m³", Dimension.DENSITY),
    ],
)
def test_a_unit_that_ends_in_its_power_serves_both_numbers(text: str, dimension: Dimension) -> None:
    assert measured(text, dimension) == Measured(3.0, 1.0)
