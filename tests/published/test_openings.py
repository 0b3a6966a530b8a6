"""Published flows of nozzles and orifices."""

from __future__ import annotations

import numpy as np

from hydrokit.laws.friction import velocity
from hydrokit.laws.openings import efflux_velocity, jet_flow, meter_bore, meter_flow, orifice_plate_flow, weir_flow
from hydrokit.water import STANDARD_GRAVITY

MERCURY = 13_546.0  # kg/m^3 at 20 °C, CRC Handbook, from memory
WATER_IN_MANOMETER = 998.2


def test_nozzle_table_a(published) -> None:
    """Hydraulic Institute, theoretical discharge of nozzles."""
    example = published("nozzle-table-a")
    head = example.given("pressures") / (example.given("density") * STANDARD_GRAVITY)
    example.agrees("flow", jet_flow(head=head, bore=example.given("bores"), discharge_coefficient=1.0))


def test_nozzle_munson_3_7(published) -> None:
    """Munson, example 3.7: outlet of a tank kept full."""
    example = published("nozzle-munson-3-7")
    flow = jet_flow(
        head=example.given("head"),
        bore=example.given("outlet_bore"),
        approach_bore=example.given("tank_bore"),
        discharge_coefficient=1.0,
    )
    example.agrees("flow", flow)


def test_orifice_cengel_8_10(published) -> None:
    """Cengel and Cimbala, example 8-10: orifice meter."""
    example = published("orifice-cengel-8-10")
    density = example.given("density")
    drop = (example.given("manometer_density") - density) * STANDARD_GRAVITY * example.given("manometer")
    flow = meter_flow(
        pressure_drop=drop,
        bore=example.given("orifice_bore"),
        pipe_bore=example.given("pipe_bore"),
        density=density,
        discharge_coefficient=example.plain("discharge_coefficient"),
    )
    example.agrees("flow", flow)
    example.agrees("velocity", velocity(flow=flow, bore=example.given("pipe_bore")))


def test_nozzle_munson_8_15(published) -> None:
    """Munson, example 8.15: bore of a nozzle meter."""
    example = published("nozzle-munson-8-15")
    bore = meter_bore(
        flow=example.given("flow"),
        pressure_drop=example.given("pressure_drop"),
        pipe_bore=example.given("pipe_bore"),
        density=example.given("density"),
        discharge_coefficient=example.plain("discharge_coefficient"),
    )
    example.agrees("bore", bore)


def test_orifice_crane_7_23(published) -> None:
    """Crane TP-410, example 7-23: mercury under water."""
    example = published("orifice-crane-7-23")
    hole, pipe, density = example.given("orifice_bore"), example.given("pipe_bore"), example.given("density")
    inches = example.plain("manometer_mercury_inches") * 0.0254
    drop = inches * (MERCURY - WATER_IN_MANOMETER) * STANDARD_GRAVITY
    flow = orifice_plate_flow(
        pressure_drop=drop, bore=hole, pipe_bore=pipe, density=density, viscosity=example.given("viscosity")
    )
    ideal = np.pi / 4.0 * hole**2 * np.sqrt(2.0 * drop / density)
    example.agrees("flow_coefficient", flow / ideal)
    example.agrees("flow", flow)


def test_orifice_crane_7_29(published) -> None:
    """Crane TP-410M, example 7-29 with its errata: taps at D and D/2."""
    example = published("orifice-crane-7-29")
    flow = orifice_plate_flow(
        pressure_drop=example.given("pressure_drop"),
        bore=example.given("orifice_bore"),
        pipe_bore=example.given("pipe_bore"),
        density=example.given("density"),
        viscosity=example.given("viscosity"),
        taps="D and D/2",
    )
    example.agrees("flow", flow)


def test_nozzle_crane_7_30(published) -> None:
    """Crane TP-410, example 7-30: bore of a long-radius nozzle."""
    example = published("nozzle-crane-7-30")
    density = example.given("density")
    bore = meter_bore(
        flow=example.given("flow"),
        pressure_drop=example.given("head") * density * STANDARD_GRAVITY,
        pipe_bore=example.given("pipe_bore"),
        density=density,
        discharge_coefficient=example.plain("discharge_coefficient"),
    )
    example.agrees("bore", bore)


def test_jet_mott_6_13(published) -> None:
    """Mott, example 6.13 and its table: jet by depth (from memory)."""
    example = published("jet-mott-6-13")
    depths = example.given("depths")
    example.agrees("velocity", efflux_velocity(depths))
    example.agrees("flow_at_3_m", jet_flow(head=depths[0], bore=example.given("bore"), discharge_coefficient=1.0))


def test_jet_cengel_5_6(published) -> None:
    """Cengel and Cimbala, example 5-6: a tap far under the surface (from memory)."""
    example = published("jet-cengel-5-6")
    example.agrees("velocity", efflux_velocity(example.given("depth")))


def test_weir_cengel_13(published) -> None:
    """Cengel and Cimbala, chapter 13: sharp-crested rectangular weir (from memory)."""
    example = published("weir-cengel-13")
    flow = weir_flow(
        head=example.given("head"),
        width=example.given("width"),
        discharge_coefficient=example.plain("discharge_coefficient"),
    )
    example.agrees("flow", flow)
