from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.bounds import Dimension
from hydrokit.sheets.columns import column
from hydrokit.units import SYSTEMS, in_unit


@pytest.mark.parametrize(
    ("values", "dimension", "system", "expected"),
    [
        ([161_214.0, -19_727.0, 482.0], Dimension.GAUGE_PRESSURE, "metric", ("x\nbar", ["1.612", "-0.197", "0.005"])),
        ([-1e-9, 0.5], Dimension.LENGTH, "metric", ("x\nm", ["0.000", "0.500"])),
        ([None, 99_000.0], Dimension.ABSOLUTE_PRESSURE, "metric", ("x\nkPa absolute", ["", "99.00"])),
        ([0.3048, 30.48], Dimension.LENGTH, "US", ("x\nft", ["1.0", "100.0"])),
        ([6165.0], Dimension.NUMBER, "metric", ("x", ["6165"])),
        ([None, None], Dimension.VELOCITY, "metric", ("x\nm/s", ["", ""])),
    ],
)
def test_columns(
    values: list[float | None], dimension: Dimension, system: str, expected: tuple[str, list[str]]
) -> None:
    assert column("x", values, dimension, system) == expected


@given(
    st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=6),
    st.sampled_from([Dimension.LENGTH, Dimension.GAUGE_PRESSURE, Dimension.VELOCITY]),
    st.sampled_from(SYSTEMS),
)
def test_every_cell_is_the_value_in_the_unit_of_the_head(
    values: list[float], dimension: Dimension, system: str
) -> None:
    head, cells = column("x", values, dimension, system)
    unit = head.partition("\n")[2]
    (decimals,) = {len(cell.partition(".")[2]) for cell in cells}
    for value, cell in zip(values, cells, strict=True):
        assert float(cell) == pytest.approx(in_unit(value, dimension, unit), abs=0.51 * 10.0**-decimals)
