"""What belongs to the side that a pump draws from, and how high the pump may stand above its water."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.parts import FootValve, Source, Tank
from hydrokit.rig import Line, Rig
from hydrokit.rules.drawing import drawn_end, static_lift, suction_of
from hydrokit.rules.lifting import greatest_lift

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.parts import CentrifugalPump, DiaphragmPump, Hose
    from hydrokit.rules import State

    Hoses = Callable[..., Hose]


def tank(**more: Any) -> Tank:
    return Tank(**{"volume": 0.06, "floor": 3.0, "depth": 0.4, **more})


def test_a_branch_that_takes_water_away_is_none_that_the_pump_draws_from(
    diaphragm: Callable[..., DiaphragmPump], hose: Hoses, state: Callable[..., State]
) -> None:
    rig = Rig(
        sources={"pond": Source(surface=2.0)},
        tanks={"high": tank(), "low": tank(floor=-2.0, inlet="bottom", level=0.2)},
        lines={
            "in": Line(start="pond", end="fork", parts=(hose("wide", bore=0.05),)),
            "away": Line(start="fork", end="low", parts=(hose("narrow", bore=0.008),)),
            "up": Line(start="fork", end="high", parts=(replace(diaphragm(), height=1.0), hose("rise"))),
        },
    )
    here = state(rig)
    (pump,) = here.running
    assert here.solution.flow("away")[0] > 0.0
    assert suction_of(here, pump).ends == ["pond"]
    assert {here.line_of(index) for index in suction_of(here, pump).elements} == {"in"}
    assert drawn_end(here, pump) == "pond"


def test_behind_another_pump_the_side_begins_at_that_pump(
    centrifugal: Callable[..., CentrifugalPump], hose: Hoses, state: Callable[..., State]
) -> None:
    first = (FootValve(bore=0.032), hose("dip", bore=0.032), replace(centrifugal("first"), height=1.0), hose("between"))
    rig = Rig(
        sources={"pond": Source(surface=0.0)},
        tanks={"high": tank()},
        lines={
            "a": Line(start="pond", end="j", parts=first),
            "b": Line(start="j", end="high", parts=(replace(centrifugal("second"), height=1.0), hose())),
        },
    )
    here = state(rig)
    second = next(pump for pump in here.running if here.line_of(pump) == "b")
    side = [here.plan.elements[index] for index in suction_of(here, second).elements]
    assert [element.address for element in side if element.has_friction] == ["lines.a.between"]
    assert suction_of(here, second).ends == []


@pytest.mark.parametrize(("most", "expected"), [(0.9, 0.9), (5.0, 1.5), (-1.0, None)])
def test_the_greatest_lift_is_where_a_margin_is_used_up_and_never_above_the_pump(
    pond_rig: Callable[..., Rig], state: Callable[..., State], most: float, expected: float | None
) -> None:
    here = state(pond_rig(height=1.5))
    (pump,) = here.running

    def margin(at: State, index: int) -> np.ndarray:
        lift = static_lift(at, index)
        assert lift is not None
        return most - lift

    found = greatest_lift(here, pump, margin, 0)
    assert found == (expected if expected is None else pytest.approx(expected, abs=1.5 / 16**4 * 1.01))
    assert found is None or found <= most


def test_a_pump_at_the_end_of_its_line_stands_at_its_own_height_not_at_that_of_the_end(
    diaphragm: Callable[..., DiaphragmPump], hose: Hoses, state: Callable[..., State]
) -> None:
    pump = replace(diaphragm(), height=1.8)
    rig = Rig(
        sources={"well": Source(surface=0.5)},
        tanks={"high": tank()},
        lines={"up": Line(start="well", end="high", parts=(hose("suction"), pump))},
    )
    here = state(rig)
    lift = static_lift(here, here.running[0])
    assert lift is not None
    assert lift.tolist() == [pytest.approx(1.3)]


def test_the_greatest_lift_of_one_variant_without_the_change_of_bore_that_others_have(
    pond_rig: Callable[..., Rig], hose: Hoses, state: Callable[..., State]
) -> None:
    wide = hose("wide", bore=0.019)
    several = state(
        pond_rig(before=(wide, hose("next", bore=0.0125))),
        changed={"lines.intake.next.bore": np.array([0.0125, 0.019])},
    )
    alone = state(pond_rig(before=(wide, hose("next", bore=0.019))))
    assert len(alone.plan.elements) < len(several.plan.elements)

    def margin(at: State, index: int) -> np.ndarray:
        return at.walk.gauge_pressure[:, at.inlet(index)] + 10e3  # no more than 10 kPa of vacuum

    found = greatest_lift(several, several.running[0], margin, 1)
    assert found == pytest.approx(greatest_lift(alone, alone.running[0], margin, 0))
    assert found is not None
    assert 0.5 < found < 1.02
