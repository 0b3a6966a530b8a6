"""A tank at its lowest outlet is open to the air: what fills it from below meets its level, whatever draws on it.

Held against each line by itself: friction from fluids, water from CoolProp, its flow by scipy's ``brentq``.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import pi
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from fluids.friction import friction_factor
from scipy.optimize import brentq

from hydrokit.network import build_plan
from hydrokit.network.storage import Stage
from hydrokit.parts import DiaphragmPump, Hose, Joint, NonReturnValve, Outlet, Source, Tank
from hydrokit.rig import Line, Rig
from hydrokit.studies import fill
from hydrokit.studies.course.tanks import tanks_of
from hydrokit.timeline.arriving import arrivals

if TYPE_CHECKING:
    from hydrokit.network.storage import Storage
    from hydrokit.timeline import Course

LPM = 1.0 / 60_000.0
G, DENSITY, VISCOSITY = 9.80665, *(float(PropsSI(what, "T", 288.15, "P", 101_325.0, "Water")) for what in "DV")
SMOOTH = 1.5e-6


def hose(bore: float, length: float) -> Hose:
    return Hose(bore=bore, length=length, roughness=SMOOTH)


IN, OUT = hose(0.0125, 20.0), hose(0.025, 3.0)
TANK = Tank(volume=0.06, floor=1.0, depth=0.6, level=0.0, inlet="bottom")
NONE = np.empty((1, 0))


@cache
def carried(fall: float, pipe: Hose, k: float = 1.5) -> float:
    """Return what a hose alone carries between open waters, m³/s; ``k`` is of entrance and exit together."""

    def left(flow: float) -> float:
        speed = flow / (pi / 4.0 * pipe.bore**2)
        factor = friction_factor(Re=DENSITY * speed * pipe.bore / VISCOSITY, eD=SMOOTH / pipe.bore)
        return fall - (factor * pipe.length / pipe.bore + k) * speed**2 / (2.0 * G)

    return float(brentq(left, 1e-9, 1e-2, xtol=1e-16, rtol=1e-13))


def drawing(open_flow: float, pressure: float = 3e5) -> tuple[Any, ...]:
    """Return a line that draws by a pump."""
    pump = DiaphragmPump(name="pump", points=((0.0, pressure), (open_flow * LPM, 0.0)), height=0.8)
    return (hose(0.019, 2.0), pump, IN)


def rig_of(out: tuple[Any, ...] = (OUT,), lip: float = -1.0, surface: float = 2.0, **more: Any) -> Rig:
    """Return an empty tank that a spring fills from below and that a line empties; ``more`` stands in front."""
    tank = more.pop("tank", TANK)
    lines = {"in": Line(start="spring", end="tank", parts=more.pop("into", (IN,)))}
    lines["out"] = Line(start="tank", end="tap", parts=out)
    return Rig(
        sources={"spring": Source(surface=surface), **more.pop("sources", {})},
        tanks={"tank": tank, **more.pop("tanks", {})},
        outlets={"tap": Outlet(height=lip)},
        lines={**lines, **more.pop("lines", {})},
        **more,
    )


def followed(rig: Rig, time_limit: float = 1e4, **variation: Any) -> tuple[Storage, Course]:
    tanks = tanks_of(
        build_plan(rig, None, {key.replace("__", "."): v for key, v in variation.items()}, levels_apart=True)
    )
    nothing = np.full((tanks.plan.variants, len(tanks.names)), np.nan)
    return tanks.storage, tanks.follow(nothing, time_limit=time_limit)


@pytest.mark.parametrize("level", [0.0, 0.02])
@pytest.mark.parametrize("open_flow", [8.0, 20.0, 60.0])
def test_a_pump_does_not_draw_through_a_dry_tank_at_what_fills_it(open_flow: float, level: float) -> None:
    slow = Line(start="spring", end="other", parts=(hose(0.006, 10.0),))  # so that time goes on
    other = replace(TANK, floor=0.0, depth=1.0, volume=1.0)
    rig = rig_of(drawing(open_flow), 1.5, tank=replace(TANK, level=level), tanks={"other": other}, lines={"slow": slow})
    storage, course = followed(rig)
    assert course.steps > 1
    assert course.time[0] == 1e4
    alone = carried(1.0, IN)
    assert course.flow[0, :2] == pytest.approx([alone, alone], rel=1e-6)
    assert course.flow[0, 0] == pytest.approx(course.flow[0, 1], rel=1e-9)
    assert course.volume[0, 0] == pytest.approx(0.0, abs=1e-8 * 0.06)
    gained = course.volume[0] - course.start_volume[0]
    assert gained == pytest.approx(course.passed[0] @ storage.into, rel=1e-12, abs=1e-13)


@pytest.mark.parametrize("bore", [0.008, 0.0105, 0.0115, 0.025])
def test_by_gravity_an_outlet_carries_what_arrives_or_what_it_can_and_the_tank_rises(bore: float) -> None:
    out = hose(bore, 20.0)
    storage, course = followed(rig_of((out,)), 30.0)
    arrives, goes = carried(1.0, IN), carried(2.0, out)
    assert course.first_flow[0] == pytest.approx([arrives, min(arrives, goes)], rel=1e-6)
    rises = arrives - min(arrives, goes)
    assert (course.flow[0] @ storage.into)[0] == pytest.approx(rises, rel=0.05, abs=1e-12)
    assert course.volume[0, 0] == pytest.approx(30.0 * rises, rel=0.05, abs=1e-12)


def test_what_enters_under_the_lowest_outlet_meets_the_water_above_it() -> None:
    tank = replace(TANK, outlet_height=1.3, inlet_height=1.05, level=0.3)
    valve = NonReturnValve(bore=0.0125, k=3.0, cracking_pressure=0.0)
    _, course = followed(rig_of(drawing(40.0), 1.5, tank=tank, into=(IN, valve)), 1.0)
    assert course.flow[0] == pytest.approx(2 * [carried(0.7, IN, 4.5)], rel=1e-6)


@pytest.mark.parametrize("surface", [0.5, 0.99])
def test_nothing_draws_water_up_into_a_dry_tank(surface: float) -> None:
    answer = fill(rig_of(drawing(40.0), 1.5, surface=surface))
    assert (answer.ends, answer.first_flow, answer.followed_for) == ("nothing moves", 0.0, 0.0)


def test_dry_tanks_pass_on_from_one_to_the_next() -> None:
    tanks = {name: replace(TANK, floor=floor) for name, floor in (("second", 0.5), ("third", 0.0))}
    lines = {
        "out": Line(start="tank", end="second", parts=(OUT,)),
        "on": Line(start="second", end="third", parts=(OUT,)),
        "last": Line(start="third", end="tap", parts=drawing(60.0)),
    }
    _, course = followed(rig_of(tanks=tanks, lines=lines, lip=1.5), 1.0)
    assert course.flow[0] == pytest.approx(4 * [carried(1.0, IN)], rel=1e-6)


def test_through_a_balance_line_comes_what_the_level_of_the_other_tank_drives() -> None:
    """The spring fills one twin from below, a pump draws on the other, a narrow line at the floors joins them."""
    narrow = hose(0.012, 3.0)
    lines = {
        "in": Line(start="spring", end="far", parts=(IN,)),
        "balance": Line(start="far", end="tank", parts=(narrow,)),
    }
    _, course = followed(rig_of(drawing(60.0), 1.5, tanks={"far": TANK}, lines=lines), 6e3)
    assert course.first_flow[0] == pytest.approx([carried(1.0, IN), 0.0, 0.0], rel=1e-6, abs=1e-12)
    level = float(brentq(lambda z: carried(1.0 - z, IN) - carried(z, narrow), 0.01, 0.9, xtol=1e-12))
    assert course.volume[0] == pytest.approx([0.0, 0.1 * level], rel=1e-4, abs=1e-9)
    assert course.flow[0] == pytest.approx(3 * [carried(level, narrow)], rel=1e-4)


def test_a_balance_line_between_dry_twins_stands_still_though_a_pump_draws_at_one() -> None:
    """Both stand at one level: what fills the one passes on by its own outlet, and the other has nothing to give."""
    lines = {
        "balance": Line(start="far", end="tank", parts=(OUT,)),
        "also": Line(start="far", end="tap", parts=(OUT,)),
        "in": Line(start="spring", end="far", parts=(IN,)),
    }
    _, course = followed(rig_of(drawing(60.0), -1.0, tanks={"far": TANK}, lines=lines), 1.0)
    alone = carried(1.0, IN)
    assert course.flow[0] == pytest.approx([alone, 0.0, 0.0, alone], rel=1e-6, abs=1e-12)


def test_a_branch_that_would_bring_water_only_if_it_were_drawn_in_brings_none() -> None:
    low = Line(start="low", end="tank", parts=(IN,))
    rig = rig_of(drawing(60.0), 1.5, lines={"low": low}, sources={"low": Source(surface=0.8)})
    _, course = followed(rig, 1.0)
    alone = carried(1.0, IN)
    assert course.flow[0] == pytest.approx([alone, alone, 0.0], rel=1e-6, abs=1e-12)


def test_variants_meet_air_each_for_itself() -> None:
    surfaces = np.array([1.5, 0.5, 2.0, 9.0, 1.2])
    _, together = followed(rig_of(drawing(12.0), 1.5), 20.0, sources__spring__surface=surfaces)
    for row, surface in enumerate(surfaces):
        _, alone = followed(rig_of(drawing(12.0), 1.5, surface=float(surface)), 20.0)
        assert together.flow[row] == pytest.approx(alone.flow[0], rel=1e-9, abs=1e-15)
        assert together.volume[row] == pytest.approx(alone.volume[0], rel=1e-9, abs=1e-12)
    assert together.volume[3, 0] > 1e-3  # it rises, the pump cannot take all of it
    assert together.flow[1] == pytest.approx([0.0, 0.0], abs=1e-15)


def test_a_joint_that_asks_is_given_first_what_arrives_at_the_level() -> None:
    asked = 2.0 * LPM
    trough = Line(start="tank", end="trough", parts=(OUT,))
    rig = rig_of(drawing(60.0), 1.5, lines={"asked": trough}, joints={"trough": Joint(height=0.2, demand=asked)})
    _, course = followed(rig, 1.0)
    alone = carried(1.0, IN)
    assert course.flow[0] == pytest.approx([alone, alone - asked, asked], rel=1e-6)
    assert not course.lacking.any()


def test_only_a_dry_tank_that_gains_nothing_has_lines_that_meet_air() -> None:
    storage = tanks_of(build_plan(rig_of(), levels_apart=True)).storage
    zero, false, exposed = np.zeros((1, 1)), np.zeros((1, 1), np.bool_), np.zeros((1, 2), np.bool_)

    def found(flows: tuple[float, ...], *, dry: bool = True, kept: Any = None) -> list[bool]:
        lines = np.zeros((1, 2), np.bool_)
        now = Stage(zero, zero, lines, false, ~false if dry else false, zero, NONE, NONE, np.zeros((1, 3)))
        return arrivals(storage, now, exposed, np.array([flows]), kept)[0].tolist()  # type: ignore[no-any-return]

    assert found((1e-4, 1e-4, 0.0)) == [True, False]  # in, out and what the tank gains
    assert found((1e-4, 0.5e-4, 0.5e-4)) == [False, False]
    assert found((1e-4, 1e-4, 0.0), dry=False) == [False, False]
    assert found((-1e-4, -1e-4, 0.0)) == [False, True]
    assert found((0.0, 0.0, 0.0), kept=np.array([[True, False]])) == [True, False]
