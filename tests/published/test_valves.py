"""Published losses and sizes of valves."""

from __future__ import annotations

import numpy as np

from hydrokit.laws.fittings import crane_friction, k_flow
from hydrokit.laws.friction import velocity
from hydrokit.laws.valves import (
    choked_drop,
    cv_from_kv,
    equivalent_length,
    foot_valve_k,
    k_from_equivalent_length,
    k_from_kv,
    kv_from_k,
    required_kv,
    valve_k,
)


def test_valve_crane_7_2(published) -> None:
    """Crane TP-410M, example 7-2: Kv as K and as a length of pipe."""
    example = published("valve-crane-7-2")
    bore, factor = example.given("bore"), example.plain("crane_turbulent_factor")
    k = k_from_kv(kv=example.given("kv"), bore=bore)
    length = equivalent_length(k=k, bore=bore, friction_factor=factor)
    example.agrees("k", k)
    example.agrees("equivalent_length_ratio", length / bore)
    example.agrees("equivalent_length", length)


def test_valve_crane_7_6(published) -> None:
    """Crane TP-410M, example 7-6: gravity feed through a ball valve of reduced port and six elbows."""
    example = published("valve-crane-7-6")
    bore = example.given("bore")
    pipe = k_from_equivalent_length(
        length=example.given("length"), bore=bore, friction_factor=example.plain("darcy_friction_factor")
    )
    elbow = k_from_equivalent_length(
        length=example.plain("elbow_ld") * bore, bore=bore, friction_factor=example.plain("crane_turbulent_factor")
    )
    valve = valve_k(
        bore=bore,
        seat=example.given("seat_bore"),
        inlet_angle=example.given("inlet_cone_angle"),
        outlet_angle=example.given("outlet_cone_angle"),
    )
    k = example.plain("entrance_k") + pipe + example.plain("elbows") * elbow + valve + example.plain("exit_k")
    flow = k_flow(k=k, head=example.given("head"), bore=bore)
    example.agrees("velocity", velocity(flow=flow, bore=bore))
    example.agrees("flow", flow)


def test_valve_crane_7_27(published) -> None:
    """Crane TP-410, example 7-27: a 3 inch valve between 4 inch pipes."""
    example = published("valve-crane-7-27")
    pipe, drop = example.given("pipe_bore"), example.given("pressure_in") - example.given("pressure_out")
    assert drop < choked_drop(
        inlet_pressure=example.given("pressure_in"),
        vapour_pressure=example.given("vapour_pressure"),
        recovery=example.plain("liquid_recovery_factor"),
        critical_pressure=example.given("critical_pressure"),
    )
    kv = required_kv(
        flow=example.given("flow"),
        pressure_drop=drop,
        density=example.given("density"),
        valve_bore=example.given("valve_size"),
        inlet_bore=pipe,
        outlet_bore=pipe,
    )
    example.agrees("cv", cv_from_kv(kv))


def test_valve_iec_60534_1(published) -> None:
    """IEC 60534-2-1, annex of worked examples, example 1."""
    example = published("valve-iec-60534-1")
    drop = example.given("pressure_in") - example.given("pressure_out")
    assert drop < choked_drop(
        inlet_pressure=example.given("pressure_in"),
        vapour_pressure=example.given("vapour_pressure"),
        recovery=example.plain("liquid_recovery_factor"),
        critical_pressure=example.given("critical_pressure"),
    )
    kv = required_kv(flow=example.given("flow"), pressure_drop=drop, density=example.given("density"))
    example.agrees("kv", kv)
    assert np.isclose(example.given("bore"), example.given("valve_size"))


def test_valve_crane_ratios(published) -> None:
    """Crane TP-410 (2009), appendix A: gate, globe, angle and ball valve; foot valves (from memory)."""
    example = published("valve-crane-ratios")
    bore = example.given("bore")
    turbulent = crane_friction(bore)
    patterns = ("gate", "globe", "angle", "ball")
    example.agrees("valve_ratios", [valve_k(bore=bore, pattern=pattern) / turbulent for pattern in patterns])
    foot = [foot_valve_k(bore=bore, pattern=pattern) / turbulent for pattern in ("poppet", "hinged")]
    example.agrees("foot_valve_ratios", foot)


def test_valve_crane_7_3(published) -> None:
    """Crane TP-410M, example 7-3: an angle valve as K, as Kv and as a length of pipe."""
    example = published("valve-crane-7-3")
    bore, factor = example.given("bore"), example.plain("crane_turbulent_factor")
    k = k_from_equivalent_length(length=example.plain("length_ratio") * bore, bore=bore, friction_factor=factor)
    length = equivalent_length(k=k, bore=bore, friction_factor=factor)
    example.agrees("k", k)
    example.agrees("kv", kv_from_k(k=k, bore=bore))
    example.agrees("equivalent_length_ratio", length / bore)
    example.agrees("equivalent_length", length)


def test_valve_iec_60534_2(published) -> None:
    """IEC 60534-2-1, annex of worked examples, example 2: the choked drop counts."""
    example = published("valve-iec-60534-2")
    choked = choked_drop(
        inlet_pressure=example.given("pressure_in"),
        vapour_pressure=example.given("vapour_pressure"),
        recovery=example.plain("liquid_recovery_factor"),
        critical_pressure=example.given("critical_pressure"),
    )
    assert choked < example.given("pressure_in") - example.given("pressure_out")
    example.agrees(
        "kv", required_kv(flow=example.given("flow"), pressure_drop=choked, density=example.given("density"))
    )


def test_valve_kv_cv(published) -> None:
    """IEC 60534-1, VDI/VDE 2173: Cv of Kv 1 (from memory)."""
    example = published("valve-kv-cv")
    example.agrees("cv", cv_from_kv(example.given("kv")))
