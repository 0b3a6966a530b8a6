from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.errors import RangeError
from hydrokit.laws.pressure_switch import accumulator_drawdown, switch_cycle

VESSEL = {"volume": 2e-3, "precharge_gauge": 176e3, "cut_in_gauge": 190e3, "cut_out_gauge": 280e3}


def test_drawdown_is_the_difference_of_two_air_cushions() -> None:
    air = 99_000.0
    empty = 2e-3 * (176e3 + air)  # Boyle: pressure times volume of the cushion
    expected = empty / (190e3 + air) - empty / (280e3 + air)
    assert accumulator_drawdown(air_pressure=air, **VESSEL) == pytest.approx(expected, rel=1e-14)


def test_vessel_charged_above_cut_in_gives_its_water_before_the_pump_starts() -> None:
    found = accumulator_drawdown(air_pressure=1e5, **{**VESSEL, "precharge_gauge": 200e3})
    assert found == pytest.approx(2e-3 * (1.0 - 300e3 / 380e3))


def test_vessel_charged_above_cut_out_never_takes_water() -> None:
    assert accumulator_drawdown(air_pressure=1e5, **{**VESSEL, "precharge_gauge": 300e3}) == 0.0


def test_switch_without_hysteresis_is_refused() -> None:
    with pytest.raises(RangeError, match="expected less than cut_out_gauge"):
        accumulator_drawdown(air_pressure=1e5, **{**VESSEL, "cut_in_gauge": 280e3})


@given(st.floats(1e-5, 1e-2), st.floats(1e-5, 1e-3), st.floats(0.01, 0.99))
def test_cycle_balances(drawdown: float, pump_flow: float, share: float) -> None:
    take = share * pump_flow
    cycle = switch_cycle(drawdown=drawdown, pump_flow=pump_flow, take=take)
    whole = cycle.run_time + cycle.rest_time
    assert cycle.run_time * pump_flow == pytest.approx(whole * take, rel=1e-9)  # pumped in a cycle is taken in a cycle
    assert cycle.run_share == pytest.approx(cycle.run_time / whole, rel=1e-9)
    assert cycle.starts_rate == pytest.approx(1.0 / whole, rel=1e-12)
    assert cycle.starts_rate <= pump_flow / (4.0 * drawdown) * (1.0 + 1e-12)


def test_pump_that_is_outrun_or_left_alone_does_not_cycle() -> None:
    cycle = switch_cycle(drawdown=1e-3, pump_flow=1e-4, take=np.array([0.0, 1e-4, 2e-4]))
    assert np.asarray(cycle.starts_rate).tolist() == [0.0, 0.0, 0.0]
    assert np.asarray(cycle.run_share).tolist() == [0.0, 1.0, 1.0]
    assert np.asarray(cycle.rest_time)[0] == np.inf
    assert np.asarray(cycle.run_time)[1:].tolist() == [np.inf, np.inf]


def test_no_accumulator_has_no_starts() -> None:
    with pytest.raises(RangeError, match="drawdown"):
        switch_cycle(drawdown=0.0, pump_flow=1e-4, take=5e-5)


def test_float_in_float_out() -> None:
    cycle = switch_cycle(drawdown=1e-3, pump_flow=1e-4, take=5e-5)
    assert {type(value) for value in (cycle.run_time, cycle.rest_time, cycle.starts_rate, cycle.run_share)} == {float}
    assert type(accumulator_drawdown(air_pressure=1e5, **VESSEL)) is float
