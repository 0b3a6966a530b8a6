from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.answers import phrase
from hydrokit.bounds import Dimension
from hydrokit.sheets.columns import column, percent
from hydrokit.sheets.view import View
from hydrokit.units import SYSTEMS, in_unit


@pytest.mark.parametrize(
    ("values", "dimension", "system", "expected"),
    [
        ([161_214.0, -19_727.0, 482.0], Dimension.GAUGE_PRESSURE, "metric", ("x\nbar", ["1.61", "-0.20", "0.00"])),
        ([-1e-9, 0.5], Dimension.LENGTH, "metric", ("x\nm", ["0.00", "0.50"])),
        ([None, 99_000.0], Dimension.ABSOLUTE_PRESSURE, "metric", ("x\nkPa absolute", ["", "99.0"])),
        ([0.3048, 30.48], Dimension.LENGTH, "US", ("x\nft", ["1.0", "100.0"])),
        ([6165.0], Dimension.NUMBER, "metric", ("x", ["6160"])),
        ([9523.8, 57_142.0, 812.4], Dimension.NUMBER, "metric", ("x", ["9520", "57100", "812"])),
        ([1234.5, 3.0], Dimension.LENGTH, "metric", ("x\nm", ["1234", "3"])),
        ([149.0, 0.15, 0.0, -0.2], Dimension.MASS, "metric", ("x\nkg", ["149", "<1", "0", ">-1"])),
        ([None, None], Dimension.VELOCITY, "metric", ("x\nm/s", ["", ""])),
    ],
)
def test_columns(
    values: list[float | None], dimension: Dimension, system: str, expected: tuple[str, list[str]]
) -> None:
    assert column("x", values, dimension, system) == expected


@pytest.mark.parametrize(
    ("share", "decimals", "sign", "told"),
    [
        (0.996, 0, "", ">99 %"),
        (0.9996, 1, "", ">99.9 %"),
        (0.994, 0, "", "99 %"),
        (1.0, 0, "", "100 %"),
        (1.002, 0, "", "100 %"),
        (0.0004, 1, "", "<0.1 %"),
        (0.004, 0, "", "<1 %"),
        (-0.0004, 1, "+", ">-0.1 %"),
        (-1e-15, 1, "", "0.0 %"),
        (0.05, 0, "+", "+5 %"),
    ],
)
def test_a_little_is_not_nothing_and_nearly_all_is_not_all(share: float, decimals: int, sign: str, told: str) -> None:
    assert percent(share, decimals, sign) == told


@pytest.mark.parametrize(("share", "told"), [(0.9998, ">99 %"), (1.0, "100 %"), (0.9949, "99 %"), (2.8, "280 %")])
def test_what_is_in_hand_is_not_all_where_it_is_nearly_all(share: float, told: str) -> None:
    assert View().show(share, Dimension.FRACTION, digits=2) == told


@pytest.mark.parametrize(
    ("value", "dimension", "told"),
    [
        (-1.1e-16, Dimension.LENGTH, "0 m"),
        (7e-21, Dimension.FLOW, "0 L/min"),
        (1e-9, Dimension.GAUGE_PRESSURE, "0 bar"),
        (1.5e-6, Dimension.LENGTH, "1.5 µm"),
    ],
)
def test_what_rounding_leaves_is_nothing(value: float, dimension: Dimension, told: str) -> None:
    assert View().show(value, dimension) == told
    assert phrase("{it} up", it=(value, dimension)).said() == f"{told} up"


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
        number = float(cell) if cell[:1] not in "<>" else 0.0
        assert number == pytest.approx(in_unit(value, dimension, unit), abs=0.51 * 10.0**-decimals, rel=5.1e-3)


@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=6), st.sampled_from(SYSTEMS))
def test_no_cell_has_more_than_three_digits_that_count(values: list[float], system: str) -> None:
    _, cells = column("x", values, Dimension.FLOW, system)
    for cell in cells:
        assert len(cell.replace(".", "").strip("-0")) <= 3
        assert cell.strip("-0.") or not cell.startswith("-")
