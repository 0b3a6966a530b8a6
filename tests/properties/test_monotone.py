"""What holds of any network whose lines lose more the more they carry: order, symmetry and standstill, over the whole range.

Every head rises with every fixed head: the comparison principle for monotone networks (common practice, no source).
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
from hypothesis import given, reject
from hypothesis import strategies as st

from hydrokit.errors import InputError
from hydrokit.network import solve
from hydrokit.parts import Elbow, Filter, Fitting, Hose, HoseTail, Joint, Lamp, Outlet, Pump, Source, Tank, Tee, Valve
from hydrokit.rig import Line, Mode, Rig
from tests.properties.effort import effort
from tests.soak.rigs import dressed, varied

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.network import Solution

SEEDS = st.integers(0, 10_000_000)
NO_FLOW = 1e-10  # m³/s
EVEN = (Elbow, Filter, Hose, HoseTail, Lamp, Tee, Valve)  # cost as much backward as forward


def largest(solution: Solution) -> float:
    return max(float(np.abs(solution.flows.flow).max()), NO_FLOW)


def spread(rig: Rig, seed: int) -> dict[str, float]:
    """Return values over all that a rig can meet for about half of what can vary."""
    changes = varied(rig, np.random.default_rng(seed), 1)
    return {address: float(value[0]) for address, value in changes.items()}


def possible(rig: Rig, changed: dict[str, float]) -> Solution:
    """Return the solution; values that are refused by name are no example."""
    try:
        return solve(rig, None, changed)
    except InputError:
        reject()


@effort(35)
@given(SEEDS)
def test_mass_and_energy_close_over_the_whole_range(random_rig: Callable[..., Rig], seed: int) -> None:
    rig = dressed(random_rig(seed, 15), np.random.default_rng(seed))
    solution = possible(rig, spread(rig, seed))
    plan, walk = solution.plan, solution.walk
    flows = {name: float(solution.flow(name)[0]) for name in rig.lines}
    for name, end in rig.ends().items():
        if isinstance(end, Joint):
            arrives = sum(flow for line, flow in flows.items() if rig.lines[line].end == name)
            leaves = sum(flow for line, flow in flows.items() if rig.lines[line].start == name)
            assert abs(arrives - leaves - end.demand) <= 1e-9 * max(largest(solution), abs(end.demand))
    fixed = plan.ends.fixed_end[0]
    for place, name in enumerate(rig.lines):
        if solution.flows.held[0, place]:
            continue
        own = plan.element_line == place
        end = solution.head(rig.lines[name].end)[0] if np.isnan(fixed[place]) else fixed[place]
        arrived = walk.head[0, walk.after[np.flatnonzero(own)[-1]]]
        size = np.abs(walk.loss[0]).max() + np.nanmax(np.abs(walk.head[0])) + 1e-3
        assert np.isnan(end) or abs(arrived - end) <= 1e-8 * size


@effort(35)
@given(SEEDS, st.floats(0.0, 15.0))
def test_higher_water_raises_every_head_and_what_it_gives(
    random_rig: Callable[..., Rig], seed: int, more: float
) -> None:
    rig = random_rig(seed, 15)
    if not rig.sources:
        return
    source = min(rig.sources)
    changed = spread(rig, seed)
    address = f"sources.{source}.surface"
    low = changed.get(address, rig.sources[source].surface)
    before, after = (possible(rig, {**changed, address: low + rise}) for rise in (0.0, more))
    for joint in before.plan.layout.joints:
        one, other = before.head(joint)[0], after.head(joint)[0]
        assert np.isnan(one) or np.isnan(other) or other >= one - 1e-6 * max(abs(one), 1.0)

    def gives(solution: Solution) -> float:
        starts = sum(float(solution.flow(name)[0]) for name, line in rig.lines.items() if line.start == source)
        return starts - sum(float(solution.flow(name)[0]) for name, line in rig.lines.items() if line.end == source)

    assert gives(after) >= gives(before) - 1e-7 * max(largest(before), largest(after))


@effort(35)
@given(SEEDS)
def test_a_line_listed_the_other_way_round_carries_as_much_backward(random_rig: Callable[..., Rig], seed: int) -> None:
    rig = random_rig(seed, 20)

    def turned(line: Line) -> Line:
        return replace(line, start=line.end, end=line.start, parts=tuple(reversed(line.parts)))

    both_joints = {
        name
        for name, line in rig.lines.items()
        if {line.start, line.end} <= rig.joints.keys() and all(isinstance(part, EVEN) for part in line.parts)
    }
    mirrored = replace(
        rig, lines={name: turned(line) if name in both_joints else line for name, line in rig.lines.items()}
    )
    before, after = solve(rig), solve(mirrored)
    for name in rig.lines:
        sign = -1.0 if name in both_joints else 1.0
        assert abs(sign * after.flow(name)[0] - before.flow(name)[0]) <= 1e-8 * largest(before)


@effort(25)
@given(SEEDS, st.integers(2, 4))
def test_filters_side_by_side_are_lines_side_by_side(random_rig: Callable[..., Rig], seed: int, count: int) -> None:
    rig = random_rig(seed, 10)
    joints = [*rig.joints]
    if not joints:
        return
    element = Filter(points=((1e-4, 2e4), (2e-4, 5e4)))
    outlets = {**rig.outlets, "drain": Outlet(height=-12.0, exit_k=0.0)}

    def with_lines(lines: dict[str, Any]) -> Solution:
        return solve(replace(rig, outlets=outlets, lines={**rig.lines, **lines}))

    def line(part: Filter) -> Line:
        return Line(start=joints[0], end="drain", parts=(part,))

    together = with_lines({"bank": line(replace(element, side_by_side=float(count)))})
    apart = with_lines({f"bank-{number}": line(element) for number in range(count)})
    shares = [apart.flow(f"bank-{number}")[0] for number in range(count)]
    size = largest(together)
    assert max(shares) - min(shares) <= 1e-9 * size
    assert abs(sum(shares) - together.flow("bank")[0]) <= 1e-8 * size
    for name in rig.lines:
        assert abs(apart.flow(name)[0] - together.flow(name)[0]) <= 1e-8 * size


@effort(25)
@given(SEEDS, st.integers(-400, 400))
def test_where_all_water_stands_level_nothing_moves(random_rig: Callable[..., Rig], seed: int, quarters: int) -> None:
    level = 0.25 * quarters  # exact, and so is a tank's floor plus its level
    rig = random_rig(seed, 15)
    lines = {
        name: replace(line, parts=tuple(part for part in line.parts if not isinstance(part, Pump)))
        for name, line in rig.lines.items()
    }
    still = replace(
        rig,
        sources={name: Source(surface=level) for name in rig.sources},
        tanks={name: Tank(volume=0.06, floor=level - 0.25, depth=0.25, level=0.25) for name in rig.tanks},
        outlets={name: Outlet(height=level) for name in rig.outlets},
        joints={name: Joint() for name in rig.joints},
        lines={name: replace(line, parts=line.parts or (Fitting(bore=0.02, k=1.0),)) for name, line in lines.items()},
        modes={"still": Mode()},
    )
    assert np.abs(solve(still).flows.flow).max() <= 1e-12


@effort(25)
@given(SEEDS)
def test_a_rig_with_every_line_shut_stands_still(random_rig: Callable[..., Rig], seed: int) -> None:
    rig = random_rig(seed, 15)
    shut = replace(
        rig,
        joints={name: Joint() for name in rig.joints},
        modes={"shut": Mode(closed=tuple(f"lines.{name}" for name in rig.lines))},
    )
    solution = solve(shut)
    assert (solution.flows.flow == 0.0).all()
    assert not solution.joined.any()
