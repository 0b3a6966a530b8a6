"""Published volumes and weights of water, loads on supports, force on a wall."""

from __future__ import annotations

from hydrokit.bounds import Dimension
from hydrokit.laws.pump_duty import rise_of_head
from hydrokit.laws.statics import balance, centre_from_loads, support_loads
from hydrokit.laws.suction import hose_volume
from hydrokit.laws.tank_shapes import horizontal_tank_volume
from hydrokit.laws.venting import wall_force
from hydrokit.units import si
from hydrokit.water import water


def test_volume_hose_a(published) -> None:
    """NWCG S-211, table 3.1 and section 3.2: water in a filled hose, and what a US gallon of it weighs."""
    example = published("volume-hose-a")
    example.agrees("volume", hose_volume(bore=example.given("bores"), length=example.given("lengths")))
    gallon = si("1 US gal", Dimension.VOLUME)
    example.agrees("weight_per_gallon", water(example.given("temperature")).density * gallon)


def test_volume_horizontal_tank_a(published) -> None:
    """Jones, Calculating tank volume: horizontal tank with conical and with spherical ends."""
    example = published("volume-horizontal-tank-a")
    for ends in ("conical", "spherical"):
        volume = horizontal_tank_volume(
            bore=example.given("bore"),
            length=example.given("length"),
            level=example.given("level"),
            ends=ends,
            end_depth=example.given("head_depth"),
        )
        example.agrees(f"{ends}_ends", volume)


def test_weight_two_axles_a(published) -> None:
    """OpenStax University Physics, vol. 1, chapter 12, problem 30: centre of gravity from the weighed share."""
    example = published("weight-two-axles-a")
    share = example.plain("front_share")
    centre = centre_from_loads(first_load=share, second_load=1.0 - share, first=0.0, second=example.given("wheelbase"))
    example.agrees("centre_behind_front", centre)


def test_volume_horizontal_tank_b(published) -> None:
    """Jones, Calculating tank volume: each shape of ends at two levels."""
    example = published("volume-horizontal-tank-b")
    for ends in ("elliptical", "conical", "spherical"):
        volume = horizontal_tank_volume(
            bore=example.given("bore"),
            length=example.given("length"),
            level=example.given("levels"),
            ends=ends,
            end_depth=example.given("head_depth"),
        )
        example.agrees(f"{ends}_ends", volume)


def test_weight_beer_4_2(published) -> None:
    """Beer and Johnston, sample problem 4.2: reactions of a beam that overhangs (from memory)."""
    example = published("weight-beer-4-2")
    together = balance(masses=example.given("loads"), positions=example.given("positions"))
    loads = support_loads(
        mass=together.mass, centre=together.centre, first=example.given("first"), second=example.given("second")
    )
    example.agrees("reactions", [loads.first, loads.second])


def test_force_cengel_3_8(published) -> None:
    """Cengel and Cimbala, example 3-8: force of water on a door (from memory)."""
    example = published("force-cengel-3-8")
    pressure = rise_of_head(head=example.given("depth_of_middle"), density=example.given("density"))
    example.agrees("mean_pressure", pressure)
    example.agrees("force", wall_force(pressure_gauge=pressure, area=example.given("area")))
