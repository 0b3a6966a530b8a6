"""A pump against its rig: curves meet at duties that the whole network finds by itself, suction gives way where it should."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from hydrokit import check, demonstration, lift

if TYPE_CHECKING:
    from hydrokit import Rig
    from hydrokit.studies.pumping.duty_curves import DutyCurve

LPM = 1.0 / 60_000.0


def _at(curve: DutyCurve, values: tuple[float | None, ...], flow: float) -> float:
    known = [(at, value) for at, value in zip(curve.flows, values, strict=True) if value is not None]
    return float(np.interp(flow, *zip(*known, strict=True)))


@pytest.mark.parametrize("name", ["demonstration", "centrifugal", "hand check", "looped", "balanced", "high", "wide"])
def test_pump_and_rig_meet_at_the_duty_of_the_whole_network(ten_rigs: dict[str, Rig], name: str) -> None:
    answer = check(ten_rigs[name], curves=True)
    (curve,), (duty,) = answer.curves, answer.duties
    first = curve.systems[0]
    assert (curve.place, first.filters) == (duty.place, "as they are")
    assert (first.flow, first.head) == pytest.approx((duty.flow, duty.head), rel=1e-9)
    for system in curve.systems:
        assert _at(curve, curve.heads, system.flow) == pytest.approx(system.head, rel=1e-7)
        assert _at(curve, system.heads, system.flow) == pytest.approx(system.head, rel=1e-6, abs=1e-7)


def test_filters_new_and_used_up_are_those_of_rigs_so_stated() -> None:
    rig = demonstration()
    loaded = {f"lines.intake.{name}.loading": 0.4 for name in ("sediment-20", "sediment-5", "carbon", "membrane")}
    (curve,) = check(rig, changed=loaded, curves=True).curves
    assert [system.filters for system in curve.systems] == ["as they are", "new", "used up"]
    for system, loading in zip(curve.systems, (0.4, 0.0, 1.0), strict=True):
        (duty,) = check(rig, changed=dict.fromkeys(loaded, loading)).duties
        assert system.flow == pytest.approx(duty.flow, rel=1e-9)


def test_suction_gives_way_at_the_flow_that_the_rule_allows(ten_rigs: dict[str, Rig]) -> None:
    rig, high = ten_rigs["centrifugal"], {"lines.lift.pump.height": 7.0}
    answer = check(rig, changed=high, curves=True)
    (curve,), (duty,) = answer.curves, answer.duties
    assert duty.allowed_flow < duty.flow
    assert curve.suction_limit == pytest.approx(duty.allowed_flow, rel=1e-5)
    assert check(rig, curves=True).curves[0].suction_limit is None
    assert curve.fed


def test_curves_are_empty_where_they_were_not_asked_for_and_where_no_pump_runs(ten_rigs: dict[str, Rig]) -> None:
    assert check(demonstration()).curves == check(demonstration()).profiles == ()
    assert check(ten_rigs["gravity"], curves=True).curves == ()


def test_lift_draws_the_pump_it_speaks_of() -> None:
    assert lift(demonstration()).curves == ()
    (curve,) = lift(demonstration(), curves=True).curves
    assert curve.place == "lines.intake.lift-pump"
