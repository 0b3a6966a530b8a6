"""Worn pumps and air drawn in: checked by bracketing on the pump's own curve, and by what is to be expected.

There is no published example; the law is that of a leak in proportion to the pressure across it, stated with the part.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
from scipy.optimize import brentq

from hydrokit.network import build_plan, solve
from hydrokit.network.loss import pump_gains
from hydrokit.network.slip import swept
from hydrokit.network.supplies import drawn
from hydrokit.parts import CentrifugalPump, DiaphragmPump, Hose, Outlet, Source
from hydrokit.rig import Line, Rig

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.parts import Pump

LPM = 1.0 / 60_000.0
SLOPING = DiaphragmPump(name="pump", height=1.0, points=((4 * LPM, 3e5), (8 * LPM, 2e5), (12 * LPM, 0.0)))
UPRIGHT = DiaphragmPump(name="pump", height=1.0, points=((0.0, 5e5), (8 * LPM, 2e5), (8 * LPM, 0.0)))
TURNING = CentrifugalPump(name="pump", height=-0.5, heads=((0.0, 20.0), (20 * LPM, 15.0), (40 * LPM, 2.0)))
WEAR = "lines.run.pump.wear"
AIR = "lines.run.pump.air"


def rig_of(pump: Pump, lip: float = 2.0) -> Rig:
    parts = (Hose(bore=0.0125, length=4.0), pump, Hose(bore=0.008, length=8.0))
    return Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={"end": Outlet(height=lip)},
        lines={"run": Line(start="pond", end="end", parts=parts)},
    )


@pytest.mark.parametrize("wear", [0.03, 0.4, 2.0])
def test_what_leaks_back_goes_with_the_pressure_rise(wear: float) -> None:
    solution = solve(rig_of(SLOPING), None, {WEAR: np.array([wear])})
    plan, flow = solution.plan, float(solution.flow("run")[0])
    rise = -float(solution.walk.loss[0, plan.pumps.element[0]]) * plan.conditions.weight
    tight = build_plan(rig_of(SLOPING)).pumps

    def gives(flow: float) -> float:
        return float(pump_gains(tight, np.array([[flow]]))[0][0, 0]) * plan.conditions.weight

    sweeps = brentq(lambda flow: gives(flow) - rise, 0.0, 12 * LPM, xtol=1e-18, rtol=1e-14)
    assert sweeps - flow == pytest.approx(wear * 12 * LPM * rise / 3e5, rel=1e-9)


@pytest.mark.parametrize("wear", [1e-4, 0.05, 0.5, 3.0])
def test_an_upright_curve_slopes_once_worn(wear: float) -> None:
    solution = solve(rig_of(UPRIGHT), None, {WEAR: np.array([wear])})
    flow = float(solution.flow("run")[0])
    rise = -float(solution.walk.loss[0, solution.plan.pumps.element[0]]) * solution.plan.conditions.weight
    assert rise < 2e5
    assert flow == pytest.approx(8 * LPM * (1.0 - wear * rise / 5e5), rel=1e-9)


def test_the_slope_is_that_of_the_law() -> None:
    pumps = build_plan(rig_of(SLOPING), None, {WEAR: np.array([0.3])}).pumps
    flows = np.linspace(-5.0, 14.0, 77)[:, None] * LPM
    step = 1e-6 * LPM
    rise = pump_gains(pumps, flows + step)[0] - pump_gains(pumps, flows - step)[0]
    assert pump_gains(pumps, flows)[1] == pytest.approx(rise / (2.0 * step), rel=1e-5)


def test_an_empty_hose_end_gives_less_pressure_the_more_worn() -> None:
    pumps = build_plan(rig_of(SLOPING), None, {WEAR: np.array([0.0, 0.5, 1.0])}).pumps
    shut = pump_gains(pumps, np.zeros((3, 1)))[0][:, 0]
    assert np.all(np.diff(shut) < 0.0)


@pytest.mark.parametrize("pump", [SLOPING, UPRIGHT, TURNING])
@pytest.mark.parametrize("address", [WEAR, AIR])
def test_more_of_it_never_gives_more(pump: Pump, address: str) -> None:
    solution = solve(rig_of(pump), None, {address: np.linspace(0.0, 0.9, 19)})
    assert np.all(np.diff(solution.flow("run")) < 1e-15)
    assert np.all(solution.flows.energy_residual < 1e-9)


def test_air_takes_its_share_of_what_is_swept() -> None:
    solution = solve(rig_of(SLOPING), None, {AIR: np.array([0.25])})
    pumps, flow = solution.plan.pumps, solution.flow("run")
    rise = -solution.walk.loss[:, pumps.element]
    tight = build_plan(rig_of(SLOPING)).pumps
    assert pump_gains(tight, flow[:, None] / 0.75)[0] == pytest.approx(rise, rel=1e-9)


def test_air_leaves_less_vacuum() -> None:
    solution = solve(rig_of(SLOPING), None, {AIR: np.array([0.0, 0.3])})
    station = solution.walk.before[solution.plan.pumps.element[0]]
    inlet = solution.walk.gauge_pressure[:, station]
    assert inlet[0] < inlet[1] < 0.0


def test_a_worn_rotodynamic_pump_loses_head_and_flow_alike() -> None:
    worn = solve(rig_of(TURNING), None, {WEAR: 0.2}).flow("run")
    heads = tuple((0.8 * flow, 0.8 * head) for flow, head in TURNING.heads)
    assert worn == pytest.approx(solve(rig_of(replace(TURNING, heads=heads))).flow("run"), rel=1e-12)


def test_the_motor_feels_the_pressure_not_the_leak(demonstration_pump: tuple[Rig, str]) -> None:
    rig, place = demonstration_pump
    solution = solve(rig, None, {f"{place}.wear": np.array([0.0, 0.8])})
    pumps = solution.plan.pumps
    through = solution.flows.flow[:, pumps.line]
    taken = drawn(pumps, through)
    assert swept(pumps, through)[1] > swept(pumps, through)[0]
    assert taken.current[1] < taken.current[0]
    assert taken.voltage[1] > taken.voltage[0]


@pytest.mark.parametrize("seed", range(12))
def test_new_pumps_are_as_before_to_the_bit(random_rig: Callable[..., Rig], seed: int) -> None:
    rig = random_rig(seed)
    pumps = [place for place, pump in rig.pumps().items() if hasattr(pump, "wear")]
    zeros = {f"{place}.{name}": 0.0 for place in pumps for name in ("wear", "air")}
    stated, zero = solve(rig), solve(rig, None, zeros)
    assert np.array_equal(zero.flows.flow, stated.flows.flow)


@pytest.mark.parametrize("seed", range(40))
def test_worn_rigs_settle(random_rig: Callable[..., Rig], seed: int) -> None:
    rig = random_rig(seed)
    pumps = [place for place, pump in rig.pumps().items() if hasattr(pump, "wear")]
    shares = np.array([0.0, 1e-5, 0.1, 0.9])
    solution = solve(rig, None, {f"{place}.{name}": shares for place in pumps for name in ("wear", "air")})
    assert solution.flows.energy_residual.max() < 1e-9
    assert solution.flows.mass_residual.max() < 1e-9


@pytest.fixture(scope="module")
def demonstration_pump() -> tuple[Rig, str]:
    """Return the demonstration rig and the address of its lift pump, which a battery drives."""
    from hydrokit.files import demonstration

    rig, place = demonstration(), "lines.intake.lift-pump"
    assert rig.pumps()[place].battery
    return rig, place
