"""Rigs that cannot be answered: the error names the place."""

from __future__ import annotations

import numpy as np
import pytest

from hydrokit.errors import InputError, NetworkError, SolverError
from hydrokit.network import solve
from hydrokit.parts import DiaphragmPump, Fitting, Hose, Joint, NonReturnValve, Outlet, Source
from hydrokit.rig import Line, Mode, Rig

LITRE_PER_MINUTE = 1.0 / 60_000.0
HOSE = Hose(length=2.0, bore=0.0125)
POND = Source(surface=0.0)


def places(error: pytest.ExceptionInfo[InputError]) -> list[str]:
    return [mistake.place for mistake in error.value.mistakes]


def test_joints_without_a_way_to_any_end_are_all_named() -> None:
    rig = Rig(
        sources={"pond": POND},
        outlets={"tap": Outlet(height=-1.0)},
        joints={"one": Joint(), "other": Joint()},
        lines={
            "gravity": Line(start="pond", end="tap", parts=(HOSE,)),
            "nowhere": Line(start="one", end="other", parts=(HOSE,)),
        },
    )
    with pytest.raises(NetworkError) as error:
        solve(rig)
    assert places(error) == ["joints.one", "joints.other"]


def test_a_line_with_no_parts_is_named() -> None:
    rig = Rig(
        sources={"pond": POND}, outlets={"tap": Outlet(height=-1.0)}, lines={"bare": Line(start="pond", end="tap")}
    )
    with pytest.raises(NetworkError) as error:
        solve(rig)
    assert places(error) == ["lines.bare.parts"]


def demanding(line: Line, demand: float = 5.0 * LITRE_PER_MINUTE, closed: tuple[str, ...] = ()) -> Rig:
    return Rig(
        sources={"pond": POND},
        joints={"standpipe": Joint(demand=demand)},
        lines={"feed": line},
        modes={"as-used": Mode(closed=closed)},
    )


def test_a_demand_behind_a_non_return_valve_is_named() -> None:
    line = Line(start="standpipe", end="pond", parts=(HOSE, NonReturnValve(bore=0.0125)))
    with pytest.raises(NetworkError) as error:
        solve(demanding(line))
    assert places(error) == ["joints.standpipe.demand"]
    assert "open lines that bring it; 8.33333e-05 m^3/s too much" in str(error.value)


def test_water_put_in_behind_a_non_return_valve_is_named() -> None:
    line = Line(start="pond", end="standpipe", parts=(HOSE, NonReturnValve(bore=0.0125)))
    with pytest.raises(NetworkError) as error:
        solve(demanding(line, demand=-5.0 * LITRE_PER_MINUTE))
    assert places(error) == ["joints.standpipe.demand"]
    assert "open lines that take it away; 8.33333e-05 m^3/s too much" in str(error.value)


def test_a_demand_behind_a_closed_line_is_named() -> None:
    line = Line(start="pond", end="standpipe", parts=(HOSE,))
    with pytest.raises(NetworkError) as error:
        solve(demanding(line, closed=("lines.feed",)))
    assert places(error) == ["joints.standpipe.demand"]


def test_a_demand_above_what_a_displacement_pump_passes_is_named() -> None:
    limit = 4.0 * LITRE_PER_MINUTE
    pump = DiaphragmPump(points=((0.0, 2e5), (limit, 1e5), (limit, 0.0)))
    line = Line(start="pond", end="standpipe", parts=(HOSE, pump))
    with pytest.raises(NetworkError) as error:
        solve(demanding(line))
    assert places(error) == ["joints.standpipe.demand"]
    assert solve(demanding(line, demand=0.99 * limit)).flow("feed")[0] == pytest.approx(0.99 * limit, rel=1e-12)


def test_a_demand_that_one_line_cannot_carry_alone_takes_the_others_too() -> None:
    limit = 4.0 * LITRE_PER_MINUTE
    pump = DiaphragmPump(points=((0.0, 2e5), (limit, 1e5), (limit, 0.0)))
    line = Line(start="pond", end="standpipe", parts=(HOSE, pump))
    rig = Rig(
        sources={"pond": POND},
        joints={"standpipe": Joint(demand=1.5 * limit)},
        lines={"one": line, "other": line},
    )
    flows = solve(rig).flows.flow[0]
    assert flows == pytest.approx([0.75 * limit, 0.75 * limit], rel=1e-9)


