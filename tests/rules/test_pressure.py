"""Pressure against ratings, running and when every end is shut, and the heads at rest behind it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.answers import Verdict
from hydrokit.parts import Joint, NonReturnValve, Outlet, Source, Tank, Valve
from hydrokit.rig import Line, Mode, Rig, Site
from hydrokit.rules.resting import heads_at_rest
from hydrokit.water import water

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.parts import CentrifugalPump, DiaphragmPump, Hose
    from hydrokit.rules import State

    Rigs = Callable[..., Rig]

BAR, G = 1e5, 9.80665
WEIGHT = float(water(288.15).density) * G  # pascals a metre
RUNNING, SHUT = "pressure running", "pressure at shut-off"


def rest_at(state: State, address: str) -> float:
    """Return the head at rest behind a part, m."""
    index = next(at for at, each in enumerate(state.plan.elements) if each.address == address and each.part is not None)
    return float(heads_at_rest(state)[0, state.outlet(index)])


@pytest.mark.parametrize(("rating", "verdict"), [(2.0, "holds"), (1.05, "close"), (0.8, "fails")])
def test_shut_off_is_the_head_of_the_pump_at_no_flow_on_top_of_the_water(
    pond_rig: Rigs,
    centrifugal: Callable[..., CentrifugalPump],
    hose: Callable[..., Hose],
    found: Any,
    rating: float,
    verdict: str,
) -> None:
    rig = pond_rig(centrifugal(), after=(hose("up", pressure_rating=rating * BAR),), height=2.0, lip=5.0)
    finding = found(rig)[SHUT, "lines.intake.up"]
    assert finding.value == pytest.approx((12.0 - 2.0) * WEIGHT)  # 12 m above the pond, seen at the pump's height
    assert finding.verdict == verdict
    assert finding.value > found(rig)[RUNNING, "lines.intake.up"].value


def test_a_part_without_a_rating_is_not_known_where_it_sees_more_than_a_fifth_of_a_bar(
    pond_rig: Rigs, centrifugal: Callable[..., CentrifugalPump], hose: Callable[..., Hose], found: Any
) -> None:
    rig = pond_rig(centrifugal(), after=(hose("up", pressure_rating=None),), height=2.0, lip=5.0)
    finding = found(rig)[SHUT, "lines.intake.up"]
    assert finding.verdict is Verdict.UNKNOWN
    assert str(finding.reason) == "Cannot be judged without the pressure_rating of the part."
    low = pond_rig(
        centrifugal(heads=((0.0, 1.5), (1e-3, 0.0))), after=(hose("up", pressure_rating=None),), height=0.0, lip=1.0
    )
    assert (SHUT, "lines.intake.up") not in found(low)


def test_a_switch_stops_the_pump_before_its_curve_does(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose], found: Any
) -> None:
    rig = pond_rig(diaphragm(), after=(hose("up"),), height=2.0, lip=2.0)
    assert found(rig)[SHUT, "lines.intake.up"].value == pytest.approx(2.8 * BAR)
    bare = pond_rig(diaphragm(cut_in=None, cut_out=None), after=(hose("up"),), height=2.0, lip=2.0)
    # 11.3 L/min at nothing and 5.3 at 2.8 bar: 5.27 bar at no flow, along the straight
    expected = 2.8 * BAR * 11.3 / 6.0 - 2.0 * WEIGHT
    assert found(bare)[SHUT, "lines.intake.up"].value == pytest.approx(expected)


def test_the_lowest_place_of_a_part_sees_most(
    pond_rig: Rigs, centrifugal: Callable[..., CentrifugalPump], hose: Callable[..., Hose], found: Any
) -> None:
    rig = pond_rig(centrifugal(), after=(hose("down"), Valve(bore=0.019, height=0.0)), height=2.0, lip=1.0)
    assert found(rig)[SHUT, "lines.intake.down"].value == pytest.approx(12.0 * WEIGHT)


def in_series(pump: Callable[..., Any], hose: Callable[..., Hose], **second: Any) -> Rig:
    return Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={"tap": Outlet(height=2.0)},
        joints={"mid": Joint(height=0.0)},
        lines={
            "a": Line(start="pond", end="mid", parts=(hose("s"), replace(pump("one"), height=0.0), hose("m"))),
            "b": Line(start="mid", end="tap", parts=(replace(pump("two", **second), height=0.0), hose("e"))),
        },
    )


def test_pumps_one_after_the_other_add_up(
    centrifugal: Callable[..., CentrifugalPump], hose: Callable[..., Hose], state: Callable[..., State]
) -> None:
    here = state(in_series(centrifugal, hose))
    assert rest_at(here, "lines.a.s") == 0.0
    assert rest_at(here, "lines.a.m") == pytest.approx(12.0)
    assert rest_at(here, "lines.b.e") == pytest.approx(24.0)


def test_a_switch_does_not_take_away_what_comes_from_before(
    centrifugal: Callable[..., CentrifugalPump], hose: Callable[..., Hose], state: Callable[..., State]
) -> None:
    low = in_series(centrifugal, hose, cut_in=0.3 * BAR, cut_out=0.5 * BAR)  # below the 12 m that arrive
    assert rest_at(state(low), "lines.b.e") == pytest.approx(12.0)
    high = in_series(centrifugal, hose, cut_in=1.0 * BAR, cut_out=1.5 * BAR)
    assert rest_at(state(high), "lines.b.e") == pytest.approx(1.5 * BAR / WEIGHT)


def test_a_pump_in_a_circle_does_not_add_to_itself(
    centrifugal: Callable[..., CentrifugalPump], hose: Callable[..., Hose], state: Callable[..., State]
) -> None:
    rig = in_series(centrifugal, hose)
    round_it = Line(start="tee", end="mid", parts=(hose("r", bore=0.004),))
    lines = {
        **rig.lines,
        "b": replace(rig.lines["b"], end="tee"),
        "c": Line(start="tee", end="tap", parts=(hose("t"),)),
        "round": round_it,
    }
    here = state(replace(rig, lines=lines))
    assert rest_at(here, "lines.c.t") == pytest.approx(24.0)


def test_valves_let_head_forward_only_and_cost_what_opens_them(
    centrifugal: Callable[..., CentrifugalPump], hose: Callable[..., Hose], state: Callable[..., State]
) -> None:
    def rig(valve: Any) -> Rig:
        parts = (hose("low"), valve, hose("high"))
        return Rig(
            sources={"main": Source(surface=0.0, pressure=3.0 * BAR), "well": Source(surface=0.0)},
            outlets={"tap": Outlet(height=1.0)},
            lines={
                "one": Line(start="well", end="j", parts=parts),
                "two": Line(start="main", end="j", parts=(hose(),)),
                "out": Line(start="j", end="tap", parts=(hose("out"),)),
            },
        )

    high = 3.0 * BAR / WEIGHT
    assert rest_at(state(rig(NonReturnValve(bore=0.019))), "lines.one.low") == 0.0
    assert rest_at(state(rig(Valve(bore=0.019))), "lines.one.low") == pytest.approx(high)
    turned = Line(start="main", end="j", parts=(NonReturnValve(bore=0.019, cracking_pressure=20e3), hose("b")))
    cracked = rig(NonReturnValve(bore=0.019))
    here = state(replace(cracked, lines={**cracked.lines, "two": turned}))
    assert rest_at(here, "lines.out.out") == pytest.approx(high - 20e3 / WEIGHT)


def test_water_in_a_tank_presses_back_into_the_line_that_meets_it_from_below(
    hose: Callable[..., Hose], state: Callable[..., State]
) -> None:
    def rig(inlet: Any) -> Rig:
        return Rig(
            sources={"pond": Source(surface=6.0)},
            tanks={"t": Tank(volume=0.06, floor=7.0, depth=0.4, level=0.2, inlet=inlet)},
            lines={"up": Line(start="pond", end="t", parts=(hose("h"),))},
        )

    assert rest_at(state(rig("bottom")), "lines.up.h") == pytest.approx(7.2)
    assert rest_at(state(rig("top")), "lines.up.h") == pytest.approx(6.0)


def branched(hose: Callable[..., Hose], shut: tuple[Any, ...]) -> Rig:
    return Rig(
        sources={"main": Source(surface=0.0, pressure=3.0 * BAR)},
        outlets={"tap": Outlet(height=1.0), "hydrant": Outlet(height=1.0)},
        lines={
            "in": Line(start="main", end="j", parts=(hose(),)),
            "out": Line(start="j", end="tap", parts=(hose(),)),
            "spur": Line(start="j", end="hydrant", parts=shut),
        },
        modes={"shut": Mode(closed=("lines.spur",))},
    )


def test_a_line_that_is_shut_feels_pressure_up_to_its_valve(hose: Callable[..., Hose], found: Any) -> None:
    findings = found(
        branched(hose, (hose("before"), Valve(name="valve", bore=0.019, pressure_rating=2.0 * BAR), hose("behind")))
    )
    assert findings[SHUT, "lines.spur.before"].value == pytest.approx(3.0 * BAR)
    assert findings[SHUT, "lines.spur.valve"].verdict is Verdict.FAILS
    assert (SHUT, "lines.spur.behind") not in findings


def test_a_line_that_is_shut_by_no_valve_is_taken_to_feel_it_everywhere_but_lets_nothing_past(
    hose: Callable[..., Hose], found: Any
) -> None:
    rig = branched(hose, (hose("all"),))
    beyond = Line(start="hydrant", end="far", parts=(hose("beyond"),))
    rig = replace(
        rig, outlets={"tap": rig.outlets["tap"], "far": Outlet(height=1.0)}, lines={**rig.lines, "beyond": beyond}
    )
    findings = found(rig)
    assert findings[SHUT, "lines.spur.all"].value == pytest.approx(3.0 * BAR)
    assert (SHUT, "lines.beyond.beyond") not in findings


def test_a_pump_that_stands_still_blocks_or_lets_through(
    pond_rig: Rigs,
    centrifugal: Callable[..., CentrifugalPump],
    diaphragm: Callable[..., DiaphragmPump],
    hose: Callable[..., Hose],
    state: Callable[..., State],
) -> None:
    main = {"pond": Source(surface=0.0, pressure=3.0 * BAR)}
    modes = {"off": Mode(off=("lines.intake.pump",))}
    through, blocked = (
        state(pond_rig(pump, after=(hose("up"),), sources=main, modes=modes)) for pump in (centrifugal(), diaphragm())
    )
    assert rest_at(through, "lines.intake.up") == pytest.approx(3.0 * BAR / WEIGHT)
    assert rest_at(blocked, "lines.intake.up") == -np.inf


def test_running_pressure_is_that_in_the_moving_water(hose: Callable[..., Hose], found: Any) -> None:
    # water falls 5 m through a short wide hose: its head turns into speed, its pressure does not rise
    line = Line(start="high", end="low", parts=(hose("fall", bore=0.05, length=5.0),))
    rig = Rig(
        site=Site(), sources={"high": Source(surface=5.0)}, outlets={"low": Outlet(height=0.0)}, lines={"down": line}
    )
    findings = found(rig)
    assert (RUNNING, "lines.down.fall") not in findings or findings[
        RUNNING, "lines.down.fall"
    ].value < 0.3 * 5.0 * WEIGHT
    assert findings[SHUT, "lines.down.fall"].value == pytest.approx(5.0 * WEIGHT)


@pytest.mark.parametrize(("rating", "verdict"), [(10.0, "holds"), (0.55, "close"), (0.5, "fails")])
def test_running_pressure_against_its_rating(
    pond_rig: Rigs,
    centrifugal: Callable[..., CentrifugalPump],
    hose: Callable[..., Hose],
    found: Any,
    rating: float,
    verdict: str,
) -> None:
    rig = pond_rig(centrifugal(), after=(hose("up", pressure_rating=rating * BAR),), height=2.0, lip=7.0)
    finding = found(rig)[RUNNING, "lines.intake.up"]
    assert 0.5 * BAR < finding.value < 0.6 * BAR  # 5 m up and some friction
    assert finding.verdict == verdict
    if verdict == "fails":
        assert str(finding.reason).startswith("The up sees up to ")
        assert "fit a relief valve" in str(finding.advice)
