"""Published flows of nozzles and orifices."""

from __future__ import annotations

import numpy as np

from hydrokit.laws.friction import velocity
from hydrokit.laws.openings import jet_flow, meter_bore, meter_flow, orifice_plate_flow
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
