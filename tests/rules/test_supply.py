"""Rules of electricity: each can hold, be close, fail and be unknown; expected figures are worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.answers import Verdict
from hydrokit.parts import Battery
from hydrokit.rules import State, margins

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.parts import CentrifugalPump, DiaphragmPump
    from hydrokit.rig import Rig

    Rigs = Callable[..., Rig]
    Pumps = Callable[..., DiaphragmPump]

LITRE = 1.0 / 60_000.0
PLACE = "lines.intake.pump"
STEADY = {"currents": ((0.0, 6.0),)}  # 6 A whatever the flow
WIRED: dict[str, Any] = {
    **STEADY,
    "battery": "main",
    "rated_voltage": 12.0,
    "least_voltage": 10.0,
    "cable_area": 2.5e-6,
    "cable_length": 3.0,
    "fuse": 10.0,
}
BATTERY = Battery(nominal_voltage=12.0, capacity=100 * 3600.0, chemistry="AGM lead-acid")


@pytest.fixture
def wired(pond_rig: Rigs, diaphragm: Pumps) -> Rigs:
    """Return the function that makes a rig whose pump takes 6 A through 3 m of 2.5 mm² from a battery of 12 V."""

    def make(battery: Battery = BATTERY, **changes: Any) -> Rig:
        rig = pond_rig(diaphragm())
        line = rig.lines["intake"]
        parts = tuple(replace(part, **{**WIRED, **changes}) if part.name == "pump" else part for part in line.parts)
        return replace(rig, batteries={"main": battery}, lines={"intake": replace(line, parts=parts)})

    return make


@pytest.mark.parametrize(
    ("length", "lost", "verdict"),  # 6 A through 2 L of 7.98 mΩ/m (IEC 60228, class 5), over 12 V
    [(3.0, 0.02394, Verdict.HOLDS), (8.0, 0.06384, Verdict.CLOSE), (14.0, 0.11172, Verdict.FAILS)],
)
def test_voltage_drop(wired: Rigs, found: Any, length: float, lost: float, verdict: Verdict) -> None:
    finding = found(wired(cable_length=length))["voltage drop", PLACE]
    assert finding.verdict is verdict
    assert finding.value == pytest.approx(lost, rel=1e-9)
    assert "3 % is wanted for what matters, 10 % is the limit" in str(finding.reason)
    assert ("Local codes" in str(finding.advice)) == (verdict is not Verdict.HOLDS)


@pytest.mark.parametrize("left_out", ["cable_area", "cable_length", "currents"])
def test_voltage_drop_is_unknown_without_its_data(wired: Rigs, found: Any, left_out: str) -> None:
    finding = found(wired(**{left_out: None}))["voltage drop", PLACE]
    assert finding.verdict is Verdict.UNKNOWN
    assert left_out in str(finding.reason)


def test_a_rig_without_electrical_data_says_what_could_not_be_judged(
    pond_rig: Rigs, diaphragm: Pumps, found: Any
) -> None:
    findings = found(pond_rig(diaphragm()))
    for rule in ("voltage drop", "fuse and cable", "voltage at the pump"):
        assert findings[rule, PLACE].verdict is Verdict.UNKNOWN
    assert not [place for rule, place in findings if rule == "battery charge"]


@pytest.mark.parametrize(
    ("fuse", "area", "verdict"),  # 6 A: at least 7.5 A; 1.5 mm² carries 12.75 A, 2.5 mm² 21.75 A (cable sellers' table)
    [
        (7.5, 1.5e-6, Verdict.HOLDS),
        (10.0, 1.5e-6, Verdict.HOLDS),
        (15.0, 1.5e-6, Verdict.FAILS),
        (15.0, 2.5e-6, Verdict.HOLDS),
        (5.0, 2.5e-6, Verdict.FAILS),
    ],
)
def test_fuse_lies_between_what_the_pump_takes_and_what_the_cable_carries(
    wired: Rigs, found: Any, fuse: float, area: float, verdict: Verdict
) -> None:
    finding = found(wired(fuse=fuse, cable_area=area))["fuse and cable", PLACE]
    assert finding.verdict is verdict
    most = "12.8 A" if area == 1.5e-6 else "21.8 A"
    assert (finding.value, finding.limit) == (fuse, pytest.approx(12.75 if area == 1.5e-6 else 21.75))
    assert f"7.5 A or more for the pump and {most} or less for the cable" in str(finding.reason)
    if verdict is Verdict.FAILS:
        assert "Fit one of 7.5 A within 0.18 m of the battery" in str(finding.advice)


def test_fuse_is_refused_where_the_bounds_cross(wired: Rigs, found: Any) -> None:
    for fuse in (10.0, None):
        finding = found(wired(fuse=fuse, cable_area=1e-6, currents=((0.0, 8.0),)))["fuse and cable", PLACE]
        assert finding.verdict is Verdict.FAILS
        assert "No fuse is right" in str(finding.reason)
        assert "10 A or more" in str(finding.reason)  # 1.25 x 8 A
        assert "8.75 A or less" in str(finding.reason)
        assert finding.limit == pytest.approx(8.75)


def test_fuse_goes_by_the_rating_of_its_own_cable_where_that_is_stated(wired: Rigs, found: Any) -> None:
    assert found(wired(fuse=15.0, cable_rating=12.0))["fuse and cable", PLACE].verdict is Verdict.FAILS


def test_a_fuse_that_is_not_stated_is_not_known_but_its_bounds_are(wired: Rigs, found: Any) -> None:
    finding = found(wired(fuse=None))["fuse and cable", PLACE]
    assert finding.verdict is Verdict.UNKNOWN
    assert "7.5 A to 21.8 A would be right" in str(finding.advice)
    assert (finding.value, finding.limit) == (None, None)


def test_fuse_goes_by_the_most_that_the_pump_takes_anywhere(wired: Rigs, found: Any) -> None:
    finding = found(wired(currents=((0.0, 11.0), (11.3 * LITRE, 4.0)), fuse=10.0))["fuse and cable", PLACE]
    assert finding.verdict is Verdict.FAILS
    assert "13.8 A or more" in str(finding.reason)


@pytest.mark.parametrize(
    ("least", "verdict"),  # 12 - 6 x 6 x 7.98 mΩ = 11.713 V
    [(10.0, Verdict.HOLDS), (11.5, Verdict.CLOSE), (11.8, Verdict.FAILS), (None, Verdict.UNKNOWN)],
)
def test_voltage_at_the_pump(wired: Rigs, found: Any, least: float | None, verdict: Verdict) -> None:
    finding = found(wired(least_voltage=least))["voltage at the pump", PLACE]
    assert finding.verdict is verdict
    if least is not None:
        assert finding.value == pytest.approx(12.0 - 6.0 * 6.0 * 7.98e-3, rel=1e-9)


@pytest.mark.parametrize("driver", ["motor", "constant power"])
def test_a_pump_that_cable_and_battery_cannot_feed_fails_whatever_it_states(
    wired: Rigs, found: Any, driver: str
) -> None:
    for least in (None, 10.0):
        finding = found(wired(driver=driver, cable_area=0.5e-6, cable_length=60.0, least_voltage=least))[
            "voltage at the pump", PLACE
        ]
        assert finding.verdict is Verdict.FAILS
        assert "cannot bring the pump what it takes" in str(finding.reason)
        assert "nan" not in str(finding.reason)


@pytest.mark.parametrize(("charge", "verdict"), [(0.9, Verdict.HOLDS), (0.51, Verdict.CLOSE), (0.4, Verdict.FAILS)])
def test_battery_charge(wired: Rigs, found: Any, charge: float, verdict: Verdict) -> None:
    finding = found(wired(replace(BATTERY, charge=charge)))["battery charge", "batteries.main"]
    assert finding.verdict is verdict
    assert finding.limit == pytest.approx(0.5)  # AGM: half may be used, common practice
    assert str(finding.reason).startswith("Battery main holds")


def test_battery_charge_is_unknown_without_usable_share_or_chemistry(wired: Rigs, found: Any) -> None:
    finding = found(wired(Battery(nominal_voltage=12.0)))["battery charge", "batteries.main"]
    assert finding.verdict is Verdict.UNKNOWN
    assert "usable share or chemistry" in str(finding.reason)


def test_margins_of_many_variants_at_once_are_those_one_by_one(wired: Rigs, state: Callable[..., State]) -> None:
    rig = wired()
    varied = {
        f"{PLACE}.cable_length": np.array([1.0, 6.0, 15.0]),
        f"{PLACE}.cable_area": np.array([1e-6, 2.5e-6, 1.5e-6]),
        f"{PLACE}.fuse": np.array([5.0, 10.0, 20.0]),
        "batteries.main.charge": np.array([1.0, 0.5, 0.1]),
    }
    together = margins(state(rig, None, varied))
    rules = [rule for rule, _ in together]
    assert {"voltage drop", "fuse and cable", "voltage at the pump", "battery charge"} <= {*rules}
    for row in range(3):
        alone = margins(state(rig, None, {name: float(each[row]) for name, each in varied.items()}))
        for key, each in together.items():
            assert np.asarray(each)[row] == pytest.approx(float(alone[key][0]), rel=1e-9, nan_ok=True)


def test_dry_lift_falls_with_the_speed_that_supply_leaves(wired: Rigs, state: Callable[..., State]) -> None:
    strong = margins(state(wired(cable_length=0.0)))["pump primes", PLACE]
    weak = margins(state(wired(cable_length=25.0)))["pump primes", PLACE]
    assert weak[0] < strong[0]


def test_npsh_of_a_centrifugal_pump_goes_with_its_speed(
    pond_rig: Rigs, centrifugal: Callable[..., CentrifugalPump], state: Callable[..., State]
) -> None:
    rig = pond_rig(centrifugal(**STEADY, battery="main"), batteries={"main": BATTERY})
    for battery, speed in (
        (Battery(nominal_voltage=12.0), 1.0),
        (Battery(nominal_voltage=12.0, full_voltage=10.8), 0.9),
    ):
        solved = state(replace(rig, batteries={"main": battery}))
        assert float(np.ravel(solved.npsh_speed(solved.running[0]))[0]) == pytest.approx(speed, rel=1e-12)
