"""``fill``: ten rigs against a fixed-step integration, and everything that the answer tells."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from hydrokit.errors import InputError
from hydrokit.files import demonstration
from hydrokit.network import solve
from hydrokit.parts import FloatValve, Hose, Outlet, Source, Tank
from hydrokit.rig import Line, Mode, Rig
from hydrokit.studies import fill, fill_times

FILLED = ("demonstration", "hand check", "centrifugal", "hand pump", "quarantine", "balanced", "high", "wide")
STEPS = 60
HOSE = Hose(length=2.0, bore=0.0125)


def slopes(rig: Rig, mode: str, levels: dict[str, float]) -> dict[str, float]:
    """How fast each level rises, m/s, by a steady solve with all levels fixed."""
    kept = {name: min(max(level, 0.0), rig.tanks[name].depth) for name, level in levels.items()}
    solution = solve(rig, mode, {f"tanks.{name}.level": level for name, level in kept.items()})
    net = dict.fromkeys(levels, 0.0)
    for name, line in rig.lines.items():
        flow = float(solution.flow(name)[0])
        if line.end in net:
            net[line.end] += flow
        if line.start in net:
            net[line.start] -= flow
    return {name: net[name] * rig.tanks[name].depth / rig.tanks[name].volume for name in levels}


def runge_kutta(rig: Rig, mode: str, levels: dict[str, float], until: float) -> dict[str, float]:
    """Levels after a time, by the classical method in steps of one length."""
    step = until / STEPS

    def moved(way: dict[str, float], share: float) -> dict[str, float]:
        return {name: levels[name] + share * step * way[name] for name in levels}

    for _ in range(STEPS):
        first = slopes(rig, mode, levels)
        second = slopes(rig, mode, moved(first, 0.5))
        third = slopes(rig, mode, moved(second, 0.5))
        fourth = slopes(rig, mode, moved(third, 1.0))
        levels = {
            name: levels[name] + step / 6.0 * (first[name] + 2.0 * (second[name] + third[name]) + fourth[name])
            for name in levels
        }
    return levels


@pytest.mark.slow
@pytest.mark.parametrize("name", FILLED)
def test_ten_rigs_fill_as_a_fixed_step_integration_says(name: str, ten_rigs: dict[str, Rig]) -> None:
    rig = ten_rigs[name]
    answer = fill(rig)
    start = {tank.tank: tank.start_level for tank in answer.tanks}
    assert answer.first_full_after is not None, answer
    levels = runge_kutta(rig, answer.mode, start, answer.first_full_after)
    full = next(tank for tank in answer.tanks if tank.tank == answer.first_full)
    risen = levels[full.tank] - full.start_level
    assert risen == pytest.approx(rig.tanks[full.tank].depth - full.start_level, rel=1e-3)
    assert answer.imbalance < 1e-12


def test_rigs_without_tanks_to_fill_say_so(ten_rigs: dict[str, Rig]) -> None:
    for name in ("gravity", "looped"):
        with pytest.raises(InputError, match="an open line leads to a tank"):
            fill(ten_rigs[name])


def test_the_first_mode_that_fills_is_taken() -> None:
    rig = demonstration()
    turned = replace(rig, modes=dict(reversed(rig.modes.items())))
    assert turned.mode()[0] == "tap"
    assert fill(turned).mode == "filling"
    assert fill(turned).full_after == fill(rig).full_after


def test_a_constant_inflow_fills_in_volume_over_flow(ten_rigs: dict[str, Rig]) -> None:
    """Conservation of mass."""
    for name in ("hand check", "hand pump", "high"):
        answer = fill(ten_rigs[name])
        assert answer.first_flow == pytest.approx(answer.last_flow, rel=1e-9)
        volume = sum(tank.full_volume for tank in answer.tanks)
        assert answer.full_after == pytest.approx(volume / answer.first_flow, rel=1e-9)


def test_the_hand_check_rig_fills_in_the_time_worked_out_by_hand() -> None:
    """The hand check of a rig's design notes: 120 L at 7.3 L/min in 16 min; a plausibility check by textbook formula."""
    from hydrokit.files import hand_check

    assert fill(hand_check()).full_after / 60.0 == pytest.approx(16.0, abs=0.6)


@pytest.fixture(scope="module")
def demonstrated():
    return fill(demonstration())


def test_litres_passed_add_up(demonstrated) -> None:
    passed = {line.line: line.volume for line in demonstrated.lines}
    assert passed["intake"] == pytest.approx(passed["to-near"] + passed["to-far"], rel=1e-12)
    held = sum(tank.end_volume for tank in demonstrated.tanks)
    assert passed["intake"] == pytest.approx(held + demonstrated.spilled, rel=1e-12)
    assert {each.volume for each in demonstrated.filters} == {passed["intake"]}
    assert len(demonstrated.filters) == 4


