"""What any rig must do, whatever it is made of."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.network import solve
from hydrokit.parts import CentrifugalPump, DiaphragmPump, Hose, Outlet, PointPart, Source, Tank
from hydrokit.rig import Line, Mode, Rig
from tests.properties.effort import effort

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.network import Solution

SEEDS = st.integers(0, 10_000_000)
L_MIN = 1.0 / 60_000.0
unhurried = effort(40)


def assert_same_flows(one: Solution, other: Solution, lines: list[str], share: float = 1e-8) -> None:
    """Compare to a share of the largest flow; heads of short wide lines cannot tell their flow more finely."""
    largest = max(np.abs(one.flows.flow).max(), 1e-10)
    for line in lines:
        assert abs(one.flow(line)[0] - other.flow(line)[0]) <= share * largest


@unhurried
@given(SEEDS)
def test_mass_and_energy_close(random_rig: Callable[..., Rig], seed: int) -> None:
    rig = random_rig(seed, 15)
    solution = solve(rig)
    flows = {line: float(solution.flow(line)[0]) for line in rig.lines}
    largest = max(*map(abs, flows.values()), 1e-10)
    for joint, stated in rig.joints.items():
        arrives = sum(flow for line, flow in flows.items() if rig.lines[line].end == joint)
        leaves = sum(flow for line, flow in flows.items() if rig.lines[line].start == joint)
        assert abs(arrives - leaves - stated.demand) <= 1e-9 * max(largest, abs(stated.demand))
    assert solution.flows.energy_residual[0] <= 1e-9


@unhurried
@given(SEEDS, st.floats(-20.0, 20.0))
def test_a_datum_moved_changes_no_flow(random_rig: Callable[..., Rig], seed: int, shift: float) -> None:
    rig = random_rig(seed, 12)

    def raised(end: Any) -> Any:
        names = ("surface", "floor", "height", "inlet_height", "outlet_height")
        heights = {name: getattr(end, name, None) for name in names}
        return replace(end, **{name: height + shift for name, height in heights.items() if height is not None})

    def raised_part(part: Any) -> Any:
        return raised(part) if isinstance(part, PointPart) else part

    moved = replace(
        rig,
        **{group: {name: raised(end) for name, end in getattr(rig, group).items()} for group in ("sources", "tanks", "outlets", "joints")},
        lines={
            name: replace(line, parts=tuple(raised_part(part) for part in line.parts)) for name, line in rig.lines.items()
        },
    )  # fmt: skip
    before, after = solve(rig), solve(moved)
    assert_same_flows(before, after, list(rig.lines), share=1e-7)
    assert after.walk.gauge_pressure == pytest.approx(before.walk.gauge_pressure, rel=1e-6, abs=1.0, nan_ok=True)


@unhurried
@given(SEEDS, SEEDS)
def test_a_closed_line_more_changes_nothing(random_rig: Callable[..., Rig], seed: int, other_seed: int) -> None:
    rig = random_rig(seed, 12)
    name, mode = rig.mode()
    more = next(iter(random_rig(other_seed, 1).lines.values())).parts
    ends = [end for end in rig.ends() if end not in rig.outlets]
    if len(ends) < 2:
        return
    added = replace(
        rig,
        lines={**rig.lines, "spare": Line(start=ends[0], end=ends[-1], parts=more)},
        modes={name: replace(mode, closed=(*mode.closed, "lines.spare"))},
    )
    after = solve(added)
    assert after.flow("spare")[0] == 0.0
    assert_same_flows(solve(rig), after, list(rig.lines), share=1e-7)


@unhurried
@given(SEEDS)
def test_the_order_of_lines_changes_nothing(random_rig: Callable[..., Rig], seed: int) -> None:
    rig = random_rig(seed, 12)
    turned = replace(rig, lines=dict(reversed(rig.lines.items())))
    assert_same_flows(solve(rig), solve(turned), list(rig.lines))


PUMPS = st.one_of(
    st.builds(
        lambda flow, top: DiaphragmPump(points=((0.0, top), (0.5 * flow, 0.6 * top), (flow, 0.0)), height=1.0),
        st.floats(3.0 * L_MIN, 40.0 * L_MIN),
        st.floats(5e4, 6e5),
    ),
    st.builds(
        lambda flow, top: CentrifugalPump(heads=((0.0, top), (flow, 0.0)), height=1.0),
        st.floats(5.0 * L_MIN, 100.0 * L_MIN),
        st.floats(2.0, 40.0),
    ),
)
BORES = st.floats(8e-3, 30e-3)
LENGTHS = st.floats(0.5, 30.0)


def lifting(pump: Any, bore: float, length: float, surface: float) -> Rig:
    return Rig(
        sources={"pond": Source(surface=surface)},
        tanks={"store": Tank(volume=0.06, floor=1.0, depth=0.45)},
        lines={
            "intake": Line(
                start="pond", end="store", parts=(Hose(length=length, bore=bore), pump, Hose(length=length, bore=bore))
            )
        },
    )


@unhurried
@given(PUMPS, BORES, LENGTHS, st.floats(-5.0, 1.0), st.floats(0.0, 5.0))
def test_deeper_water_never_gives_more(pump: Any, bore: float, length: float, surface: float, deeper: float) -> None:
    near = solve(lifting(pump, bore, length, surface)).flow("intake")[0]
    deep = solve(lifting(pump, bore, length, surface - deeper)).flow("intake")[0]
    assert deep <= near * (1.0 + 1e-9)
    assert deep >= (-np.inf if isinstance(pump, CentrifugalPump) else 0.0)


@unhurried
@given(PUMPS, BORES, LENGTHS, st.floats(1.0, 2.0))
def test_a_wider_hose_never_gives_less(pump: Any, bore: float, length: float, wider: float) -> None:
    narrow = solve(lifting(pump, bore, length, 0.5)).flow("intake")[0]
    assert solve(lifting(pump, bore * wider, length, 0.5)).flow("intake")[0] >= narrow * (1.0 - 1e-9)


@unhurried
@given(PUMPS, st.tuples(BORES, BORES, BORES), LENGTHS, st.tuples(st.floats(0.5, 2.0), st.floats(0.5, 2.0)))
def test_twins_that_change_places_change_flows(
    pump: Any, bores: tuple[float, float, float], length: float, floors: tuple[float, float]
) -> None:
    def twin(one: str, other: str) -> Solution:
        near, far = (Tank(volume=0.06, floor=floor, depth=0.45) for floor in floors)
        return solve(
            Rig(
                sources={"pond": Source(surface=0.0)},
                tanks={one: near, other: far},
                lines={
                    "intake": Line(start="pond", end="split", parts=(Hose(length=length, bore=bores[0]), pump)),
                    one: Line(start="split", end=one, parts=(Hose(length=length, bore=bores[1]),)),
                    other: Line(start="split", end=other, parts=(Hose(length=length, bore=bores[2]),)),
                },
            )
        )

    straight, turned = twin("left", "right"), twin("right", "left")
    assert straight.flow("left")[0] == pytest.approx(turned.flow("right")[0], rel=1e-9, abs=1e-15)
    assert straight.flow("right")[0] == pytest.approx(turned.flow("left")[0], rel=1e-9, abs=1e-15)


@unhurried
@given(PUMPS, BORES, st.tuples(BORES, LENGTHS))
def test_twins_alike_share_alike(pump: Any, bore: float, branch: tuple[float, float]) -> None:
    width, length = branch
    rig = Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={name: Outlet(height=1.5) for name in ("left", "right")},
        lines={
            "intake": Line(start="pond", end="split", parts=(Hose(length=3.0, bore=bore), pump)),
            **{
                name: Line(start="split", end=name, parts=(Hose(length=length, bore=width),))
                for name in ("left", "right")
            },
        },
    )
    solution = solve(rig)
    assert solution.flow("left")[0] == pytest.approx(solution.flow("right")[0], rel=1e-9, abs=1e-15)


@unhurried
@given(PUMPS, BORES, LENGTHS)
def test_a_line_shut_by_its_mode_leaks_nothing(pump: Any, bore: float, length: float) -> None:
    rig = replace(lifting(pump, bore, length, 0.0), modes={"shut": Mode(closed=("lines.intake",))})
    assert solve(rig).flow("intake")[0] == 0.0
