from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hydrokit.errors import InputError, RangeError
from hydrokit.laws.pump_curve import (
    affinity,
    alike,
    compile_curves,
    gain,
    monotone_slopes,
    pump_gain,
)

STEPS = st.floats(1e-6, 1e-2)
DROPS = st.one_of(st.just(0.0), st.floats(1e-3, 1e5))


@st.composite
def falling_points(draw: st.DrawFn) -> list[tuple[float, float]]:
    """Return a valid curve: 2 to 7 points, level stretches allowed, first flow at 0 or above it."""
    count = draw(st.integers(2, 7))
    first = draw(st.one_of(st.just(0.0), STEPS))
    flows = first + np.cumsum([0.0, *draw(st.lists(STEPS, min_size=count - 1, max_size=count - 1))])
    drops = [*draw(st.lists(DROPS, min_size=count - 2, max_size=count - 2)), draw(st.floats(1e-3, 1e5))]
    end = draw(st.one_of(st.just(0.0), st.floats(1e-3, 1e5)))
    gains = end + np.concatenate([np.cumsum(drops[::-1])[::-1], [0.0]])
    return list(zip(flows.tolist(), gains.tolist(), strict=True))


@settings(deadline=None)  # the first example imports scipy
@given(falling_points())
def test_slopes_and_values_are_those_of_scipy(points: list[tuple[float, float]]) -> None:
    from scipy.interpolate import PchipInterpolator

    x, y = np.array(points).T
    reference = PchipInterpolator(x, y)
    between = np.linspace(x[0], x[-1], 41)
    table = compile_curves([points])
    value, slope = gain(table, between[:, None])
    steepest = np.abs(np.diff(y) / np.diff(x)).max()
    np.testing.assert_allclose(monotone_slopes(x, y), reference(x, 1), rtol=1e-14, atol=1e-14 * steepest)
    np.testing.assert_allclose(value[:, 0], reference(between), rtol=0.0, atol=2e-14 * y[0])
    np.testing.assert_allclose(slope[:, 0], np.minimum(reference(between, 1), 0.0), rtol=0.0, atol=1e-13 * steepest)


@pytest.mark.parametrize(
    ("x", "y"),
    [
        ([0.0, 1.0, 2.0, 5.0], [0.0, 3.0, 1.0, 1.5]),  # turns
        ([0.0, 0.1, 2.0], [0.0, 5.0, 4.9]),  # end slope held to three times the secant, or to nothing
        ([0.0, 3.0, 3.5], [1.0, 0.0, 4.0]),
        ([0.0, 1.0], [4.0, 1.0]),
    ],
)
def test_slopes_of_any_data_are_those_of_scipy(x: list[float], y: list[float]) -> None:
    from scipy.interpolate import PchipInterpolator

    expected = PchipInterpolator(x, y)(x, 1)
    np.testing.assert_allclose(monotone_slopes(np.array(x), np.array(y)), expected, rtol=1e-14, atol=0.0)


@given(falling_points(), st.lists(st.floats(-3.0, 4.0), min_size=1, max_size=20))
def test_slope_is_never_above_zero(points: list[tuple[float, float]], parts: list[float]) -> None:
    flow = np.array(parts)[:, None] * points[-1][0]
    _, slope = gain(compile_curves([points]), flow)
    assert (slope <= 0.0).all()


@given(falling_points())
def test_gain_and_slope_have_no_jump(points: list[tuple[float, float]]) -> None:
    table = compile_curves([points])
    joints = np.array([0.0, *(flow for flow, _ in points)])[:, None]
    left = gain(table, np.nextafter(joints, -np.inf))
    right = gain(table, np.nextafter(joints, np.inf))
    flow, rise = np.array(points).T
    steepest = 3.0 * np.abs(np.diff(rise) / np.diff(flow)).max()
    np.testing.assert_allclose(left[0], right[0], rtol=0.0, atol=1e-11 * (rise[0] + steepest * flow[-1]))
    np.testing.assert_allclose(left[1], right[1], rtol=0.0, atol=1e-9 * steepest)


@given(falling_points(), st.integers(0, 100), st.floats(0.1, 0.9))
def test_slope_is_the_derivative_of_gain(points: list[tuple[float, float]], number: int, part: float) -> None:
    last = points[-1][0]
    joints = np.unique([-last, 0.0, *(flow for flow, _ in points), 2.0 * last])
    left, right = joints[number % (joints.size - 1) :][:2]
    middle, step = left + part * (right - left), 1e-3 * (right - left)
    value, slope = gain(
        compile_curves([points]), np.array([[middle - step], [middle], [middle + step], [left], [right]])
    )
    difference = (value[2, 0] - value[0, 0]) / (2.0 * step)
    rounding = 1e-13 * np.abs(value).max() / step
    assert difference == pytest.approx(slope[1, 0], abs=1e-5 * np.abs(slope).max() + rounding)