def test_shares_and_litres_when_the_first_is_full(demonstrated) -> None:
    near, far = demonstrated.tanks
    assert near.share + far.share == pytest.approx(1.0)
    ratio = demonstrated.lines[1].first_flow / demonstrated.lines[0].first_flow
    assert near.share == pytest.approx(ratio, rel=1e-9)
    assert demonstrated.first_full == near.tank
    assert demonstrated.aboard_then == pytest.approx(near.full_volume / near.share, rel=1e-9)
    assert demonstrated.difference_then == pytest.approx(near.full_volume * (1.0 - far.share / near.share), rel=1e-6)


def test_what_spills_is_what_the_full_tank_still_gets(demonstrated) -> None:
    near, _ = demonstrated.tanks
    flow = next(line.first_flow for line in demonstrated.lines if line.line == "to-near")
    meanwhile = demonstrated.full_after - near.full_after
    assert near.spilled == pytest.approx(flow * meanwhile, rel=1e-9)
    assert demonstrated.spilled == near.spilled


def test_stopping_at_the_first_spills_nothing() -> None:
    answer = fill(demonstration(), until="first")
    assert (answer.ends, answer.spilled) == ("first full", 0.0)
    assert answer.full_after is None
    assert answer.followed_for == answer.first_full_after


def test_curves_begin_and_end_where_the_tanks_do(demonstrated) -> None:
    assert demonstrated.times[0] == 0.0
    assert demonstrated.times[-1] == demonstrated.followed_for
    assert np.all(np.diff(demonstrated.times) > 0.0)
    for tank in demonstrated.tanks:
        assert len(tank.levels) == len(demonstrated.times)
        assert (tank.levels[0], tank.levels[-1]) == pytest.approx((tank.start_level, tank.end_level), abs=1e-9)
        assert np.all(np.diff(tank.levels) >= -1e-12)


def test_stated_levels_are_where_the_tanks_start() -> None:
    half = fill(demonstration(), changed={"tanks.near.level": 0.225, "tanks.far.level": 0.225})
    whole = fill(demonstration())
    assert half.full_after == pytest.approx(0.5 * whole.full_after, rel=1e-9)
    assert not any("empty" in told for told in half.trust.assumed)
    assert "tanks near and far start empty" in whole.trust.assumed


def test_a_tank_that_supplies_starts_full_where_no_level_is_stated(ten_rigs: dict[str, Rig]) -> None:
    rig = ten_rigs["quarantine"]
    unstated = replace(rig, tanks={"raw": replace(rig.tanks["raw"], level=None), "clean": rig.tanks["clean"]})
    raw = next(tank for tank in fill(unstated).tanks if tank.tank == "raw")
    assert (raw.start_level, raw.to_be_filled) == (rig.tanks["raw"].depth, False)


def test_energy_is_power_times_time_where_the_flow_is_constant(ten_rigs: dict[str, Rig]) -> None:
    """W s = J; power stated against flow, without a battery."""
    rig = ten_rigs["hand check"]
    line = rig.lines["intake"]
    parts = tuple(
        replace(part, powers=((0.0, 90.0), (11.3 / 60_000.0, 50.0))) if part.name == "pump" else part
        for part in line.parts
    )
    answer = fill(replace(rig, lines={"intake": replace(line, parts=parts)}))
    power = np.interp(answer.first_flow, [0.0, 11.3 / 60_000.0], [90.0, 50.0])
    assert answer.energy == pytest.approx(power * answer.full_after, rel=1e-9)
    assert fill(rig).energy is None
    assert any(told.startswith("energy") for told in fill(rig).trust.unknown)


def test_suction_that_holds_the_flow_back_is_told() -> None:
    deep = fill(demonstration(), changed={"sources.pond.surface": -7.0})
    assert deep.suction_share < 1.0
    assert fill(demonstration()).suction_share == 1.0


def _twins(**valve: float) -> Rig:
    parts = (HOSE, FloatValve(bore=0.0125, kv=2.0 / 3600.0, **valve))
    return Rig(
        sources={"header": Source(surface=4.0)},
        tanks={name: Tank(volume=0.06, floor=1.0, depth=0.45) for name in ("near", "far")},
        lines={name: Line(start="header", end=name, parts=parts) for name in ("near", "far")},
    )


def test_float_valves_fill_to_their_shut_level_and_spill_nothing() -> None:
    answer = fill(_twins(shut_level=0.4, band=0.05))
    assert answer.ends == "all full"
    assert answer.spilled == 0.0
    for tank in answer.tanks:
        assert tank.end_level == pytest.approx(0.98 * 0.4, rel=1e-6)
        assert tank.brims_after is None


