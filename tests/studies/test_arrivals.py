"""Where the water goes when that is no tank and no outlet: into a reservoir, or to a joint that asks for a flow."""

from __future__ import annotations

from pathlib import Path

import pytest

from hydrokit import check, load_rig, solve
from hydrokit.parts import DiaphragmPump, Hose, Joint, Source, Tank
from hydrokit.rig import Line, Rig
from hydrokit.sheets import render

PUBLISHED = Path(__file__).parents[1] / "published" / "rigs"
CUBIC_FOOT = 0.3048**3
HOSE = Hose(bore=0.019, length=5.0)


def arriving(rig: Rig, mode: str | None = None) -> dict[str, float]:
    return {arrival.place: arrival.flow for arrival in check(rig, mode).arrivals}


def test_what_joints_ask_for_arrives() -> None:
    """The demands stand in the lecture notes: 2, 4, 1 and 3 cubic feet a second."""
    rig = load_rig(PUBLISHED / "two-loops.toml")
    wanted = {"node-1": 2 * CUBIC_FOOT, "node-2": 4 * CUBIC_FOOT, "node-3": CUBIC_FOOT, "node-4": 3 * CUBIC_FOOT}
    assert arriving(rig) == pytest.approx(wanted, rel=1e-12)
    assert check(rig).flow == pytest.approx(10 * CUBIC_FOOT, rel=1e-12)


def test_where_lines_lead_to_a_joint_alone_every_reservoir_that_gains_counts() -> None:
    """What leaves the highest reservoir arrives in the two others: continuity."""
    rig = load_rig(PUBLISHED / "three-reservoirs.toml")
    solution = solve(rig)
    assert arriving(rig) == pytest.approx({name: -solution.flow(name)[0] for name in ("second", "third")}, rel=1e-12)
    assert check(rig).flow == pytest.approx(solution.flow("first")[0], rel=1e-9)


@pytest.mark.parametrize(
    ("name", "line", "end"),
    [("pump-between-reservoirs", "lift", "upper"), ("pipes-in-series", "third", "b"), ("long-siphon", "over", "lower")],
)
def test_a_reservoir_that_a_line_leads_to(name: str, line: str, end: str) -> None:
    rig = load_rig(PUBLISHED / f"{name}.toml")
    assert arriving(rig) == {end: pytest.approx(solve(rig).flow(line)[0], rel=1e-9)}
    text = " ".join(render(check(rig)).split())
    assert f"arrives at {end}" in text
    assert "No water arrives" not in text


def test_water_that_runs_back_into_its_own_pond_does_not_arrive() -> None:
    rig = Rig(
        sources={"pond": Source(surface=0.0)},
        tanks={"can": Tank(volume=0.1, floor=1.0, depth=0.5, inlet="bottom")},
        lines={"intake": Line(start="pond", end="can", parts=(HOSE,))},
    )
    assert solve(rig).flow("intake")[0] < 0.0
    answer = check(rig)
    assert answer.flow == 0.0
    assert "No water arrives anywhere." in " ".join(render(answer).split())


def test_what_goes_round_through_a_bypass_does_not_arrive() -> None:
    pump = DiaphragmPump(height=0.5, points=((0.0, 2.4e5), (2e-4, 0.0)), dry_lift=2.0)
    rig = Rig(
        sources={"pond": Source(surface=0.0)},
        tanks={"can": Tank(volume=0.1, floor=1.0, depth=0.5)},
        joints={"split": Joint(height=0.5)},
        lines={
            "intake": Line(start="pond", end="split", parts=(HOSE, pump)),
            "bypass": Line(start="split", end="pond", parts=(Hose(bore=0.008, length=5.0),)),
            "delivery": Line(start="split", end="can", parts=(HOSE,)),
        },
    )
    solution = solve(rig)
    assert solution.flow("bypass")[0] > 0.0
    assert list(arriving(rig)) == ["can"]
    assert check(rig).full_pipe_flow == pytest.approx(solution.flow("delivery")[0], rel=1e-9)
