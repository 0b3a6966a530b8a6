"""A run of variants: the same as each alone, and a variant without an answer spoils no other."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.errors import SolverError
from hydrokit.files import demonstration
from hydrokit.network import solve
from hydrokit.parts import Hose, Joint, Outlet, Tank
from hydrokit.rig import Line, Rig
from hydrokit.rules import State
from hydrokit.studies.course.times_to_fill import fill_times
from hydrokit.studies.facts.usable import usable_flow
from hydrokit.studies.variants import swept as module
from hydrokit.studies.variants.products import product_of
from hydrokit.studies.variants.swept import UNSOLVED, Question, columns_of, swept

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hydrokit.network import Solution

BORE, HEIGHT = "lines.intake.delivery-hose.bore", "lines.intake.lift-pump.height"


def asked(rig: Rig, wanted: Mapping[str, Any], *, fill_time: bool = False) -> Question:
    mode = rig.mode(None)[0]
    return Question(rig, mode, product_of(rig, mode, wanted, {}), {}, ("tanks.near", "tanks.far"), fill_time)


def test_values_are_those_of_solving_one_by_one() -> None:
    rig = demonstration()
    question = asked(rig, {BORE: "8 mm, 12.5 mm", HEIGHT: "1 m to 8.5 m in 4"}, fill_time=True)
    table = swept(question, 0, 8)
    assert [*table] == [column.name for column in columns_of(question)]
    for row in range(8):
        varied = {
            address: float(values[0])
            for address, values in question.product.variation(question.product.places(row, row + 1)).items()
        }
        state = State(solve(rig, None, varied))
        assert {address: table[address][row] for address in varied} == varied
        assert table["flow"][row] == pytest.approx(usable_flow(state)[0], rel=1e-10, abs=1e-16)
        assert table["full_pipe_flow"][row] == pytest.approx(state.delivered[0], rel=1e-10)
        both = table["tanks.near.flow"][row] + table["tanks.far.flow"][row]
        assert both == pytest.approx(table["flow"][row], rel=1e-12, abs=1e-16)
        if table["flow"][row] == table["full_pipe_flow"][row]:
            assert table["fill_time"][row] == pytest.approx(fill_times(rig, None, varied)[0], rel=1e-6)
        else:
            assert np.isnan(table["fill_time"][row])


def test_the_time_to_fill_is_not_told_where_suction_holds_the_flow_back() -> None:
    table = swept(asked(demonstration(), {HEIGHT: [1.0, 8.0]}, fill_time=True), 0, 2)
    assert table["flow"][1] < table["full_pipe_flow"][1]
    assert np.isnan(table["fill_time"]).tolist() == [False, True]


def test_a_run_from_the_middle_has_the_same_values(ten_rigs: dict[str, Rig]) -> None:
    question = asked(
        ten_rigs["wide"], {"lines.lift.suction.length": "2 m to 20 m in 5", "site.altitude": "0 m to 3000 m in 4"}
    )
    whole, part = swept(question, 0, 20), swept(question, 7, 12)
    assert part["variant"].tolist() == [8, 9, 10, 11, 12]
    for name, values in part.items():
        if values.dtype == np.float64 and "residual" not in name:
            np.testing.assert_allclose(values, whole[name][7:12], rtol=1e-9, atol=1e-15)


@pytest.fixture
def unsettled(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """Have the solver give up wherever the pump stands at one of these heights."""
    heights: list[float] = []

    def gives_up(rig: Rig, mode: str, variation: Mapping[str, Any]) -> Solution:
        if np.isin(variation[HEIGHT], heights).any():
            raise SolverError("the network did not settle")
        return solve(rig, mode, variation)

    monkeypatch.setattr(module, "solve", gives_up)
    return heights


def test_a_variant_that_does_not_settle_says_so_and_spoils_no_other(unsettled: list[float]) -> None:
    question = asked(demonstration(), {HEIGHT: "1 m to 3 m in 9"}, fill_time=True)
    clean = swept(question, 0, 9)
    unsettled += [1.25, 3.0]
    table = swept(question, 0, 9)
    lost = [row for row in range(9) if table["verdict"][row] == UNSOLVED]
    assert lost == [1, 8]
    kept = [row for row in range(9) if row not in lost]
    assert table["flow"][kept] == pytest.approx(clean["flow"][kept], rel=1e-12)
    assert table["verdict"][kept].tolist() == clean["verdict"][kept].tolist()
    numbers = [
        column.name
        for column in columns_of(question)
        if column.name not in {"variant", HEIGHT} and column.holds != "word"
    ]
    assert all(np.isnan(table[name][lost]).all() for name in numbers)
    assert table["limit"][lost].tolist() == ["", ""]


def test_filling_that_does_not_settle_leaves_only_its_time_empty(monkeypatch: pytest.MonkeyPatch) -> None:
    def gives_up(rig: Rig, mode: str, variation: Mapping[str, Any]) -> Any:
        if np.isin(variation[HEIGHT], [2.0]).any():
            raise SolverError("tanks change to and fro without end")
        return fill_times(rig, mode, variation)

    monkeypatch.setattr(module, "fill_times", gives_up)
    table = swept(asked(demonstration(), {HEIGHT: [1.0, 2.0, 3.0]}, fill_time=True), 0, 3)
    assert np.isnan(table["fill_time"]).tolist() == [False, True, False]
    assert np.isfinite(table["flow"]).all()


def test_a_demand_that_cannot_be_met_in_some_variants() -> None:
    rig = Rig(
        tanks={"high": Tank(volume=0.1, floor=3.0, depth=0.5, outlet_height=3.2)},
        joints={"out": Joint(demand=1e-5)},
        outlets={"tap": Outlet(height=9.0)},
        lines={
            "down": Line(start="high", end="out", parts=(Hose(bore=0.019, length=5.0),)),
            "up": Line(start="out", end="tap", parts=(Hose(bore=0.019, length=5.0),)),
        },
    )
    question = Question(
        rig, "as drawn", product_of(rig, "as drawn", {"tanks.high.level": [0.1, 0.4]}, {}), {}, (), fill_time=False
    )
    assert (swept(question, 0, 2)["verdict"] == UNSOLVED).tolist() == [True, False]
