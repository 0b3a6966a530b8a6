"""Published volumes and weights of water."""

from __future__ import annotations

from hydrokit.bounds import Dimension
from hydrokit.laws.suction import hose_volume
from hydrokit.units import si
from hydrokit.water import water


def test_volume_hose_a(published) -> None:
    """NWCG S-211, table 3.1 and section 3.2: water in a filled hose, and what a US gallon of it weighs."""
    example = published("volume-hose-a")
    example.agrees("volume", hose_volume(bore=example.given("bores"), length=example.given("lengths")))
    gallon = si("1 US gal", Dimension.VOLUME)
    example.agrees("weight_per_gallon", water(example.given("temperature")).density * gallon)
