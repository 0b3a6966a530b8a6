"""What pumps take: without a battery from the data sheet alone, on one no further than currents are stated."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.errors import SolverError
from hydrokit.network import solve
from hydrokit.network.supplies import drawn, taken
from hydrokit.parts import Battery, DiaphragmPump, Hose, Outlet, Source
from hydrokit.rig import Line, Rig

if TYPE_CHECKING:
    from hydrokit.network import Solution

LPM = 1.0 / 60_000.0
PUMP = DiaphragmPump(name="pump", points=((0.0, 3e5), (12 * LPM, 0.0)))


def pumped(pump: DiaphragmPump = PUMP, variation: dict[str, Any] | None = None, lip: float = 2.0) -> Solution:
    rig = Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={"end": Outlet(height=lip)},
        batteries={"main": Battery(nominal_voltage=12.0)},
        lines={"run": Line(start="pond", end="end", parts=(Hose(bore=0.0125, length=4.0), pump, Hose(bore=0.0125, length=8.0)))},
    )  # fmt: skip
    return solve(rig, None, variation)


def work(solution: Solution) -> float:
    """Return the pressure that the pump adds times its flow, W."""
    assert solution.plan.pumps is not None
    head = -float(solution.walk.loss[0, solution.plan.pumps.element[0]])
    return head * float(solution.plan.conditions.weight) * float(solution.flow("run")[0])


def test_an_efficiency_alone_makes_power_of_the_work_done_and_current_of_the_voltage() -> None:
    solution = pumped(replace(PUMP, efficiency=0.4, rated_voltage=24.0))
    found = taken(solution.plan, solution.flows.flow)
    assert found.power[0, 0] == pytest.approx(work(solution) / 0.4, rel=1e-9)
    assert found.current[0, 0] == pytest.approx(work(solution) / 0.4 / 24.0, rel=1e-9)


def test_air_drawn_in_takes_its_share_of_what_the_data_sheet_calls_flow() -> None:
    """A fifth of what is swept is air: the sheet is read at the flow of water over 0.8."""
    amps = ((0.0, 2.0), (12 * LPM, 5.0))
    solution = pumped(replace(PUMP, currents=amps, rated_voltage=12.0), {"lines.run.pump.air": 0.2})
    swept = float(solution.flow("run")[0]) / 0.8
    found = taken(solution.plan, solution.flows.flow)
    assert found.current[0, 0] == pytest.approx(2.0 + 3.0 * swept / (12 * LPM), rel=1e-9)
    assert found.power[0, 0] == pytest.approx(12.0 * float(found.current[0, 0]), rel=1e-12)


def test_at_rated_speed_the_data_sheet_is_read_though_another_variant_turns_slower() -> None:
    amps = ((0.0, 2.0), (12 * LPM, 5.0))
    for part in (
        replace(PUMP, currents=amps, rated_voltage=12.0),
        replace(PUMP, powers=amps, rated_voltage=12.0),
        replace(PUMP, efficiency=0.4, rated_voltage=12.0),
    ):
        both = pumped(part, {"lines.run.pump.speed": np.array([1.0, 0.8])})
        alone = pumped(part)
        found, single = (taken(each.plan, each.flows.flow) for each in (both, alone))
        assert found.power[0, 0] == pytest.approx(float(single.power[0, 0]), rel=1e-12)
        assert np.isnan(found.power[1, 0])
        assert np.isnan(found.current[1, 0])


def test_powers_without_a_voltage_tell_no_current() -> None:
    solution = pumped(replace(PUMP, powers=((0.0, 30.0), (12 * LPM, 90.0))))
    found = taken(solution.plan, solution.flows.flow)
    assert found.power[0, 0] == pytest.approx(30.0 + 60.0 * float(solution.flow("run")[0]) / (12 * LPM), rel=1e-9)
    assert np.isnan(found.current[0, 0])


def test_past_the_last_stated_current_what_is_drawn_is_not_known() -> None:
    fed = replace(PUMP, battery="main", currents=((2 * LPM, 6.0), (6 * LPM, 4.0)))
    for lip, known in ((16.0, True), (-2.0, False)):
        solution = pumped(fed, lip=lip)
        assert solution.plan.pumps is not None
        assert (2 * LPM < solution.flow("run")[0] < 6 * LPM) is np.bool_(known)
        said = drawn(solution.plan.pumps, solution.flows.flow)
        assert np.isfinite(said.current[0, 0]) == known
    assert drawn(solution.plan.pumps, solution.flows.flow, beyond=True).current[0, 0] == 4.0


def test_variants_whose_shared_voltage_does_not_settle_are_told_by_number(monkeypatch: pytest.MonkeyPatch) -> None:
    """One round is too few where two pumps share a battery that gives way; enough where it does not."""
    monkeypatch.setattr("hydrokit.network.supplies._ROUNDS", 1)
    part = replace(PUMP, battery="main", rated_voltage=12.0, currents=((0.0, 2.0), (12 * LPM, 5.0)))
    hose = Hose(bore=0.0125, length=4.0)
    rig = Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={"left": Outlet(height=2.0), "right": Outlet(height=3.0)},
        batteries={"main": Battery(nominal_voltage=12.0)},
        lines={end: Line(start="pond", end=end, parts=(hose, part, hose)) for end in ("left", "right")},
    )
    with pytest.raises(SolverError, match="does not settle: main") as info:
        solve(rig, None, {"batteries.main.inner_resistance": np.array([0.0, 0.05, 0.0, 0.02])})
    assert info.value.variants == (1, 3)
