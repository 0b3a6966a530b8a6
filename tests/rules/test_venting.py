"""What the walls of a tank see: vent carrying air, overflow carrying the fill, vent blocked."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from hydrokit.answers import Verdict
from hydrokit.parts import DiaphragmPump, Filter, Hose, Outlet, Source, Tank
from hydrokit.rig import Line, Rig, Site
from hydrokit.water import water

LITRE = 1.0 / 60_000.0
VENT, OVERFLOW, BLOCKED = "vent carries the air", "overflow carries the fill", "vent blocked"
TEN = Site(water_temperature=283.15)


def filled(flow: float = 8.0, **tank: Any) -> Rig:
    """Return a tank into which a pump that gives one flow up to 2.8 bar puts its water."""
    given: dict[str, Any] = {"volume": 0.06, "floor": 1.0, "depth": 0.4, "inlet_height": 1.4}
    pump = DiaphragmPump(points=((0.0, 2.8e5), (flow * LITRE, 2.7e5), (flow * LITRE, 0.0)), drains=True)
    return Rig(
        site=TEN,
        sources={"pond": Source(surface=0.5)},
        tanks={"tank": Tank(**{**given, **tank})},
        lines={
            "fill": Line(
                start="pond", end="tank", parts=(Hose(bore=0.019, length=1.0), pump, Hose(bore=0.019, length=1.0))
            )
        },
    )


@pytest.mark.parametrize(("bore", "kilopascals"), [(0.006, 0.13), (0.010, 0.02)])
def test_a_vent_that_carries_air(found: Any, bore: float, kilopascals: float) -> None:
    """1.5 m of 6 or 10 mm at 8 L/min: common practice, no source; the sum is White's pipe with entrance and exit."""
    finding = found(filled(vent_bore=bore, vent_length=1.5, overflow_bore=0.025))[VENT, "tanks.tank"]
    assert finding.value == pytest.approx(kilopascals * 1e3, abs=6.0)
    assert finding.limit == 3e3
    assert finding.verdict is Verdict.HOLDS


@pytest.mark.parametrize(("bore", "kilopascals"), [(0.006, 87.0), (0.010, 8.4)])
def test_a_vent_that_carries_water_bursts_the_tank(found: Any, bore: float, kilopascals: float) -> None:
    """The same vents with water in them, 100 and 9 kPa in the trade's round figures: common practice, no source."""
    both = found(filled(vent_bore=bore, vent_length=1.5, overflow_bore=0.0))
    finding = both[OVERFLOW, "tanks.tank"]
    assert finding.value == pytest.approx(kilopascals * 1e3, rel=0.02)
    assert finding.verdict is Verdict.FAILS
    assert "a vent is no overflow" in str(finding.advice)


def test_a_blocked_vent_leaves_the_walls_all_that_the_pump_can_make(found: Any) -> None:
    finding = found(filled(vent_bore=0.010, overflow_bore=0.0))[BLOCKED, "tanks.tank"]
    weight = float(water(283.15).density) * 9.80665
    assert finding.value == pytest.approx(2.8e5 - 0.9 * weight, rel=1e-6)  # from the pond up to the lid
    assert finding.verdict is Verdict.FAILS


def test_a_spring_that_stands_below_the_lid_presses_with_nothing_on_a_blocked_tank(found: Any) -> None:
    rig = filled(vent_bore=0.010, overflow_bore=0.0, inlet_height=1.1)
    fall = Line(start="pond", end="tank", parts=(Hose(bore=0.019, length=1.0),))
    finding = found(replace(rig, sources={"pond": Source(surface=1.3)}, lines={"fill": fall}))[BLOCKED, "tanks.tank"]
    assert finding.value == 0.0
    assert finding.verdict is Verdict.HOLDS


def test_a_tank_of_which_nothing_is_said_leaves_the_next_to_be_judged(found: Any) -> None:
    rig = filled(vent_bore=0.010, overflow_bore=0.025)
    other = replace(rig.tanks["tank"], vent_bore=None, overflow_bore=None)
    lines = {"before": replace(rig.lines["fill"], end="other"), **rig.lines}
    findings = found(replace(rig, tanks={"other": other, **rig.tanks}, lines=lines))
    assert findings[VENT, "tanks.other"].verdict is Verdict.UNKNOWN
    assert findings[VENT, "tanks.tank"].verdict is Verdict.HOLDS


