"""What an answer says it takes for granted."""

from __future__ import annotations

from dataclasses import replace

import pytest

from hydrokit.network import solve
from hydrokit.parts import CentrifugalPump, Filter, Hose, Outlet, Source, Tank
from hydrokit.rig import Line, Mode, Rig
from hydrokit.rules import State, judge
from hydrokit.studies.facts.trust import trust_of

LPM = 1.0 / 60_000.0
HOSE = Hose(bore=0.019, length=2.0)
PUMP = CentrifugalPump(name="pump", heads=((0.0, 12.0), (40 * LPM, 5.0)))


def drawn(*parts: Filter | CentrifugalPump, level: float | None = None) -> Rig:
    tank = Tank(volume=0.1, floor=2.0, depth=0.5, level=level)
    return Rig(
        tanks={"store": tank},
        outlets={"tap": Outlet(height=0.0)},
        lines={"out": Line(start="store", end="tap", parts=(HOSE, *parts, HOSE))},
    )


def test_a_tank_of_no_stated_level_is_told_as_half_full() -> None:
    assert trust_of(solve(drawn())).assumed == ("tank store is half full",)
    assert trust_of(solve(drawn(level=0.1))).assumed == ()
    assert trust_of(solve(drawn(), None, {"tanks.store.level": 0.2})).assumed == ()


def test_data_sheets_pumps_that_stand_still_and_guesses_are_told() -> None:
    rig = drawn(PUMP, Filter(name="fine", points=((8 * LPM, 4e4),)), level=0.4)
    rig = replace(rig, modes={"by-itself": Mode(off=("lines.out.pump",))}, origins={"lines.out.hose-1.length": "guess"})
    assert trust_of(solve(rig), also=["nothing leaks"]).assumed == (
        "lines.out.fine drops as its data sheet says in water of 20 °C",
        "lines.out.pump is switched off and costs as much head at its open flow as it gives running at none",
        "lines.out.hose-1.length is a guess",
        "nothing leaks",
    )


def test_a_joint_of_no_stated_height_is_told() -> None:
    rig = Rig(
        sources={"spring": Source(surface=3.0)},
        outlets={"tap": Outlet(height=0.0)},
        lines={"in": Line(start="spring", end="mid", parts=(HOSE,)), "on": Line(start="mid", end="tap", parts=(HOSE,))},
    )
    told = trust_of(solve(rig))
    assert told.assumed == ("joint mid lies at the height of the nearest stated point",)
    assert told.energy_residual == pytest.approx(0.0, abs=1e-9)


def test_what_no_rule_could_judge_is_told_as_unknown() -> None:
    solution = solve(drawn(Filter(name="fine", points=((8 * LPM, 4e4),)), level=0.4))
    told = trust_of(solution, judge(State(solution))).unknown
    assert "filter flow at lines.out.fine" in told  # its rated flow is not stated
    assert not [each for each in told if each.startswith("water arrives")]
