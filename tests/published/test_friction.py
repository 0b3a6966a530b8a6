"""Published friction factors and losses of single pipes."""

from __future__ import annotations

import numpy as np
from scipy.optimize import brentq

from hydrokit.laws.fittings import crane_friction
from hydrokit.laws.friction import friction_factor, head_loss, reynolds, velocity
from hydrokit.laws.pump_duty import rise_of_head, shaft_power
from hydrokit.network import Solution, solve
from hydrokit.parts import Hose, Joint, Source
from hydrokit.rig import Line, Rig, Site
from hydrokit.studies import hose
from hydrokit.water import STANDARD_GRAVITY, water


def carried(flow: float, hose: Hose, **site: float) -> Solution:
    """Return a hose that carries a flow out of open water."""
    return solve(
        Rig(
            site=Site(vapour_pressure=2e3, **site),
            sources={"supply": Source(surface=0.0, entrance_k=0.0)},
            joints={"user": Joint(demand=flow)},
            lines={"run": Line(start="supply", end="user", parts=(hose,))},
        )
    )


def lost(solution: Solution) -> float:
    return float(solution.walk.loss.sum())


def flow_of(speed: float, bore: float) -> float:
    return speed * np.pi / 4.0 * bore**2


def test_friction_smooth_a(published) -> None:
    """White, section 6.6: Prandtl's law of smooth pipe (from memory)."""
    example = published("friction-smooth-a")
    example.agrees("darcy_friction_factor", friction_factor(reynolds=example.given("reynolds")))


def test_friction_rough_a(published) -> None:
    """Cengel and Cimbala, table beside the Moody chart (from memory)."""
    example = published("friction-rough-a")
    factor = friction_factor(reynolds=example.given("reynolds"), relative_roughness=example.given("relative_roughness"))
    example.agrees("darcy_friction_factor", factor)


def test_friction_crane_7_1(published) -> None:
    """Crane TP-410M, example 7-1: smooth plastic pipe, water at 30 °C; its pressure of 2 bar changes nothing here."""
    example = published("friction-crane-7-1")
    liquid = water(273.15 + float(example.plain("temperature").split()[0]))
    bore = example.given("bore")
    number = reynolds(
        flow=example.given("flow"), bore=bore, kinematic_viscosity=float(liquid.viscosity) / float(liquid.density)
    )
    example.agrees("reynolds", number)
    factor = friction_factor(reynolds=number, relative_roughness=example.given("roughness") / bore)
    example.agrees("darcy_friction_factor", factor)


def test_friction_munson_8_5(published) -> None:
    """Munson, example 8.5: air in a small tube at Re 13 700, by the laminar and by the turbulent law."""
    example = published("friction-munson-8-5")
    bore, density, viscosity = (example.given(name) for name in ("bore", "density", "viscosity"))
    flow = flow_of(example.given("velocity"), bore)
    number = reynolds(flow=flow, bore=bore, kinematic_viscosity=viscosity / density)
    laminar = Hose(length=example.given("length"), bore=bore, friction_factor=64.0 / number)
    weight = density * STANDARD_GRAVITY
    example.agrees("laminar_pressure_drop", lost(carried(flow, laminar, density=density, viscosity=viscosity)) * weight)
    factor = friction_factor(reynolds=number, relative_roughness=example.given("roughness") / bore)
    example.agrees("colebrook_friction_factor", factor)


def test_friction_vennard_9_7(published) -> None:
    """Vennard, example 9.7: fully rough pipe; water at 15 °C stands in, as the loss does not depend on viscosity."""
    example = published("friction-vennard-9-7")
    bore = example.given("bore")
    factor = friction_factor(reynolds=1e12, relative_roughness=example.given("relative_roughness"))
    example.agrees("darcy_friction_factor", factor)
    hose = Hose(length=example.given("length"), bore=bore, friction_factor=factor)
    example.agrees("head_loss", lost(carried(flow_of(example.given("velocity"), bore), hose)))


