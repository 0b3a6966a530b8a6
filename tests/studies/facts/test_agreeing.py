"""`check(..., verify=True)`: what is verified, what is said not to be, and what a fault in either method leads to."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from hydrokit import verifying
from hydrokit.errors import SolverError
from hydrokit.files import demonstration
from hydrokit.network import newton
from hydrokit.parts import Battery, CentrifugalPump, FootValve, Hose, Outlet, Source, Tank
from hydrokit.rig import Line, Rig
from hydrokit.sheets import render
from hydrokit.studies import check

if TYPE_CHECKING:
    from collections.abc import Callable

LPM = 1.0 / 60_000.0


def test_the_demonstration_rig_is_verified() -> None:
    told = check(demonstration(), verify=True).agreement
    assert told is not None
    assert told.flow_difference < 1e-9
    assert told.head_difference < 1e-9
    assert told.method == "each line's flow by bracketing, heads at the joints by minimising the convex dual"
    assert told.unverified == ("the head at joint drawn, which lines at rest cut off",)


def test_nothing_is_said_where_it_was_not_asked() -> None:
    answer = check(demonstration())
    assert answer.agreement is None
    assert "erified" not in render(answer)


def test_values_put_in_front_of_the_rig_are_verified_too() -> None:
    changed = {"site.water_temperature": 278.15, "lines.intake.lift-pump.speed": 0.8, "batteries.main.charge": 0.2}
    told = check(demonstration(), changed=changed, verify=True).agreement
    assert told is not None
    assert told.flow_difference < 1e-9


def test_sheet_and_json_tell_it() -> None:
    answer = check(demonstration(), verify=True)
    sheet = " ".join(render(answer).split())
    assert "Verified by a second method" in sheet
    assert "in line intake" in sheet
    assert "- the head at joint drawn, which lines at rest cut off" in sheet
    told = json.loads(answer.to_json())["agreement"]
    assert told["flow_difference"]["unit"] == "1"
    assert 0.0 <= told["flow_difference"]["value"] < 1e-9


@pytest.mark.parametrize("off", [1.0 + 3e-6, 1.0 - 1e-3])
def test_a_solver_that_is_wrong_by_little_is_found_out(monkeypatch: pytest.MonkeyPatch, off: float) -> None:
    right: Callable[..., Any] = newton.solve_flows

    def wrong(plan: Any) -> Any:
        flows = right(plan)
        return replace(flows, flow=flows.flow * off)

    monkeypatch.setattr("hydrokit.network.supplies.solve_flows", wrong)
    with pytest.raises(SolverError, match=r"internal fault: two methods disagree on the flow of line \w+: "):
        check(demonstration(), verify=True)


@pytest.mark.parametrize("wrong_by", [1e-3, float("nan")])
def test_a_head_that_is_wrong_is_found_out(monkeypatch: pytest.MonkeyPatch, wrong_by: float) -> None:
    right = verifying.solved_again

    def wrong(*asked: Any) -> Any:
        again = right(*asked)
        return replace(again, heads={name: head + wrong_by for name, head in again.heads.items()})

    monkeypatch.setattr(verifying, "solved_again", wrong)
    with pytest.raises(SolverError, match="two methods disagree on the head of joint split"):
        check(demonstration(), verify=True)


def test_what_suction_allows_is_said_not_to_be_verified() -> None:
    answer = check(demonstration(), changed={"lines.intake.lift-pump.height": 9.0}, verify=True)
    assert answer.held_back_by == "suction"
    assert answer.agreement is not None
    assert answer.agreement.unverified[-1].startswith("the flow that suction allows")
    assert "Not verified: - " in " ".join(render(answer).split())


def starved() -> Rig:
    """Two pumps on drivers of constant power, fed through so thin a cable that they get less than they take."""
    pump = CentrifugalPump(
        height=0.5, heads=((0.0, 6.0), (20.0 * LPM, 0.0)), powers=((0.0, 60.0), (20.0 * LPM, 90.0)), battery="main",
        rated_voltage=12.0, driver="constant power", cable_area=0.75e-6, cable_length=30.0,
    )  # fmt: skip
    hose = Hose(bore=0.02, length=2.0)
    return Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={"one": Outlet(height=1.0), "other": Outlet(height=1.0)},
        batteries={"main": Battery(nominal_voltage=12.0, inner_resistance=0.02)},
        lines={
            end: Line(start="pond", end=end, parts=(FootValve(bore=0.02), hose, pump, hose)) for end in ("one", "other")
        },
    )


def test_what_the_second_method_cannot_solve_is_said() -> None:
    answer = check(starved(), verify=True)
    told = answer.agreement
    assert told is not None
    assert told.flow_difference is None
    (why,) = told.unverified
    assert why.startswith("flows and heads; a driver in line one gets less power than it takes")
    assert "Verified by" not in render(answer)


@pytest.mark.parametrize("apart", [0.0, 1e-15, 1e-12, 1e-9, 1e-6])
@pytest.mark.parametrize("bore", [0.003, 0.1])
def test_waters_that_are_nearly_level_are_verified(apart: float, bore: float) -> None:
    tank = Tank(volume=0.06, floor=0.8, depth=0.4, level=0.2 - apart, inlet="bottom")
    hose = Hose(bore=bore, length=3.0)
    rig = Rig(
        sources={"pond": Source(surface=1.0)},
        tanks={"t": tank},
        lines={"in": Line(start="pond", end="t", parts=(hose,))},
    )
    told = check(rig, verify=True).agreement
    assert told is not None
    assert told.flow_difference is not None
    assert told.flow_difference < 1e-6
