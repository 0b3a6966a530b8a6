"""A batch of variants answers as each of them does alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from hydrokit.network import build_plan, solve
from hydrokit.parts import (
    CentrifugalPump,
    DiaphragmPump,
    Elbow,
    Filter,
    Fitting,
    FootValve,
    Hose,
    HoseTail,
    Joint,
    NonReturnValve,
    Outlet,
    Source,
    Tank,
    Valve,
)
from hydrokit.rig import Line, Mode, Rig, Site, replaced

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.network import Solution

L_MIN = 1.0 / 60_000.0
COUNT = 24


def trailer(**modes: Mode) -> Rig:
    """A pump, a filter and two tanks, with a standpipe between; our own invention."""
    return Rig(
        site=Site(altitude=120.0, water_temperature=283.15),
        sources={"pond": Source(surface=0.0)},
        tanks={
            "near": Tank(volume=0.06, floor=1.35, depth=0.45),
            "far": Tank(volume=0.06, floor=1.35, depth=0.45, inlet="bottom", level=0.1),
        },
        outlets={"wash": Outlet(height=1.0)},
        joints={"split": Joint(height=1.9, demand=0.5 * L_MIN)},
        lines={
            "intake": Line(
                start="pond",
                end="split",
                parts=(
                    FootValve(bore=0.019, cracking_pressure=500.0),
                    Hose(length=6.0, bore=0.019),
                    HoseTail(bore=0.015),
                    DiaphragmPump(
                        points=((0.0, 5.2e5), (5.3 * L_MIN, 2.8e5), (11.3 * L_MIN, 0.0)), height=2.0, name="pump"
                    ),
                    Hose(length=4.0, bore=0.0125),
                    Filter(
                        points=((4.0 * L_MIN, 5e4), (8.0 * L_MIN, 1.2e5)),
                        end_drop=((8.0 * L_MIN, 2.5e5),),
                        name="filter",
                        height=1.8,
                    ),
                ),
            ),
            "a": Line(start="split", end="near", parts=(Hose(length=1.0, bore=0.0125), Elbow(bore=0.0125))),
            "b": Line(start="split", end="far", parts=(Hose(length=3.0, bore=0.0125), NonReturnValve(bore=0.0125))),
            "c": Line(
                start="split", end="wash", parts=(Valve(bore=0.01, kv=0.5 / 3600.0), Hose(length=2.0, bore=0.01))
            ),
        },
        modes=modes,
    )


RANGES = {
    "site.altitude": (0.0, 2500.0),
    "site.water_temperature": (274.0, 310.0),
    "sources.pond.surface": (-2.0, 1.0),
    "tanks.near.floor": (1.0, 3.0),
    "tanks.far.level": (0.0, 0.45),
    "outlets.wash.height": (0.5, 4.0),
    "outlets.wash.exit_k": (0.0, 1.0),
    "joints.split.height": (1.0, 3.0),
    "joints.split.demand": (0.0, 2.0 * L_MIN),
    "lines.intake.foot-valve-1.bore": (0.012, 0.03),
    "lines.intake.foot-valve-1.cracking_pressure": (0.0, 3e3),
    "lines.intake.foot-valve-1.blockage": (0.0, 0.8),
    "lines.intake.hose-1.bore": (0.008, 0.03),
    "lines.intake.hose-1.length": (1.0, 20.0),
    "lines.intake.hose-2.roughness": (0.0, 1e-4),
    "lines.intake.hose-2.friction_multiplier": (1.0, 2.5),
    "lines.intake.hose-tail-1.bore": (0.006, 0.02),
    "lines.intake.pump.speed": (0.7, 1.2),
    "lines.intake.pump.height": (1.0, 3.0),
    "lines.intake.filter.loading": (0.0, 1.2),
    "lines.intake.filter.points_temperature": (278.0, 303.0),
    "lines.a.elbow-1.bore": (0.008, 0.02),
    "lines.b.non-return-valve-1.cracking_pressure": (0.0, 5e3),
    "lines.c.valve-1.kv": (0.1 / 3600.0, 4.0 / 3600.0),
}


def drawn(addresses: list[str], seed: int = 0) -> dict[str, np.ndarray]:
    random = np.random.default_rng(seed)
    return {address: random.uniform(*RANGES[address], COUNT) for address in addresses}


def assert_same(batch: Solution, row: int, single: Solution) -> None:
    largest = np.abs(single.flows.flow).max()
    assert batch.flows.flow[row] == pytest.approx(single.flows.flow[0], rel=1e-10, abs=1e-10 * largest)
    assert batch.flows.head[row] == pytest.approx(single.flows.head[0], rel=1e-10, abs=1e-10)
    assert (batch.flows.held[row] == single.flows.held[0]).all()
    for name in ("head", "height", "gauge_pressure", "absolute_pressure", "velocity", "loss"):
        many, one = getattr(batch.walk, name)[row], getattr(single.walk, name)[0]
        assert many == pytest.approx(one, rel=1e-8, abs=1e-6, nan_ok=True), name


@pytest.mark.parametrize("address", RANGES)
def test_a_batch_over_one_value_is_each_rig_alone(address: str) -> None:
    rig, variation = trailer(), drawn([address])
    batch = solve(rig, variation=variation)
    assert batch.variants == COUNT
    for row in range(0, COUNT, 6):
        assert_same(batch, row, solve(replaced(rig, {address: float(variation[address][row])})))


def test_a_batch_over_every_value_at_once_is_each_rig_alone() -> None:
    rig, variation = trailer(), drawn(list(RANGES))
    batch = solve(rig, variation=variation)
    for row in range(COUNT):
        assert_same(batch, row, solve(replaced(rig, {address: float(v[row]) for address, v in variation.items()})))


def test_a_float_beside_an_array_is_the_same_for_every_variant() -> None:
    rig, variation = trailer(), drawn(["lines.intake.hose-1.bore"])
    batch = solve(rig, variation={**variation, "sources.pond.surface": -1.0})
    lowered = replaced(rig, {"sources.pond.surface": -1.0})
    assert_same(batch, 3, solve(lowered, variation={a: v[3] for a, v in variation.items()}))


def test_a_variation_of_floats_alone_is_one_variant() -> None:
    assert_same(
        solve(trailer(), variation={"lines.a.hose-1.bore": 0.01}),
        0,
        solve(replaced(trailer(), {"lines.a.hose-1.bore": 0.01})),
    )


@pytest.mark.parametrize("seed", range(30))
def test_random_rigs_in_a_batch_are_each_rig_alone(random_rig: Callable[..., Rig], seed: int) -> None:
    rig = random_rig(seed, 12)
    random = np.random.default_rng(seed)
    hoses = [
        f"lines.{name}.{label}.bore"
        for name, line in rig.lines.items()
        for label, part in zip(line.labels(), line.parts, strict=True)
        if isinstance(part, Hose)
    ]
    variation = {address: random.uniform(6e-3, 40e-3, 6) for address in hoses}
    variation["site.water_temperature"] = random.uniform(274.0, 310.0, 6)
    batch = solve(rig, variation=variation)
    for row in range(6):
        single = solve(replaced(rig, {address: float(values[row]) for address, values in variation.items()}))
        largest = max(np.abs(single.flows.flow).max(), 1e-10)
        assert np.abs(batch.flows.flow[row] - single.flows.flow[0]).max() <= 1e-8 * largest  # short wide lines amplify


def test_chosen_rows_of_a_plan_are_the_plan_of_chosen_rows() -> None:
    rig, variation = trailer(), drawn(list(RANGES))
    rows = np.array([5, 2, 17])
    taken = build_plan(rig, variation=variation).take(rows)
    direct = build_plan(rig, variation={address: values[rows] for address, values in variation.items()})
    assert taken.variants == 3
    for block in ("losses", "ends", "hoses", "stations", "element_losses"):
        for name in getattr(taken, block).__slots__:
            one, other = getattr(getattr(taken, block), name), getattr(getattr(direct, block), name)
            if isinstance(one, np.ndarray) and one.dtype == np.float64 and name != "nominal":  # a guess, made once
                assert np.broadcast_to(one, other.shape) == pytest.approx(other, rel=1e-14, nan_ok=True), (block, name)


def test_values_of_a_mode_stand_before_those_of_the_rig() -> None:
    rig = trailer(
        usual=Mode(), cold=Mode(values={"site.water_temperature": 274.15, "lines.intake.filter.loading": 0.7})
    )
    bare = replaced(trailer(), {"site.water_temperature": 274.15, "lines.intake.filter.loading": 0.7})
    assert_same(solve(rig, mode="cold"), 0, solve(bare))
    assert solve(rig).plan.mode == "usual"


def test_a_variation_stands_before_the_values_of_a_mode() -> None:
    rig = trailer(cold=Mode(values={"site.water_temperature": 274.15}))
    assert_same(
        solve(rig, variation={"site.water_temperature": 300.0}),
        0,
        solve(replaced(trailer(), {"site.water_temperature": 300.0})),
    )


def test_a_closed_line_carries_exactly_nothing_and_the_rest_is_as_without_it() -> None:
    shut = solve(trailer(shut=Mode(closed=("lines.c",))))
    whole = trailer()
    without = Rig(
        site=whole.site,
        sources=whole.sources,
        tanks=whole.tanks,
        joints=whole.joints,
        lines={name: line for name, line in whole.lines.items() if name != "c"},
    )
    alone = solve(without)
    assert shut.flow("c")[0] == 0.0
    for line in "intake", "a", "b":
        assert shut.flow(line)[0] == pytest.approx(alone.flow(line)[0], rel=1e-12)


def test_a_diaphragm_pump_switched_off_blocks_its_line() -> None:
    rig = trailer(resting=Mode(off=("lines.intake.pump",), values={"joints.split.demand": 0.0}))
    solution = solve(rig)
    assert solution.flow("intake")[0] == 0.0
    assert solution.flow("b")[0] == 0.0  # nothing comes back out of the far tank


def test_a_centrifugal_pump_switched_off_lets_water_through_like_a_fitting() -> None:
    def gravity(*pump: CentrifugalPump | Fitting, **modes: Mode) -> Rig:
        return Rig(
            sources={"spring": Source(surface=3.0)},
            outlets={"trough": Outlet(height=0.0)},
            lines={"down": Line(start="spring", end="trough", parts=(Hose(length=10.0, bore=0.02), *pump))},
            modes=modes,
        )

    pump = CentrifugalPump(heads=((0.0, 8.0), (1e-3, 0.0)), name="pump", inlet_bore=0.02, outlet_bore=0.02)
    off = solve(gravity(pump, resting=Mode(off=("lines.down.pump",)))).flow("down")[0]
    velocity_head = (1e-3 / (np.pi / 4 * 0.02**2)) ** 2 / (2 * 9.80665)  # at the open flow, where it costs 8 m
    assert off == pytest.approx(solve(gravity(Fitting(bore=0.02, k=8.0 / velocity_head))).flow("down")[0], rel=1e-9)
    assert off < solve(gravity()).flow("down")[0]
    assert solve(gravity(pump)).flow("down")[0] > 1.2 * off


def test_a_batch_solved_in_chunks_is_each_rig_alone() -> None:
    rig, count = trailer(), 2500
    bores = np.random.default_rng(0).uniform(0.008, 0.03, count)
    batch = solve(rig, variation={"lines.intake.hose-1.bore": bores})
    assert batch.variants == count
    for row in (0, 1023, 1024, 2047, 2048, 2499):
        assert_same(batch, row, solve(replaced(rig, {"lines.intake.hose-1.bore": float(bores[row])})))


def test_a_change_of_bore_that_only_other_variants_have_moves_no_height() -> None:
    # The valve and the pump lie at one place, between the heights of the joint and of the pump.
    rig = Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={"end": Outlet(height=1.5)},
        joints={"split": Joint(height=0.2)},
        lines={
            "in": Line(start="pond", end="split", parts=(Hose(length=2.0, bore=0.02),)),
            "on": Line(
                start="split",
                end="end",
                parts=(
                    Valve(name="valve", bore=0.02, kv=8.0 / 3600.0),
                    CentrifugalPump(
                        name="pump",
                        heads=((0.0, 6.0), (40 * L_MIN, 2.0)),
                        inlet_bore=0.02,
                        outlet_bore=0.02,
                        height=0.8,
                    ),
                    Hose(length=4.0, bore=0.02),
                ),
            ),
        },
    )
    bores = np.array([0.02, 0.015])
    together = solve(rig, None, {"lines.on.valve.bore": bores})
    for row, bore in enumerate(bores.tolist()):
        alone = solve(rig, None, {"lines.on.valve.bore": bore})
        for solution, of in ((together, row), (alone, 0)):
            at = next(i for i, each in enumerate(solution.plan.elements) if each.address.endswith("valve"))
            assert solution.walk.height[of, solution.walk.after[at]] == 0.8
        least = [float(each.walk.gauge_pressure[of].min()) for each, of in ((together, row), (alone, 0))]
        assert least[0] == pytest.approx(least[1], rel=1e-9)
