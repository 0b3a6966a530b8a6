"""Tanks draining and levelling, as worked out in textbooks."""

from __future__ import annotations

import numpy as np

from hydrokit.parts import Fitting, Hose, Outlet, Tank
from hydrokit.rig import Line, Rig
from hydrokit.studies import draw, fill


def round_area(bore):
    return np.pi / 4.0 * bore**2


def drained(parts: tuple, area: float, level: float) -> Rig:
    """A tank of some cross-section that stands at a level and empties through parts at its floor into the air."""
    tank = Tank(volume=2.0 * area * level, floor=0.0, depth=2.0 * level, level=level, entrance_k=0.0)
    return Rig(
        tanks={"tank": tank},
        outlets={"air": Outlet(height=0.0, exit_k=1.0)},
        lines={"out": Line(start="tank", end="air", parts=parts)},
    )


def orifice(area: float, discharge_coefficient: float, *, jet: float = 1.0) -> Fitting:
    """A hole whose jet has the given coefficient; ``jet`` velocity heads of it are counted where the water arrives."""
    return Fitting(bore=float(np.sqrt(4.0 * area / np.pi)), k=1.0 / discharge_coefficient**2 - jet)


def time_down(rig: Rig, level: float) -> float:
    return draw(rig, down_to={"tank": level}, time_limit=1e7).empty_after


def test_tank_cengel_5_2(published) -> None:
    """Cengel and Cimbala, example 5-2, p. 191: no loss, the jet at sqrt(2 g h)."""
    example = published("tank-cengel-5-2")
    hole = Fitting(bore=example.given("jet_bore"), k=0.0)
    rig = drained((hole,), round_area(example.given("tank_bore")), example.given("level_start"))
    example.agrees("time", time_down(rig, example.given("level_end")))


def test_tank_choudhary_6_17(published) -> None:
    """Choudhary and Prakash, example 6.17, p. 199: complete emptying through an orifice."""
    example = published("tank-choudhary-6-17")
    hole = orifice(round_area(example.given("hole_bore")), example.plain("discharge_coefficient"))
    rig = drained((hole,), round_area(example.given("tank_bore")), example.given("level_start"))
    example.agrees("time", time_down(rig, example.given("level_end")))


def test_tank_coulson_3_3(published) -> None:
    """Coulson and Richardson vol. 1, example 3.3, p. 71: draining through a long pipe."""
    example = published("tank-coulson-3-3")
    pipe = Hose(
        bore=example.given("pipe_bore"),
        length=example.given("pipe_length"),
        friction_factor=example.plain("darcy_friction_factor"),
    )
    assert example.plain("fixed_k") == 1.0  # the jet, which is the outlet's own
    rig = drained((pipe,), round_area(example.given("tank_bore")), example.given("level_start"))
    example.agrees("time", time_down(rig, example.given("level_end")))


def test_tank_paradise_7_1(published) -> None:
    """Paradise, example 7.1, p. 139."""
    example = published("tank-paradise-7-1")
    hole = orifice(round_area(example.given("hole_bore")), example.plain("discharge_coefficient"))
    rig = drained((hole,), round_area(example.given("tank_bore")), example.given("level_start"))
    example.agrees("time", time_down(rig, example.given("level_end")))


def test_tank_choudhary_6_18(published) -> None:
    """Choudhary and Prakash, example 6.18, p. 200."""
    example = published("tank-choudhary-6-18")
    hole = orifice(example.given("hole_area"), example.plain("discharge_coefficient"))
    rig = drained((hole,), example.given("tank_area"), example.given("level_start"))
    example.agrees("time", time_down(rig, example.given("level_end")))


def levelling(areas, difference: float, lines: dict[str, tuple], *, k: tuple[float, float]) -> Rig:
    """Two upright tanks, the first standing higher by a difference of levels; ``k`` at entrance and exit of each line."""
    depth = 2.0 * difference
    tanks = {
        name: Tank(
            volume=float(area * depth),
            floor=0.0,
            depth=depth,
            level=level,
            inlet="bottom",
            entrance_k=k[0],
            exit_k=k[1],
        )
        for name, area, level in zip(("high", "low"), areas, (1.5 * difference, 0.5 * difference), strict=True)
    }
    return Rig(tanks=tanks, lines={name: Line(start="high", end="low", parts=parts) for name, parts in lines.items()})


def test_twin_massey_7_6(published) -> None:
    """Massey and Ward-Smith, example 7.6, p. 286: two balance pipes side by side."""
    example = published("twin-massey-7-6")
    pipe = Hose(
        bore=example.given("pipe_bore"),
        length=example.given("pipe_length"),
        friction_factor=example.plain("darcy_friction_factor"),
    )
    pipes = {f"pipe-{number}": (pipe,) for number in range(example.plain("pipes"))}
    entrance = example.plain("fixed_k") - 1.0
    rig = levelling(
        round_area(example.given("tank_bores")), example.given("level_difference"), pipes, k=(entrance, 1.0)
    )
    answer = fill(rig, up_to={"low": rig.tanks["low"].depth}, time_limit=example.given("time"))
    high = next(tank for tank in answer.tanks if tank.tank == "high")
    example.agrees("fall_in_larger", high.start_level - high.end_level)


def test_twin_sarkar_4_8(published) -> None:
    """Sarkar, example 4.8, p. 88: time for a stated volume to pass."""
    example = published("twin-sarkar-4-8")
    areas, difference = example.given("tank_areas"), example.given("level_difference")
    hole = orifice(round_area(example.given("hole_bore")), example.plain("discharge_coefficient"), jet=0.0)
    rig = levelling(areas, difference, {"hole": (hole,)}, k=(0.0, 0.0))
    down = 1.5 * difference - example.given("volume") / areas[0]
    example.agrees("time", draw(rig, down_to={"high": down}).empty_after)


def test_twin_lal_3_11(published) -> None:
    """Lal, example 3.11, p. 89: time until the difference of levels has come down."""
    example = published("twin-lal-3-11")
    areas, difference = example.given("tank_areas"), example.given("level_difference")
    hole = orifice(example.given("hole_area"), example.plain("discharge_coefficient"), jet=0.0)
    rig = levelling(areas, difference, {"hole": (hole,)}, k=(0.0, 0.0))
    passed = (difference - example.given("level_difference_end")) / (1.0 / areas[0] + 1.0 / areas[1])
    example.agrees("time", draw(rig, down_to={"high": 1.5 * difference - passed / areas[0]}).empty_after)
