from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.errors import RangeError
from hydrokit.laws.hand_pump import hand_pump_points
from hydrokit.laws.pump_curve import compile_curves, gain


@given(st.floats(0.05e-3, 1e-3), st.floats(1.0, 4.0), st.floats(50e3, 500e3), st.floats(20.0, 120.0))
def test_curve_is_the_least_of_force_and_power_up_to_the_quickest_stroke(
    stroke_volume: float, stroke_time: float, greatest_pressure: float, person_power: float
) -> None:
    points = hand_pump_points(
        stroke_volume=stroke_volume,
        stroke_time=stroke_time,
        greatest_pressure=greatest_pressure,
        person_power=person_power,
    )
    table = compile_curves([points])
    quickest = stroke_volume / stroke_time
    assert table.flow_limit[0] == quickest
    flow = np.linspace(0.001, 1.0, 300) * quickest
    least = np.minimum(greatest_pressure, person_power / flow)
    np.testing.assert_allclose(gain(table, flow[:, None])[0][:, 0], least, rtol=4e-3)


def test_efficiency_takes_its_share_of_the_power() -> None:
    points = hand_pump_points(
        stroke_volume=0.4e-3, stroke_time=1.0, greatest_pressure=400e3, person_power=60.0, pump_efficiency=0.5
    )
    flow, pressure = points[-2]
    assert flow * pressure == pytest.approx(30.0)


def test_strong_person_is_held_back_by_force_alone() -> None:
    points = hand_pump_points(stroke_volume=0.1e-3, stroke_time=2.0, greatest_pressure=200e3, person_power=60.0)
    assert points == ((0.0, 200e3), (0.05e-3, 200e3), (0.05e-3, 0.0))


def test_no_stroke_is_refused() -> None:
    with pytest.raises(RangeError, match="stroke_volume"):
        hand_pump_points(stroke_volume=0.0, stroke_time=2.0, greatest_pressure=200e3, person_power=60.0)
