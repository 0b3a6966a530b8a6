from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from hydrokit.network import EXIT, solve
from hydrokit.parts import Filter, Fitting, HandPump, Hose, HoseTail, Joint, NonReturnValve, Outlet, Source, Tank
from hydrokit.rig import Line, Mode, Rig, Site

if TYPE_CHECKING:
    from collections.abc import Callable

G = 9.80665
DENSITY = 1000.0
SITE = Site(density=DENSITY, viscosity=1e-3, vapour_pressure=2e3, air_pressure=1e5)


@pytest.mark.parametrize("seed", range(100))
def test_heads_along_every_open_line_end_at_the_head_of_its_end(random_rig: Callable[..., Rig], seed: int) -> None:
    solution = solve(random_rig(seed))
    plan, walk = solution.plan, solution.walk
    size = np.abs(walk.head[np.isfinite(walk.head)]).max() + np.abs(walk.loss).max()
    for place, name in enumerate(plan.layout.lines):
        if solution.flows.held[0, place]:
            continue
        line = plan.rig.lines[name]
        stations = np.flatnonzero(plan.element_line == place)
        wanted = plan.ends.fixed_end[0, place]
        if np.isnan(wanted):
            wanted = solution.head(line.end)[0]
        at_end = walk.head[0, walk.after[stations[-1]]]
        if np.isnan(wanted) or np.isnan(at_end):
            assert np.isnan(wanted)
            assert np.isnan(at_end)
        else:
            assert abs(at_end - wanted) <= (1e-12 + solution.flows.energy_residual[0]) * size


def gravity_feed(**changes: float) -> Rig:
    """5 m of head through one fitting of K 10 and 20 mm, to the air."""
    return Rig(
        site=SITE,
        sources={"barrel": Source(surface=5.0)},
        outlets={"tap": Outlet(height=0.0)},
        lines={"feed": Line(start="barrel", end="tap", parts=(Fitting(bore=0.02, k=10.0, height=1.0, **changes),))},
    )


def test_flow_head_and_pressure_of_one_fitting_by_hand() -> None:
    """H = (0.5 + 10 + 1) v^2 / 2g, and p = rho g (H - z) - rho v^2 / 2; common practice."""
    solution = solve(gravity_feed())
    speed = np.sqrt(2.0 * G * 5.0 / 11.5)
    walk = solution.walk
    assert solution.flow("feed")[0] == pytest.approx(speed * np.pi / 4.0 * 0.02**2, rel=1e-12)
    assert [element.kind for element in solution.plan.elements] == ["entrance", "fitting", "exit"]
    share = speed**2 / (2.0 * G)
    assert walk.head[0] == pytest.approx([5.0, 5.0 - 0.5 * share, 5.0 - 10.5 * share, 0.0], abs=1e-12)
    before, after = (DENSITY * G * (5.0 - lost * share - 1.0) - DENSITY * speed**2 / 2.0 for lost in (0.5, 10.5))
    assert walk.gauge_pressure[0, 1:3] == pytest.approx([before, after], rel=1e-9)
    assert walk.absolute_pressure[0, 1] == pytest.approx(before + 1e5, rel=1e-12)
    assert walk.velocity[0, 1] == pytest.approx(speed, rel=1e-12)
    assert walk.reynolds[0, 1] == pytest.approx(speed * 0.02 / 1e-6, rel=1e-12)


def test_water_in_the_source_and_past_the_exit_is_at_rest() -> None:
    walk = solve(gravity_feed()).walk
    assert walk.velocity[0, [0, 3]] == pytest.approx([0.0, 0.0])
    assert walk.gauge_pressure[0, [0, 3]] == pytest.approx([0.0, 0.0], abs=1e-8)


def test_the_jet_has_the_pressure_of_the_air() -> None:
    rig = Rig(
        site=SITE,
        sources={"barrel": Source(surface=5.0)},
        outlets={"tap": Outlet(height=0.0)},
        lines={"feed": Line(start="barrel", end="tap", parts=(Fitting(bore=0.02, k=10.0, height=0.0),))},
    )
    solution = solve(rig)
    assert solution.walk.gauge_pressure[0, 2] == pytest.approx(0.0, abs=1e-8)


def siphon() -> Rig:
    """Over a crest 2 m above the water, friction factor stated so that it can be worked by hand."""
    return Rig(
        site=SITE,
        sources={"pond": Source(surface=0.0, entrance_k=0.0)},
        outlets={"ditch": Outlet(height=-3.0)},
        lines={
            "over": Line(
                start="pond", end="ditch", parts=(Hose(length=8.0, bore=0.02, friction_factor=0.03, high_point=2.0),)
            )
        },
    )


def test_a_crest_has_half_the_friction_of_its_hose_behind_it() -> None:
    """v^2 / 2g = 3 / (1 + 0.03 * 8 / 0.02); at the crest H = -0.5 * 12 v^2 / 2g and p = rho g (H - 2) - rho v^2 / 2."""
    solution = solve(siphon())
    share = 3.0 / (1.0 + 0.03 * 8.0 / 0.02)
    expected = DENSITY * G * (-6.0 * share - 2.0 - share)
    hose = [element.kind for element in solution.plan.elements].index("hose")
    crests = solution.walk.crest_gauge_pressure[0]
    assert crests[hose] == pytest.approx(expected, rel=1e-12)
    assert np.isnan(np.delete(crests, hose)).all()


