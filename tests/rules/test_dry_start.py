"""How long a pump runs on air until it has drawn its suction side full, and whether it may."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.answers import Verdict
from hydrokit.parts import FootValve, HandPump, Joint, NonReturnValve, Outlet, Source, Tank
from hydrokit.rig import Line, Rig, Site
from hydrokit.rules.drawing import climb_of
from hydrokit.rules.dry_start import air_volume, dry_limit, prime_time, pushed_against
from hydrokit.studies import check

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.parts import CentrifugalPump, DiaphragmPump, Filter, Hose
    from hydrokit.rules import State

    Rigs = Callable[..., Rig]

RULE, PUMP = "dry running", "lines.intake.pump"
G, AIR = 9.80665, 101_325.0
WARM = Site(water_temperature=293.15)
LITRE = 1.0 / 60_000.0


def _seconds(here: State) -> float:
    time = prime_time(here, here.running[0])
    assert time is not None
    return float(time[0])


def test_the_time_to_prime_agrees_with_following_the_air_step_by_step(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose], state: Any
) -> None:
    # isothermal air drawn off at its own pressure at a rate that falls evenly with vacuum to nothing at the dry lift
    from scipy.integrate import solve_ivp

    here = state(pond_rig(diaphragm(), before=(hose(bore=0.025, length=5.0),), height=1.5, lip=1.5, site=WARM))
    limit, area, sweeps = float(dry_limit(here, here.running[0])[0]), np.pi * 0.025**2 / 4.0, 11.3 * LITRE
    weight = 998.207 * G

    def rises(_: float, filled: np.ndarray) -> list[float]:
        climb = 1.5 * filled[0]  # of an even slope
        pressure = AIR - weight * climb
        drawn_off = sweeps * (1.0 - climb / limit) * pressure
        # moles p V, V = area 5 (1 - x): d(pV)/dx = -area 5 (p + (1 - x) 1.5 weight)
        return [drawn_off / (area * 5.0 * (pressure + (1.0 - filled[0]) * 1.5 * weight))]

    def full(_: float, filled: np.ndarray) -> float:
        return float(filled[0]) - 1.0

    full.terminal = True  # type: ignore[attr-defined]
    path = solve_ivp(rises, (0.0, 200.0), [0.0], events=full, rtol=1e-10, atol=1e-12)
    assert _seconds(here) == pytest.approx(path.t_events[0][0], rel=1e-5)


def test_only_hose_above_the_water_holds_air(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose], state: Any
) -> None:
    before = (FootValve(bore=0.025, height=-0.5), hose(bore=0.025, length=4.0))
    here = state(pond_rig(diaphragm(holds=2e-4), before=before, height=1.5))
    assert air_volume(here, here.running[0])[0] == pytest.approx(np.pi * 0.025**2 / 4.0 * 3.0 + 2e-4)


def test_the_housing_of_a_filter_before_the_pump_is_full_of_air_too(
    pond_rig: Rigs,
    diaphragm: Callable[..., DiaphragmPump],
    hose: Callable[..., Hose],
    membrane: Callable[..., Filter],
    state: Any,
) -> None:
    def air(**filter_: Any) -> float:
        before = (hose(bore=0.025, length=5.0), membrane(holds=1.5e-3, **filter_), hose(bore=0.025, length=1.0))
        here = state(pond_rig(diaphragm(), before=before, height=1.5, lip=1.5))
        return float(air_volume(here, here.running[0])[0])

    hoses = np.pi * 0.025**2 / 4.0 * 6.0
    assert air(height=1.0) == pytest.approx(hoses + 1.5e-3)
    assert air(height=1.0, side_by_side=2.0) == pytest.approx(hoses + 3e-3)
    assert air(height=-0.5) < hoses


def test_a_diaphragm_pump_is_asked_for_the_lift_that_it_does_not_state(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], found: Any
) -> None:
    finding = found(pond_rig(diaphragm(dry_lift=None), height=1.0, lip=1.0))[RULE, PUMP]
    assert str(finding.reason) == "Cannot be judged without the dry_lift of the pump."


def test_hose_over_a_crest_is_all_air(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose], state: Any
) -> None:
    before = (FootValve(bore=0.025, height=-0.5), hose(bore=0.025, length=4.0, high_point=2.0))
    here = state(pond_rig(diaphragm(), before=before, height=1.5))
    assert air_volume(here, here.running[0])[0] == pytest.approx(np.pi * 0.025**2 / 4.0 * 4.0)
    assert climb_of(here, here.running[0]) == pytest.approx(2.0)


@pytest.mark.parametrize(("low", "high", "climb"), [(-0.5, 1.0, 0.8), (-0.5, -0.1, 0.8), (0.4, 1.0, 0.0)])
def test_of_two_waters_each_climbs_its_own_way(
    diaphragm: Callable[..., DiaphragmPump],
    hose: Callable[..., Hose],
    state: Any,
    low: float,
    high: float,
    climb: float,
) -> None:
    """A hose that starts at the higher water starts no height that the lower one must climb: 0.3 m less -0.5 m is 0.8 m."""
    lines = {
        "low": Line(start="ditch", end="fork", parts=(FootValve(bore=0.025), hose())),
        "high": Line(start="cistern", end="fork", parts=(FootValve(bore=0.025), hose())),
        "intake": Line(start="fork", end="tap", parts=(hose(), diaphragm(height=0.3), hose())),
    }
    rig = Rig(
        sources={"ditch": Source(surface=low), "cistern": Source(surface=high)},
        outlets={"tap": Outlet(height=2.0)},
        joints={"fork": Joint(height=0.3)},
        lines=lines,
    )
    here = state(rig)
    assert climb_of(here, here.running[0]) == pytest.approx(climb)


def test_a_wider_hose_thinner_air_and_a_stiff_valve_all_take_longer(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose], state: Any
) -> None:
    def time(bore: float = 0.019, altitude: float = 0.0, cracking: float = 0.0, lip: float = 1.5) -> float:
        after = (NonReturnValve(bore=0.019, cracking_pressure=cracking), hose())
        rig = pond_rig(
            diaphragm(),
            before=(hose(bore=bore, length=5.0),),
            after=after,
            height=1.5,
            lip=lip,
            site=Site(altitude=altitude),
        )
        return _seconds(state(rig))

    plain = time()
    assert time(bore=0.025) == pytest.approx(plain * (25 / 19) ** 2, rel=1e-9)
    assert time(altitude=2500.0) > plain * 1.05
    assert time(cracking=5e3) > plain
    assert time(lip=2.5) > plain  # water left in the delivery stands against the air


def test_what_the_air_is_pushed_out_against(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose], state: Any
) -> None:
    after = (NonReturnValve(bore=0.019, cracking_pressure=3e3), hose())
    here = state(pond_rig(diaphragm(), after=after, height=1.0, lip=2.5, site=WARM))
    assert pushed_against(here, here.running[0])[0] == pytest.approx(1.5 * 998.2 * G + 3e3, rel=1e-4)


def test_a_hand_pump_sweeps_its_strokes(pond_rig: Rigs, hose: Callable[..., Hose], state: Any) -> None:
    pump = HandPump(name="pump", stroke_volume=0.4e-3, stroke_time=1.5, dry_lift=4.0)
    slower = HandPump(name="pump", stroke_volume=0.4e-3, stroke_time=3.0, dry_lift=4.0)
    times = [
        _seconds(state(pond_rig(each, before=(hose(length=5.0),), height=1.5, lip=1.5))) for each in (pump, slower)
    ]
    assert times[1] == pytest.approx(2.0 * times[0])


@pytest.mark.parametrize(("allowed", "verdict"), [(60.0, "holds"), (13.0, "close"), (10.0, "fails")])
def test_it_may_run_dry_for_so_long(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose], found: Any,
    allowed: float, verdict: str,
) -> None:  # fmt: skip
    rig = pond_rig(diaphragm(dry_run_time=allowed), before=(hose(length=5.0),), height=1.5, lip=1.5)
    finding = found(rig)[RULE, PUMP]
    assert finding.verdict == verdict
    assert "what a leak adds to that is not known" in str(finding.reason)
    assert bool(finding.advice) == (verdict == "fails")


def test_a_valve_below_makes_a_failure_close(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose], found: Any
) -> None:
    before = (FootValve(bore=0.019), hose(length=5.0))
    rig = pond_rig(diaphragm(dry_run_time=5.0), before=before, height=1.5, lip=1.5)
    assert found(rig)[RULE, PUMP].verdict is Verdict.CLOSE


def test_a_dry_lift_that_the_water_left_in_the_delivery_takes_away_is_none(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose], state: Any
) -> None:
    # the valves that draw 2.4 m of vacuum cannot push air out under 40 m of water
    here = state(pond_rig(diaphragm(), before=(hose(length=5.0),), height=0.5, lip=40.0))
    assert dry_limit(here, here.running[0]).tolist() == [0.0]
    assert np.isinf(_seconds(here))


def test_a_balance_line_behind_the_tank_drains_no_water_from_the_delivery(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose], state: Any
) -> None:
    rig = pond_rig(diaphragm(), height=0.5, lip=2.0)
    low = Tank(volume=0.06, floor=0.6, depth=0.45, inlet="bottom", level=0.1)
    twins = replace(
        rig,
        tanks={**rig.tanks, "low": low},
        lines={**rig.lines, "balance": Line(start="tank", end="low", parts=(hose("balance"),))},
    )
    for each in (rig, twins):  # 1.5 m of water stand above the pump, up to the lip
        here = state(each)
        assert pushed_against(here, here.running[0])[0] == pytest.approx(1.5 * 999.1 * G, rel=1e-4)


def test_a_pump_that_never_draws_it_full_fails_whatever_it_may(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose], found: Any
) -> None:
    rig = pond_rig(diaphragm(dry_run_time=3600.0), before=(hose(length=5.0),), height=3.5, lip=3.5)
    finding = found(rig)[RULE, PUMP]
    assert (finding.verdict, finding.value) == (Verdict.FAILS, None)
    assert "never draws its empty hose full" in str(finding.reason)


def test_without_a_stated_time_it_is_one_finding_that_is_not_known(
    pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], found: Any
) -> None:
    finding = found(pond_rig(diaphragm()))[RULE, PUMP]
    assert finding.verdict is Verdict.UNKNOWN
    assert str(finding.reason) == "Cannot be judged without the dry_run_time of the pump."


def test_a_flooded_pump_never_runs_dry(pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], found: Any) -> None:
    finding = found(pond_rig(diaphragm(), height=-0.5))[RULE, PUMP]
    assert finding.verdict is Verdict.HOLDS
    assert finding.value == 0.0


def test_a_pump_that_draws_nothing_up_is_not_told_how_long_it_runs_on_air(
    pond_rig: Rigs, centrifugal: Callable[..., CentrifugalPump], found: Any
) -> None:
    for height, told in (
        (0.5, False),
        (-0.5, True),
    ):  # half a metre above the water it never finds any, below it at once
        findings = found(pond_rig(centrifugal(), height=height, lip=2.0))
        assert ((RULE, PUMP) in findings) is told


def test_a_self_priming_centrifugal_pump_sweeps_what_nobody_knows(
    pond_rig: Rigs, centrifugal: Callable[..., CentrifugalPump], hose: Callable[..., Hose], found: Any
) -> None:
    before = (hose(length=5.0),)
    finding = found(pond_rig(centrifugal(dry_lift=4.0), before=before, height=1.0, lip=1.0))[RULE, PUMP]
    assert finding.verdict is Verdict.UNKNOWN
    assert "Time it once" in str(finding.advice)
    assert (RULE, PUMP) not in found(pond_rig(centrifugal(), before=before, height=1.0))  # it does not prime itself


def test_the_pump_table_of_check_tells_it(pond_rig: Rigs, diaphragm: Callable[..., DiaphragmPump], state: Any) -> None:
    rig = pond_rig(diaphragm())
    (duty,) = check(rig).duties
    here = state(rig)
    assert duty.prime_time == _seconds(here)
    assert duty.dry_lift == float(dry_limit(here, here.running[0])[0])
    assert duty.empty_climb == pytest.approx(1.5)
