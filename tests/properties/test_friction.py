"""What friction in a hose must do at any flow, whatever the wall."""

from __future__ import annotations

import numpy as np
import pytest
from fluids.friction import friction_factor as of_fluids
from hypothesis import example, given
from hypothesis import strategies as st

from hydrokit.errors import RangeError
from hydrokit.laws.friction import LAMINAR_END, TURBULENT_START, friction_factor, friction_group, head_loss
from tests.properties.effort import effort

NUMBERS = st.floats(np.log(1e-3), np.log(1e7)).map(lambda x: float(np.exp(x)))
WALLS = st.one_of(st.just(0.0), st.floats(1e-7, 0.05))
over_the_range = effort(100)


def group(number: float, rough: float) -> tuple[float, float]:
    value, slope = friction_group(np.array([number]), np.array([rough]))
    return float(value[0]), float(slope[0])


def lost(number: float, rough: float) -> float:
    """Return the head lost in a bore of 0.1 m at a Reynolds number of either sign."""
    bore, viscosity = 0.1, 1e-6
    flow = number * np.pi * bore * viscosity / 4.0
    return float(head_loss(flow=flow, bore=bore, length=1.0, kinematic_viscosity=viscosity, roughness=rough * bore))


@over_the_range
@given(NUMBERS, st.floats(1e-9, 10.0), WALLS)
@example(LAMINAR_END, 1e-9, 0.0)
@example(TURBULENT_START, 1e-9, 0.05)
def test_loss_rises_with_flow(number: float, step: float, rough: float) -> None:
    higher = number * (1.0 + step)
    low, high = (lost(re, rough) for re in (number, higher))
    assert high > low > 0.0


@over_the_range
@given(NUMBERS, WALLS)
@example(LAMINAR_END, 0.0)
@example(LAMINAR_END, 0.05)
@example(TURBULENT_START, 0.0)
@example(TURBULENT_START, 0.05)
@example(2040.0, 0.01)
def test_loss_has_no_jump(number: float, rough: float) -> None:
    near = number * (1.0 + 1e-9)
    assert group(near, rough)[0] == pytest.approx(group(number, rough)[0], rel=1e-7)


@over_the_range
@given(NUMBERS.filter(lambda re: not LAMINAR_END < re < TURBULENT_START), WALLS)
@example(LAMINAR_END, 0.03)
@example(TURBULENT_START, 0.03)
def test_factor_is_that_of_fluids_outside_the_bridge(number: float, rough: float) -> None:
    assert friction_factor(reynolds=number, relative_roughness=rough) == of_fluids(Re=number, eD=rough)


@over_the_range
@given(NUMBERS, WALLS)
def test_slope_is_that_of_a_central_difference(number: float, rough: float) -> None:
    step = 1e-5 * number
    below, above = group(number - step, rough)[0], group(number + step, rough)[0]
    # a difference across either end of the bridge, where curvature jumps, is good to its step alone
    assert group(number, rough)[1] == pytest.approx((above - below) / (2.0 * step), rel=1e-4)


@pytest.mark.parametrize("rough", [0.0, 1e-4, 1e-2, 0.05])
@pytest.mark.parametrize("end", [LAMINAR_END, TURBULENT_START])
def test_value_and_slope_are_joined_at_both_ends_of_the_bridge(end: float, rough: float) -> None:
    below, at, above = (group(end * (1.0 + sign * 1e-9), rough) for sign in (-1.0, 0.0, 1.0))
    assert below == pytest.approx(at, rel=1e-7)
    assert above == pytest.approx(at, rel=1e-7)


@over_the_range
@given(NUMBERS, WALLS)
def test_a_flow_backward_loses_as_much_as_forward(number: float, rough: float) -> None:
    forward, backward = (lost(sign * number, rough) for sign in (1.0, -1.0))
    assert forward == -backward


@over_the_range
@given(st.lists(st.tuples(NUMBERS, WALLS), min_size=1, max_size=8))
def test_an_array_answers_as_each_of_its_floats(pairs: list[tuple[float, float]]) -> None:
    numbers, walls = np.array(pairs).T
    many = friction_factor(reynolds=numbers, relative_roughness=walls)
    assert list(many) == [friction_factor(reynolds=re, relative_roughness=rough) for re, rough in pairs]


@over_the_range
@given(st.lists(st.tuples(NUMBERS, WALLS), min_size=41, max_size=60))
def test_many_at_once_are_each_of_them_alone_but_for_rounding(pairs: list[tuple[float, float]]) -> None:
    numbers, walls = np.array(pairs).T
    groups, slopes = friction_group(numbers, walls)
    alone = np.array([group(re, rough) for re, rough in pairs])
    assert groups == pytest.approx(alone[:, 0], rel=1e-13)
    assert slopes == pytest.approx(alone[:, 1], rel=1e-13)


def test_the_factor_is_finite_down_to_its_limit_and_has_none_at_rest() -> None:
    assert friction_factor(reynolds=1e-12) == pytest.approx(64e12)
    with pytest.raises(RangeError, match=r"reynolds: found 4\.94066e-324, expected 1e-12 to 1e\+12"):
        friction_factor(reynolds=5e-324)
