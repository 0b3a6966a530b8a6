from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.errors import InputError, RangeError
from hydrokit.laws.pump_curve import affinity, pump_gain
from hydrokit.laws.pump_duty import (
    Duty,
    affinity_duty,
    best_efficiency,
    dead_head_heating,
    efficiency,
    electrical_power,
    flow_of_power,
    hydraulic_power,
    npsh_required,
    read_off,
    rise_of_head,
    shaft_power,
    temperature_rise,
    torque_power,
)
from hydrokit.water import STANDARD_GRAVITY

RATIOS = st.floats(0.2, 3.0)
DUTY = Duty(flow=1.5e-4, head=14.0, power=80.0)


def test_shaft_power_and_efficiency_undo_each_other() -> None:
    power = shaft_power(flow=2e-4, pressure_rise=150e3, pump_efficiency=0.37)
    assert efficiency(flow=2e-4, pressure_rise=150e3, power=power) == pytest.approx(0.37)
    assert flow_of_power(shaft_power=power, pump_efficiency=0.37, pressure_rise=150e3) == pytest.approx(2e-4)


def test_heat_and_water_share_the_shaft_power() -> None:
    flow, rise, share, density, capacity = 2e-4, 150e3, 0.3, 998.2, 4182.0
    warmth = temperature_rise(pressure_rise=rise, pump_efficiency=share, density=density, heat_capacity=capacity)
    heat = density * flow * capacity * warmth
    assert heat + hydraulic_power(flow=flow, pressure_rise=rise) == pytest.approx(
        shaft_power(flow=flow, pressure_rise=rise, pump_efficiency=share)
    )


def test_dead_headed_water_warms_by_its_power() -> None:
    assert dead_head_heating(power=4182.0, water_mass=2.0, heat_capacity=4182.0) == pytest.approx(0.5)


def test_head_weighs_as_much_as_the_liquid() -> None:
    assert rise_of_head(head=np.array([1.0, -2.0]), density=1000.0).tolist() == pytest.approx(
        [1000.0 * STANDARD_GRAVITY, -2000.0 * STANDARD_GRAVITY]
    )


def test_power_of_motor_and_drive() -> None:
    assert electrical_power(shaft_power=95.0, motor_efficiency=0.95, drive_efficiency=0.8) == pytest.approx(125.0)
    assert torque_power(torque=2.0, speed=150.0) == 300.0


@given(RATIOS, RATIOS, RATIOS)
def test_affinity_keeps_efficiency_and_chains(first: float, second: float, diameter: float) -> None:
    once = affinity_duty(affinity_duty(DUTY, speed_ratio=first, diameter_ratio=diameter), speed_ratio=second)
    both = affinity_duty(DUTY, speed_ratio=first * second, diameter_ratio=diameter)
    assert (once.flow, once.head, once.power) == pytest.approx((both.flow, both.head, both.power), rel=1e-12)
    assert both.flow * both.head / both.power == pytest.approx(DUTY.flow * DUTY.head / DUTY.power, rel=1e-12)


@given(st.floats(0.5, 1.5))
def test_affinity_of_a_duty_is_that_of_the_curve(speed: float) -> None:
    points = [(0.0, 20.0), (1e-4, 18.0), (2e-4, 8.0)]
    a, b = affinity(speed, "rotodynamic")
    moved = affinity_duty(Duty(1.5e-4, pump_gain(points=points, flow=1.5e-4), 80.0), speed_ratio=speed)
    assert moved.head == pytest.approx(a * pump_gain(points=points, flow=moved.flow / b), rel=1e-12)


def test_trimmed_and_similar_impellers_differ_in_flow_alone() -> None:
    trimmed = affinity_duty(DUTY, diameter_ratio=0.9)
    similar = affinity_duty(DUTY, diameter_ratio=0.9, impeller="similar")
    assert trimmed.flow == pytest.approx(0.9 * DUTY.flow)
    assert similar.flow == pytest.approx(0.729 * DUTY.flow)
    assert trimmed.head == similar.head == pytest.approx(0.81 * DUTY.head)
    assert similar.power == pytest.approx(0.9**5 * DUTY.power)


