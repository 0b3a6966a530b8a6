"""Grids from 49 to 10,000 joints, beside what scipy does with the same equations at the sizes that it can."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from fluids.friction import friction_factor
from scipy.optimize import newton_krylov, root

from hydrokit.network import build_plan, solve_plan
from hydrokit.parts import Hose, Joint, Source
from hydrokit.rig import Line, Rig

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.network import Plan

G = 9.80665
pytestmark = pytest.mark.slow


def grid(side: int) -> Rig:
    """Return side x side joints, each drawing a little, joined to their neighbours, with a source at two corners."""
    random = np.random.default_rng(side)

    def hose() -> tuple[Hose, ...]:
        return (Hose(length=float(random.uniform(5.0, 50.0)), bore=float(random.uniform(0.05, 0.3))),)

    lines = {
        "in-first": Line(start="first", end="0-0", parts=(Hose(length=5.0, bore=0.5),)),
        "in-second": Line(start="second", end=f"{side - 1}-{side - 1}", parts=(Hose(length=5.0, bore=0.5),)),
    }
    for row in range(side):
        for column in range(side):
            if column + 1 < side:
                lines[f"east-{row}-{column}"] = Line(start=f"{row}-{column}", end=f"{row}-{column + 1}", parts=hose())
            if row + 1 < side:
                lines[f"south-{row}-{column}"] = Line(start=f"{row}-{column}", end=f"{row + 1}-{column}", parts=hose())
    return Rig(
        sources={"first": Source(surface=60.0), "second": Source(surface=55.0)},
        joints={
            f"{row}-{column}": Joint(demand=float(random.uniform(0.0, 1e-1)) / side**2)
            for row in range(side)
            for column in range(side)
        },
        lines=lines,
    )


@cache
def plan_of(side: int) -> Plan:
    return build_plan(grid(side))


@pytest.mark.usefixtures("plain")
@pytest.mark.parametrize("side", [7, 10, 32, 100])
def test_a_grid(timed, side: int) -> None:
    solution = timed(f"grid {side}", solve_plan, plan_of(side), rounds=3 if side > 10 else None)
    assert solution.flows.energy_residual[0] <= 1e-9
    assert solution.flows.mass_residual[0] <= 1e-9


def script(side: int) -> tuple[Callable[[Any], Any], Any]:
    """Return what is wrong with flows (in L/s) and heads, written with fluids and numpy, and a plain guess at them."""
    plan, rig = plan_of(side), grid(side)
    lines, place = list(rig.lines.values()), {name: number for number, name in enumerate(rig.joints)}
    start = np.array([place.get(line.start, -1) for line in lines])
    end = np.array([place[line.end] for line in lines])
    stated = np.array([rig.sources[line.start].surface if line.start in rig.sources else 0.0 for line in lines])
    hoses: list[Any] = [line.parts[0] for line in lines]
    bore, length = np.array([hose.bore for hose in hoses]), np.array([hose.length for hose in hoses])
    rough = (np.array([hose.wall_roughness for hose in hoses]) / bore).tolist()
    area, viscosity = np.pi * bore**2 / 4.0, float(plan.conditions.kinematic_viscosity)
    entrance = np.where(start < 0, 0.5, 0.0)
    demand = np.array([joint.demand for joint in rig.joints.values()])
    into = np.zeros((len(place), len(lines)))
    into[end, np.arange(len(lines))] += 1.0
    into[start[start >= 0], np.flatnonzero(start >= 0)] -= 1.0

    def wrong(unknown: Any) -> Any:
        flow, head = unknown[: len(lines)] * 1e-3, unknown[len(lines) :]
        speed = np.abs(flow) / area
        numbers = (speed * bore / viscosity).tolist()
        factors = np.array(
            [friction_factor(Re=max(number, 1e-9), eD=wall) for number, wall in zip(numbers, rough, strict=True)]
        )
        loss = np.sign(flow) * (factors * length / bore + entrance) * speed**2 / (2.0 * G)
        before = np.where(start >= 0, head[start], stated)
        return np.concatenate([before - head[end] - loss, (into @ flow - demand) * 1e3])

    return wrong, np.concatenate([np.full(len(lines), 0.5), np.full(len(place), 55.0)])


@pytest.mark.parametrize("side", [7, 10])
def test_scipy_root(timed, side: int) -> None:
    wrong, guess = script(side)
    found = timed(f"root {side}", root, wrong, guess, rounds=1).x
    assert_near(side, found)


def test_scipy_newton_krylov(timed) -> None:
    wrong, guess = script(7)
    found = timed("krylov 7", lambda: newton_krylov(wrong, guess, f_tol=1e-8, maxiter=200), rounds=1)
    assert_near(7, found)


def assert_near(side: int, found: Any) -> None:
    """The script leaps from laminar to turbulent where hydrokit bridges: heads agree to a hundredth of what is lost."""
    head = solve_plan(plan_of(side)).flows.head[0]
    assert np.abs(found[-len(head) :] - head).max() <= 0.02 * (60.0 - head.min())
