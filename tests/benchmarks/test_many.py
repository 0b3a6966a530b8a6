"""A batch of 20,000 variants of the demonstration rig, off its battery as the script knows none."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.network import build_plan, solve_plan

if TYPE_CHECKING:
    from hydrokit.network import Plan
    from hydrokit.rig import Rig

VARIANTS = 20_000
MODE = "filling"
pytestmark = pytest.mark.slow


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
def batch(rig: Rig) -> Plan:
    return build_plan(rig, MODE, variation())


def test_compile_a_batch(timed, rig: Rig) -> None:
    assert timed("compile batch", build_plan, rig, MODE, variation(), rounds=3).variants == VARIANTS


@pytest.mark.usefixtures("plain")
def test_solve_a_batch(timed, batch: Plan) -> None:
    assert_closed(timed("batch", solve_plan, batch, rounds=7))


@pytest.mark.usefixtures("fast")
def test_solve_a_batch_compiled(timed, batch: Plan) -> None:
    assert_closed(timed("batch compiled", solve_plan, batch, rounds=15))


def assert_closed(solution: Any) -> None:
    assert solution.flows.energy_residual.max() <= 1e-9
    assert solution.flows.mass_residual.max() <= 1e-9
