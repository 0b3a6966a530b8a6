"""Published beds of grains and growing cakes."""

from __future__ import annotations

import numpy as np
import pytest

from hydrokit.laws.beds import (
    bed_coefficients,
    bed_drop,
    bed_reynolds,
    bed_velocity,
    bed_voidage,
    cake_rate,
    cake_time,
    specific_surface,
)
from hydrokit.laws.pump_duty import rise_of_head

GAS_CONSTANT = 8.314462618  # J/mol/K, CODATA


def test_bed_denevers_11_1(published) -> None:
    """De Nevers, example 11.1, p. 401: water through an ion-exchange column."""
    example = published("bed-denevers-11-1")
    particle, voidage, density = example.given("particle"), example.given("voidage"), example.given("density")
    viscosity = example.given("viscosity")
    velocity = bed_velocity(
        pressure_drop=rise_of_head(head=example.given("head"), density=density),
        depth=example.given("bed"),
        particle=particle,
        voidage=voidage,
        viscosity=viscosity,
    )
    example.agrees("superficial_velocity", velocity)
    example.agrees("flow", velocity * np.pi * example.given("bore") ** 2 / 4.0)
    example.agrees(
        "bed_reynolds",
        bed_reynolds(velocity=velocity, particle=particle, voidage=voidage, density=density, viscosity=viscosity),
    )


def test_bed_geankoplis_3_1_3(published) -> None:
    """Geankoplis, example 3.1-3, p. 119: voidage and surface of a packed bed."""
    example = published("bed-geankoplis-3-1-3")
    voidage = bed_voidage(bed_density=example.given("bed_density"), solid_density=example.given("solid_density"))
    example.agrees("voidage", voidage)
    example.agrees("specific_surface", specific_surface(particle=example.given("particle"), voidage=voidage))


def test_bed_geankoplis_3_1_4(published) -> None:
    """Geankoplis, example 3.1-4, p. 121: air through a bed, density at the mean pressure."""
    example = published("bed-geankoplis-3-1-4")
    particle, voidage, viscosity = example.given("particle"), example.given("voidage"), example.given("viscosity")
    mass_velocity = example.given("mass_flow") / (np.pi * example.given("bore") ** 2 / 4.0)
    per_pascal = example.given("molar_mass") / (GAS_CONSTANT * example.given("temperature"))

    drop = before = 0.0
    for _ in range(50):
        density = (example.given("pressure_in") - 0.5 * drop) * per_pascal
        before, drop = (
            drop,
            bed_drop(
                velocity=mass_velocity / density,
                depth=example.given("bed"),
                particle=particle,
                voidage=voidage,
                density=density,
                viscosity=viscosity,
            ),
        )
    assert drop == pytest.approx(before, rel=1e-12)
    reynolds = bed_reynolds(
        velocity=mass_velocity / density, particle=particle, voidage=voidage, density=density, viscosity=viscosity
    )
    example.agrees("bed_reynolds", reynolds)
    example.agrees("pressure_drop", drop)


def test_cake_geankoplis_14_2_2(published) -> None:
    """Geankoplis, examples 14.2-2 and 14.2-3, p. 811: constant-pressure filtration, wash at a quarter of the rate."""
    example = published("cake-geankoplis-14-2-2")
    cake = {name: example.given(name) for name in ("slope", "intercept", "volume")}
    rate = cake_rate(**cake)
    example.agrees("time", cake_time(**cake))
    example.agrees("final_rate", rate)
    example.agrees("wash_time", example.given("wash_volume") / (0.25 * rate))


def test_bed_rhodes_6_1(published) -> None:
    """Rhodes, worked example 6.1: the straight part of pressure drop against velocity (from memory)."""
    example = published("bed-rhodes-6-1")
    area = np.pi * example.given("bore") ** 2 / 4.0
    bed = {"particle": example.given("particle"), "voidage": example.given("voidage")}
    viscous, _ = bed_coefficients(depth=example.given("depth"), area=area, **bed)
    viscosity = example.given("viscosity")
    example.agrees("slope", viscous * viscosity * area)
    velocity = example.given("flow") / area
    example.agrees(
        "bed_reynolds", bed_reynolds(velocity=velocity, density=example.given("density"), viscosity=viscosity, **bed)
    )
