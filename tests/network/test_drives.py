"""Motors on batteries in many variants at once, and data sheets that no pump can follow."""

from __future__ import annotations

import numpy as np
import pytest

from hydrokit.errors import InputError
from hydrokit.network import build_plan, solve
from hydrokit.parts import Battery, CentrifugalPump, Hose, Outlet, Source
from hydrokit.rig import Line, Rig

LPM = 1.0 / 60_000.0
FLAT = ((0.0, 10.0), (20 * LPM, 9.8), (40 * LPM, 9.5))


def fed(amps: tuple[tuple[float, float], ...], cable_length: float = 8.0) -> Rig:
    """A centrifugal pump that hardly loses head, on 12 V through 2.5 mm² of cable."""
    pump = CentrifugalPump(
        name="pump", heads=FLAT, currents=amps, battery="main", cable_area=2.5e-6, cable_length=cable_length
    )
    parts = (Hose(bore=0.025, length=2.0), pump, Hose(bore=0.019, length=8.0))
    return Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={"end": Outlet(height=3.0)},
        batteries={"main": Battery(nominal_voltage=12.0)},
        lines={"run": Line(start="pond", end="end", parts=parts)},
    )


def test_each_variant_of_the_speed_has_its_own_currents() -> None:
    rig = fed(((0.0, 4.0), (40 * LPM, 9.0)))
    speeds = np.array([0.7, 0.85, 1.0, 1.15])
    together = solve(rig, None, {"lines.run.pump.speed": speeds}).flow("run")
    alone = [float(solve(rig, None, {"lines.run.pump.speed": float(speed)}).flow("run")[0]) for speed in speeds]
    np.testing.assert_allclose(together, alone, rtol=1e-11)
    assert (np.diff(together) > 0.0).all()


def test_currents_that_fall_with_flow_through_a_long_cable_would_make_the_head_rise_and_are_refused() -> None:
    # 30 m out and back of 7.98 milliohm a metre: 0.48 ohm. The voltage at the motor rises from 12 - 3.8 V at 8 A to
    # 12 - 0.5 V at 1 A, its speed with it, and the head with the square of that: far more than the 5 % the curve loses.
    with pytest.raises(InputError, match=r"lines\.run\.pump.*its head or pressure rises with flow"):
        build_plan(fed(((0.0, 8.0), (40 * LPM, 1.0)), cable_length=30.0))


def test_the_same_currents_through_a_short_cable_are_taken() -> None:
    # 1 m: 16 milliohm, 0.9 % of the voltage between the two, 1.9 % of the head
    assert build_plan(fed(((0.0, 8.0), (40 * LPM, 1.0)), cable_length=1.0)).pumps is not None
