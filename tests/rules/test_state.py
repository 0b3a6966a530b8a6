"""What a state says is delivered: water that tanks only pass on to each other does not count."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from hydrokit.parts import Outlet, Tank
from hydrokit.rig import Line, Mode, Rig

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.parts import DiaphragmPump, Hose
    from hydrokit.rules import State

    Rigs = Callable[..., Rig]
    Hoses = Callable[..., Hose]


def twins(pond_rig: Rigs, pump: DiaphragmPump, hose: Hoses, **more: Any) -> Rig:
    """Return a pump that fills the first of two tanks, the other 0.5 m lower and joined to it by a wide balance line."""
    rig = pond_rig(pump, height=0.5, lip=2.1)
    low = Tank(volume=0.06, floor=1.1, depth=0.45, level=0.1, inlet="bottom")
    balance = Line(start="tank", end="low", parts=(hose("balance", bore=0.025, length=1.0),))
    return replace(rig, tanks={**rig.tanks, "low": low}, lines={**rig.lines, "balance": balance}, **more)


def test_what_a_balance_line_passes_on_between_tanks_is_not_delivered_twice(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], hose: Hoses, state: Any
) -> None:
    # mass: what two tanks gain together is what the pump brings, however much runs from one to the other
    here: State = state(twins(pond_rig, diaphragm(), hose))
    brought, passed = float(here.solution.flow("intake")[0]), float(here.solution.flow("balance")[0])
    assert passed > brought > 0.0
    assert {name: float(flow[0]) for name, flow in here.arrivals.items()} == pytest.approx(
        {"tank": brought - passed, "low": passed}
    )
    assert here.delivered[0] == pytest.approx(brought, rel=1e-12)


def test_where_no_source_leads_to_them_tanks_that_level_deliver_to_each_other(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], hose: Hoses, state: Any
) -> None:
    shut = {"modes": {"levelling": Mode(closed=("lines.intake",))}}
    here: State = state(twins(pond_rig, diaphragm(), hose, **shut))
    assert here.delivered[0] == pytest.approx(float(here.solution.flow("balance")[0]), rel=1e-12)
    assert here.delivered[0] > 0.0


def test_a_tap_that_is_open_meanwhile_gets_what_it_gets(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], hose: Hoses, state: Any
) -> None:
    rig = twins(pond_rig, diaphragm(), hose)
    tap = Line(start="low", end="tap", parts=(hose("out", bore=0.025, length=1.0),))
    here: State = state(replace(rig, outlets={"tap": Outlet(height=0.0)}, lines={**rig.lines, "drawing": tap}))
    drawn = float(here.solution.flow("drawing")[0])
    assert drawn > float(here.solution.flow("intake")[0])  # the tanks fall
    assert here.delivered[0] == pytest.approx(drawn, rel=1e-12)
