"""What a course must keep to, whatever the rig: events met, volumes that close, no chatter, batches like single runs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from hydrokit.network import build_plan
from hydrokit.parts import Fitting, FloatValve, Hose, NonReturnValve, Outlet, Source, Tank
from hydrokit.rig import Line, Rig
from hydrokit.studies import fill, fill_times
from hydrokit.studies.course.tanks import tanks_of
from hydrokit.studies.drawing import draw

LPM = 1.0 / 60_000.0
HOSE = Hose(length=2.0, bore=0.0125)


def gravity(header: float = 5.0, parts: tuple = (HOSE,), **tank: object) -> Rig:
    return Rig(
        sources={"header": Source(surface=header)},
        tanks={"tank": Tank(**({"volume": 0.06, "floor": 1.0, "depth": 0.45} | tank))},
        lines={"down": Line(start="header", end="tank", parts=parts)},
    )


def fed_and_drawn(tap_bore: float, outlet_height: float = 1.1, **tank: object) -> Rig:
    rig = gravity(outlet_height=outlet_height, **tank)
    tap = Line(start="tank", end="tap", parts=(Hose(length=1.0, bore=tap_bore),))
    return Rig(
        sources=rig.sources, tanks=rig.tanks, outlets={"tap": Outlet(height=0.5)}, lines={**rig.lines, "out": tap}
    )


@pytest.mark.parametrize("volume", [1e-6, 1e-3, 1e3])
def test_any_size_of_tank_fills_in_volume_over_flow(volume: float) -> None:
    answer = fill(gravity(volume=volume), time_limit=1e9)
    assert answer.full_after == pytest.approx(volume / answer.first_flow, rel=1e-12)
    assert answer.imbalance < 1e-12


def test_a_thimble_and_a_reservoir_fill_side_by_side() -> None:
    lines = {
        name: Line(start="header", end=name, parts=(Hose(length=2.0, bore=0.0125),))
        for name in ("thimble", "reservoir")
    }
    tanks = {
        "thimble": Tank(volume=1e-6, floor=1.0, depth=0.01, inlet="bottom"),
        "reservoir": Tank(volume=1e3, floor=1.0, depth=2.0, inlet="bottom"),
    }
    rig = Rig(sources={"header": Source(surface=5.0)}, tanks=tanks, lines=lines)
    both = fill(rig, time_limit=1e9)
    for name, tank in tanks.items():
        alone = fill(Rig(sources=rig.sources, tanks={name: tank}, lines={name: lines[name]}), time_limit=1e9)
        row = next(row for row in both.tanks if row.tank == name)
        assert row.full_after == pytest.approx(alone.full_after, rel=1e-5)


def test_nothing_flows_where_the_source_is_too_low() -> None:
    answer = fill(gravity(header=1.2))
    assert (answer.ends, answer.full_after, answer.followed_for) == ("nothing moves", None, 0.0)
    assert [row.end_volume for row in answer.tanks] == [0.0]


def test_a_source_below_the_brim_fills_to_its_own_level() -> None:
    answer = fill(gravity(header=1.3, inlet="bottom"))
    assert answer.full_after is None
    assert answer.tanks[0].end_level == pytest.approx(0.3, abs=1e-6)


def test_the_time_limit_is_met_exactly() -> None:
    answer = fill(gravity(), time_limit=10.0)
    assert (answer.ends, answer.followed_for) == ("time is up", 10.0)
    assert answer.tanks[0].end_volume == pytest.approx(10.0 * answer.first_flow, rel=1e-12)


def test_a_tank_drawn_as_fast_as_it_is_fed_passes_on_what_arrives_in_few_steps() -> None:
    rig = fed_and_drawn(0.03, level=0.45)
    trickle = Line(start="header", end="other", parts=(Hose(length=20.0, bore=0.002),))  # so that time goes on
    other = {"other": Tank(volume=1.0, floor=1.0, depth=1.0, level=0.0)}
    rig = replace(rig, tanks={**rig.tanks, **other}, lines={**rig.lines, "trickle": trickle})
    tanks = tanks_of(build_plan(rig, levels_apart=True))
    course = tanks.follow(np.full((1, 2), np.nan), time_limit=1e5)
    fed, drawn, _ = course.flow[0]
    assert drawn == pytest.approx(fed, rel=1e-9)
    assert course.volume[0, 0] == pytest.approx(0.06 * 0.1 / 0.45, rel=1e-6)
    assert course.bared[0, 0] < course.time[0]
    assert course.steps < 60


@pytest.mark.parametrize("level", [0.2, 0.2 + 1e-10, 0.2 - 1e-10])
def test_a_tank_that_starts_level_with_an_upper_outlet_falls_away_from_it(level: float) -> None:
    """Its other line empties it to the floor; what started a nanometre higher or lower comes to the same."""
    rig = fed_and_drawn(0.0125, outlet_height=1.2, level=level, inlet="bottom")
    answer = fill(replace(rig, sources={"header": Source(surface=0.5)}), time_limit=1e4)
    down, out = answer.lines
    assert answer.tanks[0].end_level == pytest.approx(0.0, abs=1e-7)
    assert (down.last_flow, out.last_flow) == (0.0, 0.0)
    assert out.volume < 1e-9
    assert -down.volume == pytest.approx(0.2 * 0.06 / 0.45, rel=1e-6)


def test_a_course_ends_where_every_tank_only_passes_on_what_arrives() -> None:
    answer = fill(fed_and_drawn(0.03, level=0.3))
    assert answer.ends == "nothing moves"
    assert answer.followed_for < 60.0
    assert [line.last_flow > 0.0 for line in answer.lines] == [True, True]


def test_an_empty_tank_fills_past_its_outlet_where_more_comes_than_goes() -> None:
    answer = fill(fed_and_drawn(0.008))
    assert answer.ends == "all full"
    before = np.asarray(answer.times) < 0.1 * answer.tanks[0].full_volume / 0.45 / answer.first_flow * 0.99
    assert np.interp(np.asarray(answer.times)[before], answer.times, answer.tanks[0].levels)[-1] < 0.1
    out = next(line for line in answer.lines if line.line == "out")
    assert (out.first_flow, out.last_flow > 0.0) == (0.0, True)


def test_an_outlet_left_dry_by_a_lower_drain_gives_again_when_the_water_comes_back() -> None:
    rig = Rig(
        sources={"header": Source(surface=5.0)},
        tanks={
            "tank": Tank(volume=0.06, floor=1.0, depth=0.45, level=0.3, outlet_height=1.2, inlet="bottom"),
        },
        outlets={"tap": Outlet(height=0.5)},
        lines={
            "bottom": Line(start="low", end="tank", parts=(Hose(length=1.0, bore=0.0125),)),
            "drain": Line(start="low", end="tap", parts=(Hose(length=1.0, bore=0.02),)),
            "feed": Line(start="header", end="low", parts=(Hose(length=40.0, bore=0.0125),)),
            "upper": Line(start="tank", end="tap", parts=(Hose(length=1.0, bore=0.0125),)),
        },
    )
    answer = draw(rig, time_limit=2000.0)
    upper = next(line for line in answer.lines if line.line == "upper")
    assert (upper.first_flow > 0.0, upper.last_flow) == (True, 0.0)
    assert answer.tanks[0].end_level < 0.2
    assert answer.imbalance < 1e-12


def test_full_tanks_of_one_height_trade_water_without_end_of_steps() -> None:
    rig = Rig(
        sources={"header": Source(surface=3.0)},
        tanks={name: Tank(volume=0.06, floor=1.0, depth=0.45, inlet="bottom") for name in ("near", "far")},
        lines={
            "feed": Line(start="header", end="near", parts=(HOSE,)),
            "balance": Line(start="near", end="far", parts=(Hose(length=0.1, bore=0.05),)),
        },
    )
    tanks = tanks_of(build_plan(rig, levels_apart=True))
    course = tanks.follow(np.full((1, 2), np.nan), time_limit=1e5)
    assert course.steps < 60
    assert 0.0 < course.spilled[0, 0] < 1e-2  # once nothing but spilling goes on, it is followed no longer
    assert course.volume[0].tolist() == pytest.approx([0.06, 0.06], rel=1e-6)


def test_an_order_fills_one_tank_after_the_other_and_spills_nothing() -> None:
    rig = Rig(
        sources={"header": Source(surface=5.0)},
        tanks={name: Tank(volume=0.06, floor=1.0, depth=0.45) for name in ("near", "far")},
        lines={name: Line(start="header", end=name, parts=(HOSE,)) for name in ("near", "far")},
    )
    answer = fill(rig, order=("far", "near"))
    near, far = answer.tanks
    assert far.full_after == pytest.approx(0.06 / answer.first_flow, rel=1e-12)
    assert near.full_after == pytest.approx(2.0 * far.full_after, rel=1e-12)
    assert answer.spilled == 0.0
    assert answer.last_flow == 0.0 or answer.ends == "all full"


def test_an_order_passes_over_a_tank_that_is_full_already() -> None:
    rig = Rig(
        sources={"header": Source(surface=5.0)},
        tanks={
            "near": Tank(volume=0.06, floor=1.0, depth=0.45, level=0.45),
            "far": Tank(volume=0.06, floor=1.0, depth=0.45),
        },
        lines={name: Line(start="header", end=name, parts=(HOSE,)) for name in ("near", "far")},
    )
    answer = fill(rig, order=("near", "far"))
    assert [row.full_after for row in answer.tanks] == pytest.approx([0.0, 0.06 / answer.first_flow])


def test_a_float_valve_never_lets_its_tank_past_the_level_at_which_it_shuts() -> None:
    valve = FloatValve(bore=0.0125, kv=5.0 / 3600.0, shut_level=0.3, band=1e-3)
    answer = fill(gravity(parts=(HOSE, valve)))
    assert answer.tanks[0].full_after == pytest.approx(0.98 * 0.04 / answer.first_flow, rel=1e-6)
    tanks = tanks_of(build_plan(gravity(parts=(HOSE, valve)), levels_apart=True))
    course = tanks.follow(np.full((1, 1), np.nan), time_limit=1e5)
    assert course.volume[0, 0] == pytest.approx(0.04, rel=1e-3)
    assert course.volume[0, 0] <= 0.04 + 1e-4 * 0.06  # a few times what a step may err by
    assert course.steps < 200


def test_a_batch_of_a_thousand_equals_single_runs() -> None:
    rig = Rig(
        sources={"header": Source(surface=2.2)},
        tanks={
            "near": Tank(volume=0.06, floor=1.0, depth=0.45, outlet_height=1.02),
            "far": Tank(volume=0.06, floor=1.0, depth=0.45, inlet="bottom"),
        },
        lines={
            "feed": Line(start="header", end="near", parts=(HOSE, NonReturnValve(bore=0.0125))),
            "balance": Line(start="near", end="far", parts=(Hose(length=0.4, bore=0.019),)),
        },
    )
    random = np.random.default_rng(7)
    varied = {
        "sources.header.surface": random.uniform(1.2, 4.0, 1000),
        "lines.balance.hose-1.bore": random.uniform(0.006, 0.03, 1000),
        "tanks.far.volume": random.uniform(0.01, 0.2, 1000),
        "tanks.far.level": random.uniform(0.0, 0.45, 1000),
    }
    together = fill_times(rig, variation=varied)
    for row in range(0, 1000, 50):
        alone = fill_times(rig, variation={address: values[row] for address, values in varied.items()})
        assert alone[0] == pytest.approx(together[row], rel=1e-9)


def test_a_course_may_end_with_the_first_tank_that_is_full() -> None:
    lines = {name: Line(start="header", end=name, parts=(HOSE,)) for name in ("one", "other")}
    tanks = {"one": Tank(volume=0.06, floor=1.0, depth=0.45), "other": Tank(volume=0.09, floor=1.0, depth=0.45)}
    own = tanks_of(
        build_plan(Rig(sources={"header": Source(surface=5.0)}, tanks=tanks, lines=lines), levels_apart=True)
    )
    course = own.follow(own.full_volumes(), time_limit=1e6, first=True)
    assert course.time[0] == course.reached[0, 0]
    assert course.reached[0, 1] == np.inf
    assert course.volume[0] == pytest.approx([0.06, 0.06])  # fed alike


def test_the_first_variant_of_many_is_the_one_that_is_recorded() -> None:
    plan = build_plan(gravity(), None, {"sources.header.surface": np.array([5.0, 4.0])}, levels_apart=True)
    own = tanks_of(plan)
    course = own.follow(own.full_volumes(), time_limit=1e6)
    assert course.time[1] > 1.1 * course.time[0]
    assert course.legs.times()[-1] == course.time[0]


def test_a_variant_that_never_fills_does_not_hold_up_the_others() -> None:
    times = fill_times(gravity(), variation={"sources.header.surface": np.array([5.0, 1.2, 3.0])})
    assert np.isfinite(times).tolist() == [True, False, True]
    assert times[0] < times[2]


def test_a_hole_without_loss_drains_as_torricelli_says() -> None:
    """Constant section, v = sqrt(2 g h): t = (A/a) sqrt(2/g) (sqrt h0 - sqrt h1); Torricelli's law, any textbook."""
    rig = Rig(
        tanks={"tank": Tank(volume=1.0, floor=0.0, depth=1.0, entrance_k=0.0)},
        outlets={"hole": Outlet(height=0.0, exit_k=1.0)},
        lines={"hole": Line(start="tank", end="hole", parts=(Fitting(bore=0.02, k=0.0),))},
    )
    area = np.pi / 4.0 * 0.02**2
    for down in (0.5, 0.04, 1e-3):
        expected = 1.0 / area * np.sqrt(2.0 / 9.80665) * (1.0 - np.sqrt(down))
        assert draw(rig, down_to={"tank": down}).empty_after == pytest.approx(expected, rel=1e-6)


