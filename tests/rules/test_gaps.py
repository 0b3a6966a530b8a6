"""Air gaps between a supply of water fit to drink and a raw tank: twice the bore and 20 mm (EN 1717 AA and AB; from memory)."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.answers import Verdict
from hydrokit.parts import NonReturnValve, Outlet, Source, Tank
from hydrokit.rig import Line, Mode, Rig
from hydrokit.rules import margins

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.parts import DiaphragmPump, Filter, Hose

    Hoses = Callable[..., Hose]
    Rigs = Callable[..., Rig]

GAP, ROUND, BACK = "air gap", "no way round the barrier", "no way back"
PLACE = (GAP, "lines.top-up")


@pytest.fixture
def topped_up(diaphragm: Callable[..., DiaphragmPump], hose: Hoses, membrane: Callable[..., Filter]) -> Rigs:
    """Return the function that builds a raw tank that a pond fills and a main tops up, treated into a clean one.

    The raw tank is brim-full at 1.4 m.
    """

    def build(*parts: Any, enters: str = "", modes: Any = None, **tank: Any) -> Rig:
        return Rig(
            sources={
                "pond": Source(surface=0.0),
                "main": Source(surface=0.0, pressure=3e5, treated=True),
            },
            tanks={
                "raw": Tank(**{"volume": 0.06, "floor": 1.0, "depth": 0.4, "level": 0.2, **tank}),
                "clean": Tank(volume=0.06, floor=1.0, depth=0.4, level=0.2),
            },
            outlets={"tap": Outlet(height=0.9)},
            lines={
                "intake": Line(start="pond", end="raw", parts=(hose(), replace(diaphragm("lift"), height=0.5))),
                "top-up": Line(start="main", end="raw", parts=parts or (hose(bore=0.0125),), enters=enters),
                "batch": Line(
                    start="raw", end="clean", parts=(hose(), replace(diaphragm("press"), height=0.9), membrane())
                ),
                "draw": Line(start="clean", end="tap", parts=(hose(),)),
            },
            modes=modes or {},
        )

    return build


@pytest.mark.parametrize(
    ("bore", "lip", "needed", "verdict"),
    [
        (0.0125, 1.425, 0.025, "holds"),
        (0.0125, 1.424, 0.025, "fails"),
        (0.008, 1.420, 0.020, "holds"),  # twice the bore would be 16 mm
        (0.008, 1.419, 0.020, "fails"),
        (0.025, 1.45, 0.050, "holds"),
        (0.025, 1.43, 0.050, "fails"),
    ],
)
def test_the_gap_is_twice_the_bore_and_20_mm(
    topped_up: Rigs, hose: Hoses, found: Any, bore: float, lip: float, needed: float, verdict: str
) -> None:
    finding = found(topped_up(hose(bore=bore), inlet_height=lip))[PLACE]
    assert (finding.verdict.value, finding.limit) == (verdict, pytest.approx(needed))
    assert finding.value == pytest.approx(lip - 1.4, abs=1e-6)
    gap, asked = f"{(lip - 1.4) * 1e3:.3g} mm", f"{needed * 1e3:.3g} mm"
    assert f"ends {gap} above the highest water of tank raw" in str(finding.reason)
    assert f"keeps raw water out of main is {asked}" in str(finding.reason)
    assert (f"end {asked} or more above" in str(finding.advice)) is (verdict == "fails")


def test_a_supply_over_an_air_gap_is_no_way_back_and_its_tank_stays_raw(topped_up: Rigs, found: Any) -> None:
    findings = found(topped_up(inlet_height=1.5))
    assert findings[PLACE].verdict is Verdict.HOLDS
    assert (BACK, "lines.top-up") not in findings
    assert (ROUND, "tanks.raw") not in findings
    assert (ROUND, "sources.main") not in findings
    assert findings[ROUND, "tanks.clean"].verdict is Verdict.HOLDS


def test_so_it_is_where_each_mode_fills_from_one_of_them(topped_up: Rigs, found: Any) -> None:
    modes = {
        "pond": Mode(closed=("lines.top-up", "lines.draw")),
        "main": Mode(closed=("lines.intake", "lines.draw"), off=("lines.intake.lift",)),
    }
    rig = topped_up(inlet_height=1.5, modes=modes)
    assert found(rig, "main")[PLACE].verdict is Verdict.HOLDS
    assert PLACE not in found(rig, "pond")
    for mode in modes:
        assert (ROUND, "tanks.raw") not in found(rig, mode)


def test_the_gap_is_counted_from_the_overflow_where_there_is_one(topped_up: Rigs, found: Any) -> None:
    with_overflow = {"overflow_bore": 0.025, "overflow_height": 1.3}
    assert found(topped_up(inlet_height=1.33, **with_overflow))[PLACE].value == pytest.approx(0.03)
    blind = with_overflow | {"overflow_bore": 0.0}
    assert found(topped_up(inlet_height=1.33, **blind))[PLACE].value == pytest.approx(-0.07)


def test_an_end_whose_height_is_not_stated_cannot_be_judged(topped_up: Rigs, found: Any) -> None:
    rig = topped_up()
    finding = found(rig)[PLACE]
    assert finding.verdict is Verdict.UNKNOWN
    assert "inlet_height of tank raw" in str(finding.reason)
    above = topped_up(enters="top", inlet="bottom", inlet_height=1.1)
    assert 'State inlet = "top" and inlet_height of tank raw' in str(found(above)[PLACE].advice)


@pytest.mark.parametrize("valve", [False, True])
def test_under_water_there_is_no_gap_and_a_valve_does_not_do_instead(
    topped_up: Rigs, hose: Hoses, found: Any, valve: bool
) -> None:
    parts = (hose(bore=0.0125), *((NonReturnValve(bore=0.0125),) if valve else ()))
    findings = found(topped_up(*parts, enters="bottom"))
    finding = findings[PLACE]
    assert finding.verdict is Verdict.FAILS
    assert "ends 0.4 m under the highest water of tank raw: there is no air gap" in str(finding.reason)
    assert "a non-return valve does not do instead" in str(finding.advice)
    back = findings.get((ROUND, "sources.main"))
    assert (back is None) is valve
    if back is not None:
        assert str(back.reason) == "Raw water can run back into source main, whose water is fit to drink."


def test_a_joint_of_the_supply_needs_the_gap_as_the_supply_does(topped_up: Rigs, hose: Hoses, found: Any) -> None:
    rig = topped_up(inlet_height=1.41)
    lines = {
        **rig.lines,
        "top-up": replace(rig.lines["top-up"], start="fork"),
        "feed": Line(start="main", end="fork", parts=(hose(),)),
        "kitchen": Line(start="fork", end="sink", parts=(hose(),)),
    }
    rig = replace(rig, lines=lines, outlets={**rig.outlets, "sink": Outlet(height=1.0)})
    findings = found(rig)
    assert findings[PLACE].verdict is Verdict.FAILS
    assert findings[ROUND, "outlets.sink"].verdict is Verdict.HOLDS


def test_a_gap_is_judged_in_every_variant_for_itself(topped_up: Rigs, state: Callable[..., Any]) -> None:
    varied = {"tanks.raw.inlet_height": np.array([1.35, 1.4, 1.425, 1.45])}
    both = margins(state(topped_up(inlet_height=1.5), None, varied))[PLACE]
    assert both == pytest.approx([-3.0, -1.0, 0.0, 1.0], abs=1e-9)


def test_raw_water_that_is_let_into_a_tank_of_supplied_water_is_still_a_fault(
    topped_up: Rigs, hose: Hoses, found: Any
) -> None:
    """Where an outlet draws on the tank past no barrier, the tank is not raw by design."""
    rig = topped_up(inlet_height=1.5)
    lines = {**rig.lines, "also": Line(start="raw", end="tap", parts=(hose(),))}
    assert found(replace(rig, lines=lines))[ROUND, "tanks.raw"].verdict is Verdict.FAILS
