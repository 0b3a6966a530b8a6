"""``draw``: what comes out, for how long, how much is usable, and which mode is taken."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from hydrokit.errors import InputError
from hydrokit.files import demonstration, read_rig
from hydrokit.network import solve
from hydrokit.parts import DiaphragmPump, Hose, Outlet, Tank, Valve
from hydrokit.rig import Line, Rig
from hydrokit.studies.drawing import draw

LPM = 1.0 / 60_000.0
DAY = 86_400.0


@pytest.fixture(scope="module")
def demonstrated():
    return draw(demonstration(), use=30e-3 / DAY, persons=2)


def test_the_first_mode_that_draws_is_taken_and_told(demonstrated) -> None:
    assert (demonstrated.mode, demonstrated.mode_chosen) == ("tap", True)
    assert not draw(demonstration(), "tap").mode_chosen


def test_a_named_mode_that_draws_nothing_is_answered_as_such() -> None:
    answer = draw(demonstration(), "filling", time_limit=60.0)
    assert (answer.first_flow, answer.usable, answer.empty_after) == (0.0, 0.0, None)


def test_rigs_that_cannot_draw_say_so(ten_rigs: dict[str, Rig]) -> None:
    for name in ("hand check", "looped", "centrifugal"):
        with pytest.raises(InputError, match="none that draws from the tanks"):
            draw(ten_rigs[name])


FILLED = """
format = 1
[sources.river]
surface = "0 m"
[tanks.tap]
volume = "60 L"
floor = "1 m"
depth = "0.4 m"
[lines.up]
from = "river"
to = "tap"
parts = [{ part = "hose", bore = "19 mm", length = "6 m" }, { use = "diaphragm-pump-11", height = "1.2 m" }]
"""
OUTLET = '[outlets.spout]\nheight = "5 m"\n'
DOWN = '[lines.down]\nfrom = "tap"\nto = "spout"\nparts = [{ part = "hose", bore = "12.5 mm", length = "1 m" }]\n'


@pytest.mark.parametrize(
    ("more", "instead"),
    [
        ("", "[outlets.tap-2] with a height, and a line from tap to tap-2"),  # a tank is called tap here
        (OUTLET + DOWN, '[modes.drawing] closed = ["lines.up"]'),
        (
            OUTLET + DOWN + '[modes.drawing]\nclosed = ["lines.up"]\n',
            "spout lower than the water of tap, or a pump in line down",
        ),
    ],
)
def test_what_to_write_is_made_of_the_names_of_the_rig(more: str, instead: str) -> None:
    rig = read_rig(FILLED + more)
    with pytest.raises(InputError) as caught:
        draw(rig)
    (mistake,) = caught.value.mistakes
    assert mistake.instead == instead


def test_a_rig_without_tanks_is_told_to_have_one() -> None:
    rig = read_rig(FILLED[: FILLED.index("[tanks.tap]")] + OUTLET + DOWN.replace('"tap"', '"river"'))
    with pytest.raises(InputError, match=r"write \[tanks.tank\] with volume, floor and depth"):
        draw(rig)


def test_usable_litres_stand_above_the_outlets(demonstrated) -> None:
    for tank in demonstrated.tanks:
        assert tank.outlet_level == pytest.approx(0.03)
        assert tank.usable == pytest.approx(0.06 * 0.42 / 0.45)
    assert demonstrated.usable == pytest.approx(0.112)
    assert demonstrated.days == pytest.approx(0.112 / (60e-3 / DAY))


def test_what_is_delivered_has_left_the_tanks(demonstrated) -> None:
    lost = sum(tank.usable + 0.03 * 0.06 / 0.45 - tank.end_volume for tank in demonstrated.tanks)
    assert demonstrated.delivered == pytest.approx(lost, rel=1e-12)
    assert demonstrated.imbalance < 1e-12


def test_the_flow_at_both_ends_is_that_of_a_steady_solve(demonstrated) -> None:
    rig = demonstration()
    full = {f"tanks.{name}.level": 0.45 for name in rig.tanks}
    assert demonstrated.first_flow == pytest.approx(float(solve(rig, "tap", full).flow("to-tap")[0]), rel=1e-9)
    near, far = (tank.end_level for tank in demonstrated.tanks)
    last = {"tanks.near.level": near - 1e-6, "tanks.far.level": far}  # near stands at its outlet and gives no more
    assert demonstrated.last_flow == pytest.approx(float(solve(rig, "tap", last).flow("to-tap")[0]), rel=1e-6)


def test_the_flow_falls_with_the_level(ten_rigs: dict[str, Rig]) -> None:
    rig = ten_rigs["gravity"]
    answer = draw(rig)
    flows, levels = np.array(answer.outlets[0].flows), np.array(answer.tanks[0].levels)
    assert np.all(np.diff(flows) < 0.0)
    for place in range(0, len(flows), 12):
        steady = solve(rig, variation={"tanks.high.level": float(levels[place])}).flow("down")[0]
        assert flows[place] == pytest.approx(float(steady), rel=1e-3)


def test_the_time_to_empty_is_the_integral_of_area_over_flow(ten_rigs: dict[str, Rig]) -> None:
    """dt = -A dh / Q(h), by Simpson's rule on steady solves."""
    from scipy.integrate import simpson

    rig = ten_rigs["gravity"]
    levels = np.linspace(1e-3, 0.5, 201)
    flow = solve(rig, variation={"tanks.high.level": levels}).flow("down")
    assert draw(rig).empty_after == pytest.approx(float(simpson(0.2 / 0.6 / flow, x=levels)), rel=1e-5)


