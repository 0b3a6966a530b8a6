"""The surge when a tap or valve is shut, against the ratings of what feels it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.answers import Verdict
from hydrokit.files import demonstration
from hydrokit.network import solve
from hydrokit.parts import FloatValve, Hose, Outlet, Source, Tank, Valve
from hydrokit.rig import Line, Rig, Site, replaced
from hydrokit.rules import State, judge, margins
from hydrokit.rules.surging import hose_wave_speed, stopped_by

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.parts import DiaphragmPump

RULE, VALVE = "surge when shut", "lines.down.valve"
RHO, G = 998.2, 9.80665
BAR = 1e5


def main_to_tap(*parts: Any, valve: Valve | None = None, **more: Any) -> Rig:
    """Return a main of 2 bar, hoses and a valve at an open end."""
    closer = Valve(name="valve", bore=0.01, pattern="ball", pressure_rating=16 * BAR) if valve is None else valve
    given: dict[str, Any] = {
        "site": Site(water_temperature=293.15),
        "sources": {"main": Source(surface=0.0, pressure=2 * BAR)},
        "outlets": {"tap": Outlet(height=0.0)},
    }
    lines = {"down": Line(start="main", end="tap", parts=(*parts, closer))}
    return Rig(**{**given, **more}, lines=lines)


def rubber(length: float = 10.0, bore: float = 0.0125, rating: float = 10 * BAR, **more: Any) -> Hose:
    return Hose(length=length, bore=bore, pressure_rating=rating, **more)


def valve(**more: Any) -> Valve:
    return Valve(name="valve", bore=0.01, pattern="ball", pressure_rating=16 * BAR, **more)


def _speed(here: State) -> float:
    return float(here.solution.flow("down")[0] / (np.pi / 4 * 0.0125**2))


def test_shut_at_once_it_adds_what_joukowsky_says(state: Any, found: Any) -> None:
    rig = main_to_tap(rubber())
    finding, here = found(rig)[RULE, VALVE], state(rig)
    behind = here.outlet(next(at for at, each in enumerate(here.plan.elements) if isinstance(each.part, Hose)))
    before = here.walk.gauge_pressure[0, behind]
    assert finding.value == pytest.approx(before + RHO * 300.0 * _speed(here), rel=1e-4)  # 300 m/s: common practice


def test_shut_slowly_it_adds_less_by_the_rule_of_michaud(state: Any, found: Any) -> None:
    rig = main_to_tap(rubber(), valve=valve(closing_time=0.5))
    finding, here = found(rig)[RULE, VALVE], state(rig)
    sudden = found(main_to_tap(rubber()))[RULE, VALVE].value
    assert finding.value - (sudden - RHO * 300.0 * _speed(here)) == pytest.approx(
        2 * RHO * 10.0 * _speed(here) / 0.5, rel=1e-3
    )
    fast = found(main_to_tap(rubber(), valve=valve(closing_time=0.06)))[RULE, VALVE].value  # within 2 L / a = 0.067 s
    assert fast == pytest.approx(sudden)


def test_both_figures_are_told(found: Any) -> None:
    text = str(found(main_to_tap(rubber(), valve=valve(closing_time=0.5)))[RULE, VALVE].reason)
    assert "if shut within 66.7 ms" in text
    assert "in the 0.5 s it takes" in text
    assert "the hose of line down is rated for 10 bar" in text


@pytest.mark.parametrize("band", [0.05, 1e-4])
def test_a_float_valve_shuts_while_the_water_rises_through_its_band(state: Any, found: Any, band: float) -> None:
    closer: Any = FloatValve(name="valve", bore=0.0125, kv=2.0 / 3600.0, band=band, pressure_rating=16 * BAR)
    tank = Tank(volume=0.06, depth=0.4, floor=-0.2, level=0.1)
    rig = replace(main_to_tap(rubber(), valve=closer), tanks={"tap": tank}, outlets={})
    finding, here = found(rig)[RULE, VALVE], state(rig)
    time = band * 0.15 / here.solution.flow("down")[0]  # the tank is 0.15 m² in plan
    speed = _speed(here)
    hose = next(at for at, each in enumerate(here.plan.elements) if isinstance(each.part, Hose))
    rise = min(2 * RHO * 10.0 * speed / time, RHO * 300.0 * speed)
    assert finding.value == pytest.approx(here.walk.gauge_pressure[0, here.outlet(hose)] + rise, rel=1e-4)
    assert finding.verdict is (Verdict.HOLDS if band > 0.01 else Verdict.FAILS)
    assert ("Take a float valve that shuts more slowly" in str(finding.advice)) is (band < 0.01)


@pytest.mark.parametrize(("rating", "verdict"), [(20.0, "holds"), (14.0, "close"), (6.0, "fails")])
def test_it_is_judged_by_the_weakest_part_that_feels_it(found: Any, rating: float, verdict: str) -> None:
    rig = main_to_tap(rubber(rating=rating * BAR), valve=valve(closing_time=0.0))
    finding = found(rig)[RULE, VALVE]
    assert 13.0 * BAR < finding.value < 14.0 * BAR
    assert finding.verdict == verdict
    assert finding.limit == min(rating, 16.0) * BAR
    assert bool(finding.advice) == (verdict == "fails")


def test_without_a_closing_time_it_is_not_known_where_shutting_at_once_would_be_too_much(found: Any) -> None:
    finding = found(main_to_tap(rubber(rating=6 * BAR)))[RULE, VALVE]
    assert finding.verdict is Verdict.UNKNOWN
    assert "State the closing_time of the valve" in str(finding.advice)
    assert found(main_to_tap(rubber(rating=20 * BAR)))[RULE, VALVE].verdict is Verdict.HOLDS


def test_without_any_rating_it_is_not_known(found: Any) -> None:
    bare = replace(rubber(), pressure_rating=None)
    finding = found(main_to_tap(bare, valve=replace(valve(), pressure_rating=None)))[RULE, VALVE]
    assert finding.verdict is Verdict.UNKNOWN
    assert "pressure_rating" in str(finding.advice)


def test_the_wave_speed_is_as_stated_else_by_the_wall_else_by_the_material(state: Any) -> None:
    def speed(**more: Any) -> float:
        here = state(main_to_tap(rubber(**more)))
        return float(hose_wave_speed(here, next(e for e in here.plan.elements if isinstance(e.part, Hose))))

    assert speed(wave_speed=250.0) == 250.0
    stiff = RHO * 1482.34**2  # speed of sound in water at 20 °C: Del Grosso and Mader, 1972, from memory
    # by hand: sqrt(K / rho) / sqrt(1 + K D / (E e))
    assert speed(wall=0.003, wall_modulus=50e6) == pytest.approx(
        (stiff / RHO / (1 + stiff * 0.0125 / (50e6 * 0.003))) ** 0.5, rel=1e-4
    )
    assert speed(wall=0.003) == 300.0
    assert speed(material="copper") == 1300.0


def test_warmer_water_is_stiffer_and_its_wave_runs_faster(state: Any) -> None:
    rig = main_to_tap(rubber(material="copper", wall=0.001, wall_modulus=117e9))
    here = state(rig, changed={"site.water_temperature": np.array([278.15, 318.15])})
    speed = hose_wave_speed(here, next(e for e in here.plan.elements if isinstance(e.part, Hose)))
    # speed of sound at 5 and 45 °C: Del Grosso and Mader, 1972; density: Kell, 1975; both from memory
    sound, density = np.array([1426.16, 1536.41]), np.array([999.967, 990.213])
    by_hand = sound / (1 + density * sound**2 * 0.0125 / (117e9 * 0.001)) ** 0.5
    assert speed == pytest.approx(by_hand, rel=1e-4)


def test_water_in_a_wider_hose_counts_for_less(state: Any) -> None:
    rig = main_to_tap(rubber(length=8.0, bore=0.025), rubber(length=2.0), valve=valve(closing_time=1.0))
    here = state(rig)
    at = [here.plan.elements[index].address for index in here.own[0]].index(VALVE)
    stopped = stopped_by(here, 0, at, 1.0)
    assert stopped is not None
    # momentum by hand: 2 rho (L1 v1 + L2 v2) / t, v1 a quarter of v2
    assert stopped.slow[0] == pytest.approx(2 * RHO * (8.0 / 4.0 + 2.0) * _speed(here) / 1.0, rel=1e-4)
    assert stopped.back[0] == pytest.approx(2 * 10.0 / 300.0)


def test_the_wave_runs_through_joints_and_pumps_to_open_water_or_a_vessel(
    diaphragm: Callable[..., DiaphragmPump], state: Any
) -> None:
    def length(**more: Any) -> float:
        rig = Rig(
            sources={"pond": Source(surface=0.0)},
            outlets={"tap": Outlet(height=1.0)},
            lines={
                "draw": Line(start="pond", end="mid", parts=(rubber(length=3.0),)),
                "down": Line(
                    start="mid", end="tap", parts=(diaphragm(height=0.5, **more), rubber(length=2.0), valve())
                ),
            },
        )
        here = state(rig)
        at = [here.plan.elements[index].address for index in here.own[1]].index(VALVE)
        stopped = stopped_by(here, 1, at, None)
        assert stopped is not None
        return float(stopped.back[0]) * 300.0 / 2.0

    assert length() == pytest.approx(5.0)
    assert length(accumulator=1e-3, precharge=1e5) == pytest.approx(2.0)


def test_a_tap_at_the_end_counts_where_its_closing_time_is_stated(found: Any) -> None:
    def rig(**more: Any) -> Rig:
        drawn = main_to_tap(rubber(), outlets={"tap": Outlet(height=0.0, **more)})
        return replace(drawn, lines={"down": replace(drawn.lines["down"], parts=drawn.lines["down"].parts[:-1])})

    assert (RULE, "outlets.tap") not in found(rig())
    finding = found(rig(closing_time=0.0))[RULE, "outlets.tap"]
    assert finding.value > 10 * BAR
    assert finding.verdict is Verdict.FAILS
    assert "Take a tap that shuts more slowly" in str(finding.advice)


def test_a_valve_without_hose_before_it_stops_nothing(found: Any) -> None:
    rig = Rig(
        tanks={"high": Tank(volume=0.1, floor=2.0, depth=0.5)},
        outlets={"tap": Outlet(height=0.0)},
        lines={"down": Line(start="high", end="tap", parts=(valve(), rubber()))},
    )
    assert (RULE, VALVE) not in found(rig)


def test_a_valve_through_which_nothing_runs_is_asked_for_no_rating(found: Any) -> None:
    unrated = main_to_tap(replace(rubber(), pressure_rating=None), valve=replace(valve(), pressure_rating=None))
    assert found(unrated)[RULE, VALVE].verdict is Verdict.UNKNOWN
    dry = replace(unrated, sources={"main": Source(surface=-50.0)})
    assert (RULE, VALVE) not in found(dry)


def test_it_is_judged_at_the_highest_flow(found: Any) -> None:
    plain = main_to_tap(rubber(), valve=valve(closing_time=0.0))
    told = replace(plain, tolerances={"sources.main.surface": 5.0})
    assert found(told)[RULE, VALVE].value > found(plain)[RULE, VALVE].value + 0.3 * BAR


def test_ratings_and_vessels_that_differ_from_one_variant_to_the_next_are_judged_each_by_itself() -> None:
    rig, rating, vessel = demonstration(), "lines.to-tap.tap-valve.pressure_rating", "lines.to-tap.tap-pump.accumulator"
    ratings, vessels = np.array([4e5, 10e5, 12e5]), np.array([1e-3, 2e-3, 1e-3])
    together = margins(State(solve(rig, "tap", {rating: ratings, vessel: vessels})))[
        "surge when shut", "lines.to-tap.tap-valve"
    ]
    for row in range(3):
        own = replaced(rig, {rating: float(ratings[row]), vessel: float(vessels[row])})
        alone = margins(State(solve(own, "tap")))["surge when shut", "lines.to-tap.tap-valve"]
        assert together[row] == pytest.approx(float(alone[0]), rel=1e-9)
    assert together[0] < together[1]


def fed_from_two(**far: Any) -> Rig:
    """Return a tap behind a fork that a near main and a far one feed, whichever stands higher."""
    return Rig(
        site=Site(water_temperature=293.15),
        sources={"near": Source(surface=8.0), "far": Source(surface=8.0)},
        outlets={"tap": Outlet(height=0.0)},
        lines={
            "short": Line(start="near", end="fork", parts=(rubber(length=4.0),)),
            "long": Line(start="fork", end="far", parts=(rubber(length=40.0, **far),)),
            "down": Line(start="fork", end="tap", parts=(rubber(length=2.0), valve())),
        },
    )


def test_the_wave_runs_to_the_water_that_feeds_most_in_each_variant_for_itself(state: Any, found: Any) -> None:
    rig, surfaces = fed_from_two(rating=3 * BAR), np.array([30.0, 0.0])  # of the far one, against 8 m of the near
    here = state(rig, None, {"sources.far.surface": surfaces})
    stopped = stopped_by(here, 2, [here.plan.elements[index].address for index in here.own[2]].index(VALVE), None)
    assert stopped is not None
    assert stopped.back == pytest.approx([2 * 42.0 / 300.0, 2 * 6.0 / 300.0])
    limits = [
        finding.limit
        for row in (0, 1)
        for finding in judge(here, row)
        if (finding.rule, finding.place) == (RULE, VALVE)
    ]
    assert limits == [3 * BAR, 10 * BAR]
    for row, surface in enumerate(surfaces):
        alone = found(rig, None, {"sources.far.surface": float(surface)})[RULE, VALVE]
        assert alone.limit == limits[row]


def test_a_vessel_that_only_some_variants_have_stops_the_wave_in_those(
    diaphragm: Callable[..., DiaphragmPump], state: Any
) -> None:
    pump = diaphragm(height=0.5, accumulator=1e-3, precharge=1e5)
    parts = (rubber(length=3.0), pump, rubber(length=2.0), valve())
    rig = main_to_tap(*parts[:-1], valve=parts[-1])
    here = state(rig, None, {"lines.down.pump.accumulator": np.array([0.0, 1e-3])})
    at = [here.plan.elements[index].address for index in here.own[0]].index(VALVE)
    stopped = stopped_by(here, 0, at, None)
    assert stopped is not None
    assert stopped.back * 300.0 / 2.0 == pytest.approx([5.0, 2.0])


def test_where_only_one_way_states_a_rating_the_other_is_not_known(state: Any) -> None:
    lines = fed_from_two(rating=3 * BAR).lines
    bare = Hose(length=2.0, bore=0.0125)
    rig = replace(
        fed_from_two(),
        lines={
            "short": replace(lines["short"], parts=(bare,)),
            "long": lines["long"],
            "down": replace(lines["down"], parts=(bare, Valve(name="valve", bore=0.01))),
        },
    )
    here = state(rig, None, {"sources.far.surface": np.array([30.0, 0.0])})
    told = [[each for each in judge(here, row) if each.rule == RULE] for row in (0, 1)]
    assert [[each.limit for each in row] for row in told] == [[3 * BAR], [None]]
    assert "no part before it states what pressure it is rated for" in str(told[1][0].reason)


def test_where_water_stands_still_there_is_nothing_to_stop(found: Any) -> None:
    assert (RULE, VALVE) not in found(main_to_tap(rubber(), outlets={"tap": Outlet(height=30.0)}))  # 2 bar lift 20 m
