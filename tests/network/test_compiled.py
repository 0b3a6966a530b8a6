"""The compiled search finds what the other does, and friction in it is the function that ``fluids`` ships."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from fluids.friction import Clamond

from hydrokit.errors import MissingExtra, SolverError
from hydrokit.files import demonstration
from hydrokit.network import Solution, acceleration, build_plan, solve, solve_plan

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from hydrokit.network import Plan
    from hydrokit.network.flows import Flows
    from hydrokit.rig import Rig

pytestmark = pytest.mark.slow
TOPOLOGIES = 60
VARIANTS = 20


@pytest.fixture(autouse=True, scope="module")
def loaded() -> Iterator[None]:
    before = dict(acceleration._loaded)
    acceleration.speed_up()
    yield
    acceleration._loaded.clear()
    acceleration._loaded.update(before)


def ordinarily(plan: Plan, monkeypatch: pytest.MonkeyPatch) -> Flows:
    with monkeypatch.context() as patched:
        patched.setattr(acceleration, "_loaded", {})
        return solve_plan(plan).flows


def assert_alike(plan: Plan, monkeypatch: pytest.MonkeyPatch) -> Flows:
    one, other = solve_plan(plan), Solution(plan, ordinarily(plan, monkeypatch))
    largest = np.maximum(np.abs(other.flows.flow).max(axis=1, keepdims=True), 1e-10)
    assert (np.abs(one.flows.flow - other.flows.flow) <= 1e-8 * largest).all()
    size = np.nanmax(np.abs(other.heads), axis=1, keepdims=True, initial=1e-3)
    np.testing.assert_array_equal(np.isnan(one.heads), np.isnan(other.heads))
    assert np.nanmax(np.abs(one.heads - other.heads) / size, initial=0.0) <= 1e-8
    assert max(one.flows.mass_residual.max(), one.flows.energy_residual.max()) <= 1e-9
    return one.flows


def variation(random: np.random.Generator, count: int) -> dict[str, Any]:
    ranges = {
        "lines.intake.suction-hose.bore": (0.010, 0.030),
        "lines.intake.delivery-hose.bore": (0.004, 0.020),
        "lines.intake.carbon.loading": (0.0, 1.0),
        "site.water_temperature": (274.0, 300.0),
        "sources.pond.surface": (-12.0, 2.0),
        "batteries.main.charge": (0.1, 1.0),
    }
    return {address: random.uniform(*limits, count) for address, limits in ranges.items()}


@pytest.mark.parametrize("mode", list(demonstration().modes))
def test_demonstration_rig_in_every_mode(mode: str, monkeypatch: pytest.MonkeyPatch) -> None:
    plan = build_plan(demonstration(), mode, variation(np.random.default_rng(7), 1500))
    found = assert_alike(plan, monkeypatch)
    one_by_one = [solve_plan(plan.take(slice(row, row + 1))).flows.flow[0] for row in range(50)]
    np.testing.assert_allclose(found.flow[:50], one_by_one, rtol=1e-10, atol=0.0)


def test_batch_equals_one_by_one_without_it(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = build_plan(demonstration(), "filling", variation(np.random.default_rng(8), 2000))
    whole = solve_plan(plan).flows.flow
    for row in range(0, 2000, 40):
        alone = ordinarily(plan.take(slice(row, row + 1)), monkeypatch).flow[0]
        np.testing.assert_allclose(whole[row], alone, rtol=1e-10, atol=1e-20)


def test_random_networks(
    random_rig: Callable[..., Rig], varied: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    random = np.random.default_rng(31)
    settled = 0
    for seed in range(TOPOLOGIES):
        rig = random_rig(seed)
        plan = build_plan(rig, None, varied(rig, random, VARIANTS))
        assert_alike(plan, monkeypatch)
        if acceleration.accelerated(plan):
            raw = acceleration.compiled(plan, *_scales(plan))
            settled += int((raw.steps >= 0).sum())
    assert settled > 0.7 * TOPOLOGIES * VARIANTS  # the unusual is unusual


def _scales(plan: Plan) -> tuple[Any, Any, Any]:
    from hydrokit.network.search import highest_heads, least_flows, spans

    return spans(plan), least_flows(plan), highest_heads(plan)


def test_ten_varied_rigs(ten_rigs: dict[str, Rig], monkeypatch: pytest.MonkeyPatch) -> None:
    for rig in ten_rigs.values():
        for mode in rig.modes or [None]:
            assert_alike(build_plan(rig, mode), monkeypatch)


def test_friction_is_that_of_fluids() -> None:
    from hydrokit.network.compiled.laws import colebrook

    random = np.random.default_rng(3)
    for number, rough in zip(10.0 ** random.uniform(3.0, 9.0, 2000), random.uniform(0.0, 0.05, 2000), strict=True):
        assert float(colebrook(number, rough)) == pytest.approx(Clamond(number, rough), rel=1e-12)


def test_extra_is_named_where_it_is_absent(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(acceleration, "_loaded", {})
    monkeypatch.setitem(sys.modules, "numba", None)
    with pytest.raises(MissingExtra, match="fast"):
        acceleration.speed_up()
    plan = build_plan(demonstration(), "filling", {"sources.pond.surface": np.linspace(-2.0, 0.0, acceleration.MANY)})
    assert not acceleration.accelerated(plan)


def test_code_is_compiled_anew_where_nothing_may_be_written(monkeypatch: pytest.MonkeyPatch) -> None:
    from numba.core import caching

    from hydrokit.network.compiled.columns import kept

    monkeypatch.setattr(caching.CompileResultCacheImpl, "_locator_classes", [])

    def twice(number: float) -> float:
        return 2.0 * number

    assert kept(twice)(1.5) == 3.0


def test_wrong_code_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    class Stale:
        """Compiled code that finds some flow, and stays so."""

        compiled_again = 0

        def __call__(self, *arrays: Any) -> None:
            arrays[-5][:], arrays[-1][:] = 1.0, 0

        def recompile(self) -> None:
            self.compiled_again += 1

    stale = Stale()
    monkeypatch.setattr(acceleration, "_loaded", {})
    monkeypatch.setattr("hydrokit.network.compiled.search.search", stale)
    with pytest.raises(SolverError, match="compiled solver"):
        acceleration.speed_up()
    assert stale.compiled_again == 1
    assert not acceleration._loaded


def test_many_variants_load_it_by_themselves(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(acceleration, "_loaded", {})
    few = {"sources.pond.surface": np.linspace(-2.0, 0.0, acceleration.MANY - 1)}
    assert not acceleration.accelerated(build_plan(demonstration(), "filling", few))
    many = {"sources.pond.surface": np.linspace(-2.0, 0.0, acceleration.MANY)}
    assert acceleration.accelerated(build_plan(demonstration(), "filling", many))


def test_either_way_can_be_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = build_plan(demonstration())
    with acceleration.solving(compiled=False):
        assert not acceleration.accelerated(plan)
    assert acceleration.accelerated(plan)
    monkeypatch.setattr(acceleration, "_loaded", {})
    with acceleration.solving(compiled=True):
        assert acceleration.accelerated(plan)


def test_solve_says_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    rig = demonstration()
    quick = solve(rig).flow("intake")[0]
    with monkeypatch.context() as patched:
        patched.setattr(acceleration, "_loaded", {})
        assert solve(rig).flow("intake")[0] == pytest.approx(quick, rel=1e-10)