def test_friction_geankoplis_2_10_3(published) -> None:
    """Geankoplis, example 2.10-3: commercial steel, oil."""
    example = published("friction-geankoplis-2-10-3")
    bore, density, viscosity = (example.given(name) for name in ("bore", "density", "viscosity"))
    flow, rough = flow_of(example.given("velocity"), bore), example.given("roughness")
    solution = carried(
        flow, Hose(length=example.given("length"), bore=bore, roughness=rough), density=density, viscosity=viscosity
    )
    example.agrees("reynolds", solution.walk.reynolds[0, -1])
    factor = friction_factor(reynolds=float(solution.walk.reynolds[0, -1]), relative_roughness=rough / bore)
    example.agrees("darcy_friction_factor", factor)
    example.agrees("friction_loss", lost(solution) * STANDARD_GRAVITY)


def test_pipe_munson_8_2(published) -> None:
    """Munson, example 8.2: oil, laminar, and the slope on which gravity alone drives it."""
    example = published("pipe-munson-8-2")
    bore, length, density, viscosity = (example.given(name) for name in ("bore", "length", "density", "viscosity"))
    flow = example.given("flow")
    example.agrees("reynolds", reynolds(flow=flow, bore=bore, kinematic_viscosity=viscosity / density))
    loss = lost(carried(flow, Hose(length=length, bore=bore), density=density, viscosity=viscosity))
    example.agrees("pressure_drop", loss * density * STANDARD_GRAVITY)
    example.agrees("slope_angle_for_no_drop", -np.arcsin(loss / length))


def test_pipe_cengel_8_2(published) -> None:
    """Cengel and Cimbala, example 8-2: water in a 3 mm tube, laminar."""
    example = published("pipe-cengel-8-2")
    bore, density, viscosity = (example.given(name) for name in ("bore", "density", "viscosity"))
    flow = flow_of(example.given("velocity"), bore)
    loss = lost(carried(flow, Hose(length=example.given("length"), bore=bore), density=density, viscosity=viscosity))
    drop = loss * density * STANDARD_GRAVITY
    example.agrees("head_loss", loss)
    example.agrees("pressure_drop", drop)
    example.agrees("power", drop * flow)


def test_pipe_cengel_8_3(published) -> None:
    """Cengel and Cimbala, example 8-3: water in stainless pipe."""
    example = published("pipe-cengel-8-3")
    bore, density, viscosity = (example.given(name) for name in ("bore", "density", "viscosity"))
    flow, rough = example.given("flow"), example.given("roughness")
    solution = carried(
        flow, Hose(length=example.given("length"), bore=bore, roughness=rough), density=density, viscosity=viscosity
    )
    drop = lost(solution) * density * STANDARD_GRAVITY
    factor = friction_factor(reynolds=float(solution.walk.reynolds[0, -1]), relative_roughness=rough / bore)
    example.agrees("darcy_friction_factor", factor)
    example.agrees("head_loss", lost(solution))
    example.agrees("pressure_drop", drop)
    example.agrees("power", drop * flow)


def test_pipe_massey_7_1(published) -> None:
    """Massey and Ward-Smith, example 7.1: flow known, head wanted."""
    example = published("pipe-massey-7-1")
    flow, bore, rough = (example.given(name) for name in ("flow", "bore", "roughness"))
    kinematic = example.given("kinematic_viscosity")
    number = reynolds(flow=flow, bore=bore, kinematic_viscosity=kinematic)
    example.agrees("darcy_friction_factor", friction_factor(reynolds=number, relative_roughness=rough / bore))
    hose = Hose(length=example.given("length"), bore=bore, roughness=rough)
    example.agrees("head_loss", lost(carried(flow, hose, density=1000.0, viscosity=1000.0 * kinematic)))


def test_pipe_massey_7_3(published) -> None:
    """Massey and Ward-Smith, example 7.3: bore wanted."""
    example = published("pipe-massey-7-3")

    def short_of(bore: float) -> float:
        loss = head_loss(
            flow=example.given("flow"),
            bore=bore,
            length=example.given("length"),
            kinematic_viscosity=example.given("kinematic_viscosity"),
            roughness=example.given("roughness"),
        )
        return float(loss) - example.given("head_loss")

    example.agrees("bore", brentq(short_of, 0.05, 1.0))


