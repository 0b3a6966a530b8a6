"""Valves: against fluids' own functions, definitions of Kv and Cv, and what is refused."""

from __future__ import annotations

import fluids
import fluids.control_valve
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.errors import InputError, RangeError
from hydrokit.laws import valves

BORE, SEAT = 0.025, 0.019


@pytest.mark.parametrize(
    ("pattern", "law"),
    [
        ("ball", lambda: fluids.K_ball_valve_Crane(D1=BORE, D2=BORE, angle=0.0)),
        ("gate", lambda: fluids.K_gate_valve_Crane(D1=BORE, D2=BORE, angle=0.0)),
        ("globe", lambda: fluids.K_globe_valve_Crane(D1=BORE, D2=BORE)),
        ("angle", lambda: fluids.K_angle_valve_Crane(D1=BORE, D2=BORE, style=1)),
        ("butterfly", lambda: fluids.K_butterfly_valve_Crane(D=BORE)),
        ("plug", lambda: fluids.K_plug_valve_Crane(D1=BORE, D2=BORE, angle=0.0)),
        ("diaphragm", lambda: fluids.K_diaphragm_valve_Crane(D=BORE)),
    ],
)
def test_full_bore_against_fluids(pattern, law) -> None:
    assert valves.valve_k(bore=BORE, pattern=pattern) == pytest.approx(law(), rel=1e-12)


@pytest.mark.parametrize("degrees", [20.0, 45.0, 60.0, 180.0])
@pytest.mark.parametrize(("pattern", "law"), [("ball", fluids.K_ball_valve_Crane), ("gate", fluids.K_gate_valve_Crane)])
def test_reduced_seat_against_fluids(pattern, law, degrees) -> None:
    angle = np.deg2rad(degrees)
    k = valves.valve_k(bore=BORE, pattern=pattern, seat=SEAT, inlet_angle=angle, outlet_angle=angle)
    assert k == pytest.approx(law(D1=SEAT, D2=BORE, angle=degrees), rel=1e-9)


def test_reduced_lift_check_against_fluids() -> None:
    expected = fluids.K_lift_check_valve_Crane(D1=SEAT, D2=BORE, angled=False)
    assert valves.non_return_k(bore=BORE, pattern="lift", seat=SEAT) == pytest.approx(expected, rel=1e-12)


def test_reduced_globe_follows_formula_7_and_is_never_below_fluids() -> None:
    # Crane TP-410 formula 7, from memory; see the note in valve_k.
    beta = SEAT / BORE
    expected = (340.0 * fluids.ft_Crane(BORE) + beta * (0.5 * (1 - beta**2) + (1 - beta**2) ** 2)) / beta**4
    k = valves.valve_k(bore=BORE, pattern="globe", seat=SEAT)
    assert k == pytest.approx(expected, rel=1e-12)
    assert k > fluids.K_globe_valve_Crane(D1=SEAT, D2=BORE)


@pytest.mark.parametrize("bore", [0.05, 0.3, 0.5])
def test_butterfly_by_size_against_fluids(bore) -> None:
    assert valves.valve_k(bore=bore, pattern="butterfly") == pytest.approx(
        fluids.K_butterfly_valve_Crane(D=bore), rel=1e-12
    )


@pytest.mark.parametrize(
    ("pattern", "law"),
    [
        ("swing", lambda: fluids.K_swing_check_valve_Crane(D=BORE, angled=True)),
        ("lift", lambda: fluids.K_lift_check_valve_Crane(D1=BORE, D2=BORE, angled=False)),
        ("tilting", lambda: fluids.K_tilting_disk_check_valve_Crane(D=BORE, angle=5.0)),
        ("spring", lambda: fluids.K_foot_valve_Crane(D=BORE, style=0)),
    ],
)
def test_non_return_against_fluids(pattern, law) -> None:
    assert valves.non_return_k(bore=BORE, pattern=pattern) == pytest.approx(law(), rel=1e-12)


@pytest.mark.parametrize(("pattern", "style"), [("poppet", 0), ("hinged", 1)])
def test_foot_valve_against_fluids(pattern, style) -> None:
    expected = fluids.K_foot_valve_Crane(D=BORE, style=style)
    assert valves.foot_valve_k(bore=BORE, pattern=pattern) == pytest.approx(expected, rel=1e-12)
    assert valves.foot_valve_k(bore=BORE, pattern=pattern, blockage=0.5) == pytest.approx(4.0 * expected, rel=1e-12)


def test_kv_is_the_flow_at_one_bar() -> None:
    kv, bore = 4.0 / 3600.0, 0.019
    velocity = kv / (np.pi / 4.0 * bore**2)
    drop = valves.k_from_kv(kv=kv, bore=bore) * valves.KV_DENSITY * velocity**2 / 2.0
    assert drop == pytest.approx(1e5, rel=1e-12)


def test_kv_to_k_against_fluids() -> None:
    # fluids carries Crane's rounded 1.6e9 in place of 1.6003e9 at 999.1 kg/m^3.
    assert valves.k_from_kv(kv=4.0 / 3600.0, bore=0.019) == pytest.approx(fluids.Kv_to_K(4.0, 0.019), rel=1e-3)


def test_cv_against_fluids() -> None:
    gallon_per_minute = 3.785411784e-3 / 60.0
    cv = valves.cv_from_kv(2.312 / 3600.0) / gallon_per_minute
    assert cv == pytest.approx(fluids.Kv_to_Cv(2.312), rel=1e-4)


