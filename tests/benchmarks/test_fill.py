"""A twin-tank fill with its events: the demonstration rig, and one whose tanks level through a short balance line."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from hydrokit.files import demonstration
from hydrokit.network import build_plan
from hydrokit.parts import Hose, PoweredPump
from hydrokit.rig import Line
from hydrokit.studies import fill, fill_times
from hydrokit.studies.tanks import tanks_of

if TYPE_CHECKING:
    from hydrokit.rig import Rig

MODE = "filling"


def short_balance() -> Rig:
    """The demonstration rig with all its water led to near, and far filled through 0.3 m of 25 mm hose."""
    rig = demonstration()
    far = replace(rig.tanks["far"], inlet="bottom", inlet_height=None)
    kept = {name: line for name, line in rig.lines.items() if name not in ("to-far", "from-far")}
    lines = {**kept, "balance": Line(start="near", end="far", parts=(Hose(bore=0.025, length=0.3),))}
    filling = replace(rig.modes[MODE], closed=("lines.from-near", "lines.to-tap"))
    return replace(
        rig,
        tanks={"near": rig.tanks["near"], "far": far},
        lines=lines,
        modes={MODE: filling},
        origins={},
        tolerances={},
    )


def off_its_battery(rig: Rig) -> Rig:
    """Return a rig whose pumps run as their data sheets say."""
    lines = {
        name: replace(
            line,
            parts=tuple(replace(part, battery="") if isinstance(part, PoweredPump) else part for part in line.parts),
        )
        for name, line in rig.lines.items()
    }
    return replace(rig, lines=lines)


@pytest.mark.parametrize(
    "rig",
    [demonstration(), short_balance(), off_its_battery(short_balance())],
    ids=["demonstration", "short balance line", "short balance line, off its battery"],
)
def test_follow_a_twin_tank_fill(benchmark, rig: Rig) -> None:
    tanks = tanks_of(build_plan(rig, MODE, levels_apart=True))
    goal = tanks.full_volumes()
    course = benchmark(tanks.follow, goal, time_limit=1e6)
    assert np.isfinite(course.reached).all()


@pytest.mark.parametrize("rig", [demonstration(), short_balance()], ids=["demonstration", "short balance line"])
def test_a_whole_answer(benchmark, rig: Rig) -> None:
    assert benchmark(fill, rig, MODE).ends == "all full"


@pytest.mark.slow
def test_a_thousand_fills_at_once(benchmark) -> None:
    varied = {"lines.balance.hose-1.bore": np.linspace(0.008, 0.03, 1000)}
    times = benchmark.pedantic(fill_times, (short_balance(), MODE, varied), rounds=2)
    assert np.isfinite(times).all()
