"""A twin-tank fill with its events: the demonstration rig, and one whose tanks level through a short balance line."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from hydrokit.files import demonstration
from hydrokit.network import build_plan
from hydrokit.parts import Hose
from hydrokit.rig import Line
from hydrokit.studies import fill, fill_times
from hydrokit.studies.course.tanks import tanks_of

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


@pytest.mark.parametrize(
    ("name", "drawn"),
    [("fill", demonstration()), ("fill short", short_balance())],
    ids=["demonstration", "short balance line"],
)
def test_follow_a_twin_tank_fill(timed, name: str, drawn: Rig) -> None:
    tanks = tanks_of(build_plan(drawn, MODE, levels_apart=True))
    goal = tanks.full_volumes()
    course = timed(name, lambda: tanks.follow(goal, time_limit=1e6))
    assert np.isfinite(course.reached).all()


def test_a_whole_answer(timed) -> None:
    assert timed("answer fill", fill, demonstration(), MODE).ends == "all full"


@pytest.mark.slow
def test_a_thousand_fills_at_once(timed) -> None:
    varied = {"lines.balance.hose-1.bore": np.linspace(0.008, 0.03, 1000)}
    times = timed("thousand fills", fill_times, short_balance(), MODE, varied, rounds=2)
    assert np.isfinite(times).all()
