"""A joint that asks for water from a tank that has none to give is an answer: it runs dry, when and where is said."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from scipy.integrate import solve_ivp

from hydrokit.errors import NetworkError
from hydrokit.network import solve
from hydrokit.parts import DiaphragmPump, Hose, Joint, Outlet, Source, Tank
from hydrokit.rig import Line, Mode, Rig
from hydrokit.sheets import render
from hydrokit.studies import draw, fill

L_MIN = 1.0 / 60_000.0
EMPTY = Tank(volume=0.02, floor=1.0, depth=0.4, level=0.0)
PUMP = DiaphragmPump(name="pump", points=((0.0, 3e5), (10.0 * L_MIN, 0.0)), height=0.5)


def hose(bore: float = 0.019) -> Hose:
    return Hose(length=2.0, bore=bore)


def rig_of(demand: float, *, fed: bool = False, outlet: bool = False, **tank: Any) -> Rig:
    """A tank from which a trough asks for water; ``fed`` by a pump, with an ``outlet`` beside the trough."""
    lines = {"down": Line(start="tank", end="trough", parts=(hose(),))}
    if fed:
        lines["in"] = Line(start="pond", end="tank", parts=(hose(), PUMP, hose()))
    if outlet:
        lines["tap"] = Line(start="tank", end="tap", parts=(hose(0.0125),))
    return Rig(
        sources={"pond": Source(surface=0.0)} if fed else {},
        tanks={"tank": replace(EMPTY, **tank)},
        joints={"trough": Joint(height=0.2, demand=demand * L_MIN)},
        outlets={"tap": Outlet(height=0.3)} if outlet else {},
        lines=lines,
        modes={"all": Mode()},
    )


def told(answer: Any) -> str:
    return " ".join(render(answer).split())


@pytest.mark.parametrize("inlet", ["top", "bottom"])
@pytest.mark.parametrize("outlet_height", [None, 1.05])
@pytest.mark.parametrize("ask", [fill, draw])
def test_a_tank_stated_empty_is_dry_from_the_start(ask: Any, inlet: str, outlet_height: float | None) -> None:
    answer = ask(rig_of(2.0, inlet=inlet, outlet_height=outlet_height), "all")
    assert (answer.ends, answer.lacking, answer.followed_for) == ("runs dry", ("trough",), 0.0)
    assert "joint trough no longer gets the water that it asks for" in told(answer)
    assert "limits are judged with tank tank half full, which has no water to give at the start" in told(answer)


def test_limits_are_judged_at_the_stated_level_where_that_gives_water() -> None:
    assert "no water to give" not in told(fill(rig_of(2.0, level=0.1), "all"))
    assert "no water to give" not in told(fill(rig_of(0.0, level=0.0, fed=True), "all"))


def test_an_empty_level_may_be_given_with_the_question_or_by_the_mode() -> None:
    rig = rig_of(2.0, level=0.3)
    assert draw(rig, "all", changed={"tanks.tank.level": 0.0}).followed_for == 0.0
    by_mode = replace(rig, modes={"all": Mode(values={"tanks.tank.level": 0.0})})
    assert fill(by_mode, "all").ends == "runs dry"


@pytest.mark.parametrize("outlet", [False, True])
def test_draw_finds_the_mode_in_which_a_joint_asks(outlet: bool) -> None:
    rig = replace(rig_of(2.0, outlet=outlet), modes={"shut": Mode(closed=("lines.down",)), "open": Mode()})
    rig = replace(rig, joints={"trough": Joint(height=0.2)})
    rig = replace(rig, modes={**rig.modes, "open": Mode(values={"joints.trough.demand": 2.0 * L_MIN})})
    answer = draw(rig)
    assert (answer.mode, answer.ends, answer.lacking) == ("open", "runs dry", ("trough",))


def test_a_full_tank_lasts_as_long_as_the_joint_takes_to_empty_it() -> None:
    answer = draw(rig_of(2.0, level=0.4))
    assert answer.empty_after == pytest.approx((0.02 - 1e-3 * 0.05) / (2.0 * L_MIN), rel=1e-9)  # to a millimetre


@pytest.mark.parametrize("inlet", ["top", "bottom"])
def test_a_demand_does_not_suck_at_the_pump_through_a_dry_tank(inlet: str) -> None:
    """Air lies on the water of a tank: it gets what the pump brings against that, and the trough no more.

    Against scipy's solve_ivp: what comes in is the pump's flow against water at the level of the moment.
    """
    rig = rig_of(20.0, fed=True, inlet=inlet, level=0.2)

    def change(_: float, volume: Any) -> list[float]:
        level = {"tanks.tank.level": max(float(volume[0]) / 0.05, 1e-9)}
        return [float(solve(rig, "all", level).flow("in")[0]) - 20.0 * L_MIN]

    def dry(_: float, volume: Any) -> float:
        return float(volume[0])

    dry.terminal = True  # type: ignore[attr-defined]
    path = solve_ivp(change, (0.0, 1000.0), [0.01], events=dry, rtol=1e-8, atol=1e-12)
    answer = fill(rig, "all")
    assert (answer.ends, answer.lacking) == ("runs dry", ("trough",))
    assert answer.followed_for == pytest.approx(path.t_events[0][0], rel=1e-5)


@pytest.mark.parametrize("inlet", ["top", "bottom"])
def test_an_empty_tank_fills_where_more_comes_than_is_asked(inlet: str) -> None:
    answer = fill(rig_of(2.0, fed=True, inlet=inlet), "all")
    assert (answer.ends, answer.lacking) == ("all full", ())


def test_what_no_open_line_could_ever_bring_is_still_a_mistake() -> None:
    shut = replace(rig_of(2.0), modes={"shut": Mode(closed=("lines.down",))})
    for ask in (fill, draw):
        with pytest.raises(NetworkError, match=r"joints\.trough\.demand"):
            ask(shut, "shut")


def test_a_dry_tank_that_passes_on_less_and_less_ends_it_when_that_is_too_little() -> None:
    """One tank falls into another that stands dry above a trough and a tap; against scipy's solve_ivp."""

    def bare(length: float) -> tuple[Hose]:
        return (Hose(length=length, bore=0.008),)

    lower = Tank(volume=0.0625, floor=2.0, depth=0.25, level=0.0)
    rig = Rig(
        tanks={"lower": lower, "upper": Tank(volume=0.0625, floor=2.0, depth=0.5)},
        outlets={"tap": Outlet(height=0.0)},
        joints={"trough": Joint(height=0.2, demand=0.2 * L_MIN)},
        lines={
            "down": Line(start="lower", end="trough", parts=bare(1.0)),
            "across": Line(start="upper", end="lower", parts=bare(1.0)),
            "tap": Line(start="lower", end="tap", parts=bare(1.0)),
        },
    )

    def passed(volume: float) -> float:
        levels = {"tanks.upper.level": volume / 0.125, "tanks.lower.level": 0.1}
        return float(solve(rig, None, levels).flow("across")[0])

    def too_little(_: float, volume: Any) -> float:
        return passed(float(volume[0])) - 0.2 * L_MIN

    too_little.terminal = True  # type: ignore[attr-defined]
    path = solve_ivp(
        lambda _, volume: [-passed(float(volume[0]))], (0.0, 3000.0), [0.0625], events=too_little, rtol=1e-8, atol=1e-12
    )
    answer = fill(rig)
    assert (answer.ends, answer.lacking) == ("runs dry", ("trough",))
    assert answer.followed_for == pytest.approx(path.t_events[0][0], rel=1e-3)  # the accuracy that times have
    assert answer.imbalance < 1e-12
