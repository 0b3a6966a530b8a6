"""A batch of 20,000 variants of the demonstration rig, and grids from 100 to 10,000 joints."""

from __future__ import annotations

from math import log
from time import perf_counter
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.files import demonstration
from hydrokit.network import build_plan, solve_plan
from hydrokit.parts import Hose, Joint, Source
from hydrokit.rig import Line, Rig

if TYPE_CHECKING:
    from hydrokit.network import Plan

VARIANTS = 20_000
MODE = "filling"


def variation() -> dict[str, Any]:
    random = np.random.default_rng(20_000)
    ranges = {
        "lines.intake.suction-hose.bore": (0.010, 0.030),
        "lines.intake.delivery-hose.bore": (0.008, 0.020),
        "lines.intake.carbon.loading": (0.0, 1.0),
        "site.water_temperature": (274.0, 300.0),
        "sources.pond.surface": (-2.0, 0.0),
    }
    return {address: random.uniform(*limits, VARIANTS) for address, limits in ranges.items()}


@pytest.fixture(scope="module")
def batch() -> Plan:
    return build_plan(demonstration(), MODE, variation())


@pytest.mark.slow
def test_compile_a_batch(benchmark) -> None:
    plan = benchmark.pedantic(build_plan, (demonstration(), MODE, variation()), rounds=3)
    assert plan.variants == VARIANTS


@pytest.mark.slow
def test_solve_a_batch(benchmark, batch: Plan) -> None:
    solution = benchmark.pedantic(solve_plan, (batch,), rounds=3)
    assert solution.flows.energy_residual.max() <= 1e-9
    assert solution.flows.mass_residual.max() <= 1e-9


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


@pytest.mark.slow
@pytest.mark.parametrize("side", [10, 32, 100])
def test_a_grid(benchmark, side: int) -> None:
    plan = build_plan(grid(side))
    solution = benchmark.pedantic(solve_plan, (plan,), rounds=3)
    assert solution.flows.energy_residual[0] <= 1e-9
    assert solution.flows.mass_residual[0] <= 1e-9


@pytest.mark.slow
def test_growth_with_size(capsys: pytest.CaptureFixture[str]) -> None:
    times = {}
    for side in (10, 32, 100):
        plan = build_plan(grid(side))
        begun = perf_counter()
        steps = int(solve_plan(plan).flows.steps[0])
        times[side * side] = perf_counter() - begun, steps
    power = log(times[10_000][0] / times[100][0]) / log(100.0)
    told = ", ".join(
        f"{joints} joints {spent * 1e3:.0f} ms in {steps} steps" for joints, (spent, steps) in times.items()
    )
    with capsys.disabled():
        print(f"\ngrids: {told}; time grows as size to the power {power:.2f}")  # noqa: T201
