"""Whole systems of published worked examples, run from rig files through the questions that a user asks.

Each test takes the rig file of its own name (``test_three_reservoirs`` takes ``rigs/three-reservoirs.toml``), whose first
lines say where the book simplifies. Files whose example stands in ``checks.toml`` are compared with that entry.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from hydrokit import check, draw, fill, lift, load_rig, solve
from hydrokit.laws.pump_duty import hydraulic_power, rise_of_head, shaft_power
from hydrokit.water import STANDARD_GRAVITY

if TYPE_CHECKING:
    from hydrokit import Check, Rig
    from hydrokit.studies.facts.stops import Stop

RIGS = Path(__file__).with_name("rigs")


@pytest.fixture
def rig(request) -> Rig:
    """Return the rig of the test's own name."""
    return load_rig(RIGS / f"{request.node.name.removeprefix('test_').replace('_', '-')}.toml")


def stop_after(answer: Check, name: str) -> Stop:
    """Return the stop behind a fitting."""
    return next(stop for stop in answer.stops if stop.after == f"{name} fitting")


def test_pump_between_reservoirs(published, rig) -> None:
    """White, example 6.16: the head and power that a pump must give (from memory)."""
    example = published("rig-white-6-16")
    answer = check(rig)
    (duty,) = answer.duties
    example.agrees("head", duty.head)
    rise = rise_of_head(head=duty.head, density=answer.surroundings.density)
    example.agrees("power", hydraulic_power(flow=duty.flow, pressure_rise=rise))


def test_pump_and_system(published, rig) -> None:
    """Munson, example 12.4: where pump and system meet."""
    example = published("duty-munson-12-4")
    (duty,) = check(rig).duties
    example.agrees("flow", duty.flow)
    example.agrees("head", duty.head)
    rise = rise_of_head(head=duty.head, density=example.given("specific_weight") / STANDARD_GRAVITY)
    power = shaft_power(flow=duty.flow, pressure_rise=rise, pump_efficiency=example.plain("efficiency"))
    example.agrees("power", power)


def test_parallel_pumps(published, rig) -> None:
    """White, examples 11.6 and 11.7: one pump, then two side by side (from memory)."""
    example = published("pumps-white-11-6-and-7")
    example.agrees("single_flow", solve(rig, "one-pump").flow("main")[0])
    example.agrees("parallel_flow", solve(rig, "two-pumps").flow("main")[0])


def test_pipes_in_series(published, rig) -> None:
    """White, example 6.17 (from memory)."""
    example = published("rig-white-6-17")
    example.agrees("flow", solve(rig).flow("third")[0])


def test_pipes_in_parallel(published, rig) -> None:
    """White, example 6.18 (from memory)."""
    example = published("rig-white-6-18")
    flows = [solve(rig).flow(name)[0] for name in ("first", "second", "third")]
    example.agrees("flows", flows)
    example.agrees("together", sum(flows))


def test_doubled_line(published, rig) -> None:
    """Lal, example 5.16: what doubling half of a line gains."""
    example = published("parallel-lal-5-16")
    before, after = (solve(rig, mode).flow("first")[0] for mode in ("before", "after"))
    example.agrees("gain_percent", 100.0 * (after / before - 1.0))


def test_three_reservoirs(published, rig) -> None:
    """Munson, example 8.14: friction factor given."""
    example = published("branch-munson-8-14")
    first, second, third = (solve(rig).flow(name)[0] for name in ("first", "second", "third"))
    example.agrees("flows", [first, -second, -third])


def test_three_reservoirs_rough(published, rig) -> None:
    """White, example 6.19: friction factors computed (from memory)."""
    example = published("rig-white-6-19")
    example.agrees("flows", [solve(rig).flow(name)[0] for name in ("first", "second", "third")])


def test_two_loops(published, rig) -> None:
    """Lecture notes CE 3620: two loops between two supplies."""
    example = published("loop-lecture-ce3620")
    solution = solve(rig)
    for start, end in (("1", "2"), ("4", "2"), ("1", "4")):
        example.agrees(f"flow_{start}_{end}", solution.flow(f"{start}-{end}")[0])
        loss = solution.head(f"node-{start}")[0] - solution.head(f"node-{end}")[0]
        example.agrees(f"head_loss_{start}_{end}", loss)


def test_lake_to_tank(published, rig) -> None:
    """Cengel and Cimbala, example 8-8: the level of a lake that feeds a tank."""
    example = published("minor-cengel-8-8")
    example.agrees("supply_level", solve(rig).head("lake")[0])
    example.leaves_out("darcy_friction_factor", because="tested with the laws; a rig's answer does not print it")


def test_npsh_lift(published, rig) -> None:
    """Crane TP-410, example 7-32: less is left than the pump requires."""
    example = published("npsh-crane-7-32")
    budget = lift(rig).budget
    example.agrees("npsh_available", budget.npsh_available)
    assert budget.margin < 0.0
    assert "npsh" in {finding.rule.lower().split()[0] for finding in check(rig).findings if finding.verdict == "fails"}
    example.leaves_out("npsh_wanted", because="the book's ratio of 1.3 is its own; tested with the laws")


def test_npsh_at_altitude(published, rig) -> None:
    """Davis, table 3-7: what the air gives a pump at 1000 and at 3000 m."""
    example = published("lift-davis-3-7-a")
    answers = [lift(rig, mode) for mode in ("at-1000-m", "at-3000-m")]
    example.agrees("air_head", [answer.budget.air_head for answer in answers])
    example.agrees("air_pressure", [answer.surroundings.air_pressure for answer in answers])
    for answer in answers:
        left = answer.budget.air_head - answer.budget.vapour_head
        assert answer.budget.npsh_available == pytest.approx(left, abs=1e-3)


def test_siphon_with_nozzle(published, rig) -> None:
    """Mott, chapter 6: flow of a siphon, and pressures where it passes the surface, at its crest and at its nozzle."""
    example = published("rig-mott-6-10")
    answer = check(rig)
    example.agrees("flow", answer.flow)
    passed = [stop_after(answer, name).gauge_pressure for name in ("rising", "crest", "foot")]
    example.agrees("pressures", passed)


def test_long_siphon(published, rig) -> None:
    """Choudhary and Prakash, example 7.21: flow and pressure at the crest, friction counted."""
    example = published("siphon-choudhary-7-21")
    crest = stop_after(check(rig), "crest")
    example.agrees("flow", crest.flow)
    example.agrees("crest_head_absolute", crest.absolute_pressure / (1000.0 * STANDARD_GRAVITY))


def test_draining_tank(published, rig) -> None:
    """Mott, example 6.14: time to drain to half a metre (from memory)."""
    example = published("rig-mott-6-14")
    example.agrees("time", draw(rig, down_to={"tank": 0.5}).empty_after)


def test_levelling_tanks(published, rig) -> None:
    """Massey and Ward-Smith, example 7.6: how far the larger tank has fallen in a quarter of an hour."""
    example = published("twin-massey-7-6")
    answer = fill(rig, up_to={"smaller": 3.6}, time_limit=example.given("time"))
    larger = next(tank for tank in answer.tanks if tank.tank == "larger")
    example.agrees("fall_in_larger", larger.start_level - larger.end_level)


def test_every_rig_has_its_test() -> None:
    names = {name.removeprefix("test_").replace("_", "-") for name in globals() if name.startswith("test_")}
    stems = {path.stem for path in RIGS.glob("*.toml")}
    assert len(stems) >= 16
    assert stems - names == set()
