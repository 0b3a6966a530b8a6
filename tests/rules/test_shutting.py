"""What stops a pump when all behind it is shut, how it heats, and what runs on or back when it stops."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.answers import Verdict
from hydrokit.network.loss import pump_gains
from hydrokit.parts import HandPump, Hose, Outlet, Source, Tank, Valve
from hydrokit.rig import Line, Rig, Site
from hydrokit.rules.shutting import RELIEF as RELIEF_RULE
from hydrokit.rules.shutting import Behind, behind

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.parts import CentrifugalPump, DiaphragmPump, Filter

    Rigs = Callable[..., Rig]

RELIEF, HEAT, PUMP = "relief at shut-off", "dead-head heating", "lines.intake.pump"
BAR, LITRE = 1e5, 1.0 / 60_000.0
TAP = Valve(name="tap", bore=0.015, pressure_rating=10 * BAR)


@pytest.mark.parametrize(
    ("given", "verdict"),
    [({}, "fails"), ({"cut_out": 2.8 * BAR}, "holds"), ({"relief": 3.5 * BAR}, "holds")],
)
def test_a_displacement_pump_before_a_valve_needs_a_switch_or_a_relief_valve(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], found: Any, given: Any, verdict: str
) -> None:
    pump = diaphragm(**{"cut_in": None, "cut_out": None, **given})
    finding = found(pond_rig(pump, after=(TAP,)))[RELIEF, PUMP]
    assert finding.verdict == verdict
    if verdict == "fails":
        assert "when a valve or tap behind it is shut it presses on, to " in str(finding.reason)
        assert "Fit a pressure switch, or a relief valve" in str(finding.advice)


def test_heads_at_shut_off_are_worked_out_once_for_the_words_of_all_variants(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], state: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    rig = pond_rig(diaphragm(cut_in=None, cut_out=None), after=(TAP,))
    many = state(rig, None, {"sources.pond.surface": np.linspace(-1.0, 0.0, 30)})
    asked: list[int] = []
    monkeypatch.setattr(
        "hydrokit.rules.state.pump_gains", lambda pumps, flow: asked.append(1) or pump_gains(pumps, flow)
    )
    (measure,) = RELIEF_RULE.measure(many)
    assert len({str(measure.word(row)[0]) for row in range(30)}) == 1
    assert len(asked) == 1


def test_where_only_a_filter_can_clog_it_is_close(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], membrane: Callable[..., Filter], found: Any
) -> None:
    pump = diaphragm(cut_in=None, cut_out=None)
    assert found(pond_rig(pump, after=(membrane(),)))[RELIEF, PUMP].verdict is Verdict.CLOSE
    assert found(pond_rig(pump))[RELIEF, PUMP].verdict is Verdict.HOLDS


def test_a_way_that_is_always_open_relieves_the_others(diaphragm: Callable[..., DiaphragmPump], state: Any) -> None:
    def status(*other: Any) -> Behind:
        hose = Hose(bore=0.0125, length=1.0)
        rig = Rig(
            sources={"pond": Source(surface=0.0)},
            outlets={"tap": Outlet(height=1.0), "other": Outlet(height=1.0)},
            lines={
                "intake": Line(start="pond", end="split", parts=(diaphragm(height=0.5), hose)),
                "one": Line(start="split", end="tap", parts=(hose, TAP)),
                "two": Line(start="split", end="other", parts=(hose, *other)),
            },
        )
        here = state(rig)
        return behind(here, here.running[0])[1]

    assert status() is Behind.OPEN
    assert status(TAP) is Behind.SHUT


def test_a_tap_at_the_very_end_can_be_shut_as_well_as_a_valve(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], found: Any
) -> None:
    def judged(**outlet: Any) -> Verdict:
        rig = pond_rig(diaphragm(cut_in=None, cut_out=None))
        line = rig.lines["intake"]
        lines = {"intake": replace(line, end="spout")}
        ends = {"spout": Outlet(height=1.0, **outlet)}
        verdict: Verdict = found(replace(rig, tanks={}, outlets=ends, lines=lines))[RELIEF, PUMP].verdict
        return verdict

    assert judged() is Verdict.HOLDS
    assert judged(closing_time=0.5) is Verdict.FAILS


def test_a_hand_pump_is_stopped_by_who_works_it(pond_rig: Rigs, found: Any) -> None:
    pump = HandPump(name="pump", stroke_volume=4e-4, dry_lift=3.0)
    assert (RELIEF, PUMP) not in found(pond_rig(pump, after=(TAP,)))


def test_a_relief_valve_bounds_the_pressure_at_shut_off(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], found: Any
) -> None:
    pump = diaphragm(cut_in=None, cut_out=None, relief=2.0 * BAR)
    loose = diaphragm(cut_in=None, cut_out=None)
    shut = "pressure at shut-off", "lines.intake.tap"
    assert found(pond_rig(pump, after=(TAP,)))[shut].value == pytest.approx(2.0 * BAR, rel=1e-6)
    assert found(pond_rig(loose, after=(TAP,)))[shut].value > 4.0 * BAR


@pytest.mark.parametrize(("power", "verdict"), [(300.0, "holds"), (2000.0, "close")])
def test_all_power_of_a_pump_that_is_shut_off_heats_its_water(
    pond_rig: Rigs, centrifugal: Callable[..., CentrifugalPump], found: Any, power: float, verdict: str
) -> None:
    pump = centrifugal(holds=3e-3, powers=((0.0, power), (40 * LITRE, power)))
    finding = found(pond_rig(pump, after=(TAP,), height=-0.5, site=Site(water_temperature=293.15)))[HEAT, PUMP]
    # specific heat 4.19 kJ/(kg K): common handbook value
    assert finding.value == pytest.approx(3e-3 * 998.2 * 4184.0 * 40.0 / power, rel=1e-4)
    assert finding.verdict == verdict
    assert "60 °C" in str(finding.reason)


def test_how_it_heats_is_not_known_without_data_and_not_asked_where_nothing_shuts(
    pond_rig: Rigs, centrifugal: Callable[..., CentrifugalPump], found: Any
) -> None:
    finding = found(pond_rig(centrifugal(), after=(TAP,), height=-0.5))[HEAT, PUMP]
    assert finding.verdict is Verdict.UNKNOWN
    assert (HEAT, PUMP) not in found(pond_rig(centrifugal(), height=-0.5))


def _back(high_point: float | None, floor: float = 1.0) -> Rig:
    """Return a tank filled from below through a hose that lets water back."""
    return Rig(
        sources={"pond": Source(surface=0.0)},
        tanks={"tank": Tank(volume=0.1, floor=floor, depth=0.5, level=0.4, inlet="bottom")},
        lines={"fill": Line(start="pond", end="tank", parts=(Hose(bore=0.02, length=30.0, high_point=high_point),))},
    )


@pytest.mark.parametrize(("high_point", "verdict"), [(None, "fails"), (3.0, "fails"), (14.0, "holds")])
def test_a_full_hose_drains_a_tank_over_a_high_point_as_a_siphon(
    found: Any, high_point: float | None, verdict: str
) -> None:
    finding = found(_back(high_point))["no draining back", "lines.fill"]
    assert finding.verdict == verdict  # 10 m of water is what the air holds up
    if high_point == 3.0:
        assert "stays full as a siphon over its highest point, 1.6 m above that" in str(finding.reason)
    if high_point is None:
        assert "siphon" not in str(finding.reason)


@pytest.mark.parametrize(("surface", "verdict"), [(0.0, "holds"), (3.0, "close")])
def test_water_runs_on_through_a_centrifugal_pump_that_stands_still(
    pond_rig: Rigs, centrifugal: Callable[..., CentrifugalPump], found: Any, surface: float, verdict: str
) -> None:
    rig = pond_rig(centrifugal(), height=-0.5, sources={"pond": Source(surface=surface)})
    finding = found(rig)["stops with the pump", PUMP]
    assert finding.verdict == verdict
    if verdict == "close":
        assert "pond stands 0.9 m above the lowest end behind it" in str(finding.reason)


def test_a_displacement_pump_blocks_when_it_stops(pond_rig: Rigs, found: Any) -> None:
    rig = pond_rig(sources={"pond": Source(surface=5.0)})
    assert ("stops with the pump", PUMP) not in found(rig)


def test_variants_are_judged_one_by_one(
    pond_rig: Rigs, centrifugal: Callable[..., CentrifugalPump], state: Any
) -> None:
    from hydrokit.rules import judge

    here = state(pond_rig(centrifugal(), height=-0.5), None, {"sources.pond.surface": np.array([0.0, 3.0])})
    verdicts = [
        next(each for each in judge(here, row) if each.rule == "stops with the pump").verdict for row in range(2)
    ]
    assert verdicts == [Verdict.HOLDS, Verdict.CLOSE]
