from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from hydrokit.errors import InputError, RangeError
from hydrokit.laws.electricity import (
    ANNEALED_COPPER,
    BOAT_COPPER,
    IEC_RESISTANCE,
    VEHICLE_GAUGES,
    area_for_drop,
    constant_power_voltage,
    copper_factor,
    loaded_speed_ratio,
    loop_resistance,
    next_size,
    resistance_per_length,
    speed_ratio,
)
from hydrokit.units.wire import gauge_area

POSITIVE = st.floats(0.1, 100.0)


@pytest.mark.parametrize("stranding", ["class 2", "class 5"])
def test_every_size_of_the_standard_is_met_and_dearer_than_bare_copper(stranding) -> None:
    sizes = np.array(list(IEC_RESISTANCE[stranding])) * 1e-6
    limit = resistance_per_length(area=sizes, stranding=stranding)
    assert limit * 1e3 == pytest.approx(list(IEC_RESISTANCE[stranding].values()), rel=1e-12)
    ratio = limit / resistance_per_length(area=sizes, stranding="solid")
    assert (ratio > 1.04).all()
    assert (ratio < 1.17).all()


@pytest.mark.parametrize("stranding", ["class 2", "class 5"])
def test_more_copper_never_resists_more(stranding) -> None:
    area = np.geomspace(0.5e-6, 120e-6, 2000)
    assert (np.diff(resistance_per_length(area=area, stranding=stranding)) < 0.0).all()


def test_sizes_beyond_the_standard_are_refused_but_bare_copper_is_not() -> None:
    with pytest.raises(RangeError, match=r"^area: found 2e-07 m\^2"):
        resistance_per_length(area=0.2e-6)
    assert resistance_per_length(area=0.2e-6, stranding="solid") == pytest.approx(ANNEALED_COPPER / 0.2e-6)


def test_an_unknown_stranding_is_refused_with_the_nearest() -> None:
    with pytest.raises(InputError, match=r"stranding: found 'class5', expected one of .*; write class 5"):
        resistance_per_length(area=1e-6, stranding="class5")  # type: ignore[arg-type]


def test_boat_rule_constant() -> None:
    # ABYC E-11 (from memory) takes 10.75 where NBS Handbook 100 has 10.371 ohm circular mil per foot.
    assert abs(BOAT_COPPER / ANNEALED_COPPER - 10.75 / 10.371) < 1e-4


def test_vehicle_gauges_hold_a_tenth_less_copper() -> None:
    # SAE J1128 against ASTM B258 (both from memory).
    share = np.array([area / gauge_area(gauge) for gauge, area in VEHICLE_GAUGES.items()])
    assert (share > 0.87).all()
    assert (share < 0.96).all()


def test_cable_of_the_mill_pond_trailer() -> None:
    # The project's trade notes: 8 m one way, 7 A, 12 V loses 11.7, 7.0, 4.4 and 2.9 % in vehicle cable of 12.5, 7.5, 4.7
    # and 3.1 mohm/m as cable sellers print it; IEC 60228 allows flexible cable up to 6.5 % more.
    resistance = loop_resistance(area=np.array([1.5e-6, 2.5e-6, 4e-6, 6e-6]), length=8.0)
    lost = 7.0 * resistance / 12.0
    share = lost / np.array([0.117, 0.070, 0.044, 0.029])
    assert (share > 0.99).all()
    assert (share < 1.07).all()


@given(POSITIVE, POSITIVE, st.floats(0.01, 0.3))
def test_area_for_drop_gives_that_drop(current: float, length: float, fraction: float) -> None:
    area = area_for_drop(
        current=current, length=length, voltage=12.0, drop_fraction=fraction, resistivity=ANNEALED_COPPER
    )
    assume(area >= 1e-10)  # thinner is no conductor
    resistance = loop_resistance(area=area, length=length, stranding="solid")
    assert current * resistance == pytest.approx(12.0 * fraction, rel=1e-12)


def test_next_size_is_met_exactly_and_missing_beyond_the_largest() -> None:
    sizes = [4e-6, 1.5e-6, 2.5e-6]
    assert next_size(area=2.5e-6, sizes=sizes) == 2.5e-6
    assert np.array_equal(
        next_size(area=np.array([0.0, 2.6e-6, 5e-6]), sizes=sizes), [1.5e-6, 4e-6, np.nan], equal_nan=True
    )