def test_a_variation_of_unknown_address_or_impossible_value_is_named() -> None:
    rig = demanding(Line(start="pond", end="standpipe", parts=(HOSE,)))
    with pytest.raises(InputError) as error:
        solve(rig, variation={"lines.feed.hose-1.bor": np.array([0.01]), "lines.feed.hose-1.bore": np.array([-1.0])})
    assert sorted(places(error)) == ["lines.feed.hose-1.bor", "lines.feed.hose-1.bore"]


def test_variations_of_different_lengths_are_refused() -> None:
    rig = demanding(Line(start="pond", end="standpipe", parts=(HOSE,)))
    with pytest.raises(InputError, match="one length"):
        solve(rig, variation={"lines.feed.hose-1.bore": np.ones(2), "lines.feed.hose-1.length": np.ones(3)})


def test_an_unknown_mode_is_refused() -> None:
    with pytest.raises(InputError, match="as-used"):
        solve(demanding(Line(start="pond", end="standpipe", parts=(HOSE,))), mode="as usd")


def island() -> Rig:
    """A loop that a closed line cuts off, beside a line that runs."""
    return Rig(
        sources={"pond": POND},
        outlets={"tap": Outlet(height=-1.0)},
        joints={"near": Joint(), "far": Joint()},
        lines={
            "gravity": Line(start="pond", end="tap", parts=(HOSE,)),
            "feed": Line(start="pond", end="near", parts=(HOSE,)),
            "there": Line(start="near", end="far", parts=(HOSE,)),
            "back": Line(start="far", end="near", parts=(Fitting(bore=0.0125, k=3.0),)),
        },
        modes={"open": Mode(), "shut": Mode(closed=("lines.feed",))},
    )


def test_heads_of_an_island_are_not_given_and_it_is_told() -> None:
    solution = solve(island(), mode="shut")
    assert np.isnan(solution.head("near")).all()
    assert np.isnan(solution.head("far")).all()
    assert not solution.joined.any()
    assert solution.flow("feed")[0] == 0.0
    assert solution.flow("gravity")[0] > 0.0


def test_a_dead_end_that_is_open_has_the_head_of_its_source() -> None:
    solution = solve(island(), mode="open")
    assert solution.joined.all()
    assert solution.head("far")[0] == pytest.approx(0.0, abs=1e-12)
    assert np.abs(solution.flows.flow[0, 1:]).max() < 1e-15


def test_the_walk_gives_no_pressure_in_an_island() -> None:
    solution = solve(island(), mode="shut")
    walk, plan = solution.walk, solution.plan
    cut_off = np.isin(plan.element_line, [plan.layout.lines.index("there"), plan.layout.lines.index("back")])
    assert np.isnan(walk.gauge_pressure[0, walk.after[cut_off]]).all()
    assert np.isfinite(walk.gauge_pressure[0, walk.after[plan.element_line == 0]]).all()


def test_a_search_that_does_not_end_names_variant_and_the_line_that_is_worst_in_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("hydrokit.network.newton._STEPS", 1)
    parts = (Fitting(bore=0.01, k=1.0), HOSE)
    rig = Rig(
        sources={"pond": POND, "well": Source(surface=-3.0), "pit": Source(surface=-3.0)},
        lines={"near": Line(start="pond", end="well", parts=parts), "far": Line(start="pond", end="pit", parts=parts)},
    )
    depths = {"sources.well.surface": np.array([-30.0, -3.0]), "sources.pit.surface": np.array([-3.0, -30.0])}
    with pytest.raises(
        SolverError, match=r"did not settle in 1 steps; worst at line near \(variant 0, residual "
    ) as info:
        solve(rig, None, depths)
    assert info.value.variants == (0, 1)


def test_all_variants_that_do_not_settle_are_told_by_number(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two steps do for water at rest, for none that flows; every chunk of variants tells its own."""
    monkeypatch.setattr("hydrokit.network.newton._STEPS", 2)
    monkeypatch.setattr("hydrokit.network.newton._TOGETHER", 4)
    rig = Rig(
        sources={"pond": POND, "well": Source(surface=0.0)},
        lines={
            "over": Line(
                start="pond",
                end="well",
                parts=(Fitting(bore=0.01, k=1.0), HOSE, NonReturnValve(bore=0.01, pattern="swing")),
            )
        },
    )
    surface = np.full(11, float(POND.surface) + 5.0)
    moving = [1, 5, 6, 10]
    surface[moving] -= 10.0
    with pytest.raises(SolverError, match=r"variant 1, residual ") as info:
        solve(rig, None, {"sources.well.surface": surface})
    assert info.value.variants == tuple(moving)
    kept = np.delete(surface, info.value.variants)
    assert not solve(rig, None, {"sources.well.surface": kept}).flows.flow.any()