def test_a_narrow_tail_is_met_as_contraction_friction_and_expansion() -> None:
    parts = (Hose(length=1.0, bore=0.0125), HoseTail(bore=0.0095), Hose(length=1.0, bore=0.0125))
    rig = Rig(
        site=SITE,
        sources={"pond": Source(surface=3.0)},
        tanks={"near": Tank(volume=0.06, floor=0.0, depth=0.4, inlet="bottom", level=0.2)},
        lines={"feed": Line(start="pond", end="near", parts=parts)},
    )
    solution = solve(rig)
    kinds = [element.kind for element in solution.plan.elements]
    assert kinds == ["entrance", "hose", "change of bore", "hose tail", "change of bore", "hose", EXIT]
    speed_head = solution.walk.velocity[0, solution.walk.after[3]] ** 2 / (2.0 * G)
    beta2 = (0.0095 / 0.0125) ** 2
    losses = solution.walk.loss[0]
    assert losses[2] == pytest.approx(0.5 * (1.0 - beta2) * speed_head, rel=1e-12)  # Crane TP 410, sudden contraction
    assert losses[4] == pytest.approx((1.0 - beta2) ** 2 * speed_head, rel=1e-12)  # Borda and Carnot
    assert losses.sum() == pytest.approx(2.8, rel=1e-12)


def test_heights_lie_between_stated_points_by_length_of_hose() -> None:
    rig = Rig(
        site=SITE,
        sources={"pond": Source(surface=4.0)},
        outlets={"tap": Outlet(height=0.0)},
        lines={
            "feed": Line(
                start="pond",
                end="tap",
                parts=(Hose(length=3.0, bore=0.02), Fitting(bore=0.02, k=1.0), Hose(length=1.0, bore=0.02)),
            )
        },
    )
    walk = solve(rig).walk
    assert walk.height[0] == pytest.approx([4.0, 4.0, 1.0, 1.0, 0.0, 0.0])


def test_a_part_without_a_bore_has_that_before_it_else_the_next() -> None:
    """v = 4 Q / pi D^2 in the hose before a filter of no stated bore, and in the hose behind one at the very beginning."""
    filters = [Filter(points=((1e-4, 5e3), (2e-4, 12e3)), name=name) for name in ("first", "second", "third")]
    hoses = [Hose(length=1.0, bore=0.02), Hose(length=1.0, bore=0.012)]
    rig = Rig(
        site=SITE,
        sources={"pond": Source(surface=4.0)},
        joints={"start": Joint(height=3.0)},
        outlets={"tap": Outlet(height=0.0)},
        lines={
            "in": Line(start="pond", end="start", parts=(Hose(length=1.0, bore=0.03),)),
            "out": Line(start="start", end="tap", parts=(filters[0], hoses[0], filters[1], filters[2], hoses[1])),
        },
    )
    solution = solve(rig)
    plan, walk = solution.plan, solution.walk
    speed = {bore: solution.flow("out")[0] * 4.0 / (np.pi * bore**2) for bore in (0.02, 0.012)}
    found = {
        element.address.rpartition(".")[2]: walk.velocity[0, [walk.before[index], walk.after[index]]].tolist()
        for index, element in enumerate(plan.elements)
        if element.kind == "filter"
    }
    assert found["first"] == pytest.approx([speed[0.02]] * 2, rel=1e-12)
    assert found["second"] == pytest.approx([speed[0.02]] * 2, rel=1e-12)
    assert found["third"] == pytest.approx([speed[0.02]] * 2, rel=1e-12)


def test_pressure_on_both_sides_of_a_valve_that_stands_still() -> None:
    parts = (Hose(length=1.0, bore=0.02), NonReturnValve(bore=0.02, height=0.0), Hose(length=1.0, bore=0.02))
    rig = Rig(
        site=SITE,
        sources={"low": Source(surface=1.0), "high": Source(surface=4.0)},
        lines={"feed": Line(start="low", end="high", parts=parts)},
    )
    solution = solve(rig)
    assert solution.flow("feed")[0] == 0.0
    assert solution.flows.held[0, 0]
    valve = [element.kind for element in solution.plan.elements].index("non-return valve")
    assert solution.walk.gauge_pressure[0, solution.walk.before[valve]] == pytest.approx(DENSITY * G, rel=1e-12)


def test_a_closed_line_is_walked_from_its_start_at_rest() -> None:
    rig = Rig(
        site=SITE,
        sources={"barrel": Source(surface=5.0)},
        outlets={"tap": Outlet(height=0.0)},
        lines={"feed": Line(start="barrel", end="tap", parts=(Hose(length=2.0, bore=0.02),))},
        modes={"shut": Mode(closed=("lines.feed",))},
    )
    walk = solve(rig).walk
    assert walk.head[0] == pytest.approx([5.0, 5.0, 5.0, 5.0], abs=1e-12)
    assert walk.loss[0] == pytest.approx([0.0, 0.0, 0.0], abs=1e-12)


def test_a_pump_on_the_upright_of_its_curve_gives_no_more_than_its_line_asks_for() -> None:
    # 0.4 L a stroke, 1.5 s each: 16 L/min whatever the pressure, as long as it takes little force
    pump = HandPump(name="pump", height=1.0, stroke_volume=0.4e-3, stroke_time=1.5)
    parts = (Hose(bore=0.025, length=2.0), pump, Hose(name="up", bore=0.025, length=3.0))
    rig = Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={"end": Outlet(height=2.0)},
        lines={"up": Line(start="pond", end="end", parts=parts)},
    )
    solution = solve(rig)
    walk, plan = solution.walk, solution.plan
    assert solution.flow("up")[0] == pytest.approx(16.0 / 60e3)
    assert walk.head[0, -1] == pytest.approx(2.0)  # at the end of the line, where the lip is
    index = next(at for at, element in enumerate(plan.elements) if isinstance(element.part, HandPump))
    others = walk.loss[0].sum() - walk.loss[0, index]
    assert -walk.loss[0, index] == pytest.approx(2.0 + others)
