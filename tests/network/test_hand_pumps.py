"""Hand pumps: every figure of theirs counts, however it is given."""

from __future__ import annotations

import numpy as np
import pytest

from hydrokit.errors import NetworkError
from hydrokit.network import solve
from hydrokit.rig import replaced
from hydrokit.studies import sweep
from tests.ten_rigs import made_rigs

RIG = made_rigs()["hand pump"]
ADDRESS = "lines.lift.pump"


@pytest.mark.parametrize(
    ("field", "value"),
    [("stroke_volume", 2e-4), ("stroke_time", 4.0), ("greatest_pressure", 3e4), ("person_power", 5.0)],
)
def test_a_figure_that_is_varied_does_what_it_does_when_stated(field: str, value: float) -> None:
    values = {f"{ADDRESS}.{field}": value}
    varied = solve(RIG, variation=values).flow("lift")[0]
    assert varied == pytest.approx(solve(replaced(RIG, values)).flow("lift")[0], rel=1e-9)
    assert varied < 0.99 * solve(RIG).flow("lift")[0]


def test_a_figure_that_differs_from_variant_to_variant_is_refused() -> None:
    with pytest.raises(NetworkError, match="a hand pump's curve is made of it"):
        solve(RIG, variation={f"{ADDRESS}.stroke_volume": np.array([2e-4, 4e-4])})
    alike = solve(RIG, variation={f"{ADDRESS}.stroke_volume": np.array([2e-4, 2e-4])})
    assert alike.flow("lift")[0] == alike.flow("lift")[1]


def test_a_sweep_tries_them_one_by_one() -> None:
    answer = sweep(RIG, {f"{ADDRESS}.greatest_pressure": "20 kPa, 50 kPa, 2 bar"})
    flows = {row.tried: row.flow for row in answer.rows}
    for text, pressure in (("20 kPa", 2e4), ("50 kPa", 5e4), ("2 bar", 2e5)):
        alone = solve(replaced(RIG, {f"{ADDRESS}.greatest_pressure": pressure})).flow("lift")[0]
        assert flows[(text,)] == pytest.approx(alone, rel=1e-9)
