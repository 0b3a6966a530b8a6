"""A joint that asks for water from a tank that runs dry ends the course, and the answer says which and when."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.errors import NetworkError
from hydrokit.parts import Hose, Joint, Outlet, Source, Tank
from hydrokit.rig import Line, Mode, Rig
from hydrokit.sheets import render
from hydrokit.studies import draw, fill
from hydrokit.studies.course.times_to_fill import fill_times

if TYPE_CHECKING:
    from collections.abc import Mapping

L_MIN = 1.0 / 60_000.0
SMALL = Tank(volume=0.02, floor=1.0, depth=0.4, level=0.2)  # 10 litres


def hose(bore: float = 0.019, length: float = 2.0) -> tuple[Hose]:
    return (Hose(length=length, bore=bore),)


def rig_of(demand: float, **lines: Line) -> Rig:
    """Return a small tank from which a trough asks for water, and a large one that a pond fills."""
    return Rig(
        sources={"pond": Source(surface=3.0)},
        tanks={"small": SMALL, "big": Tank(volume=0.06, floor=1.0, depth=0.4, level=0.0)},
        joints={"trough": Joint(height=0.2, demand=demand * L_MIN)},
        lines={
            "down": Line(start="small", end="trough", parts=hose()),
            "in": Line(start="pond", end="big", parts=hose(0.0125, 20.0)),
            **lines,
        },
    )


def falling(bore: float) -> Mapping[str, Line]:
    return {"on": Line(start="pond", end="small", parts=hose(bore, 20.0))}


def test_a_fill_ends_when_the_tank_beside_it_is_dry() -> None:
    answer = fill(rig_of(2.0))
    assert (answer.ends, answer.lacking, answer.full_after) == ("runs dry", ("trough",), None)
    assert answer.followed_for == pytest.approx(300.0, rel=1e-6)  # 10 litres at 2 L/min
    small, big = answer.tanks
    assert small.end_level == pytest.approx(0.0, abs=1e-7)
    assert big.end_volume == pytest.approx(answer.first_flow * 300.0, rel=1e-6)
    assert answer.imbalance < 1e-12
    told = " ".join(render(answer).split())
    assert (
        "not full when the rig runs dry, after 5 min: joint trough no longer gets the water that it asks for." in told
    )


def test_a_tank_that_outlasts_the_demand_is_none_of_its_concern() -> None:
    answer = fill(rig_of(0.2))
    assert (answer.ends, answer.lacking) == ("all full", ())
    assert answer.full_after == pytest.approx(fill(rig_of(0.0)).full_after, rel=1e-9)


def test_drawing_ends_when_one_of_two_tanks_is_dry() -> None:
    rig = rig_of(6.0)
    tap = {"tap": Line(start="big", end="tap", parts=hose(0.0125))}
    lines = {"down": rig.lines["down"], **tap}
    big = replace(rig.tanks["big"], level=0.4)
    answer = draw(
        replace(rig, sources={}, lines=lines, outlets={"tap": Outlet(height=0.9)}, tanks={"small": SMALL, "big": big})
    )
    assert (answer.ends, answer.lacking, answer.empty_after) == ("runs dry", ("trough",), None)
    assert answer.followed_for == pytest.approx(100.0, rel=1e-6)
    told = " ".join(render(answer).split())
    assert "It runs dry after 100 s: joint trough no longer gets" in told


def test_another_way_to_the_joint_takes_over() -> None:
    rig = rig_of(3.0, other=Line(start="pond", end="trough", parts=hose(0.0125, 60.0)))
    answer = fill(replace(rig, sources={"pond": Source(surface=1.5)}))
    assert answer.ends == "all full"
    assert answer.tanks[0].end_level == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("level", [0.2, None])
def test_less_falls_into_the_tank_than_the_joint_asks_for(level: float | None) -> None:
    rig = rig_of(6.0, **falling(0.01))
    rig = replace(rig, tanks={**rig.tanks, "small": replace(SMALL, level=level)})
    answer = fill(rig)
    came = next(line.first_flow for line in answer.lines if line.line == "on") if level else 0.0
    assert (answer.ends, answer.lacking) == ("runs dry", ("trough",))
    assert answer.followed_for == pytest.approx(0.01 / (6.0 * L_MIN - came) if level else 0.0, rel=1e-6)
    if level is None:  # a tank to be filled starts empty
        assert "the rig runs dry, from the start" in " ".join(render(answer).split())


def test_more_falls_into_an_empty_tank_than_the_joint_asks_for() -> None:
    rig = rig_of(1.0, **falling(0.0125))
    rig = replace(rig, tanks={**rig.tanks, "small": replace(SMALL, level=None)})
    answer = fill(rig)
    assert (answer.ends, answer.lacking) == ("all full", ())
    gained = next(line.first_flow for line in answer.lines if line.line == "on") - 1.0 * L_MIN
    assert answer.tanks[0].full_after == pytest.approx(0.02 / gained, rel=1e-6)


def test_variants_end_each_for_itself() -> None:
    demands = np.array([0.2, 2.0, 0.0, 6.0]) * L_MIN
    times = fill_times(rig_of(1.0), variation={"joints.trough.demand": demands})
    alone: list[Any] = [fill(rig_of(demand / L_MIN)).full_after for demand in demands]
    assert times == pytest.approx([np.inf if each is None else each for each in alone], rel=1e-9)
    assert np.isinf(times).tolist() == [False, True, False, True]


def test_a_demand_that_no_open_line_could_ever_meet_is_still_a_mistake() -> None:
    shut = replace(rig_of(2.0), modes={"shut": Mode(closed=("lines.down",))})
    with pytest.raises(NetworkError, match=r"joints\.trough\.demand"):
        fill(shut)
