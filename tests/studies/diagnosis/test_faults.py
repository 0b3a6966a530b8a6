"""Which faults the parts of a rig may have, how bad each may be, and the rig whose filters load further."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from hydrokit.network import solve
from hydrokit.parts import (
    Battery,
    CentrifugalPump,
    DiaphragmPump,
    Filter,
    FootValve,
    Hose,
    Outlet,
    PoweredPump,
    Source,
    Strainer,
)
from hydrokit.rig import Line, Rig
from hydrokit.rules import State
from hydrokit.studies.diagnosis.faults import Fault, faults_of, loadable

LPM = 1.0 / 60_000.0
DIAPHRAGM = DiaphragmPump(name="pump", points=((0.0, 3e5), (12 * LPM, 0.0)))
CENTRIFUGAL = CentrifugalPump(name="pump", heads=((0.0, 12.0), (40 * LPM, 5.0)))
HOSE = Hose(bore=0.019, length=3.0)
SHEET = ((4 * LPM, 5e3), (8 * LPM, 12e3))


def drawn(pump: PoweredPump = DIAPHRAGM, *after: Any, battery: Battery | None = None) -> Rig:
    """Return a pump with strainer, foot valve and filters that lifts water 2 m."""
    before = (Strainer(name="basket", bore=0.019, blockage=0.2), FootValve(name="foot", bore=0.019), HOSE)
    return Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={"end": Outlet(height=2.0)},
        batteries={} if battery is None else {"main": battery},
        lines={"run": Line(start="pond", end="end", parts=(*before, pump, *after, HOSE))},
    )


def faults(rig: Rig) -> dict[str, Fault]:
    return {fault.address: fault for fault in faults_of(State(solve(loadable(rig))))}


def ends(fault: Fault) -> list[float]:
    """Return the condition at grade 0 and at grade 1."""
    return [float(value) for value in fault.value(np.array([0.0, 1.0]))]


def test_each_part_in_use_may_have_its_faults_and_those_in_a_row_that_read_alike_are_one() -> None:
    found = faults(drawn(DIAPHRAGM, Filter(name="fine", points=SHEET, loading=0.5, end_drop=((8 * LPM, 60e3),))))
    assert {address: fault.kind for address, fault in found.items()} == {
        "lines.run.basket.blockage": "blocked strainer",
        "lines.run.fine.loading": "loaded filter",
        "lines.run.pump.wear": "worn pump",
        "lines.run.pump.air": "air leak",
        "lines.run.pump.speed": "slow pump",
    }
    assert found["lines.run.basket.blockage"].also == ("lines.run.foot",)
    assert ends(found["lines.run.basket.blockage"]) == pytest.approx([0.2, 0.99])
    assert ends(found["lines.run.fine.loading"])[0] == pytest.approx(0.5)  # as stated, not on the wider scale
    assert ends(found["lines.run.pump.air"]) == pytest.approx([0.0, 0.9])
    assert ends(found["lines.run.pump.speed"]) == pytest.approx([1.0, 0.2])


def test_a_worn_centrifugal_pump_keeps_a_tenth_at_the_worst() -> None:
    assert ends(faults(drawn(CENTRIFUGAL))["lines.run.pump.wear"]) == pytest.approx([0.0, 0.9])


@pytest.mark.parametrize("amps", [6.0, 0.0])
def test_on_a_battery_cable_and_charge_may_be_at_fault_whatever_the_pump_draws(amps: float) -> None:
    pump = replace(CENTRIFUGAL, battery="main", currents=((0.0, amps),), contact_resistance=0.01)
    battery = Battery(nominal_voltage=12.0, full_voltage=12.8, empty_voltage=11.6, charge=0.8)
    found = faults(drawn(pump, battery=battery))
    assert found["batteries.main.charge"].kind == "flat battery"
    assert ends(found["batteries.main.charge"]) == pytest.approx([0.8, 0.0])
    assert found["lines.run.pump.contact_resistance"].kind == "bad cable"
    as_stated, worst = ends(found["lines.run.pump.contact_resistance"])
    assert as_stated == pytest.approx(0.01)
    assert worst > 0.05


@pytest.mark.parametrize("end_drop", [((8 * LPM, 60e3),), None])
def test_the_rig_whose_filters_load_further_is_the_same_as_it_stands(end_drop: Any) -> None:
    """An element is loaded by its drop when new and at its end; one without an end drop is as new, and stays so."""
    loading = 0.0 if end_drop is None else 0.7
    rig = drawn(DIAPHRAGM, Filter(name="fine", points=SHEET, end_drop=end_drop, loading=loading))
    assert solve(loadable(rig)).flow("run") == pytest.approx(solve(rig).flow("run"), rel=1e-9)
    half = solve(loadable(rig), None, {"lines.run.fine.loading": 0.5}).flow("run")
    assert half[0] < 0.5 * solve(rig).flow("run")[0]  # far past the drop at which it should have been changed