@given(kv=st.floats(2e-6, 1e-2), bore=st.floats(5e-3, 0.3))  # K up to 3e11
def test_conversions_return(kv, bore) -> None:
    assert valves.kv_from_k(k=valves.k_from_kv(kv=kv, bore=bore), bore=bore) == pytest.approx(kv, rel=1e-12)
    assert valves.cv_from_kv(kv) == pytest.approx(kv * np.sqrt(6894.757293168361 / 1e5), rel=1e-12)


@given(k=st.floats(1e-3, 1e4), bore=st.floats(5e-3, 0.3), factor=st.floats(0.01, 0.1))
def test_equivalent_length_returns(k, bore, factor) -> None:
    length = valves.equivalent_length(k=k, bore=bore, friction_factor=factor)
    assert valves.k_from_equivalent_length(length=length, bore=bore, friction_factor=factor) == pytest.approx(k)


def test_required_kv_against_fluids_with_unequal_pipes() -> None:
    flow, drop, density, valve, inlet, outlet = 0.01, 80e3, 999.1032907570233, 0.05, 0.08, 0.065
    expected = fluids.control_valve.size_control_valve_l(
        rho=density, Psat=2e3, Pc=22.064e6, mu=1e-3, P1=900e3, P2=900e3 - drop, Q=flow, D1=inlet, D2=outlet, d=valve,
        FL=0.9, Fd=1.0, allow_choked=False, allow_laminar=False,
    )  # fmt: skip
    kv = valves.required_kv(
        flow=flow, pressure_drop=drop, density=density, valve_bore=valve, inlet_bore=inlet, outlet_bore=outlet
    )
    assert kv * 3600.0 == pytest.approx(expected, rel=2e-3)  # IEC's constants have two or three digits


def test_valve_of_the_required_kv_passes_the_flow() -> None:
    flow, drop = 2e-3, 40e3
    bores = {"valve_bore": 0.019, "inlet_bore": 0.025, "outlet_bore": 0.032}
    kv = valves.required_kv(flow=flow, pressure_drop=drop, **bores)
    into, out = (0.019 / 0.025) ** 2, (0.019 / 0.032) ** 2
    reducers = 0.5 * (1.0 - into) ** 2 + (1.0 - out) ** 2 + (1.0 - into**2) - (1.0 - out**2)
    factor = (1.0 + reducers / valves.k_from_kv(kv=kv, bore=0.019)) ** -0.5  # IEC 60534-2-1, piping geometry
    assert kv * factor * np.sqrt(drop / 1e5) == pytest.approx(flow, rel=1e-12)


def test_choked_drop_against_fluids() -> None:
    expected = fluids.control_valve.control_valve_choke_P_l(Psat=70.1e3, Pc=22_064e3, FL=0.9, P1=680e3)
    assert valves.choked_drop(inlet_pressure=680e3, vapour_pressure=70.1e3) == pytest.approx(680e3 - expected, rel=1e-9)


def test_array_gives_the_numbers_of_floats() -> None:
    bores = np.array([[0.019], [0.025]])
    for pattern in valves.VALVE_RATIOS:
        many = valves.valve_k(bore=bores, pattern=pattern)
        assert many.ravel().tolist() == [valves.valve_k(bore=float(bore), pattern=pattern) for bore in bores.ravel()]
    assert type(valves.valve_k(bore=0.019, seat=0.0125)) is float
    assert valves.valve_k(bore=bores, seat=0.0125).shape == (2, 1)


@pytest.mark.parametrize("pattern", ["butterfly", "diaphragm"])
def test_seat_of_a_pattern_without_one_is_refused(pattern) -> None:
    with pytest.raises(RangeError, match=f"none for {pattern}"):
        valves.valve_k(bore=0.025, pattern=pattern, seat=0.019)


def test_seat_wider_than_the_bore_is_refused() -> None:
    with pytest.raises(RangeError, match="at most the bore"):
        valves.valve_k(bore=0.019, pattern="globe", seat=np.array([0.0125, 0.025]))
    with pytest.raises(RangeError, match="none for swing"):
        valves.non_return_k(bore=0.019, pattern="swing", seat=0.0125)


@pytest.mark.parametrize(
    ("function", "near"), [(valves.valve_k, "ball"), (valves.non_return_k, "swing"), (valves.foot_valve_k, "hinged")]
)
def test_unknown_pattern_tells_the_nearest(function, near) -> None:
    with pytest.raises(InputError, match=f"write {near}"):
        function(bore=0.019, pattern=near[:-1])


@pytest.mark.parametrize("kv", [0.0, -1.0, float("nan")])
def test_impossible_coefficient_is_refused(kv) -> None:
    for call in (lambda: valves.k_from_kv(kv=kv, bore=0.019), lambda: valves.cv_from_kv(kv)):
        with pytest.raises(RangeError, match="kv"):
            call()


def test_reducers_that_take_the_whole_drop_are_refused() -> None:
    with pytest.raises(RangeError, match="reducers"):
        valves.required_kv(flow=0.1, pressure_drop=1e3, valve_bore=0.02, inlet_bore=0.1, outlet_bore=0.1)
    with pytest.raises(RangeError, match="all three or none"):
        valves.required_kv(flow=0.1, pressure_drop=1e3, valve_bore=0.02)
