"""`check` on layouts that builders draw, and what its answer rests on."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from hydrokit.answers import Verdict
from hydrokit.files import demonstration
from hydrokit.parts import (
    DiaphragmPump,
    FootValve,
    Joint,
    NonReturnValve,
    Outlet,
    Source,
    Tank,
    Valve,
)
from hydrokit.rig import Line, Mode, Rig
from hydrokit.studies import check
from tests.small_rigs import BAR, LITRE, PUMP, centrifugal, finding, hose, membrane, verdict_of

if TYPE_CHECKING:
    from collections.abc import Callable

    Rigs = Callable[..., Rig]


def looped() -> Rig:
    pump = DiaphragmPump(name="pump", height=1.5, points=((5.3 * LITRE, 2.8 * BAR), (11.3 * LITRE, 0.0)), cut_in=1.9 * BAR,
                         cut_out=2.8 * BAR, dry_lift=2.4, vacuum_rating=0.45 * BAR, pressure_rating=7 * BAR)  # fmt: skip
    return Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={"tap": Outlet(height=2.0)},
        lines={
            "intake": Line(
                start="pond", end="a", parts=(FootValve(bore=0.025), hose("suction", bore=0.025), pump, membrane())
            ),
            "one": Line(start="a", end="b", parts=(hose("wide", 3.0),)),
            "two": Line(start="a", end="b", parts=(hose("narrow", 4.0, 0.0125),)),
            "out": Line(start="b", end="tap", parts=(hose("last"),)),
        },
    )


def test_a_looped_system_shares_its_flow_so_that_both_ways_cost_the_same() -> None:
    answer = check(looped())
    assert verdict_of(answer) is Verdict.HOLDS
    ends = {stop.line: stop.head for stop in answer.stops}  # the last stop of each line
    assert ends["one"] == pytest.approx(ends["two"], rel=1e-12)
    assert sum(share.share for share in answer.head_shares) == pytest.approx(1.0)


def test_a_tap_fed_from_a_tank() -> None:
    line = Line(
        start="tank",
        end="tap",
        parts=(hose("down", bore=0.0125), Valve(name="valve", bore=0.01, pattern="globe", pressure_rating=10 * BAR)),
    )
    rig = Rig(
        tanks={"tank": Tank(volume=0.06, floor=1.0, depth=0.4, level=0.3)},
        outlets={"tap": Outlet(height=0.5)},
        lines={"draw": line},
    )
    answer = check(rig)
    assert verdict_of(answer) is Verdict.HOLDS
    assert [(arrival.place, arrival.flow) for arrival in answer.arrivals] == [("tap", answer.flow)]
    assert answer.duties == ()
    assert "lift" not in {share.kind for share in answer.head_shares}  # water falls
    assert str(answer.changes[0].what) == "Take a ball valve of 12.5 mm for the valve"
    assert answer.trust.assumed == ()


def test_raw_water_round_the_barrier(pond_rig: Rigs) -> None:
    rig = pond_rig(after=(hose("delivery-hose"),))
    parts = rig.lines["intake"].parts
    rig = replace(
        rig,
        lines={
            "intake": Line(start="pond", end="fork", parts=parts),
            "fine": Line(start="fork", end="tank", parts=(membrane(),)),
            "round": Line(start="fork", end="tank", parts=(hose("beside"),)),
        },
    )
    assert str(finding(check(rig), "no way round the barrier", "tanks.tank").reason) == (
        "Raw water can reach the tank round the barrier."
    )


@pytest.mark.parametrize("valve", [False, True])
def test_treated_water_that_can_run_back(pond_rig: Rigs, valve: bool) -> None:
    kept = (NonReturnValve(bore=0.019, pressure_rating=10 * BAR),) if valve else ()
    bottom = {"tank": Tank(volume=0.06, floor=1.0, depth=0.4, inlet="bottom")}
    before = (hose("suction-hose", bore=0.025),)
    answer = check(
        pond_rig(centrifugal(), before=before, height=-0.5, after=(hose("up"), membrane(), *kept), tanks=bottom)
    )
    wanted = Verdict.HOLDS if valve else Verdict.FAILS
    assert finding(answer, "no way back", "lines.intake").verdict is wanted
    assert finding(answer, "no draining back", "lines.intake").verdict is wanted


def test_what_nobody_stated_is_said() -> None:
    rig = looped()
    answer = check(
        replace(
            rig,
            tanks={"t": Tank(volume=0.06, floor=1.0, depth=0.4)},
            lines={**rig.lines, "fill": Line(start="b", end="t", parts=(hose("f"),))},
        )
    )
    assert "tank t is half full" in answer.trust.assumed
    assert "joint a lies at the height of the nearest stated point" in answer.trust.assumed
    stated = replace(rig, joints={"a": Joint(height=1.5), "b": Joint(height=1.5)})
    assert check(stated).trust.assumed == ()


def test_residuals_come_with_every_answer() -> None:
    trust = check(demonstration()).trust
    assert trust.mass_residual <= 1e-9
    assert trust.energy_residual <= 1e-9
    assert trust.steps >= 1


@pytest.mark.parametrize(
    "changed", [{"lines.intake.lift-pump.height": 1.2}, {"site.altitude": 2000.0}, {"tanks.near.level": 0.1}]
)
def test_values_put_in_front_of_the_rig_give_the_answer_of_a_rig_with_those_values(changed: dict[str, float]) -> None:
    from hydrokit.rig import replaced

    ours, theirs = check(demonstration(), changed=changed), check(replaced(demonstration(), changed))
    assert ours.flow == theirs.flow
    assert [(each.rule, each.place, each.margin) for each in ours.findings] == [
        (each.rule, each.place, each.margin) for each in theirs.findings
    ]
    assert [change.values for change in ours.changes] == [change.values for change in theirs.changes]


def test_an_answer_is_whole_data(pond_rig: Rigs) -> None:
    import json
    import pickle

    for rig in (demonstration(), pond_rig(height=9.0), pond_rig(modes={"off": Mode(off=(PUMP,))})):
        answer = check(rig)
        assert "NaN" not in answer.to_json()
        assert json.loads(answer.to_json())["flow"] == {"value": answer.flow, "unit": "m^3/s"}
        assert pickle.loads(pickle.dumps(answer)) == answer
        assert set(answer.to_frame()["verdict"]) <= {verdict.value for verdict in Verdict}
        assert np.isfinite(answer.full_pipe_flow)
