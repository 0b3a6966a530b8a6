"""Published net positive suction heads and lifts."""

from __future__ import annotations

from hydrokit.laws.fittings import k_head
from hydrokit.laws.friction import velocity
from hydrokit.laws.pump_duty import rise_of_head
from hydrokit.laws.suction import (
    acceleration_head,
    inlet_pressure,
    npsh_available,
    npsh_from_gauge,
    npsh_wanted,
    wet_lift_limit,
)
from hydrokit.laws.vortex import submergence_wanted
from hydrokit.water import STANDARD_GRAVITY, water


def test_npsh_munson_12_3(published) -> None:
    """Munson, Young and Okiishi, 5th/6th ed., example 12.3, p. 702: highest place for the pump."""
    example = published("npsh-munson-12-3")
    density = example.given("specific_weight") / STANDARD_GRAVITY
    friction_head = k_head(k=example.given("k"), flow=example.given("flow"), bore=example.given("bore"))

    def height(density: float, vapour_pressure: float) -> float:
        return wet_lift_limit(
            air_pressure=example.given("air_pressure"),
            vapour_pressure=vapour_pressure,
            density=density,
            friction_head=friction_head,
            npsh_required=example.given("npsh_required"),
            margin=0.0,
        )

    example.agrees("greatest_height", height(density, example.given("vapour_pressure")))
    warm = water(example.given("temperature"))
    example.agrees("greatest_height", height(warm.density, warm.vapour_pressure))


def test_npsh_theodore_22_10(published) -> None:
    """Abulencia and Theodore, example 22.10, p. 306: benzene; one velocity head between pressure and NPSH."""
    example = published("npsh-theodore-22-10")
    surface, density, lift = example.given("air_pressure"), example.given("density"), example.given("lift")
    vapour_pressure = example.given("vapour_pressure")
    speed = velocity(flow=example.given("flow"), bore=example.given("bore"))
    inlet = inlet_pressure(surface_pressure=surface, density=density, lift=lift, velocity=speed)
    by_sum = npsh_available(
        surface_pressure=surface, vapour_pressure=vapour_pressure, density=density, lift=lift, friction_head=0.0
    )
    by_gauge = npsh_from_gauge(
        gauge_pressure=inlet - surface,
        air_pressure=surface,
        vapour_pressure=vapour_pressure,
        density=density,
        velocity=speed,
    )
    example.agrees("inlet_pressure_absolute", inlet)
    example.agrees("npsh_available", by_sum)
    example.agrees("npsh_available", by_gauge)


def test_npsh_crane_7_32(published) -> None:
    """Crane TP-410 (2009), example 7-32: available falls short of what is wanted."""
    example = published("npsh-crane-7-32")
    available = npsh_available(
        surface_pressure=example.given("surface_gauge_pressure") + example.given("air_pressure"),
        vapour_pressure=example.given("vapour_pressure"),
        density=example.given("density"),
        lift=example.given("liquid_below_pump"),
        friction_head=example.given("head_loss"),
    )
    wanted = npsh_wanted(npsh_required=example.given("npsh_required"), ratio=example.given("margin_ratio"))
    example.agrees("npsh_available", available)
    example.agrees("npsh_wanted", wanted)
    assert available < wanted


def test_npsh_fox_10_8(published) -> None:
    """Fox and McDonald, example 10.8, p. 525: flooded suction through pipe, elbow and gate valve."""
    example = published("npsh-fox-10-8")
    density, bore = example.given("density"), example.given("bore")
    lengths = example.given("length") / bore + example.given("elbow_ld") + example.given("gate_valve_ld")
    k = example.given("darcy_friction_factor") * lengths + example.given("entrance_k")
    available = npsh_available(
        surface_pressure=example.given("air_pressure"),
        vapour_pressure=rise_of_head(head=example.given("vapour_head"), density=density),
        density=density,
        lift=-example.given("level_above_pump"),
        friction_head=k_head(k=k, flow=example.given("flow"), bore=bore),
    )
    example.agrees("npsh_available", available)


def test_npsh_spellman_10_11(published) -> None:
    """Spellman, section 10.2.12, example 10.11 and the one before: sums of heads, lifted and flooded."""
    example = published("npsh-spellman-10-11")
    density = 999.0  # any: everything is stated as head
    surface = rise_of_head(head=example.given("air_head"), density=density)
    vapour_pressure = rise_of_head(head=example.given("vapour_head"), density=density)
    friction_head = example.given("entrance_loss") + example.given("friction_loss")
    for quantity, lift in (
        ("npsh_available_lift", example.given("lift")),
        ("npsh_available_flooded", -example.given("flooded")),
    ):
        available = npsh_available(
            surface_pressure=surface,
            vapour_pressure=vapour_pressure,
            density=density,
            lift=lift,
            friction_head=friction_head,
        )
        example.agrees(quantity, available)


def test_npsh_practice_suction_ex4(published) -> None:
    """Best practice no. 25, example 4: NPSH from a gauge at the inlet."""
    example = published("npsh-practice-suction-ex4")
    feet_per_psi = example.plain("feet_per_psi")
    psi, foot = example.given("air_pressure") / 14.7, 0.3048
    available = npsh_from_gauge(
        gauge_pressure=example.given("gauge_pressure"),
        air_pressure=example.given("air_pressure"),
        vapour_pressure=example.given("vapour_pressure"),
        density=psi / (feet_per_psi * foot * STANDARD_GRAVITY),
        velocity=example.given("velocity"),
        gauge_height=example.given("gauge_above_pump"),
    )
    example.agrees("npsh_available", available)


def test_npsh_white_11_3(published) -> None:
    """White, example 11.3: how far below the water a large pump must stand, cool and hot (from memory)."""
    example = published("npsh-white-11-3")
    height = wet_lift_limit(
        air_pressure=example.given("air_pressure"),
        vapour_pressure=example.given("vapour_pressures"),
        density=example.given("specific_weights") / STANDARD_GRAVITY,
        friction_head=example.given("head_loss"),
        npsh_required=example.given("npsh_required"),
        margin=0.0,
    )
    example.agrees("greatest_height", height)


def test_pulses_gpsa_12(published) -> None:
    """GPSA Engineering Data Book, section 12: acceleration head of a triplex pump (from memory)."""
    example = published("pulses-gpsa-12")
    heads = acceleration_head(
        length=example.given("lengths"),
        velocity=example.given("velocities"),
        speed=example.given("speed"),
        chambers=example.plain("chambers"),
        liquid_factor=example.plain("liquid_factor"),
    )
    example.agrees("head_narrow", heads[0])
    example.agrees("head_together", heads.sum())


def test_vortex_hi_9_8(published) -> None:
    """ANSI/HI 9.8: the standard's forms with dimensions against that with the Froude number (from memory)."""
    example = published("vortex-hi-9-8")
    for quantity, unit in (("submergence_us", "_us"), ("submergence", "")):
        wanted = submergence_wanted(flow=example.given(f"flow{unit}"), bore=example.given(f"bore{unit}"))
        example.agrees(quantity, wanted)