def test_a_tray_shallower_than_two_millimetres_is_empty_when_half_of_it_is_gone() -> None:
    tray = Rig(
        tanks={"tray": Tank(volume=1e-3, floor=1.0, depth=1e-3)},
        outlets={"tap": Outlet(height=0.0)},
        lines={"down": Line(start="tray", end="tap", parts=(Hose(bore=0.008, length=1.0),))},
    )
    answer = draw(tray)
    assert answer.ends == "empty"
    assert answer.tanks[0].end_level == pytest.approx(0.5e-3, rel=1e-6)
    assert answer.delivered == pytest.approx(0.5e-3, rel=1e-6)


def test_which_tank_is_empty_first(demonstrated) -> None:
    near, far = demonstrated.tanks
    assert (demonstrated.first_empty, demonstrated.first_empty_after) == ("near", near.empty_after)
    assert demonstrated.empty_after == far.empty_after > near.empty_after


def test_stated_levels_are_where_the_tanks_start(demonstrated) -> None:
    half = draw(demonstration(), changed={"tanks.near.level": 0.24, "tanks.far.level": 0.24})
    assert half.usable == pytest.approx(0.5 * demonstrated.usable)
    assert not any(" full" in told and "start" in told for told in half.trust.assumed)
    assert "tanks near and far start full" in demonstrated.trust.assumed


def _throttled() -> Rig:
    pump = DiaphragmPump(name="pump", points=((0.0, 3e5), (8 * LPM, 0.0)), height=0.5, cut_in=0.8e5, cut_out=1.2e5)
    return Rig(
        tanks={"tank": Tank(volume=0.06, floor=0.6, depth=0.45)},
        outlets={"tap": Outlet(height=1.0)},
        lines={
            "out": Line(
                start="tank",
                end="tap",
                parts=(Hose(bore=0.01, length=1.0), pump, Hose(bore=0.01, length=2.0), Valve(bore=0.0022)),
            )
        },
    )


def test_a_pump_that_its_switch_stops_by_turns_is_told(demonstrated) -> None:
    assert draw(_throttled()).hunts
    assert not demonstrated.hunts


