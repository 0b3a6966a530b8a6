"""Ways without any loss between heads that differ."""

from __future__ import annotations

import pytest

from hydrokit.errors import NetworkError
from hydrokit.network import solve
from hydrokit.parts import Fitting, Hose, Outlet, Source, Tank
from hydrokit.rig import Line, Rig

FREE = Fitting(bore=0.05, k=0.0)
POOL = Source(surface=1.0, entrance_k=0.0, exit_k=0.0)


def rig(outlet: Outlet, *first: Fitting | Hose) -> Rig:
    lines = {
        "over": Line(start="pool", end="middle", parts=first),
        "out": Line(start="middle", end="air", parts=(FREE,)),
    }
    return Rig(sources={"pool": POOL}, outlets={"air": outlet}, lines=lines)


def test_a_way_without_loss_is_refused_by_name() -> None:
    with pytest.raises(
        NetworkError, match=r"lines\.out\.parts: found next to nothing on its whole way that resists the water"
    ):
        solve(rig(Outlet(height=0.0, exit_k=0.0), FREE))


def test_one_resistance_on_the_way_is_enough() -> None:
    assert solve(rig(Outlet(height=0.0, exit_k=0.0), Hose(bore=0.05, length=1.0))).flow("out")[0] > 0.0
    assert solve(rig(Outlet(height=0.0), FREE)).flow("out")[0] > 0.0


def test_between_equal_heads_any_flow_would_do_and_none_is_told() -> None:
    with pytest.raises(NetworkError, match=r"which could run at any rate"):
        solve(rig(Outlet(height=1.0, exit_k=0.0), FREE))


def test_an_outlet_above_the_water_stands_still() -> None:
    assert solve(rig(Outlet(height=2.0, exit_k=0.0), FREE)).flow("out")[0] == 0.0  # it lets no air in


def test_two_tanks_() -> None:
    tanks = {
        name: Tank(volume=0.1, floor=0.0, depth=1.0, level=level, entrance_k=0.0, exit_k=0.0)
        for name, level in (("a", 0.9), ("b", 0.5))
    }
    with pytest.raises(NetworkError, match=r"lines\.balance\.parts"):
        solve(Rig(tanks=tanks, lines={"balance": Line(start="a", end="b", parts=(FREE,), enters="bottom")}))


def test_a_hose_of_no_length_resists_nothing() -> None:
    with pytest.raises(NetworkError, match=r"lines\.out\.parts"):
        solve(rig(Outlet(height=0.0, exit_k=0.0), Hose(bore=0.05, length=0.0)))
