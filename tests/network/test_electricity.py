"""Pumps on batteries: the one effective law against an independent nested search, its slopes, and what is refused.

The nested search knows nothing of the effective law: it brackets the speed with ``brentq`` around solves of a rig without
any electricity whose ``speed`` is set, and works Ohm's law out by hand at each. Motors: back voltage in proportion to
speed, current in proportion to torque (Mohan, Undeland and Robbins, Power Electronics, ch. 13, from memory).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from hydrokit.errors import InputError
from hydrokit.network import build_plan, solve, solve_plan
from hydrokit.network.loss import pump_gains
from hydrokit.network.supplies import drawn
from hydrokit.parts import Battery, CentrifugalPump, DiaphragmPump, FootValve, Hose, Outlet, PoweredPump, Source
from hydrokit.rig import Line, Rig

LPM = 1.0 / 60_000.0
RESISTIVITY_CLASS_5 = {2.5e-6: 7.98e-3, 1.5e-6: 13.3e-3, 4e-6: 4.95e-3}  # ohm/m, IEC 60228

DIAPHRAGM = DiaphragmPump(
    name="pump",
    points=((0.0, 3.0e5), (5.3 * LPM, 2.4e5), (11.3 * LPM, 0.0)),
    currents=((11.3 * LPM, 4.2), (8.0 * LPM, 6.4), (5.3 * LPM, 7.6)),
)
CENTRIFUGAL = CentrifugalPump(
    name="pump",
    heads=((0.0, 9.0), (20 * LPM, 7.0), (40 * LPM, 2.0), (48 * LPM, 0.0)),
    currents=((0.0, 3.0), (20 * LPM, 5.0), (40 * LPM, 6.5)),
)
BATTERY = Battery(nominal_voltage=12.0, full_voltage=12.8, empty_voltage=11.6, inner_resistance=0.02)
CABLED: dict[str, Any] = {"battery": "main", "cable_area": 2.5e-6, "cable_length": 8.0, "rated_voltage": 12.0}


def rig_of(*pumps: PoweredPump, battery: Battery = BATTERY, height: float = 1.5) -> Rig:
    """Return a pond, a hose to the pumps one after the other in lines side by side, and hoses to the air."""
    lines = {
        f"line-{number}": Line(
            start="pond",
            end=f"end-{number}",
            parts=(
                FootValve(bore=0.019),
                Hose(bore=0.019, length=3.0),
                pump,
                Hose(bore=0.0125, length=8.0),
            ),
        )
        for number, pump in enumerate(pumps)
    }
    return Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={f"end-{number}": Outlet(height=height) for number, _ in enumerate(pumps)},
        batteries={"main": battery},
        lines=lines,
    )


def nested(pump: PoweredPump, supply: float, loop: float, rated: float, height: float = 1.5) -> tuple[float, float]:
    """Return flow and current by bracketing the speed around solves of the same rig without electricity."""
    bare = rig_of(replace(pump, battery="", cable_area=None, cable_length=None), height=height)
    winding = pump.winding_resistance or 0.0
    flows, amps = np.array(sorted(pump.currents or ())).T

    def at(speed: float) -> tuple[float, float, float]:
        flow = float(solve(bare, None, {"lines.line-0.pump.speed": speed * pump.speed}).flow("line-0")[0])
        stated = float(np.interp(flow / speed / pump.speed, flows, amps))
        torque = 1.0 if pump.displacement else (speed * pump.speed) ** 2
        at_rated = stated if pump.displacement else stated * pump.speed**2
        voltage = supply - stated * torque * loop
        told = (voltage - stated * torque * winding) / (rated - at_rated * winding)
        return flow, stated * torque, told

    speed = brentq(lambda ratio: at(ratio)[2] - ratio, 0.3, 2.0, xtol=1e-14, rtol=1e-14)
    return at(speed)[0], at(speed)[1]


CASES: list[tuple[PoweredPump, dict[str, Any]]] = [
    (DIAPHRAGM, {}),
    (DIAPHRAGM, {"cable_area": 1.5e-6, "cable_length": 12.0}),
    (DIAPHRAGM, {"winding_resistance": 0.35}),
    (DIAPHRAGM, {"speed": 0.8}),
    (CENTRIFUGAL, {}),
    (CENTRIFUGAL, {"cable_area": 1.5e-6, "cable_length": 15.0}),
    (CENTRIFUGAL, {"winding_resistance": 0.4}),
    (CENTRIFUGAL, {"speed": 0.9, "winding_resistance": 0.2, "contact_resistance": 0.05}),
]


@pytest.mark.parametrize("charge", [1.0, 0.0])
@pytest.mark.parametrize(("pump", "changes"), CASES)
def test_flow_and_current_are_those_of_a_nested_search(
    pump: PoweredPump, changes: dict[str, Any], charge: float
) -> None:
    fed = replace(pump, **{**CABLED, **changes})
    solution = solve(rig_of(fed), None, {"batteries.main.charge": charge})
    per_metre = RESISTIVITY_CLASS_5[fed.cable_area or 0.0]
    loop = 0.02 + 2.0 * (fed.cable_length or 0.0) * per_metre + fed.contact_resistance
    flow, current = nested(fed, 11.6 + 1.2 * charge, loop, 12.0)
    assert solution.flow("line-0")[0] == pytest.approx(flow, rel=1e-9)
    pumps = solution.plan.pumps
    assert pumps is not None
    taken = drawn(pumps, solution.flows.flow)
    assert taken.current[0, 0] == pytest.approx(current, rel=1e-9)
    assert taken.voltage[0, 0] == pytest.approx(11.6 + 1.2 * charge - current * loop, rel=1e-9)
    assert solution.flows.energy_residual.max() <= 1e-9


def test_a_hundred_variants_at_once_are_those_one_by_one() -> None:
    rig = rig_of(replace(DIAPHRAGM, **CABLED))
    draw = np.random.default_rng(3)
    varied = {
        "batteries.main.charge": draw.uniform(0.0, 1.0, 100),
        "lines.line-0.pump.cable_area": draw.uniform(1e-6, 6e-6, 100),
        "lines.line-0.pump.cable_length": draw.uniform(0.0, 20.0, 100),
    }
    together = solve(rig, None, varied).flow("line-0")
    alone = [
        float(solve(rig, None, {name: float(each[row]) for name, each in varied.items()}).flow("line-0")[0])
        for row in range(100)
    ]
    np.testing.assert_allclose(together, alone, rtol=1e-11)


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from([DIAPHRAGM, CENTRIFUGAL]),
    st.floats(0.8e-6, 10e-6),
    st.floats(0.0, 25.0),
    st.floats(0.0, 1.0),
    st.sampled_from([None, 0.1, 0.3]),
)
def test_slopes_are_those_of_differences_and_fall(
    pump: PoweredPump, area: float, length: float, charge: float, winding: float | None
) -> None:
    fed = replace(pump, **{**CABLED, "cable_area": area, "cable_length": length, "winding_resistance": winding})
    pumps = build_plan(rig_of(fed), None, {"batteries.main.charge": charge}).pumps
    assert pumps is not None
    top = 50 * LPM if pump is CENTRIFUGAL else 12 * LPM
    flow = np.linspace(0.003 * top, top, 211)[:, None]
    step = 1e-6 * top
    knots = pumps.drives[0].knots * pumps.flow_scale
    stated = np.array([point[0] for point in pump.curve])
    smooth = np.abs(flow - knots[0].T).min(axis=1) > 4.0 * step  # a kink has two slopes
    gains, slopes = pump_gains(pumps, flow)
    between = (pump_gains(pumps, flow + step)[0] - pump_gains(pumps, flow - step)[0]) / (2.0 * step)
    near = np.abs(slopes).max()
    off = np.abs(slopes - between)[:, 0][smooth]
    assert (np.sort(off)[: -2 * len(stated)] <= 2e-6 * near).all()  # a piecewise cubic bends anew at its points
    assert off.max() <= 1e-3 * near
    assert (np.diff(gains[:, 0]) <= 0.0).all()
    assert (slopes <= 0.0).all()


def test_without_a_battery_nothing_changes() -> None:
    bare = solve(rig_of(DIAPHRAGM))
    cabled = solve(rig_of(replace(DIAPHRAGM, cable_area=2.5e-6, cable_length=8.0, rated_voltage=12.0)))
    assert bare.flow("line-0")[0] == cabled.flow("line-0")[0]
    assert bare.plan.pumps is not None
    assert bare.plan.pumps.drives == ()


def test_a_battery_at_the_rated_voltage_without_resistance_changes_nothing() -> None:
    ideal = Battery(nominal_voltage=12.0)
    for pump in (DIAPHRAGM, CENTRIFUGAL):
        fed = solve(rig_of(replace(pump, battery="main"), battery=ideal)).flow("line-0")[0]
        assert fed == pytest.approx(solve(rig_of(pump)).flow("line-0")[0], rel=1e-12)


@pytest.mark.parametrize("pump", [DIAPHRAGM, CENTRIFUGAL])
def test_thinner_and_longer_cable_and_a_flatter_battery_never_give_more(pump: PoweredPump) -> None:
    rig = rig_of(replace(pump, **CABLED))
    for address, values in (
        ("lines.line-0.pump.cable_area", np.array([6e-6, 4e-6, 2.5e-6, 1.5e-6, 1e-6])),
        ("lines.line-0.pump.cable_length", np.array([0.0, 2.0, 5.0, 10.0, 20.0])),
        ("lines.line-0.pump.cable_temperature", np.array([273.15, 293.15, 333.15])),
        ("batteries.main.charge", np.array([1.0, 0.5, 0.0])),
    ):
        assert (np.diff(solve(rig, None, {address: values}).flow("line-0")) < 0.0).all()


def test_two_pumps_on_one_battery_lower_each_other() -> None:
    fed = replace(DIAPHRAGM, **CABLED)
    weak = replace(BATTERY, inner_resistance=0.15)
    both = solve(rig_of(fed, replace(CENTRIFUGAL, **CABLED), battery=weak))
    alone = solve(rig_of(fed, battery=weak))
    assert both.flow("line-0")[0] < 0.97 * alone.flow("line-0")[0]
    pumps = both.plan.pumps
    assert pumps is not None
    taken = drawn(pumps, both.flows.flow)
    left = 12.8 - 0.15 * taken.current.sum()
    np.testing.assert_allclose(taken.battery_voltage[0], left, rtol=1e-10)
    np.testing.assert_allclose(taken.voltage[0], left - taken.current[0] * 2.0 * 8.0 * 7.98e-3, rtol=1e-10)
    first, _ = nested(fed, left, 2.0 * 8.0 * 7.98e-3, 12.0)
    assert both.flow("line-0")[0] == pytest.approx(first, rel=1e-8)


def test_two_pumps_on_a_stiff_battery_leave_each_other_alone() -> None:
    stiff = replace(BATTERY, inner_resistance=0.0)
    fed = replace(DIAPHRAGM, **CABLED)
    both = solve(rig_of(fed, fed, battery=stiff))
    assert both.flow("line-0")[0] == pytest.approx(solve(rig_of(fed, battery=stiff)).flow("line-0")[0], rel=1e-12)


def test_a_displacement_pump_that_stalls_stands_and_holds() -> None:
    strained = replace(DIAPHRAGM, **{**CABLED, "cable_area": 0.5e-6, "cable_length": 24.0})
    pumps = build_plan(rig_of(strained)).pumps
    assert pumps is not None
    stall = float(pump_gains(pumps, np.zeros((1, 1)))[0][0, 0])
    assert 0.0 < stall < 24.0  # less than the shut-off head of 3 bar
    flows = [float(solve(rig_of(strained, height=height)).flow("line-0")[0]) for height in (2.0, stall - 0.2)]
    assert flows[0] > flows[1] > 0.0
    assert solve(rig_of(strained, height=stall + 0.2)).flow("line-0")[0] == 0.0


def test_a_pump_that_no_current_can_turn_gives_nothing() -> None:
    hopeless = replace(DIAPHRAGM, **{**CABLED, "cable_area": 0.5e-6, "cable_length": 200.0})
    solution = solve(rig_of(hopeless, height=-1.0))
    assert solution.flow("line-0")[0] == 0.0
    pumps = solution.plan.pumps
    assert pumps is not None
    assert drawn(pumps, solution.flows.flow).speed[0, 0] == 0.0


def test_a_driver_of_constant_power_keeps_its_speed_until_it_browns_out() -> None:
    kept = replace(CENTRIFUGAL, **CABLED, driver="constant power")
    bare = solve(rig_of(CENTRIFUGAL)).flow("line-0")[0]
    for length, browned_out in ((8.0, False), (120.0, True)):
        solution = solve(rig_of(replace(kept, cable_length=length)))
        assert solution.flow("line-0")[0] == pytest.approx(bare, rel=1e-12)
        pumps = solution.plan.pumps
        assert pumps is not None
        taken = drawn(pumps, solution.flows.flow)
        assert bool(taken.browned_out[0, 0]) is browned_out
        assert bool(np.isnan(taken.current[0, 0])) is browned_out
    power = 12.0 * np.interp(bare, *np.array(CENTRIFUGAL.currents).T)
    solution = solve(rig_of(kept))
    assert solution.plan.pumps is not None
    taken = drawn(solution.plan.pumps, solution.flows.flow)
    assert taken.current[0, 0] * taken.voltage[0, 0] == pytest.approx(power, rel=1e-12)


def test_power_and_efficiency_stand_in_for_currents() -> None:
    powers = tuple((flow, 12.0 * amps) for flow, amps in DIAPHRAGM.currents or ())
    by_power = replace(DIAPHRAGM, **CABLED, currents=None, powers=powers)
    by_current = replace(DIAPHRAGM, **CABLED)
    flow = solve(rig_of(by_current)).flow("line-0")[0]
    assert solve(rig_of(by_power)).flow("line-0")[0] == pytest.approx(flow, rel=1e-12)
    by_share = solve(rig_of(replace(DIAPHRAGM, **CABLED, currents=None, efficiency=0.4)))
    assert by_share.plan.pumps is not None
    taken = drawn(by_share.plan.pumps, by_share.flows.flow)
    passed = float(by_share.flow("line-0")[0])
    rise = -float(by_share.walk.loss[0, by_share.plan.pumps.element[0]]) * float(by_share.plan.conditions.weight)
    sheet = passed / taken.speed[0, 0]
    assert taken.current[0, 0] == pytest.approx(rise * sheet / (0.4 * 12.0), rel=2e-3)


def test_a_curve_that_would_rise_is_refused_and_named() -> None:
    steep = replace(DIAPHRAGM, currents=((0.0, 1.0), (11.3 * LPM, 14.0)), **{**CABLED, "cable_length": 40.0})
    with pytest.raises(InputError, match=r"lines\.line-0\.pump.*rises with flow"):
        build_plan(rig_of(steep))


def test_a_winding_that_leaves_no_voltage_is_refused_and_named() -> None:
    with pytest.raises(InputError, match=r"lines\.line-0\.pump\.winding_resistance"):
        build_plan(rig_of(replace(DIAPHRAGM, **CABLED, winding_resistance=3.0)))


def test_a_battery_that_does_not_exist_is_named_with_the_nearest() -> None:
    with pytest.raises(InputError, match=r"found 'mian', expected one of main; write main"):
        rig_of(replace(DIAPHRAGM, battery="mian"))


def test_solving_a_plan_again_gives_the_same() -> None:
    plan = build_plan(rig_of(replace(DIAPHRAGM, **CABLED)))
    assert solve_plan(plan).flow("line-0")[0] == solve_plan(plan).flow("line-0")[0]
