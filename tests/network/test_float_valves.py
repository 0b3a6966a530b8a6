"""A float valve in a steady rig: as far open as the level lets it be, and once shut, shut both ways (common practice)."""

from __future__ import annotations

import pytest

from hydrokit.network import solve
from hydrokit.parts import FloatValve, Hose, Outlet, Source, Tank
from hydrokit.rig import Line, Rig


def rig_of(level: float) -> Rig:
    """A tank on a hill that fills from below through a float valve, on the way from a pond to a drain lower down."""
    hose = Hose(bore=0.02, length=5.0)
    valve = FloatValve(bore=0.02, kv=3.0 / 3600.0, band=0.1)
    return Rig(
        sources={"pond": Source(surface=3.0)},
        tanks={"hill": Tank(volume=0.1, floor=2.0, depth=1.0, level=level, inlet="bottom")},
        outlets={"drain": Outlet(height=0.0)},
        lines={
            "in": Line(start="pond", end="fork", parts=(hose,)),
            "up": Line(start="fork", end="hill", parts=(hose, valve)),
            "out": Line(start="fork", end="drain", parts=(hose,)),
        },
    )


@pytest.mark.parametrize("level", [1.0, 1.0 - 1e-8, 1.0 - 9e-6])
def test_a_tank_whose_float_valve_is_shut_gives_nothing_back(level: float) -> None:
    assert solve(rig_of(level)).flow("up")[0] == 0.0


@pytest.mark.parametrize("level", [0.5, 0.95, 1.0 - 1.1e-5])
def test_while_it_is_open_water_may_run_back_through_it(level: float) -> None:
    assert solve(rig_of(level)).flow("up")[0] < 0.0