def levelling(*parts: object, **site: float) -> Rig:
    return Rig(
        tanks={
            "high": Tank(volume=0.9, floor=0.0, depth=1.0, level=0.9, entrance_k=0.0, exit_k=0.0, inlet="bottom"),
            "low": Tank(volume=0.3, floor=0.0, depth=1.0, level=0.1, entrance_k=0.0, exit_k=0.0, inlet="bottom"),
        },
        lines={"between": Line(start="high", end="low", parts=parts)},
    )


def test_two_tanks_level_by_a_quadratic_law() -> None:
    """dh/dt = -(1/A1 + 1/A2) a sqrt(2 g h / K), so sqrt h falls evenly in time; any textbook of hydraulics."""
    bore, k = 0.03, 2.0
    rig = levelling(Fitting(bore=bore, k=k))
    speed = (1.0 / 0.9 + 1.0 / 0.3) * np.pi / 4.0 * bore**2 * np.sqrt(2.0 * 9.80665 / k)
    for left in (0.4, 0.05, 0.001):
        expected = 2.0 * (np.sqrt(0.8) - np.sqrt(left)) / speed
        low = 0.1 + (0.8 - left) * 0.9 / 1.2
        answer = fill(rig, up_to={"low": low})
        assert answer.full_after == pytest.approx(expected, rel=1e-6)


def test_two_tanks_level_by_a_laminar_law() -> None:
    """dh/dt = -(1/A1 + 1/A2) h pi g D^4 / (128 nu L), an exponential; Hagen and Poiseuille, any textbook."""
    bore, length, viscosity = 0.01, 5.0, 1e-4
    rig = levelling(Hose(bore=bore, length=length))
    changed = {"site.density": 1000.0, "site.viscosity": viscosity * 1000.0}
    rate = (1.0 / 0.9 + 1.0 / 0.3) * np.pi * 9.80665 * bore**4 / (128.0 * viscosity * length)
    for left, within in ((0.4, 1e-4), (0.1, 2e-4), (0.01, 1e-3)):
        low = 0.1 + (0.8 - left) * 0.9 / 1.2
        answer = fill(rig, up_to={"low": low}, changed=changed, time_limit=1e8)
        assert answer.full_after == pytest.approx(np.log(0.8 / left) / rate, rel=within)
