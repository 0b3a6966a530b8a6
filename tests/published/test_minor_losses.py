"""Published runs of pipe with fittings, worked with the laws alone: no pump curve, no network."""

from __future__ import annotations

from hydrokit.laws.fittings import (
    EXIT_K,
    bend_k,
    crane_friction,
    elbow_k,
    k_flow,
    k_head,
    mitre_k,
    rounded_entrance_k,
)
from hydrokit.laws.friction import friction_factor, head_loss, reynolds, velocity
from hydrokit.laws.valves import k_from_equivalent_length, non_return_k, valve_k
from hydrokit.water import STANDARD_GRAVITY


def test_minor_munson_8_8(published) -> None:
    """Munson, example 8.8: a house supply from basement to second-floor tap, losses counted step by step."""
    example = published("minor-munson-8-8")
    flow, bore, density = example.given("flow"), example.given("bore"), example.given("density")
    weight = density * STANDARD_GRAVITY
    speed_head = velocity(flow=flow, bore=bore) ** 2 / 2.0 / STANDARD_GRAVITY
    outlet_head = velocity(flow=flow, bore=example.given("outlet_bore")) ** 2 / 2.0 / STANDARD_GRAVITY
    pipe_k = k_from_equivalent_length(
        length=example.given("length"), bore=bore, friction_factor=example.plain("darcy_friction_factor")
    )
    parts_k = example.plain("elbows") * example.plain("elbow_k") + example.plain("valve_k") + example.plain("tap_k")
    no_losses = example.given("rise") + outlet_head - speed_head
    pipe = k_head(k=pipe_k, flow=flow, bore=bore)
    example.agrees("inlet_pressure_no_losses", no_losses * weight)
    example.agrees("inlet_pressure_pipe_losses", (no_losses + pipe) * weight)
    example.agrees("inlet_pressure_all_losses", (no_losses + pipe + k_head(k=parts_k, flow=flow, bore=bore)) * weight)
    number = reynolds(flow=flow, bore=bore, kinematic_viscosity=example.given("viscosity") / density)
    factor = friction_factor(reynolds=number, relative_roughness=example.given("roughness") / bore)
    example.agrees("computed_friction_factor", factor)


def test_minor_cengel_8_8(published) -> None:
    """Cengel and Cimbala, example 8-8: gravity feed from a lake."""
    example = published("minor-cengel-8-8")
    flow, bore = example.given("flow"), example.given("bore")
    kinematic_viscosity = example.given("viscosity") / example.given("density")
    number = reynolds(flow=flow, bore=bore, kinematic_viscosity=kinematic_viscosity)
    k = (
        example.plain("entrance_k")
        + example.plain("elbows") * example.plain("elbow_k")
        + example.plain("valve_k")
        + example.plain("exit_k")
    )
    friction = head_loss(
        flow=flow,
        bore=bore,
        length=example.given("length"),
        kinematic_viscosity=kinematic_viscosity,
        roughness=example.given("roughness"),
    )
    factor = friction_factor(reynolds=number, relative_roughness=example.given("roughness") / bore)
    example.agrees("darcy_friction_factor", factor)
    example.agrees("supply_level", example.given("outlet_level") + friction + k_head(k=k, flow=flow, bore=bore))


def test_minor_munson_8_10(published) -> None:
    """Munson, example 8.10: flow of air through a duct, the jet's velocity head counted."""
    example = published("minor-munson-8-10")
    bore = example.given("bore")
    pipe_k = k_from_equivalent_length(
        length=example.given("length"), bore=bore, friction_factor=example.plain("darcy_friction_factor")
    )
    k = pipe_k + example.plain("entrance_k") + example.plain("elbows") * example.plain("elbow_k") + EXIT_K
    head = example.given("driving_pressure") / example.given("specific_weight")
    example.agrees("flow", k_flow(k=k, head=head, bore=bore))


def test_minor_crane_7_15(published) -> None:
    """Crane TP-410, example 7-15: Crane K for every part of a lift of 400 ft."""
    example = published("minor-crane-7-15")
    flow, bore, density = example.given("flow"), example.given("bore"), example.given("density")
    friction = head_loss(
        flow=flow,
        bore=bore,
        length=example.given("length"),
        kinematic_viscosity=example.given("viscosity") / density,
        roughness=example.given("roughness"),
    )
    k = (
        example.plain("elbows") * elbow_k(bore=bore)
        + valve_k(bore=bore, pattern="gate")
        + non_return_k(bore=bore, pattern="lift", seat=example.given("reduced_bore"))
        + EXIT_K
    )
    head = example.given("rise") + friction + k_head(k=k, flow=flow, bore=bore)
    example.agrees("head", head)
    example.agrees("power", density * STANDARD_GRAVITY * head * flow / example.plain("efficiency"))


def test_fittings_crane_bends(published) -> None:
    """Crane TP-410 (2009), appendix A: bends by radius, elbows, mitre bends by angle (from memory)."""
    example = published("fittings-crane-bends")
    bore = example.given("bore")
    turbulent = crane_friction(bore)
    example.agrees("bend_ratio", bend_k(bore=bore, radius=example.given("radius_ratios") * bore) / turbulent)
    for shape, quantity in (("90", "elbow_90_ratio"), ("45", "elbow_45_ratio"), ("180", "return_bend_ratio")):
        example.agrees(quantity, elbow_k(bore=bore, shape=shape) / turbulent)
    example.agrees("mitre_ratio", mitre_k(bore=bore, angle=example.given("mitre_angles")) / turbulent)


def test_fittings_crane_entrance(published) -> None:
    """Crane TP-410 (2009), appendix A: rounded entrances (from memory)."""
    example = published("fittings-crane-entrance")
    bore = example.given("bore")
    example.agrees("k", rounded_entrance_k(bore=bore, edge_radius=example.given("radius_ratios") * bore))
