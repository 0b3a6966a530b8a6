"""What any filling must do: tanks that are alike may change places, deeper water never fills them sooner, and size is time."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.network import build_plan
from hydrokit.parts import DiaphragmPump, Filter, FootValve, Hose, Outlet, Source, Tank
from hydrokit.rig import Line, Rig
from hydrokit.studies import fill
from hydrokit.studies.course.tanks import tanks_of
from tests.properties.effort import effort

L_MIN = 1.0 / 60_000.0
unhurried = effort(20)


@st.composite
def twins(draw: st.DrawFn) -> Rig:
    """A pump that fills two tanks through a fork, with or without a balance line, from the top or from below."""
    bores, lengths = st.floats(0.008, 0.025), st.floats(0.2, 8.0)

    def hose() -> Hose:
        return Hose(bore=draw(bores), length=draw(lengths))

    inlet = draw(st.sampled_from(["top", "bottom"]))
    depth = draw(st.floats(0.2, 1.0))
    tanks = {
        name: Tank(
            volume=draw(st.floats(0.01, 0.2)),
            floor=1.0,
            depth=depth,
            inlet=inlet,
            level=draw(st.floats(0.0, 0.8)) * depth,
        )
        for name in ("near", "far")
    }
    pump = DiaphragmPump(name="pump", points=((0.0, 3e5), (draw(st.floats(5.0, 30.0)) * L_MIN, 0.0)), height=0.5)
    sieve = Filter(points=((5.0 * L_MIN, 10e3), (10.0 * L_MIN, 30e3)))
    lines = {
        "intake": Line(start="pond", end="fork", parts=(FootValve(bore=0.019), hose(), pump, hose(), sieve)),
        "to-near": Line(start="fork", end="near", parts=(hose(),)),
        "to-far": Line(start="fork", end="far", parts=(hose(),)),
    }
    if draw(st.booleans()):
        lines["balance"] = Line(start="near", end="far", parts=(hose(),))
    return Rig(sources={"pond": Source(surface=0.0)}, tanks=tanks, lines=lines)


def swapped(rig: Rig) -> Rig:
    """The same rig with the two tanks listed and named the other way round."""
    other = {"near": "far", "far": "near"}
    lines = {
        name: replace(line, start=other.get(line.start, line.start), end=other.get(line.end, line.end))
        for name, line in rig.lines.items()
    }
    return replace(rig, tanks={"near": rig.tanks["far"], "far": rig.tanks["near"]}, lines=lines)


@unhurried
@given(twins())
def test_tanks_that_change_places_fill_as_before(rig: Rig) -> None:
    one, other = fill(rig), fill(swapped(rig))
    assert one.full_after == pytest.approx(other.full_after, rel=1e-6)
    assert one.spilled == pytest.approx(other.spilled, rel=1e-5, abs=1e-9)
    near, far = one.tanks
    for tank, mirrored in zip(other.tanks, (far, near), strict=True):
        assert tank.full_after == pytest.approx(mirrored.full_after, rel=1e-6)


@unhurried
@given(twins(), st.floats(0.05, 3.0))
def test_deeper_water_never_fills_sooner(rig: Rig, deeper: float) -> None:
    now, then = fill(rig), fill(rig, changed={"sources.pond.surface": -deeper})
    if then.full_after is not None:
        assert then.full_after >= now.full_after * (1.0 - 1e-3)


@effort(10)
@given(st.floats(5.0, 60.0), st.floats(5e4, 4e5), st.floats(0.008, 0.025), st.floats(0.2, 8.0))
def test_what_comes_into_a_dry_tank_is_no_matter_of_what_draws_on_it(
    open_flow: float, pressure: float, bore: float, length: float
) -> None:
    """Air lies on its water, so that nothing sucks at the line that fills it (common practice, no source)."""
    pump = DiaphragmPump(name="pump", points=((0.0, pressure), (open_flow * L_MIN, 0.0)), height=0.5)
    spring = Line(start="spring", end="tank", parts=(Hose(bore=0.0125, length=20.0),))
    rig = Rig(
        sources={"spring": Source(surface=2.0)},
        tanks={"tank": Tank(volume=0.06, floor=1.0, depth=0.5, level=0.0, inlet="bottom")},
        outlets={"tap": Outlet(height=1.5)},
        lines={"in": spring, "out": Line(start="tank", end="tap", parts=(Hose(bore=bore, length=length), pump))},
    )

    def comes(now: Rig) -> float:
        course = tanks_of(build_plan(now, levels_apart=True)).follow(np.full((1, 1), np.nan), time_limit=1e-3)
        return float(course.first_flow[0, 0])

    assert comes(rig) == pytest.approx(comes(replace(rig, outlets={}, lines={"in": spring})), rel=1e-9)


@unhurried
@given(twins())
def test_volumes_close(rig: Rig) -> None:
    answer = fill(rig)
    assert answer.imbalance < 1e-12
    arrived = next(line.volume for line in answer.lines if line.line == "intake")
    gained = sum(
        tank.end_volume - tank.start_level * rig.tanks[tank.tank].volume / rig.tanks[tank.tank].depth
        for tank in answer.tanks
    )
    assert arrived == pytest.approx(gained + answer.spilled, rel=1e-9)


@effort(10)
@given(twins(), st.floats(-4.0, 4.0))
def test_tanks_so_many_times_as_wide_take_so_many_times_as_long(rig: Rig, power: float) -> None:
    """From a millilitre to a thousand cubic metres: levels are the same at times in proportion (common practice, no source)."""
    times = 10.0**power
    now = fill(rig)
    changed = {f"tanks.{name}.volume": times * tank.volume for name, tank in rig.tanks.items()}
    then = fill(rig, changed=changed, time_limit=1e10)
    assert then.imbalance < 1e-12
    if now.full_after is None:
        assert then.full_after is None
    else:
        assert then.full_after == pytest.approx(times * now.full_after, rel=3e-3)
