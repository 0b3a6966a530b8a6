"""Openings: against fluids, against each other, and what is refused."""

from __future__ import annotations

import fluids.flow_meter
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.errors import InputError, RangeError
from hydrokit.laws import openings

PLATE = {"pressure_drop": 20e3, "bore": 0.0127, "pipe_bore": 0.0254, "density": 999.7, "viscosity": 1.306e-3}


def test_torricelli_is_free_fall() -> None:
    # A body falling 1.225 m, g/8, takes half a second: v = g/2.
    assert openings.efflux_velocity(9.80665 / 8.0) == pytest.approx(9.80665 / 2.0, rel=1e-12)


def test_jet_without_loss_is_torricelli_times_area() -> None:
    area = np.pi / 4.0 * 0.0125**2
    jet = openings.jet_flow(head=0.45, bore=0.0125, discharge_coefficient=1.0)
    assert jet == pytest.approx(area * openings.efflux_velocity(0.45), rel=1e-12)


def test_narrow_approach_gives_more() -> None:
    wide, narrow = (openings.jet_flow(head=0.45, bore=0.0125, approach_bore=approach) for approach in (10.0, 0.019))
    assert wide < narrow
    assert wide == pytest.approx(openings.jet_flow(head=0.45, bore=0.0125), rel=1e-9)


@given(flow=st.floats(1e-6, 1e-2), drop=st.floats(10.0, 1e5), pipe=st.floats(0.01, 0.1))
def test_meter_bore_is_the_inverse_of_meter_flow(flow, drop, pipe) -> None:
    known = {"pressure_drop": drop, "pipe_bore": pipe, "density": 998.0}
    bore = openings.meter_bore(flow=flow, **known)
    if 1e-4 <= bore <= 0.98 * pipe:
        assert openings.meter_flow(bore=bore, **known) == pytest.approx(flow, rel=1e-6)


def test_plate_coefficient_against_fluids() -> None:
    reynolds, pipe, hole = 2e4, 0.0254, 0.0127
    for taps in ("corner", "flange", "D and D/2"):
        expected = fluids.flow_meter.C_Reader_Harris_Gallagher(
            D=pipe, Do=hole, rho=999.7, mu=1.306e-3, m=reynolds * np.pi / 4.0 * pipe * 1.306e-3, taps=taps
        )
        assert openings.orifice_plate_coefficient(
            bore=hole, pipe_bore=pipe, reynolds=reynolds, taps=taps
        ) == pytest.approx(expected, rel=1e-9)


def test_plate_flow_against_fluids() -> None:
    mass_flow = fluids.flow_meter.differential_pressure_meter_solver(
        D=0.0254, D2=0.0127, rho=999.7, mu=1.306e-3, k=1.3, P1=120e3, P2=100e3, meter_type="ISO 5167 orifice",
        taps="corner", epsilon_specified=1.0,
    )  # fmt: skip
    assert openings.orifice_plate_flow(**PLATE) == pytest.approx(mass_flow / 999.7, rel=1e-9)


def test_plate_flow_over_arrays() -> None:
    drops = np.array([10e3, 20e3, 40e3])
    many = openings.orifice_plate_flow(**(PLATE | {"pressure_drop": drops}))
    alone = [openings.orifice_plate_flow(**(PLATE | {"pressure_drop": float(drop)})) for drop in drops]
    assert many == pytest.approx(alone, rel=1e-10)


def test_plate_k_against_fluids() -> None:
    expected = fluids.flow_meter.discharge_coefficient_to_K(D=0.0254, Do=0.0127, C=0.61)
    assert openings.orifice_plate_k(bore=0.0127, pipe_bore=0.0254) == pytest.approx(expected, rel=1e-9)


def test_weir_against_an_integral_of_jets() -> None:
    # Strips of the opening, each with Torricelli's velocity at its own depth.
    head, width = 0.05, 0.2
    depth = (np.arange(100_000) + 0.5) / 100_000 * head
    ideal = np.sqrt(2.0 * 9.80665 * depth).mean() * head * width
    assert openings.weir_flow(head=head, width=width, discharge_coefficient=1.0) == pytest.approx(ideal, rel=1e-6)


def test_nothing_flows_below_the_edge() -> None:
    assert openings.weir_flow(head=np.array([-0.1, 0.0]), width=0.2).tolist() == [0.0, 0.0]


def test_plate_flow_ends_where_the_standard_does() -> None:
    # ISO 5167-2 asks for Re 5000 in the pipe (from memory). Re goes as the root of the drop: 30.6 L/min is 19,600.
    with pytest.raises(RangeError, match="reynolds"):
        openings.orifice_plate_flow(**(PLATE | {"pressure_drop": 0.9 * 20e3 * (5000.0 / 19_600.0) ** 2}))
    openings.orifice_plate_flow(**(PLATE | {"pressure_drop": 1.1 * 20e3 * (5000.0 / 19_600.0) ** 2}))


def test_float_gives_float() -> None:
    assert type(openings.efflux_velocity(0.45)) is float
    assert type(openings.jet_flow(head=0.45, bore=0.0125)) is float
    assert type(openings.orifice_plate_flow(**PLATE)) is float
    assert type(openings.weir_flow(head=0.02, width=0.2)) is float


REFUSED = {
    "head below the jet": lambda: openings.efflux_velocity(-0.1),
    "head unknown": lambda: openings.jet_flow(head=float("nan"), bore=0.0125),
    "no bore": lambda: openings.jet_flow(head=0.1, bore=0.0),
    "approach too narrow": lambda: openings.jet_flow(head=0.1, bore=0.02, approach_bore=0.019),
    "coefficient too great": lambda: openings.jet_flow(head=0.1, bore=0.02, discharge_coefficient=2.0),
    "negative drop": lambda: openings.meter_flow(pressure_drop=-1.0, bore=0.01, pipe_bore=0.02, density=1000.0),
    "hole too wide": lambda: openings.orifice_plate_flow(**(PLATE | {"bore": 0.022})),
    "flow too slow": lambda: openings.orifice_plate_flow(**(PLATE | {"pressure_drop": 10.0})),  # Re below 5000
    "Reynolds too low": lambda: openings.orifice_plate_coefficient(bore=0.01, pipe_bore=0.02, reynolds=4000.0),
    "no width": lambda: openings.weir_flow(head=0.1, width=0.0),
}


@pytest.mark.parametrize("case", REFUSED)
def test_outside_the_law_is_refused(case) -> None:
    with pytest.raises(RangeError):
        REFUSED[case]()


def test_a_narrow_approach_is_called_what_it_is() -> None:
    with pytest.raises(RangeError, match="bore / approach_bore: found 2"):
        openings.jet_flow(head=0.1, bore=0.02, approach_bore=0.01)


def test_unknown_taps_tell_the_nearest() -> None:
    with pytest.raises(InputError, match="write corner"):
        openings.orifice_plate_flow(**PLATE, taps="corners")
