"""Published duties of pumps: crossing with a given system curve, sets of pumps, affinity, power."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from hydrokit.laws.fittings import k_head
from hydrokit.laws.pump_curve import alike, pump_gain
from hydrokit.laws.pump_duty import (
    Duty,
    affinity_duty,
    efficiency,
    electrical_power,
    flow_of_power,
    rise_of_head,
    shaft_power,
    temperature_rise,
    torque_power,
)
from hydrokit.water import STANDARD_GRAVITY

if TYPE_CHECKING:
    from collections.abc import Callable

FOOT = 0.3048
US_GALLON_PER_MINUTE = 3.785411784e-3 / 60.0

Points = list[tuple[float, float]]


def crossing(points: Points, system: Callable[[float], float], *, parallel: int = 1) -> float:
    """Return the flow at which pumps alike, side by side, give the head that the system asks."""
    from scipy.optimize import brentq

    a, b = alike(1.0, 1.0, parallel=parallel)
    highest = b * points[-1][0]
    return brentq(lambda flow: a * pump_gain(points=points, flow=flow / b) - system(flow), 0.0, highest, xtol=1e-12)


def parabola(shut_off: float, coefficient: float, last: float) -> Points:
    """Return forty points of shut-off head less coefficient times flow squared."""
    flows = np.linspace(0.0, last, 40)
    return [(float(flow), float(shut_off - coefficient * flow**2)) for flow in flows]


def test_duty_munson_12_4(published) -> None:
    """Munson, Young and Okiishi, 5th/6th ed., example 12.4: seven points against a pipe and a rise."""
    example = published("duty-munson-12-4")
    points = list(zip(example.given("pump_flow"), example.given("pump_head"), strict=True))
    bore = example.given("bore")
    k = example.given("darcy_friction_factor") * example.given("length") / bore + example.given("fixed_k")
    flow = crossing(points, lambda flow: example.given("rise") + k_head(k=k, flow=flow, bore=bore))
    head = pump_gain(points=points, flow=flow)
    rise = rise_of_head(head=head, density=example.given("specific_weight") / STANDARD_GRAVITY)
    example.agrees("flow", flow)
    example.agrees("head", head)
    example.agrees("power", shaft_power(flow=flow, pressure_rise=rise, pump_efficiency=example.given("efficiency")))


def test_duty_coulson_8_8(published) -> None:
    """Coulson and Richardson, vol. 1, example 8.8: a curve that falls steeply at its end."""
    example = published("duty-coulson-8-8")
    points = list(zip(example.given("pump_flow"), example.given("pump_head"), strict=True))
    coefficient = example.given("system_coefficient")
    flow = crossing(points, lambda flow: example.given("rise") + coefficient * flow**2)
    head = pump_gain(points=points, flow=flow)
    rise = rise_of_head(head=head, density=example.given("density"))
    example.agrees("flow", flow)
    example.agrees("head", head)
    example.agrees("power", shaft_power(flow=flow, pressure_rise=rise, pump_efficiency=example.given("efficiency")))


def test_duty_theodore_17_6(published) -> None:
    """Abulencia and Theodore, example 17.6: two parabolas, ft and gal/min."""
    example = published("duty-theodore-17-6")
    unit = FOOT / US_GALLON_PER_MINUTE**2
    shut_off, coefficient = example.given("pump_shutoff_head"), example.plain("pump_coefficient") * unit
    points = parabola(shut_off, coefficient, (shut_off / coefficient) ** 0.5)
    system = example.plain("system_coefficient") * unit
    flow = crossing(points, lambda flow: example.given("system_rise") + system * flow**2)
    head = pump_gain(points=points, flow=flow)
    rise = rise_of_head(head=head, density=example.given("specific_weight") / STANDARD_GRAVITY)
    example.agrees("flow", flow)
    example.agrees("head", head)
    example.agrees("power", shaft_power(flow=flow, pressure_rise=rise, pump_efficiency=example.given("efficiency")))


def test_pumps_white_11_6_and_7(published) -> None:
    """White, 7th ed., examples 11.6 and 11.7: one pump, then two alike in parallel."""
    example = published("pumps-white-11-6-and-7")
    shut_off = example.given("pump_shutoff_head")
    coefficient = example.plain("pump_coefficient") * FOOT / (1000.0 * US_GALLON_PER_MINUTE) ** 2
    points = parabola(shut_off, coefficient, (shut_off / coefficient) ** 0.5)
    bore = example.given("bore")
    k = example.given("darcy_friction_factor") * example.given("length") / bore

    def system(flow: float) -> float:
        return example.given("rise") + k_head(k=k, flow=flow, bore=bore)

    example.agrees("single_flow", crossing(points, system))
    example.agrees("parallel_flow", crossing(points, system, parallel=2))


@pytest.fixture
def known_duty() -> Callable[..., Duty]:
    return lambda example: Duty(example.given("flow_1"), example.given("head_1"), example.given("power_1"))


def test_affinity_crane_7_33(published, known_duty) -> None:
    """Crane TP-410 (2009), example 7-33: the same impeller at half the speed."""
    example = published("affinity-crane-7-33")
    moved = affinity_duty(known_duty(example), speed_ratio=example.given("speed_2") / example.given("speed_1"))
    example.agrees("flow_2", moved.flow)
    example.agrees("head_2", moved.head)
    example.agrees("power_2", moved.power)


def test_affinity_theodore_17_2(published, known_duty) -> None:
    """Abulencia and Theodore, example 17.2: a fan run faster."""
    example = published("affinity-theodore-17-2")
    moved = affinity_duty(known_duty(example), speed_ratio=example.given("speed_2") / example.given("speed_1"))
    example.agrees("flow_2", moved.flow)
    example.agrees("head_2", moved.head)
    example.agrees("power_2", moved.power)


def test_power_crane_7_34(published) -> None:
    """Crane TP-410 (2009), example 7-34: shaft power, power from the supply, cost of a year."""
    example = published("power-crane-7-34")
    rise = rise_of_head(head=example.given("head"), density=example.given("density"))
    shaft = shaft_power(
        flow=example.given("flow"), pressure_rise=rise, pump_efficiency=example.given("pump_efficiency")
    )
    drawn = electrical_power(
        shaft_power=shaft,
        motor_efficiency=example.given("motor_efficiency"),
        drive_efficiency=example.given("drive_efficiency"),
    )
    example.agrees("shaft_power", shaft)
    example.agrees("electrical_power", drawn)
    example.agrees("yearly_cost", drawn / 1000.0 * example.plain("hours") * example.plain("price_per_kwh"))


def test_power_cengel_5_12(published) -> None:
    """Cengel and Cimbala, example 5-12: efficiency, and what is lost warms the water."""
    example = published("power-cengel-5-12")
    rise = example.given("pressure_rise")
    shaft = example.given("electrical_power") * example.given("motor_efficiency")
    share = efficiency(flow=example.given("flow"), pressure_rise=rise, power=shaft)
    warmth = temperature_rise(
        pressure_rise=rise,
        pump_efficiency=share,
        density=example.given("density"),
        heat_capacity=example.given("heat_capacity"),
    )
    example.agrees("pump_efficiency", share)
    example.agrees("temperature_rise", warmth)


def test_power_cengel_5_15(published) -> None:
    """Cengel and Cimbala, example 5-15: flow from power."""
    example = published("power-cengel-5-15")
    head = example.given("rise") + example.given("head_loss")
    rise = rise_of_head(head=head, density=example.given("density"))
    flow = flow_of_power(
        shaft_power=example.given("shaft_power"), pump_efficiency=example.given("pump_efficiency"), pressure_rise=rise
    )
    example.agrees("flow", flow)
    example.agrees("pressure_rise", rise)


def test_power_khan_12_1(published) -> None:
    """Khan, example 12.1: efficiency from torque and speed."""
    example = published("power-khan-12-1")
    rise = rise_of_head(head=example.given("head"), density=example.given("specific_weight") / STANDARD_GRAVITY)
    power = torque_power(torque=example.given("torque"), speed=example.given("speed"))
    example.agrees(
        "efficiency_percent", 100.0 * efficiency(flow=example.given("flow"), pressure_rise=rise, power=power)
    )
