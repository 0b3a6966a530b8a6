"""What is read of the site: stated where stated, else water."""

from __future__ import annotations

import pytest

from hydrokit.network import build_plan
from hydrokit.parts import Hose, Outlet, Source
from hydrokit.rig import Line, Rig, Site

STATED = {"density": 1020.0, "viscosity": 1.1e-3, "vapour_pressure": 3e3}
OF_WATER = {"density": 998.2, "viscosity": 1.002e-3, "vapour_pressure": 2339.0}
"""Water at 20 °C and 1 atm; textbook figures, from memory (White, Fluid Mechanics, tables A.1 and A.5)."""


@pytest.mark.parametrize("left_out", [*STATED, ""])
def test_what_is_not_stated_of_the_liquid_is_that_of_water(left_out: str) -> None:
    site = Site(water_temperature=293.15, **{name: value for name, value in STATED.items() if name != left_out})
    rig = Rig(
        site=site,
        sources={"barrel": Source(surface=1.0)},
        outlets={"tap": Outlet(height=0.0)},
        lines={"feed": Line(start="barrel", end="tap", parts=(Hose(length=2.0, bore=0.02),))},
    )
    conditions = build_plan(rig).conditions
    for name, stated in STATED.items():
        expected = pytest.approx(OF_WATER[name], rel=1e-3) if name == left_out else stated
        assert getattr(conditions, name) == expected