@given(falling_points())
def test_curve_passes_through_its_points_and_ends_at_open_flow(points: list[tuple[float, float]]) -> None:
    table = compile_curves([points])
    flow, rise = np.array(points).T
    np.testing.assert_allclose(gain(table, flow[:, None])[0][:, 0], rise, rtol=1e-12, atol=1e-12 * rise[0])
    assert gain(table, table.open_flow[None])[0][0, 0] == pytest.approx(0.0, abs=1e-9 * rise[0])
    assert gain(table, np.zeros((1, 1)))[0][0, 0] == table.shut_off[0]


@given(falling_points(), st.floats(1.01, 5.0))
def test_tail_falls_without_running_away(points: list[tuple[float, float]], part: float) -> None:
    table = compile_curves([points])
    last, end = points[-1]
    flow = np.array([[last], [part * last]])
    (before, after), (slope, _) = gain(table, flow)
    assert after[0] < before[0]
    assert (
        after[0] >= end + (part - 1.0) * last * slope[0] - (part - 1.0) ** 2 * table.shut_off[0] - 1e-9 * points[0][1]
    )


def test_many_pumps_and_variants_are_those_taken_singly() -> None:
    curves = [[(0.0, 10.0), (2.0, 0.0)], [(0.5, 8.0), (1.0, 6.0), (2.0, 5.0), (3.0, 1.0)], [(2.0, 9.0), (2.0, 0.0)]]
    flow = np.linspace(-1.0, 3.5, 30).reshape(10, 3)
    value, slope = gain(compile_curves(curves), flow)
    for number, points in enumerate(curves):
        alone, alone_slope = gain(compile_curves([points]), flow[:, number : number + 1])
        np.testing.assert_array_equal(value[:, number], alone[:, 0])
        np.testing.assert_array_equal(slope[:, number], alone_slope[:, 0])


def test_no_pumps_is_an_empty_table() -> None:
    value, slope = gain(compile_curves([]), np.empty((4, 0)))
    assert value.shape == slope.shape == (4, 0)


def test_order_of_points_does_not_matter() -> None:
    points = [(0.0, 30.0), (1.0, 20.0), (1.5, 10.0)]
    assert pump_gain(points=points[::-1], flow=0.7) == pump_gain(points=points, flow=0.7)


def test_backflow_needs_more_than_shut_off() -> None:
    assert pump_gain(points=[(0.0, 10.0), (1.0, 10.0), (2.0, 0.0)], flow=-2.0) == pytest.approx(20.0)


def test_curve_goes_straight_on_to_shut_off_below_the_first_point() -> None:
    table = compile_curves([[(1.0, 8.0), (2.0, 6.0)]])
    assert table.shut_off[0] == pytest.approx(10.0)
    assert gain(table, np.array([[0.5]]))[0][0, 0] == pytest.approx(9.0)


def test_open_flow_inside_the_data_is_where_the_curve_crosses() -> None:
    table = compile_curves(
        [[(0.0, 10.0), (1.0, 5.0), (2.0, -5.0)], [(0.0, 8.0), (2.0, -8.0)], [(0.0, 8.0), (2.0, 0.0)]]
    )
    assert gain(table, table.open_flow[None])[0][0] == pytest.approx(0.0, abs=1e-14)
    assert table.open_flow[1:].tolist() == [1.0, 2.0]


def test_rising_curve_gets_a_flat_top() -> None:
    table = compile_curves([[(0.0, 9.0), (1.0, 9.8), (2.0, 10.0), (3.0, 8.0), (4.0, 3.0)]])
    assert table.rises[0]
    assert table.flat_to[0] == 2.0
    assert gain(table, np.array([[0.0], [0.7], [2.0]]))[0].ravel().tolist() == [10.0, 10.0, 10.0]
    assert gain(table, np.array([[3.0]]))[0][0, 0] == 8.0


def test_level_start_is_flat_but_does_not_rise() -> None:
    table = compile_curves([[(0.0, 2.8), (5.3, 2.8), (11.3, 0.0)], [(0.0, 2.8), (11.3, 0.0)]])
    assert table.rises.tolist() == [False, False]
    assert table.flat_to.tolist() == [5.3, 0.0]


