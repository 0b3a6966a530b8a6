"""The compiled search by itself, without the other to fall back on: the same flows in the same steps."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.files import demonstration
from hydrokit.network import acceleration, build_plan, newton, search
from hydrokit.parts import Battery, CentrifugalPump, DiaphragmPump, FootValve, Hose, Outlet, Source, Tank
from hydrokit.rig import Line, Rig
from hydrokit.studies import fill

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from hydrokit.network import Plan
    from hydrokit.network.flows import Flows
    from hydrokit.parts import PoweredPump

pytestmark = pytest.mark.slow
LITRE_PER_MINUTE = 1.0 / 60_000.0
FED: dict[str, Any] = {"battery": "main", "cable_area": 1.5e-6, "cable_length": 12.0, "rated_voltage": 12.0}
# Invented motors whose windings take a good part of the voltage, with three currents each.
DIAPHRAGM = DiaphragmPump(
    name="pump",
    points=((0.0, 3.0e5), (5.3 * LITRE_PER_MINUTE, 2.4e5), (11.3 * LITRE_PER_MINUTE, 0.0)),
    currents=((11.3 * LITRE_PER_MINUTE, 4.2), (8.0 * LITRE_PER_MINUTE, 6.4), (5.3 * LITRE_PER_MINUTE, 7.6)),
    winding_resistance=0.35,
    **FED,
)
CENTRIFUGAL = CentrifugalPump(
    name="pump",
    heads=((0.0, 9.0), (20 * LITRE_PER_MINUTE, 7.0), (40 * LITRE_PER_MINUTE, 2.0), (48 * LITRE_PER_MINUTE, 0.0)),
    currents=((0.0, 3.0), (20 * LITRE_PER_MINUTE, 5.0), (40 * LITRE_PER_MINUTE, 6.5)),
    winding_resistance=0.4,
    **FED,
)


@pytest.fixture(autouse=True, scope="module")
def loaded() -> Iterator[None]:
    before = dict(acceleration._loaded)
    acceleration.speed_up()
    yield
    acceleration._loaded.clear()
    acceleration._loaded.update(before)


def by_both(plan: Plan) -> tuple[Flows, Flows]:
    one = acceleration.compiled(plan, search.spans(plan), search.least_flows(plan), search.highest_heads(plan))
    with acceleration.solving(compiled=False):
        return one, newton.solve_flows(plan)


def assert_the_same(plan: Plan, *, all_settle: bool = True) -> None:
    one, other = by_both(plan)
    rows = one.steps >= 0
    assert rows.all() or not all_settle
    if not rows.any():  # the unusual, all of it
        return
    largest = np.maximum(np.abs(other.flow).max(axis=1, keepdims=True), 1e-10)
    assert (np.abs(one.flow - other.flow)[rows] <= 1e-8 * largest[rows]).all()
    if all_settle:
        np.testing.assert_array_equal(one.steps, other.steps)
        np.testing.assert_array_equal(one.held, other.held)


def pumped(pump: PoweredPump) -> Rig:
    parts = (FootValve(bore=0.019), Hose(bore=0.019, length=3.0), pump, Hose(bore=0.0125, length=8.0))
    return Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={"end": Outlet(height=1.5)},
        batteries={"main": Battery(nominal_voltage=12.0, full_voltage=12.8, empty_voltage=11.6, inner_resistance=0.02)},
        lines={"line": Line(start="pond", end="end", parts=parts)},
    )


@pytest.mark.parametrize("changes", [{}, {"speed": 0.8, "contact_resistance": 0.05}])
@pytest.mark.parametrize("pump", [DIAPHRAGM, CENTRIFUGAL], ids=["diaphragm", "centrifugal"])
def test_motors_on_a_cable(pump: PoweredPump, changes: dict[str, Any]) -> None:
    random = np.random.default_rng(4)
    varied = {
        "batteries.main.charge": random.uniform(0.0, 1.0, 200),
        "sources.pond.surface": random.uniform(-6, 3, 200),
    }
    plan = build_plan(pumped(replace(pump, **changes)), None, varied)
    assert plan.pumps is not None
    assert {drive.kind for drive in plan.pumps.drives} <= {"displacement", "rotodynamic"}
    assert_the_same(plan)


@pytest.mark.parametrize("mode", list(demonstration().modes))
def test_demonstration_rig(mode: str) -> None:
    random = np.random.default_rng(5)
    varied = {
        "lines.intake.suction-hose.bore": random.uniform(0.010, 0.030, 200),
        "sources.pond.surface": random.uniform(-12.0, 2.0, 200),
        "batteries.main.charge": random.uniform(0.1, 1.0, 200),
    }
    assert_the_same(build_plan(demonstration(), mode, varied))


def test_random_networks(random_rig: Callable[..., Rig], varied: Callable[..., Any]) -> None:
    random = np.random.default_rng(32)
    for seed in range(100, 140):
        rig = random_rig(seed)
        plan = build_plan(rig, None, varied(rig, random, 10))
        if acceleration.accelerated(plan):
            assert_the_same(plan, all_settle=False)


def test_tanks_that_take_water_in(monkeypatch: pytest.MonkeyPatch) -> None:
    plans: list[Plan] = []
    watched_search = newton.compiled

    def watched(plan: Plan, *rest: Any) -> Flows:
        plans.append(plan)
        return watched_search(plan, *rest)

    monkeypatch.setattr(newton, "compiled", watched)
    rig = Rig(
        sources={"header": Source(surface=3.0)},
        tanks={name: Tank(volume=0.06, floor=1.0, depth=0.45, inlet="bottom") for name in ("near", "far")},
        lines={
            "feed": Line(start="header", end="near", parts=(Hose(bore=0.0125, length=8.0),)),
            "balance": Line(start="near", end="far", parts=(Hose(bore=0.025, length=1.0),)),
        },
    )
    fill(rig)
    stored = [plan for plan in plans if len(plan.layout.stores)]
    assert len(stored) > 10
    for plan in stored[:40]:
        assert_the_same(plan)
