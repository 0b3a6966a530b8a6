"""What the table of pumps tells of energy, worked out from flow and power."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.network import solve
from hydrokit.parts import DiaphragmPump
from hydrokit.rules import State
from hydrokit.studies.facts.duties import duties_of
from hydrokit.studies.facts.stops import stops_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.rig import Rig

    Rigs = Callable[..., Rig]

LPM = 1.0 / 60_000.0
STEADY: dict[str, Any] = {"name": "pump", "points": ((0.0, 3e5), (6 * LPM, 2e5), (6 * LPM, 0.0)), "dry_lift": 2.0}


def test_energy_and_charge_go_over_the_water_that_they_move(pond_rig: Rigs) -> None:
    """6 L/min of 60 W at 12 V: 10 W and 5/6 A for each L/min, 600 J/L and 50 C/L."""
    pump = DiaphragmPump(**STEADY, powers=((0.0, 60.0),), rated_voltage=12.0)
    (duty,) = duties_of(State(solve(pond_rig(pump))))
    assert duty.flow == pytest.approx(6 * LPM, rel=1e-9)
    assert (duty.power, duty.current) == (pytest.approx(60.0), pytest.approx(5.0))
    assert duty.energy_per_volume == pytest.approx(600e3, rel=1e-9)
    assert duty.charge_per_volume == pytest.approx(50e3, rel=1e-9)


def test_a_pump_that_moves_nothing_has_none_for_each_litre(pond_rig: Rigs) -> None:
    pump = DiaphragmPump(**STEADY, powers=((0.0, 60.0),), rated_voltage=12.0)
    (duty,) = duties_of(State(solve(pond_rig(pump, lip=40.0))))
    assert duty.flow == 0.0
    assert (duty.energy_per_volume, duty.charge_per_volume) == (None, None)


def test_where_no_variant_is_named_the_first_is_told(pond_rig: Rigs) -> None:
    solution = solve(pond_rig(DiaphragmPump(**STEADY)), None, {"lines.intake.pump.height": np.array([1.0, 2.0])})
    here = State(solution)
    assert duties_of(here) == duties_of(here, 0) != duties_of(here, 1)
    assert stops_of(solution) == stops_of(solution, 0) != stops_of(solution, 1)
