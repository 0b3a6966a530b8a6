"""Published hose friction of the trade, which counts couplings and real bores in."""

from __future__ import annotations

import numpy as np

from hydrokit.network import solve
from hydrokit.parts import Hose, Joint, Outlet, Source
from hydrokit.rig import Line, Rig, Site
from hydrokit.water import STANDARD_GRAVITY, water

PSI, GALLON_PER_MINUTE, FOOT = 6894.757293168361, 3.785411784e-3 / 60.0, 0.3048
DENSITY = 1000.0


def laid(flow: float, hose: Hose, **site: float) -> float:
    """Return the pressure, in pascals, that a hose on level ground spends at a flow."""
    rig = Rig(
        site=Site(**site),
        sources={"engine": Source(surface=0.0, entrance_k=0.0)},
        joints={"nozzle": Joint(demand=flow)},
        lines={"lay": Line(start="engine", end="nozzle", parts=(hose,))},
    )
    solution = solve(rig)
    return float(-solution.head("nozzle")[0]) * float(solution.plan.conditions.weight)


def by_field_formula(flow: float, length: float, coefficient: float) -> float:
    """Return the pressure spent where coefficient x (flow / 100 gal/min)^2 x (length / 100 ft) in psi is the law.

    Such a law is a friction factor that does not depend on flow.
    """
    bore = 2.5 * 0.0254
    speed = 100.0 * GALLON_PER_MINUTE / (np.pi / 4.0 * bore**2)
    factor = coefficient * PSI * bore / (100.0 * FOOT) / (DENSITY * speed**2 / 2.0)
    hose = Hose(length=length, bore=bore, friction_factor=float(factor))
    return laid(flow, hose, density=DENSITY, viscosity=1e-3, vapour_pressure=2e3)


def test_hose_fire_2_5(published) -> None:
    """Fire-service formula for 2.5 inch hose, and Darcy-Weisbach on a smooth bore beside it."""
    example = published("hose-fire-2-5")
    flow, length = example.given("flow"), example.given("length")
    example.agrees("formula_loss", by_field_formula(flow, length, example.plain("coefficient")))
    hose = Hose(length=length, bore=example.given("bore"), roughness=example.given("roughness"))
    temperature = 273.15 + float(example.plain("temperature").split()[0])
    example.agrees("darcy_loss", laid(flow, hose, water_temperature=temperature))


def test_hose_fire_supply(published) -> None:
    """Fire-service formula, worked slides: the loss goes with the square of flow and with length."""
    example = published("hose-fire-supply")
    losses = [
        by_field_formula(float(flow), float(length), example.plain("coefficient"))
        for flow, length in zip(example.given("flows"), example.given("lengths"), strict=True)
    ]
    example.agrees("formula_loss", losses)


def test_hose_garden_a(published) -> None:
    """Iowa State University Extension: discharge of a 100 ft garden hose at 40 psi."""
    example = published("hose-garden-a")
    temperature = 273.15 + float(example.plain("temperature").split()[0])
    pressure = example.given("inlet_pressure")
    flows = []
    for bore in example.given("bores"):
        hose = Hose(length=example.given("length"), bore=float(bore), roughness=example.given("roughness"))
        rig = Rig(
            site=Site(water_temperature=temperature),
            sources={"tap": Source(surface=0.0, pressure=pressure, entrance_k=0.0)},
            outlets={"end": Outlet(height=0.0)},
            lines={"hose": Line(start="tap", end="end", parts=(hose,))},
        )
        solution = solve(rig)
        flows.append(solution.flow("hose")[0])
        spent = solution.walk.loss.sum() * float(water(temperature).density) * STANDARD_GRAVITY
        assert abs(spent - pressure) < 1e-6 * pressure
    example.agrees("flow", flows)
