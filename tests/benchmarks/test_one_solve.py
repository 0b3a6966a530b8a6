"""One warm solve of the demonstration rig beside the script its builder would write: fsolve over fluids.

The script takes the same equations in their plainest form: flow in each of three lines and head at the split, friction
factors from fluids at every call, Crane's K from fluids once, the pump's two points as a straight line. Filters are
two coefficients each, worked out by hand from their data sheets as in the script's first lines.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from fluids.fittings import K_foot_valve_Crane, contraction_sharp, diffuser_sharp
from fluids.friction import friction_factor, ft_Crane
from scipy.optimize import fsolve, nnls

from hydrokit.files import demonstration
from hydrokit.network import build_plan, solve_plan
from hydrokit.network.walk import walk
from hydrokit.parts import Filter, Tank
from hydrokit.water import water

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.network import Plan
    from hydrokit.rig import Rig

G = 9.80665
MODE = "filling"
WALL = 1.5e-6  # m, drawn tubing


def filters_of(rig: Rig) -> tuple[float, float]:
    """Return drop per flow and per flow squared, in head, of all filters in the intake."""
    liquid, sheet = water(rig.site.water_temperature), water(293.15)
    weight = liquid.density * G
    linear = square = 0.0
    for part in rig.lines["intake"].parts:
        if isinstance(part, Filter):
            flow, drop = np.array(part.points).T
            parts = np.column_stack([flow / drop, flow**2 / drop])
            a, b = nnls(parts / parts.max(axis=0), np.ones(len(flow)))[0] / parts.max(axis=0)
            linear += a * liquid.viscosity / sheet.viscosity / weight
            square += b * liquid.density / sheet.density / weight
    return linear, square


def script(rig: Rig) -> Callable[[], Any]:
    """Return the builder's script, its constants worked out; it solves for three flows and the head at the split."""
    liquid = water(rig.site.water_temperature)
    viscosity, weight = float(liquid.viscosity / liquid.density), float(liquid.density * G)
    hose, suction, tail_15, tail_9, pump = 0.0125, 0.019, 0.015, 0.0095, 0.0125

    def area(bore: float) -> float:
        return math.pi * bore**2 / 4.0

    def per_square(k: float, bore: float) -> float:
        return k / (2.0 * G * area(bore) ** 2)

    def into(large: float, small: float) -> float:
        return per_square(contraction_sharp(large, small, method="Crane"), small)

    def out_of(small: float, large: float) -> float:
        return per_square(diffuser_sharp(small, large), small)

    linear, square = filters_of(rig)
    square += per_square(2.0, suction) + per_square(K_foot_valve_Crane(suction, style=1), suction)
    square += into(suction, tail_15) + into(tail_15, pump) + into(pump, tail_9)
    square += 2.0 * (out_of(tail_9, hose) + into(hose, tail_9))
    branch = per_square(60.0 * ft_Crane(tail_9), tail_9) + out_of(tail_9, hose) + per_square(1.0, hose)
    (open_flow, _), (end_flow, end_rise) = rig.lines["intake"].parts[4].points
    fall = end_rise / (open_flow - end_flow) / weight
    intake = [(6.0, suction), (0.04, tail_15), (0.03, tail_9), (1.2, hose), (0.03, tail_9), (0.03, tail_9), (1.6, hose), (0.03, tail_9)]  # fmt: skip
    near, far = ((rig.lines[line].parts[1].length, hose) for line in ("to-near", "to-far"))
    surface, lip = 0.0, 2.25

    def friction(flow: float, length: float, bore: float) -> float:
        speed = flow / area(bore)
        return friction_factor(Re=speed * bore / viscosity, eD=WALL / bore) * length / bore * speed**2 / (2.0 * G)

    def wrong(unknown: Any) -> list[float]:
        lifted, to_near, to_far, head = unknown
        rubbing = sum(friction(lifted, length, bore) for length, bore in intake)
        gained = fall * (open_flow - lifted)
        return [
            surface + gained - rubbing - linear * lifted - square * lifted**2 - head,
            head - friction(to_near, *near) - branch * to_near**2 - lip,
            head - friction(to_far, *far) - branch * to_far**2 - lip,
            (lifted - to_near - to_far) * 1e5,
        ]

    return lambda: fsolve(wrong, [1.5e-4, 8e-5, 7e-5, 3.0], xtol=1e-10)


@pytest.fixture(scope="module")
def plan(rig: Rig) -> Plan:
    return build_plan(rig, MODE)


def test_script_and_solver_agree(rig: Rig, plan: Plan) -> None:
    assert isinstance(rig.tanks["near"], Tank)
    lifted, to_near, to_far, head = script(rig)()
    solution = solve_plan(plan)
    found = [solution.flow(line)[0] for line in ("intake", "to-near", "to-far")]
    assert found == pytest.approx([lifted, to_near, to_far], rel=1e-6)
    assert solution.head("split")[0] == pytest.approx(head, rel=1e-6)


@pytest.mark.usefixtures("plain")
def test_one_warm_solve(timed, plan: Plan) -> None:
    assert timed("one solve", solve_plan, plan).flow("intake")[0] > 0.0


@pytest.mark.usefixtures("fast")
def test_one_warm_solve_compiled(timed, plan: Plan) -> None:
    assert timed("one solve compiled", solve_plan, plan).flow("intake")[0] > 0.0


@pytest.mark.usefixtures("plain")
def test_one_warm_solve_on_its_battery(timed) -> None:
    fed = build_plan(demonstration(), MODE)
    assert fed.pumps is not None
    assert fed.pumps.drives
    assert timed("one solve on battery", solve_plan, fed).flow("intake")[0] > 0.0


def test_the_script(timed, rig: Rig) -> None:
    assert timed("script", script(rig))[0] > 0.0


def test_compile(timed, rig: Rig) -> None:
    assert timed("compile", build_plan, rig, MODE).variants == 1


def test_walk(timed, plan: Plan) -> None:
    solution = solve_plan(plan)
    along = timed("walk", walk, plan, solution.flows.flow, solution.heads)
    assert np.isfinite(along.head[0, 0])
