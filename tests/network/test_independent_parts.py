"""Every part that states something out of the way, in the network and by the second method: one line each, both ways alike."""

from __future__ import annotations

from typing import Any

import pytest

from hydrokit.network import solve
from hydrokit.parts import (
    Battery,
    CentrifugalPump,
    Coupler,
    DiaphragmPump,
    Filter,
    Fitting,
    FloatValve,
    FootValve,
    HandPump,
    Hose,
    HoseTail,
    Lamp,
    NonReturnValve,
    Outlet,
    Source,
    Tank,
    Valve,
)
from hydrokit.rig import Line, Mode, Rig, Site
from hydrokit.verifying import solved_again

LPM = 1.0 / 60_000.0
KV = 1.0 / 3600.0
HOSE = Hose(bore=0.02, length=3.0)
POINTS = ((4.0 * LPM, 5e3), (8.0 * LPM, 13e3), (12.0 * LPM, 21e3))
PARTS = {
    "foot valve, blocked": FootValve(bore=0.02, blockage=0.4, cracking_pressure=500.0),
    "foot valve, stated K": FootValve(bore=0.02, k=2.0, blockage=0.4),
    "non-return valve, Kv": NonReturnValve(bore=0.02, kv=5.0 * KV),
    "valve, K before Kv": Valve(bore=0.02, k=3.0, kv=5.0 * KV),
    "coupler, Kv before K": Coupler(bore=0.015, k=3.0, kv=5.0 * KV),
    "fitting, both ways": Fitting(bore=0.015, k=3.0, k_backward=30.0),
    "hose tail": HoseTail(bore=0.008),
    "filter, three points": Filter(points=POINTS),
    "filter, bending down": Filter(points=((4.0 * LPM, 5e3), (8.0 * LPM, 8e3))),
    "filter, only square": Filter(points=((4.0 * LPM, 5e3), (8.0 * LPM, 40e3))),
    "filter, cold sheet, two, loaded": Filter(
        points=POINTS, points_temperature=278.15, side_by_side=2.0, end_drop=((8.0 * LPM, 60e3),), loading=0.7, bore=0.01
    ),
    "lamp": Lamp(points=((8.0 * LPM, 3e3),), bore=0.012),
    "pump, its own bores": CentrifugalPump(heads=((0.0, 12.0), (40.0 * LPM, 0.0)), inlet_bore=0.025, outlet_bore=0.015),
    "pump, rising curve": CentrifugalPump(heads=((0.0, 9.0), (10.0 * LPM, 10.0), (40.0 * LPM, 0.0))),
    "pump, no point at rest": CentrifugalPump(heads=((5.0 * LPM, 9.0), (20.0 * LPM, 7.0), (30.0 * LPM, 4.0))),
    "pump, below nothing": CentrifugalPump(heads=((0.0, 6.0), (20.0 * LPM, 2.0), (30.0 * LPM, -3.0))),
    "pump, forced back": CentrifugalPump(heads=((0.0, 0.5), (40.0 * LPM, 0.0))),
    "pump, pressure, fast": CentrifugalPump(points=((0.0, 8e4), (30.0 * LPM, 2e4)), speed=1.4, wear=0.2, air=0.1),
    "pump, upright, worn": DiaphragmPump(points=((0.0, 3e5), (8.0 * LPM, 1e5), (8.0 * LPM, 0.0)), wear=0.3, air=0.2),
    "hand pump": HandPump(stroke_volume=0.4e-3),
    "hand pump, slow": HandPump(stroke_volume=0.1e-3, stroke_time=3.0),
    "motor, powers": DiaphragmPump(points=((0.0, 3e5), (9.0 * LPM, 0.0)), powers=((0.0, 90.0), (9.0 * LPM, 40.0)), battery="main"),
    "motor, efficiency": CentrifugalPump(
        heads=((0.0, 9.0), (40.0 * LPM, 0.0)), efficiency=0.3, battery="main", cable_area=1.5e-6, cable_length=9.0,
        winding_resistance=0.2,
    ),
    "motor, fast": CentrifugalPump(
        heads=((0.0, 9.0), (40.0 * LPM, 0.0)), currents=((0.0, 4.0), (40.0 * LPM, 9.0)), battery="main", speed=1.3,
        cable_area=1.5e-6, cable_length=9.0,
    ),
    "motor, nothing known": DiaphragmPump(points=((0.0, 3e5), (9.0 * LPM, 0.0)), battery="main", rated_voltage=24.0),
    "motor that stalls": DiaphragmPump(
        points=((0.0, 3e5), (9.0 * LPM, 0.0)), currents=((0.0, 30.0), (9.0 * LPM, 3.0)), battery="main",
        cable_area=1.5e-6, cable_length=20.0, rated_voltage=12.0,
    ),
    "driver of constant power": CentrifugalPump(
        heads=((0.0, 9.0), (40.0 * LPM, 0.0)), powers=((0.0, 30.0),), battery="main", driver="constant power", speed=0.9
    ),
}  # fmt: skip


def assert_same(rig: Rig) -> None:
    for mode in rig.mode_names():
        solution, again = solve(rig, mode), solved_again(rig, mode)
        for line, flow in again.flows.items():
            assert solution.flow(line)[0] == pytest.approx(flow, rel=1e-8, abs=1e-15)


@pytest.mark.parametrize("surface", [4.0, -1.0])
@pytest.mark.parametrize("name", PARTS)
def test_a_part_out_of_the_way(name: str, surface: float) -> None:
    assert_same(
        Rig(
            sources={"pond": Source(surface=surface), "lake": Source(surface=0.0)},
            lines={"run": Line(start="pond", end="lake", parts=(HOSE, PARTS[name], HOSE))},
            batteries={"main": Battery(nominal_voltage=12.0, empty_voltage=11.0, charge=0.5, inner_resistance=0.03)},
            modes={"on": Mode(), "off": Mode(off=("lines.run." + PARTS[name].kind.replace(" ", "-") + "-1",))}
            if "pump" in PARTS[name].kind
            else {},
        )
    )


@pytest.mark.parametrize("level", [None, 0.0, 0.3, 1.0])
@pytest.mark.parametrize("enters", ["", "top", "bottom"])
@pytest.mark.parametrize(
    "more",
    [{}, {"inlet_height": 1.7}, {"outlet_height": 1.25}, {"inlet": "bottom", "inlet_height": 1.2, "exit_k": 0.4}],
)
def test_a_tank_however_a_line_meets_it(level: float | None, enters: Any, more: dict[str, Any]) -> None:
    assert_same(
        Rig(
            site=Site(density=1030.0, viscosity=1.2e-3, vapour_pressure=2e3),
            sources={"pond": Source(surface=1.5, pressure=2e3)},
            tanks={"tank": Tank(volume=0.1, floor=1.0, depth=1.0, level=level, **more)},
            outlets={"tap": Outlet(height=0.0, pressure=-1e3)},
            lines={
                "in": Line(
                    start="pond", end="tank", enters=enters, parts=(HOSE, FloatValve(bore=0.02, kv=2.0 * KV, band=0.8))
                ),
                "out": Line(start="tank", end="tap", parts=(HOSE, Hose(bore=0.01, length=1.0, friction_factor=0.03))),
            },
        )
    )