@given(POSITIVE, st.floats(0.01, 2.0), st.floats(0.0, 0.999))
def test_constant_power_is_drawn_at_the_higher_voltage(supply: float, resistance: float, share: float) -> None:
    power = share * supply**2 / (4.0 * resistance)
    voltage = constant_power_voltage(supply_voltage=supply, power=power, resistance=resistance)
    assert voltage >= 0.5 * supply
    assert supply - power / voltage * resistance == pytest.approx(voltage, rel=1e-9)


def test_more_power_than_the_cable_brings_is_a_brown_out() -> None:
    most = 12.0**2 / (4.0 * 0.5)
    voltage = constant_power_voltage(supply_voltage=12.0, power=np.array([most, most * 1.001]), resistance=0.5)
    assert voltage[0] == pytest.approx(6.0)
    assert np.isnan(voltage[1])


def test_rated_voltage_gives_rated_speed() -> None:
    rated = {"rated_voltage": 12.0, "rated_current": 6.0, "winding_resistance": 0.4}
    assert speed_ratio(voltage=12.0, current=6.0, **rated) == pytest.approx(1.0)
    for action in ("displacement", "rotodynamic"):
        assert loaded_speed_ratio(supply_voltage=12.0, resistance=0.0, action=action, **rated) == pytest.approx(1.0)


@given(
    st.sampled_from(["displacement", "rotodynamic"]),
    st.floats(8.0, 16.0),
    st.floats(0.0, 0.5),
    st.floats(0.0, 0.5),
    st.floats(0.0, 8.0),
)
def test_eliminated_law_agrees_with_the_motor_at_its_own_voltage(action, supply, resistance, winding, rated) -> None:
    motor = {"rated_voltage": 12.0, "rated_current": rated, "winding_resistance": winding}
    ratio = loaded_speed_ratio(supply_voltage=supply, resistance=resistance, action=action, **motor)
    current = rated if action == "displacement" else rated * ratio**2
    voltage = supply - current * resistance
    assert speed_ratio(voltage=voltage, current=current, **motor) == pytest.approx(ratio, abs=1e-12)


def test_a_displacement_pump_stalls_where_a_rotodynamic_one_only_slows() -> None:
    duty = {"supply_voltage": 12.0, "resistance": 3.0, "rated_voltage": 12.0, "rated_current": 6.0}
    assert loaded_speed_ratio(action="displacement", **duty) < 0.0
    assert 0.0 < loaded_speed_ratio(action="rotodynamic", **duty) < 1.0


def test_a_motor_whose_winding_drops_all_is_refused() -> None:
    with pytest.raises(RangeError, match="rated_voltage - rated_current"):
        speed_ratio(voltage=12.0, current=6.0, rated_voltage=12.0, rated_current=6.0, winding_resistance=2.0)


def test_an_unknown_action_is_refused() -> None:
    with pytest.raises(InputError, match="action: found 'diaphragm', expected one of displacement, rotodynamic"):
        loaded_speed_ratio(
            supply_voltage=12.0,
            resistance=0.1,
            rated_voltage=12.0,
            rated_current=6.0,
            action="diaphragm",  # type: ignore[arg-type]
        )


@pytest.mark.parametrize("name", ["current", "length", "voltage", "drop_fraction"])
def test_impossible_values_are_refused_by_name(name: str) -> None:
    values = {"current": 10.0, "length": 3.0, "voltage": 12.0, "drop_fraction": 0.03, name: float("nan")}
    with pytest.raises(RangeError, match=f"^{name}: found nan"):
        area_for_drop(**values)


def test_float_in_float_out_and_arrays_broadcast() -> None:
    assert type(copper_factor(300.0)) is float
    assert type(loop_resistance(area=2.5e-6, length=8.0)) is float
    assert type(next_size(area=1e-6, sizes=[1.5e-6])) is float
    table = resistance_per_length(area=np.array([1.5e-6, 2.5e-6]), temperature=np.array([[290.0], [320.0]]))
    assert table.shape == (2, 2)
