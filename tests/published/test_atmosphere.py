"""Published air pressures at altitude, and the suction lift that they leave."""

from __future__ import annotations

from hydrokit.bounds import Dimension
from hydrokit.laws.suction import barometric_limit
from hydrokit.units import si
from hydrokit.water import STANDARD_GRAVITY, air_density, air_pressure, air_temperature


def test_atmosphere_1976_a(published) -> None:
    """U.S. Standard Atmosphere, 1976, main table."""
    example = published("atmosphere-1976-a")
    altitude = example.given("altitudes")
    example.agrees("temperature", air_temperature(altitude))
    example.agrees("pressure", air_pressure(altitude))
    example.agrees("density", air_density(altitude))


def test_atmosphere_ashrae_5000_ft(published) -> None:
    """ASHRAE Handbook of Fundamentals, psychrometrics, standard atmosphere table."""
    example = published("atmosphere-ashrae-5000-ft")
    example.agrees("pressure", air_pressure(example.given("altitudes")))


def test_lift_nwcg_table_3_1(published) -> None:
    """NWCG S-211, table 3.1."""
    example = published("lift-nwcg-table-3-1")
    density = example.given("water_density")
    sea_level = air_pressure(example.given("altitude"))
    inch_of_mercury = si("1 inHg", Dimension.PRESSURE_DROP)
    foot = si("1 ft", Dimension.LENGTH)
    example.agrees("greatest_theoretical_lift", barometric_limit(air_pressure=sea_level, density=density))
    example.agrees("head_per_inch_mercury", inch_of_mercury / (density * STANDARD_GRAVITY))
    example.agrees("pressure_per_foot", density * STANDARD_GRAVITY * foot)
    example.agrees("pressure_lost_first_1000_ft", sea_level - air_pressure(1000.0 * foot))


def test_lift_davis_3_7_a(published) -> None:
    """Davis, Water and Wastewater Engineering, table 3-7."""
    example = published("lift-davis-3-7-a")
    pressure = air_pressure(example.given("altitudes"))
    example.agrees("air_pressure", pressure)
    example.agrees("air_head", barometric_limit(air_pressure=pressure, density=1000.0))


def test_lift_maker_table_a(published) -> None:
    """Pump handbooks, barometric readings against altitude."""
    example = published("lift-maker-table-a")
    pressure = air_pressure(example.given("altitudes"))
    example.agrees("air_pressure", pressure)
    example.agrees("air_head", barometric_limit(air_pressure=pressure, density=example.given("water_density")))


def test_atmosphere_iso_2533(published) -> None:
    """ISO 2533: by geopotential altitude, so the geometric one is worked out first (from memory)."""
    example = published("atmosphere-iso-2533")
    geopotential, radius = example.given("geopotential_altitudes"), example.given("earth_radius")
    altitude = radius * geopotential / (radius - geopotential)
    example.agrees("temperature", air_temperature(altitude))
    example.agrees("pressure", air_pressure(altitude))


def test_atmosphere_1976_b(published) -> None:
    """U.S. Standard Atmosphere, 1976, at 4000 and 6000 m."""
    example = published("atmosphere-1976-b")
    altitude = example.given("altitudes")
    example.agrees("temperature", air_temperature(altitude))
    example.agrees("pressure", air_pressure(altitude))
    example.agrees("density", air_density(altitude))