def test_figures_are_read_inside_the_points_only() -> None:
    points = [(2e-4, 4.0), (0.0, 7.0), (1e-4, 5.0)]
    value, inside = read_off(points=points, flow=np.array([0.0, 0.5e-4, 2e-4, 2.1e-4, -1e-6]))
    np.testing.assert_allclose(value, [7.0, 6.0, 4.0, np.nan, np.nan])
    assert np.asarray(inside).tolist() == [True, True, True, False, False]


def test_a_figure_stated_once_is_an_assumption_elsewhere() -> None:
    assert read_off(points=[(1e-4, 6.0)], flow=1e-4) == (6.0, True)
    assert read_off(points=[(1e-4, 6.0)], flow=2e-4) == (6.0, False)


@pytest.mark.parametrize(
    ("points", "told"),
    [
        ([], "no point"),
        ([(0.0, float("nan"))], "a number missing"),
        ([(0.0, 1.0), (0.0, 2.0), (1.0, 3.0)], "two points at flow 0"),
    ],
)
def test_unreadable_figures_are_refused(points: list[tuple[float, float]], told: str) -> None:
    with pytest.raises(InputError, match=told):
        read_off(points=points, flow=0.5)


def test_powers_that_cannot_be_read_are_called_so() -> None:
    with pytest.raises(InputError, match="powers: found no point"):
        best_efficiency(points=[(0.0, 1e5), (1e-3, 0.0)], powers=[])


def test_npsh_required_falls_with_the_square_of_speed() -> None:
    points = [(0.0, 1.0), (1e-3, 3.0)]
    assert npsh_required(points=points, flow=0.4e-3, speed_ratio=0.8) == (pytest.approx(0.64 * 2.0), True)
    value, inside = npsh_required(points=points, flow=0.9e-3, speed_ratio=0.8)
    assert np.isnan(value)
    assert not inside


def test_best_efficiency_of_a_straight_curve_is_halfway() -> None:
    best = best_efficiency(points=[(0.0, 200e3), (2e-4, 0.0)], powers=[(0.0, 40.0), (2e-4, 40.0)])
    assert best.flow == pytest.approx(1e-4, rel=1e-3)
    assert best.efficiency == pytest.approx(0.25, rel=1e-5)
    assert not best.at_edge


def test_best_efficiency_at_the_edge_says_so() -> None:
    assert best_efficiency(points=[(0.0, 200e3), (2e-4, 150e3)], powers=[(0.0, 40.0), (2e-4, 40.0)]).at_edge


@pytest.mark.parametrize(
    ("powers", "told"),
    [
        ([(3e-4, 40.0), (4e-4, 40.0)], "expected flows that overlap those of the curve"),
        ([(0.0, 0.0), (2e-4, 40.0)], "expected power above 0"),
    ],
)
def test_powers_that_do_not_serve_are_refused(powers: list[tuple[float, float]], told: str) -> None:
    with pytest.raises(InputError, match=told):
        best_efficiency(points=[(0.0, 200e3), (2e-4, 0.0)], powers=powers)


@pytest.mark.parametrize("share", [0.0, 1.01, float("nan")])
def test_impossible_efficiency_is_refused(share: float) -> None:
    with pytest.raises(RangeError, match="pump_efficiency"):
        shaft_power(flow=1e-4, pressure_rise=1e5, pump_efficiency=share)


def test_unknown_impeller_is_refused() -> None:
    with pytest.raises(InputError, match="expected one of trimmed, similar"):
        affinity_duty(DUTY, impeller="open")  # type: ignore[arg-type]


def test_float_in_float_out() -> None:
    moved = affinity_duty(DUTY, speed_ratio=0.9)
    figure, inside = read_off(points=[(0.0, 1.0), (1.0, 2.0)], flow=0.5)
    assert [type(value) for value in (moved.flow, moved.head, moved.power, figure, inside)] == [float] * 4 + [bool]