def test_pipe_crane_7_13(published) -> None:
    """Crane TP-410M, example 7-13: light oil in 2 inch pipe."""
    example = published("pipe-crane-7-13")
    flow, bore, rough, density = (example.given(name) for name in ("flow", "bore", "roughness", "density"))
    kinematic = example.given("kinematic_viscosity")
    hose = Hose(length=example.given("length"), bore=bore, roughness=rough)
    loss = lost(carried(flow, hose, density=density, viscosity=density * kinematic))
    number = reynolds(flow=flow, bore=bore, kinematic_viscosity=kinematic)
    example.agrees("darcy_friction_factor", friction_factor(reynolds=number, relative_roughness=rough / bore))
    example.agrees("pressure_drop", loss * density * STANDARD_GRAVITY)


def test_pipe_khan_9_1(published) -> None:
    """Khan, example 9.1: one pipe, glycerine and then water."""
    example = published("pipe-khan-9-1")
    hose = Hose(length=example.given("length"), bore=example.given("bore"), roughness=example.given("roughness"))
    for liquid in ("glycerine", "water"):
        site = {"density": example.given(f"{liquid}_density"), "viscosity": example.given(f"{liquid}_viscosity")}
        example.agrees(f"{liquid}_head_loss", lost(carried(example.given("flow"), hose, **site)))


def test_pipe_vennard_9_2(published) -> None:
    """Vennard, example 9.2: smooth pipe, which the book works by Blasius' formula."""
    example = published("pipe-vennard-9-2")
    bore, kinematic = example.given("bore"), example.given("kinematic_viscosity")
    flow = example.given("reynolds") * np.pi * bore * kinematic / 4.0
    hose = Hose(length=example.given("length"), bore=bore, roughness=example.given("roughness"))
    solution = carried(flow, hose, density=1000.0, viscosity=1000.0 * kinematic)
    assert velocity(flow=flow, bore=bore) == solution.walk.velocity[0, -1]
    example.agrees("head_loss", lost(solution))


def test_friction_crane_turbulent(published) -> None:
    """Crane TP-410 (2009), appendix A: factor of complete turbulence by size of pipe (from memory)."""
    example = published("friction-crane-turbulent")
    example.agrees("turbulent_friction_factor", crane_friction(example.given("bores")))


def test_pipe_white_6_9(published) -> None:
    """White, example 6.9: flow wanted for a head to spend (from memory)."""
    example = published("pipe-white-6-9")
    bore, density = example.given("bore"), example.given("density")
    answer = hose(
        drop=example.given("head_loss") * density * STANDARD_GRAVITY,
        bore=bore,
        length=example.given("length"),
        density=density,
        viscosity=example.given("kinematic_viscosity") * density,
        roughness=example.given("relative_roughness") * bore,
    )
    example.agrees("flow", answer.flow)
    example.agrees("velocity", answer.velocity)
    example.agrees("darcy_friction_factor", answer.friction_factor)


def test_pipe_white_6_11(published) -> None:
    """White, example 6.11: bore wanted for the same (from memory)."""
    example = published("pipe-white-6-11")
    density = example.given("density")
    answer = hose(
        flow=example.given("flow"),
        drop=example.given("head_loss") * density * STANDARD_GRAVITY,
        length=example.given("length"),
        density=density,
        viscosity=example.given("kinematic_viscosity") * density,
        roughness=example.given("roughness"),
    )
    example.agrees("bore", answer.bore)


def test_pipe_crane_7_17(published) -> None:
    """Crane TP-410, example 7-17: head and power of an oil line, the book's friction factor."""
    example = published("pipe-crane-7-17")
    flow, density = example.given("flow"), example.given("density")
    pipe = Hose(
        length=example.given("length"),
        bore=example.given("bore"),
        friction_factor=example.plain("darcy_friction_factor"),
    )
    head = example.given("rise") + lost(carried(flow, pipe, density=density, viscosity=example.given("viscosity")))
    example.agrees("head", head)
    rise = rise_of_head(head=head, density=density)
    example.agrees("power", shaft_power(flow=flow, pressure_rise=rise, pump_efficiency=example.plain("efficiency")))
