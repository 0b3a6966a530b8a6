"""Published properties of water."""

from __future__ import annotations

import numpy as np
from scipy.optimize import brentq

from hydrokit.water import water, water_at


def test_water_iapws_sr6(published) -> None:
    """IAPWS SR6-08(2011), table 8."""
    example = published("water-iapws-sr6")
    liquid = water_at(example.given("temperature"), example.given("pressure"))
    example.agrees("density", liquid.density)
    example.agrees("viscosity", liquid.viscosity)
    example.agrees("speed_of_sound", liquid.speed_of_sound)
    example.agrees("heat_capacity", liquid.heat_capacity)


def test_water_iapws_if97_saturation(published) -> None:
    """IAPWS R7-97(2012), table 35."""
    example = published("water-iapws-if97-saturation")
    example.agrees("vapour_pressure", water(example.given("temperature")).vapour_pressure)


def test_water_iapws_viscosity(published) -> None:
    """IAPWS R12-08, table 4: the pressure that gives the stated density is sought first."""
    example = published("water-iapws-viscosity")
    viscosity = []
    for density, temperature in zip(example.given("densities"), example.given("temperatures"), strict=True):
        pressure = brentq(lambda p, t=temperature, d=density: water_at(t, p).density - d, 1.1e5, 1.5e8, xtol=1e-3)
        viscosity.append(water_at(temperature, pressure).viscosity)
    example.agrees("viscosity", viscosity)


def test_water_density_a(published) -> None:
    """Tanaka et al., Metrologia 38 (2001) 301."""
    example = published("water-density-a")
    example.agrees("density", water(example.given("temperatures")).density)


def test_water_viscosity_a(published) -> None:
    """CRC Handbook of Chemistry and Physics, properties of water; 0 °C among them."""
    example = published("water-viscosity-a")
    example.agrees("viscosity", water(example.given("temperatures")).viscosity)


def test_water_vapour_pressure_a(published) -> None:
    """CRC Handbook of Chemistry and Physics, vapour pressure of water."""
    example = published("water-vapour-pressure-a")
    example.agrees("vapour_pressure", water(example.given("temperatures")).vapour_pressure)


def test_water_vapour_pressure_fahrenheit(published) -> None:
    """Bachus and Custodio, chapter 2, table in psi against degrees Fahrenheit."""
    example = published("water-vapour-pressure-fahrenheit")
    temperature = np.asarray(example.given("temperatures"))
    example.agrees("vapour_pressure", water(temperature).vapour_pressure)


def test_water_iapws95_liquid(published) -> None:
    """IAPWS R6-95(2016), table 7."""
    example = published("water-iapws95-liquid")
    liquid = water_at(example.given("temperature"), example.given("pressure"))
    example.agrees("density", liquid.density)
    example.agrees("speed_of_sound", liquid.speed_of_sound)


def test_water_iapws95_saturation(published) -> None:
    """IAPWS R6-95(2016), table 8 (from memory)."""
    example = published("water-iapws95-saturation")
    example.agrees("vapour_pressure", water(example.given("temperature")).vapour_pressure)


def test_water_vapour_pressure_b(published) -> None:
    """CRC Handbook of Chemistry and Physics, vapour pressure of water (from memory)."""
    example = published("water-vapour-pressure-b")
    example.agrees("vapour_pressure", water(example.given("temperatures")).vapour_pressure)


def test_water_sound_a(published) -> None:
    """Del Grosso and Mader, J. Acoust. Soc. Am. 52 (1972) 1442 (from memory)."""
    example = published("water-sound-a")
    example.agrees("speed_of_sound", water(example.given("temperatures")).speed_of_sound)
