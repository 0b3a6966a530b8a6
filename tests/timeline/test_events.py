"""When a tank that levels off counts as full: at the moment its inflow grows faint, and how a step is cut to find that.

Levels that are worked out here by hand are those of inflows that fall in a straight line over a step.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from hydrokit.network import build_plan
from hydrokit.parts import Hose, Source, Tank
from hydrokit.rig import Line, Rig
from hydrokit.studies.course.tanks import tanks_of
from hydrokit.timeline.events import Events, events_of
from hydrokit.timeline.method import ENDS
from hydrokit.timeline.state import begin
from hydrokit.timeline.step import Step

if TYPE_CHECKING:
    from hydrokit.timeline.state import Run

MOST, ENOUGH, SECONDS = 1e-4, 0.1, 5.0
LIMIT = ENOUGH * MOST


@pytest.fixture
def levelling() -> Run:
    """A tank that a header fills from below and that is close to full, 5 s of steps ahead."""
    rig = Rig(
        sources={"header": Source(surface=1.4)},
        tanks={"tank": Tank(volume=0.1, floor=0.0, depth=1.0, level=0.985, inlet="bottom")},
        lines={"feed": Line(start="header", end="tank", parts=(Hose(length=2.0, bore=0.0125),))},
    )
    tanks = tanks_of(build_plan(rig, levels_apart=True))
    now = begin(tanks.storage, np.array([[0.1]]), (), tanks.fills, np.array([0.98]), np.array([ENOUGH]))
    assert now.close.all()
    now.most, now.seconds = np.array([[MOST]]), np.array([SECONDS])
    return now


def brought(now: Run, first: float, last: float) -> Events:
    """Return what a step brings in which the inflow goes from one to another in a straight line."""
    flows = tuple(np.array([[first + share * (last - first)]]) for share in ENDS)
    now.inflow, now.flow = flows[0], flows[0]
    after = now.volume + 0.5 * SECONDS * (first + last)
    return events_of(now, Step(after, flows, flows[-1], np.zeros((1, 1)), now.guess))


def test_an_inflow_that_stays_above_the_limit_is_no_event(levelling: Run) -> None:
    events = brought(levelling, 2.0 * LIMIT, 1.01 * LIMIT)
    assert (events.happened[0], events.late[0], events.share[0], events.ended[0, 0]) == (False, False, 1.0, 1.0)


def test_an_inflow_a_little_past_the_limit_ends_the_step_there_and_is_told_when(levelling: Run) -> None:
    events = brought(levelling, 2.0 * LIMIT, 0.99 * LIMIT)
    assert (events.goal[0, 0], events.late[0], events.share[0]) == (True, False, 1.0)
    assert events.ended[0, 0] == pytest.approx(1.0 / 1.01, rel=1e-9)


def test_a_step_that_goes_far_past_the_limit_is_cut_to_just_past_it(levelling: Run) -> None:
    events = brought(levelling, 2.0 * LIMIT, 0.5 * LIMIT)
    assert (events.goal[0, 0], events.late[0]) == (True, True)
    assert events.ended[0, 0] == pytest.approx(1.0 / 1.5, rel=1e-9)
    assert events.share[0] == pytest.approx(1.01 / 1.5, rel=1e-9)  # halfway between the limit and 2 % below it


def test_a_tank_counts_as_full_when_the_tank_above_that_fills_it_runs_dry() -> None:
    """All but a trickle of the inflow ends at once; what the trickle would still bring is not waited for."""
    rig = Rig(
        sources={"header": Source(surface=5.0)},
        tanks={
            "upper": Tank(volume=0.06, floor=3.0, depth=0.5, level=0.0125),
            "tank": Tank(volume=0.1, floor=0.0, depth=1.0, level=0.97, inlet="bottom"),
        },
        lines={
            "down": Line(start="upper", end="tank", parts=(Hose(length=4.0, bore=0.0125),)),
            "trickle": Line(start="header", end="tank", parts=(Hose(length=20.0, bore=0.002),)),
        },
    )
    tanks = tanks_of(build_plan(rig, levels_apart=True))
    course = tanks.follow(np.array([[np.nan, 0.1]]), time_limit=1e6)
    came = 0.0015 + course.passed[0, 1]
    assert 0.0 < course.bared[0, 0] < 60.0
    assert course.time[0] == course.reached[0, 1] == pytest.approx(course.bared[0, 0], rel=1e-9)
    assert course.volume[0, 1] == course.at_reach[0, 1, 1] == pytest.approx(0.097 + came, rel=1e-9)
