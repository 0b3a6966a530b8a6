from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.errors import RangeError
from hydrokit.laws.openings import jet_flow, weir_flow
from hydrokit.laws.venting import (
    AIR_VISCOSITY,
    overflow_head,
    pipe_overflow_head,
    standpipe_head,
    vent_drop,
    vent_pressures,
    wall_force,
)
from hydrokit.water import STANDARD_GRAVITY, air_density

FILL = 8.0 / 60e3
AIR = {"density": 1.2, "viscosity": AIR_VISCOSITY}
WATER = {"density": 999.7, "viscosity": 1.306e-3}
TANK = {"flow": FILL, "length": 1.5, "rise": 0.3, "air_density": 1.2, **WATER}


def test_vents_of_the_mill_pond_trailer() -> None:
    # The project's trade notes: 8 L/min, 1.5 m of 6 / 10 mm: air 0.13 / 0.02 kPa; water about 100 / 9 kPa.
    bore = np.array([0.006, 0.010])
    assert vent_drop(flow=FILL, bore=bore, length=1.5, **AIR) / 1e3 == pytest.approx([0.13, 0.02], abs=0.005)
    assert vent_drop(flow=FILL, bore=bore, length=1.5, **WATER) / 1e3 == pytest.approx([100.0, 9.0], rel=0.15)


def test_laminar_air_follows_poiseuille() -> None:
    # 128 mu L Q / (pi D^4), Hagen and Poiseuille.
    expected = 128.0 * AIR_VISCOSITY * 1.5 * 1e-5 / (np.pi * 0.010**4)
    assert vent_drop(flow=1e-5, bore=0.010, length=1.5, k=0.0, **AIR) == pytest.approx(expected, rel=1e-9)


def test_drawing_down_is_filling_turned_round() -> None:
    out = vent_drop(flow=FILL, bore=0.006, length=1.5, **AIR)
    assert vent_drop(flow=-FILL, bore=0.006, length=1.5, **AIR) == pytest.approx(-out, rel=1e-12)


def test_pressures_rise_from_air_to_water_to_blocked() -> None:
    seen = vent_pressures(bore=np.array([0.004, 0.006, 0.010]), shut_off_gauge=270e3, **TANK)
    assert (seen.air < seen.water).all()
    assert (seen.water <= seen.blocked).all()
    assert (np.diff(seen.air) < 0.0).all()
    assert seen.water[0] == 270e3  # so small a vent costs more than the pump can make


def test_water_must_climb_the_vent_even_at_a_trickle() -> None:
    seen = vent_pressures(bore=0.010, shut_off_gauge=270e3, **{**TANK, "flow": 0.0})
    assert seen.air == 0.0
    assert seen.water == pytest.approx(999.7 * STANDARD_GRAVITY * 0.3, rel=1e-12)


def test_thin_air_costs_less_where_ends_rule() -> None:
    high, low = (
        vent_drop(flow=1e-3, bore=0.010, length=0.0, density=air_density(altitude), viscosity=AIR_VISCOSITY)
        for altitude in (2500.0, 0.0)
    )
    assert high < low


@given(st.floats(0.0, 1e-3), st.floats(0.005, 0.1))
def test_a_standpipe_takes_the_lesser_of_its_rim_and_its_mouth(flow: float, bore: float) -> None:
    head = standpipe_head(flow=flow, bore=bore)
    taken = min(weir_flow(head=head, width=np.pi * bore), jet_flow(head=head, bore=bore))
    assert taken == pytest.approx(flow, rel=1e-9, abs=1e-15)


def test_overflows_of_the_mill_pond_trailer() -> None:
    # The project's trade notes: head for 11 L/min through 1 m of 12.5 / 16 / 19 / 25 mm is 450 / 150 / 70 / 20 mm.
    bore = np.array([0.0125, 0.016, 0.019, 0.025])
    head = pipe_overflow_head(flow=11.0 / 60e3, bore=bore, length=1.0, kinematic_viscosity=1.306e-6)
    assert head * 1e3 == pytest.approx([450.0, 150.0, 70.0, 20.0], rel=0.08)


def test_a_pipe_that_falls_far_leaves_the_mouth_to_rule() -> None:
    overflow = {"flow": 11.0 / 60e3, "bore": 0.0125, "length": 1.0, "kinematic_viscosity": 1.306e-6}
    assert overflow_head(**overflow) == pipe_overflow_head(**overflow)
    assert overflow_head(fall=1.0, **overflow) == standpipe_head(flow=11.0 / 60e3, bore=0.0125)


def test_a_small_pressure_on_a_large_wall() -> None:
    # The project's trade notes: 1 kPa on 0.4 by 0.5 m is 200 N.
    assert wall_force(pressure_gauge=1e3, area=0.4 * 0.5) == pytest.approx(200.0)


def test_impossible_values_are_refused_by_name() -> None:
    with pytest.raises(RangeError, match=r"^rise: found -1 m"):
        vent_pressures(bore=0.01, shut_off_gauge=1e5, **{**TANK, "rise": -1.0})
    with pytest.raises(RangeError, match=r"^flow: found -1"):
        standpipe_head(flow=-1.0, bore=0.02)


def test_float_in_float_out() -> None:
    assert type(vent_drop(flow=FILL, bore=0.006, length=1.5, **AIR)) is float
    assert type(overflow_head(flow=1e-4, bore=0.02, length=1.0, kinematic_viscosity=1e-6)) is float
    assert type(vent_pressures(bore=0.01, shut_off_gauge=270e3, **TANK).air) is float