def test_a_tank_above_the_others_is_emptied_and_the_lower_one_too() -> None:
    rig = Rig(
        tanks={
            "upper": Tank(volume=0.02, floor=2.0, depth=0.3),
            "lower": Tank(volume=0.02, floor=1.0, depth=0.3, outlet_height=1.05),
        },
        outlets={"tap": Outlet(height=0.2)},
        lines={
            "down": Line(start="upper", end="lower", parts=(Hose(bore=0.008, length=1.0),)),
            "out": Line(start="lower", end="tap", parts=(Hose(bore=0.01, length=1.0),)),
        },
    )
    answer = draw(rig)
    assert answer.ends == "empty"
    assert {tank.tank: tank.drawn_from for tank in answer.tanks} == {"upper": True, "lower": True}
    lost = 0.04 - sum(tank.end_volume for tank in answer.tanks)
    assert answer.delivered + answer.spilled == pytest.approx(lost, rel=1e-9)


def test_the_time_limit_leaves_water_behind() -> None:
    answer = draw(demonstration(), time_limit=60.0)
    assert (answer.ends, answer.empty_after, answer.followed_for) == ("time is up", None, 60.0)


def test_mistakes_name_what_is_wrong() -> None:
    for wrong in ({"use": -1.0}, {"persons": 0.0}, {"time_limit": 0.0}):
        with pytest.raises(InputError, match=next(iter(wrong))):
            draw(demonstration(), **wrong)
    with pytest.raises(InputError, match=r"down_to\.nere: found no such tank"):
        draw(demonstration(), down_to={"nere": 0.1})


def test_the_answer_goes_into_json_and_frames(demonstrated) -> None:
    data = json.loads(demonstrated.to_json())
    assert data["question"] == "draw"
    assert data["empty_after"] == {"value": demonstrated.empty_after, "unit": "s"}
    assert demonstrated.to_frame()["tank"].tolist() == ["near", "far"]


def test_a_tank_without_a_way_out_is_not_drawn_from() -> None:
    rig = demonstration()
    answer = draw(
        replace(rig, modes={"tap": replace(rig.modes["tap"], closed=(*rig.modes["tap"].closed, "lines.from-far"))})
    )
    assert [tank.drawn_from for tank in answer.tanks] == [True, False]
    assert answer.usable == pytest.approx(0.056)


def _pair(upper_floor: float, *, mouth: float) -> Rig:
    """Two tanks joined at their floors; the tap is drawn from the second, 30 mm above its floor."""
    return Rig(
        tanks={
            "far": Tank(volume=0.12, floor=upper_floor, depth=0.6),
            "near": Tank(volume=0.12, floor=1.2, depth=0.6, inlet="bottom", outlet_height=1.23),
        },
        outlets={"tap": Outlet(height=mouth)},
        lines={
            "balance": Line(start="far", end="near", parts=(Hose(bore=0.019, length=0.8),)),
            "to-tap": Line(start="near", end="tap", parts=(Hose(bore=0.0125, length=3.0),)),
        },
    )


@pytest.mark.parametrize(
    ("upper_floor", "mouth", "left"),
    [(1.2, 0.8, (0.03, 0.03)), (1.5, 0.8, (0.0, 0.03)), (1.2, 1.4, (0.2, 0.2)), (1.0, 0.8, (0.23, 0.03))],
)
def test_a_tank_that_empties_through_another_comes_down_no_further(
    upper_floor: float, mouth: float, left: tuple[float, float]
) -> None:
    """Communicating vessels: both come down to the outlet of the one that is drawn from, or to the mouth of the tap."""
    answer = draw(_pair(upper_floor, mouth=mouth))
    assert answer.ends == "empty"
    assert [tank.outlet_level for tank in answer.tanks] == pytest.approx(left)
    assert [tank.end_level for tank in answer.tanks] == pytest.approx(left, abs=2e-3)
    usable = sum(0.2 * (tank.start_level - level) for tank, level in zip(answer.tanks, left, strict=True))
    assert answer.usable == pytest.approx(usable)
    lost = sum(0.2 * (tank.start_level - tank.end_level) for tank in answer.tanks)
    assert answer.delivered + answer.spilled == pytest.approx(lost, rel=1e-9)
    assert (answer.spilled > 0.0) == (upper_floor != 1.2)  # the higher brim runs the lower one over


def test_a_pump_draws_below_the_mouth_of_the_tap(demonstrated) -> None:
    assert demonstration().outlets["tap"].height > demonstration().tanks["near"].floor + 0.45
    assert demonstrated.ends == "empty"