def test_a_float_valve_counts_as_shut_once_hardly_anything_flows() -> None:
    """Fed from below out of water hardly higher than its shut level: the head goes as the opening does.

    With all loss in the valve, flow is as (1 - h / s) sqrt(H - h); under 1 % of the first it counts as full.
    """
    from scipy.optimize import brentq

    valve = FloatValve(bore=0.0125, kv=1.0 / 3600.0, band=0.45)
    rig = Rig(
        sources={"header": Source(surface=1.46)},
        tanks={"tank": Tank(volume=0.06, floor=1.0, depth=0.45, inlet="bottom")},
        lines={"feed": Line(start="header", end="tank", parts=(Hose(length=0.5, bore=0.025), valve))},
    )
    level = brentq(lambda h: (1.0 - h / 0.45) * np.sqrt((0.46 - h) / 0.46) - 0.01, 0.1, 0.449)
    assert level < 0.98 * 0.45
    answer = fill(rig)
    tank = answer.tanks[0]
    assert np.interp(answer.full_after, answer.times, tank.levels) == pytest.approx(level, rel=1e-3)


def test_mistakes_name_what_is_wrong() -> None:
    with pytest.raises(InputError, match=r"order: found 'nere'.*near"):
        fill(demonstration(), order=("nere",))
    with pytest.raises(InputError, match="each tank once"):
        fill(demonstration(), order=("near", "near"))
    with pytest.raises(InputError, match=r"up_to\.nere: found no such tank"):
        fill(demonstration(), up_to={"nere": 0.1})
    with pytest.raises(InputError, match=r"up_to\.near"):
        fill(demonstration(), up_to={"near": 9.0})
    with pytest.raises(InputError, match="time_limit"):
        fill(demonstration(), time_limit=-1.0)
    with pytest.raises(InputError, match="mode"):
        fill(demonstration(), "fillin")


def test_the_answer_goes_into_json_and_frames(demonstrated) -> None:
    data = json.loads(demonstrated.to_json())
    assert data["question"] == "fill"
    assert data["full_after"] == {"value": demonstrated.full_after, "unit": "s"}
    assert len(data["times"]["value"]) == len(data["tanks"][0]["levels"]["value"])
    frame = demonstrated.to_frame()
    assert frame["tank"].tolist() == ["near", "far"]
    assert frame["full_after [s]"].tolist() == [tank.full_after for tank in demonstrated.tanks]


def test_fill_times_are_those_of_fill() -> None:
    surfaces = np.array([0.0, -0.5, 0.3])
    together = fill_times(demonstration(), variation={"sources.pond.surface": surfaces})
    alone = [fill(demonstration(), changed={"sources.pond.surface": float(surface)}).full_after for surface in surfaces]
    assert together.tolist() == pytest.approx(alone, rel=1e-9)


def test_fill_times_of_a_mode_that_fills_nothing_are_infinite() -> None:
    assert np.isinf(fill_times(demonstration(), "tap")).all()


def test_progress_is_told_and_ends_at_the_whole() -> None:
    told: list[float] = []
    fill(demonstration(), progress=told.append)
    assert told[-1] == 1.0
    assert told == sorted(told)


def test_a_line_that_only_drains_is_nothing_to_fill() -> None:
    rig = Rig(
        tanks={"high": Tank(volume=0.1, floor=2.0, depth=0.5), "low": Tank(volume=0.05, floor=0.0, depth=0.5)},
        outlets={"tap": Outlet(height=-1.0)},
        lines={
            "down": Line(start="high", end="low", parts=(HOSE,)),
            "out": Line(start="low", end="tap", parts=(Hose(length=3.0, bore=0.006),)),
        },
        modes={"filling": Mode(), "drawing": Mode(closed=("lines.down",))},
    )
    answer = fill(rig)
    high, low = answer.tanks
    assert (high.to_be_filled, low.to_be_filled) == (False, True)
    assert high.start_level == 0.5
    assert high.end_level < 0.5


def test_a_tank_that_levels_with_one_behind_a_float_valve_counts_as_full_with_it() -> None:
    rig = Rig(
        sources={"spring": Source(surface=3.2)},
        tanks={
            "upper": Tank(volume=0.12, floor=1.2, depth=0.6),
            "lower": Tank(volume=0.12, floor=1.2, depth=0.6, inlet="bottom"),
        },
        lines={
            "feed": Line(
                start="spring",
                end="upper",
                parts=(Hose(bore=0.0125, length=25.0), FloatValve(bore=0.0125, kv=1.5 / 3600.0, shut_level=0.55)),
            ),
            "balance": Line(start="upper", end="lower", parts=(Hose(bore=0.019, length=0.8),)),
        },
    )
    answer = fill(rig)
    assert (answer.ends, answer.spilled) == ("all full", 0.0)
    assert [tank.end_level for tank in answer.tanks] == pytest.approx([0.98 * 0.55] * 2, rel=2e-3)