def test_upright_end_limits_flow() -> None:
    table = compile_curves(
        [[(0.0, 4.0), (1.8, 3.5), (2.0, 3.0), (2.0, 0.0)], [(2.0, 3.0), (2.0, 0.0)], [(0.0, 1.0), (2.0, 0.0)]]
    )
    assert table.flow_limit.tolist() == [2.0, 2.0, np.inf]
    assert table.open_flow.tolist() == [2.0, 2.0, 2.0]
    assert gain(table, np.full((1, 3), 2.0))[0].ravel().tolist() == pytest.approx([3.0, 3.0, 0.0])
    assert gain(table, np.zeros((1, 3)))[0].ravel().tolist() == [4.0, 3.0, 1.0]


@pytest.mark.parametrize(
    ("points", "told"),
    [
        ([(0.0, 10.0)], "found 1 point(s), expected at least two points"),
        ([], "found 0 point(s), expected at least two points"),
        ([(-1.0, 10.0), (2.0, 0.0)], "point 1: (-1, 10)"),
        ([(0.0, 10.0), (2.0, float("nan"))], "point 2: (2, nan)"),
        ([(0.0, 10.0), (2.0, 10.0)], "are the columns swapped?"),
        ([(0.0, 0.0), (2.0, -1.0)], "no gain at any flow"),
        ([(0.0, 1.0), (1.0, 4.0), (2.0, 10.0)], "are the columns swapped?"),
        ([(0.0, 10.0), (0.0, 0.0)], "no point with flow"),
        ([(0.0, 10.0), (1.0, 8.0), (1.0, 6.0), (2.0, 0.0)], "two points at flow 1 m^3/s"),
    ],
)
def test_bad_curve_is_refused(points: list[tuple[float, float]], told: str) -> None:
    with pytest.raises(InputError) as caught:
        compile_curves([points], places=["lines.intake.pump-1.points"])
    assert str(caught.value).startswith("lines.intake.pump-1.points: found ")
    assert told in str(caught.value)


def test_all_bad_curves_are_told_at_once() -> None:
    with pytest.raises(InputError) as caught:
        compile_curves([[(0.0, 1.0)], [(0.0, 1.0), (1.0, 0.0)], []])
    assert [mistake.place for mistake in caught.value.mistakes] == ["curves[0]", "curves[2]"]


@given(falling_points(), st.floats(0.3, 2.0), st.floats(0.0, 1.5))
def test_rotodynamic_speed_moves_points_along_parabolas(
    points: list[tuple[float, float]], speed: float, part: float
) -> None:
    flow = part * points[-1][0]
    a, b = affinity(speed, "rotodynamic")
    faster = [(b * q, a * y) for q, y in points]
    assert pump_gain(points=faster, flow=b * flow) == pytest.approx(
        a * pump_gain(points=points, flow=flow), rel=1e-9, abs=1e-9 * points[0][1]
    )


def test_displacement_speed_scales_flow_alone() -> None:
    a, b = affinity(np.array([0.5, 1.2]), "displacement")
    np.testing.assert_array_equal(a, [1.0, 1.0])
    np.testing.assert_array_equal(b, [0.5, 1.2])


@pytest.mark.parametrize("speed", [0.0, -1.0, float("nan")])
def test_standing_pump_has_no_curve(speed: float) -> None:
    with pytest.raises(RangeError, match="speed_ratio"):
        affinity(speed, "rotodynamic")


def test_unknown_kind_of_pump_is_refused() -> None:
    with pytest.raises(InputError, match="expected one of rotodynamic, displacement"):
        affinity(1.0, "jet")  # type: ignore[arg-type]


def test_alike_adds_heads_in_series_and_flows_in_parallel() -> None:
    assert alike(0.81, 0.9, series=3, parallel=2) == (pytest.approx(2.43), pytest.approx(1.8))
    with pytest.raises(RangeError, match="parallel"):
        alike(1.0, 1.0, parallel=0)


def test_float_in_float_out() -> None:
    points = [(0.0, 30.0), (1.0, 20.0)]
    assert type(pump_gain(points=points, flow=0.5)) is float
    assert pump_gain(points=points, flow=np.array([0.0, 0.5])).tolist() == [30.0, 25.0]  # type: ignore[union-attr]
    assert all(type(factor) is float for factor in affinity(0.9, "displacement"))


@pytest.mark.parametrize("points", [[(0.0, 1.0, 2.0), (1.0, 0.0)], [(0.0,), (1.0, 0.0)], [0.0, 1.0], ["ab", "cd"]])
def test_what_is_no_pair_is_refused(points: Any) -> None:
    with pytest.raises(InputError, match="a pair of numbers"):
        compile_curves([points])


def test_there_is_a_place_for_each_curve_or_none() -> None:
    with pytest.raises(InputError, match="places: found 2 of them, expected one for each of the curves, 1"):
        compile_curves([[(0.0, 1.0), (1.0, 0.0)]], places=["a", "b"])