def test_an_overflow_of_its_own_takes_over_from_a_blocked_vent(found: Any) -> None:
    finding = found(filled(vent_bore=0.010, overflow_bore=0.025))[BLOCKED, "tanks.tank"]
    assert finding.value < 5.0
    assert finding.verdict is Verdict.HOLDS


@pytest.mark.parametrize(
    ("flow", "bore", "verdict"), [(11.0, 0.025, "holds"), (11.0, 0.016, "close"), (11.0, 0.0125, "fails")]
)
def test_an_overflow_wants_bore(found: Any, flow: float, bore: float, verdict: str) -> None:
    """Heads of 20, 150 and 450 mm for 1 m of these bores: common practice, no source; 3 kPa is 306 mm of water."""
    rig = filled(
        flow, vent_bore=0.010, overflow_bore=bore, overflow_length=1.0, pressure_rating=1.5e3 if bore < 0.02 else 3e3
    )
    finding = found(rig)[OVERFLOW, "tanks.tank"]
    millimetres = finding.value / (float(water(283.15).density) * 9.80665) * 1e3
    assert millimetres == pytest.approx({0.025: 20.0, 0.016: 150.0, 0.0125: 450.0}[bore], rel=0.25)
    assert finding.verdict == verdict


def test_room_under_the_lid_takes_the_head_of_the_overflow(found: Any) -> None:
    rig = filled(11.0, vent_bore=0.010, overflow_bore=0.016, overflow_height=1.4, lid=1.6)
    assert found(rig)[OVERFLOW, "tanks.tank"].value == 0.0


def test_a_tank_of_which_nothing_is_said_is_not_known_once(found: Any) -> None:
    all_found = found(filled())
    said = [finding for (rule, _), finding in all_found.items() if rule in {VENT, OVERFLOW, BLOCKED}]
    assert [(finding.rule, finding.verdict) for finding in said] == [(VENT, Verdict.UNKNOWN)]
    half = found(filled(vent_bore=0.01))
    assert half[OVERFLOW, "tanks.tank"].verdict is Verdict.UNKNOWN


def test_a_tank_that_is_drawn_breathes_in(found: Any) -> None:
    tank = Tank(volume=0.06, floor=1.0, depth=0.4, level=0.3, vent_bore=1.5e-3, overflow_bore=0.0)
    rig = Rig(
        tanks={"tank": tank},
        outlets={"end": Outlet(height=0.0)},
        lines={"out": Line(start="tank", end="end", parts=(Hose(bore=0.019, length=2.0),))},
    )
    all_found = found(rig)
    assert all_found[VENT, "tanks.tank"].verdict is Verdict.FAILS
    assert (OVERFLOW, "tanks.tank") not in all_found


def test_walls_are_judged_at_the_highest_flow(found: Any, swapped: Any) -> None:
    """A loaded filter lets less in now than it will when it is new."""
    rig, rule = filled(vent_bore=0.006, overflow_bore=0.012), (VENT, "tanks.tank")
    part = Filter(
        name="filter", points=((1e-4, 1e5), (2e-4, 2e5)), end_drop=((1e-4, 2.5e5),), holds=0.0, loading=1.0, drains=True
    )
    line = rig.lines["fill"]
    loaded = replace(rig, lines={"fill": replace(line, parts=(*line.parts, part))})
    assert found(loaded)[rule].value == pytest.approx(
        found(swapped(loaded, "filter", loading=0.0))[rule].value, rel=1e-9
    )


def test_bores_can_be_varied(state: Any) -> None:
    from hydrokit.rules import margins

    bores = np.array([0.004, 0.006, 0.010])
    varied = margins(state(filled(vent_bore=0.01, overflow_bore=0.025), None, {"tanks.tank.vent_bore": bores}))
    assert (np.diff(varied[VENT, "tanks.tank"]) > 0.0).all()


@pytest.mark.parametrize(("drains", "verdict"), [(True, "holds"), (False, "close"), (None, "unknown")])
@pytest.mark.parametrize("medium", ["sediment", "membrane"])
def test_frost(found: Any, medium: Any, drains: bool | None, verdict: str) -> None:
    rig = Rig(
        sources={"pond": Source(surface=1.0)},
        outlets={"end": Outlet(height=0.0)},
        lines={
            "down": Line(
                start="pond",
                end="end",
                parts=(Filter(name="stage", points=((1e-4, 5e3),), medium=medium, drains=drains, rated_flow=1e-3),),
            )
        },
    )
    finding = found(rig)["drained for frost", "lines.down.stage"]
    assert finding.verdict == verdict
    assert ("scrap" in str(finding.reason)) is (medium == "membrane" and drains is False)
