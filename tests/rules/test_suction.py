"""NPSH, water that stays whole, vacuum against ratings, and the greatest height at which each holds.

Independent sums: friction factors from fluids, the standard atmosphere from fluids, properties of water from CoolProp.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from fluids.atmosphere import ATMOSPHERE_1976
from fluids.friction import friction_factor
from scipy.optimize import brentq

from hydrokit.answers import Verdict
from hydrokit.parts import Hose, HoseTail, Joint, NonReturnValve, Outlet, Source, Tank
from hydrokit.rig import Line, Rig, Site
from hydrokit.rules.drawing import static_lift, suction_of
from hydrokit.rules.suction import npsh_asked, npsh_offered

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.parts import CentrifugalPump, DiaphragmPump
    from hydrokit.rules import State

G, LITRE = 9.80665, 1.0 / 60_000.0
TEMPERATURE = 288.15
DENSITY = float(PropsSI("D", "T", TEMPERATURE, "P", 101_325.0, "Water"))
VISCOSITY = float(PropsSI("V", "T", TEMPERATURE, "P", 101_325.0, "Water"))
VAPOUR = float(PropsSI("P", "T", TEMPERATURE, "Q", 0.0, "Water"))
LENGTH, BORE, ENTRANCE = 6.0, 0.025, 0.5


def air(altitude: float = 0.0) -> float:
    return float(ATMOSPHERE_1976(altitude).P)


def spent(flow: float, *, more: float = 0.0) -> float:
    """Return the head lost in the suction hose and its mouth, and ``more`` velocity heads, m."""
    speed = flow / (np.pi / 4.0 * BORE**2)
    reynolds = DENSITY * speed * BORE / VISCOSITY
    assert reynolds > 4000.0
    factor = friction_factor(Re=reynolds, eD=1.5e-6 / BORE)
    return float((factor * LENGTH / BORE + ENTRANCE + more) * speed**2 / (2.0 * G))


def simple(pond_rig: Callable[..., Rig], pump: Any, height: float, **more: Any) -> Rig:
    suction = Hose(name="suction-hose", bore=BORE, length=LENGTH, vacuum_rating=0.8e5, pressure_rating=4e5)
    site = Site(water_temperature=TEMPERATURE, altitude=more.pop("altitude", 0.0))
    return pond_rig(pump, before=(suction,), height=height, site=site, **{"lip": 9.5, **more})


def test_npsh_offered_is_what_air_pressure_leaves_after_lift_and_losses(
    pond_rig: Callable[..., Rig], centrifugal: Callable[..., CentrifugalPump], state: Callable[..., State]
) -> None:
    here = state(simple(pond_rig, centrifugal(), 3.0, altitude=500.0))
    (pump,) = here.running
    wanted = (air(500.0) - VAPOUR) / (DENSITY * G) - 3.0 - spent(float(here.flow_at(pump)[0]))
    assert npsh_offered(here, pump)[0] == pytest.approx(wanted, rel=2e-5)  # water and air by other formulae


def test_a_flooded_pump_is_offered_more_than_the_air_holds_up(
    pond_rig: Callable[..., Rig], centrifugal: Callable[..., CentrifugalPump], state: Callable[..., State], found: Any
) -> None:
    rig = simple(pond_rig, centrifugal(), -1.0, lip=6.0)
    here = state(rig)
    (pump,) = here.running
    lift = static_lift(here, pump)
    assert lift is not None
    assert lift[0] == -1.0
    wanted = (air() - VAPOUR) / (DENSITY * G) + 1.0 - spent(float(here.flow_at(pump)[0]))
    assert npsh_offered(here, pump)[0] == pytest.approx(wanted, rel=2e-5)
    assert found(rig)["NPSH in hand", "lines.intake.pump"].verdict is Verdict.HOLDS


def test_npsh_required_follows_the_speed_as_varied(
    pond_rig: Callable[..., Rig], centrifugal: Callable[..., CentrifugalPump], state: Callable[..., State]
) -> None:
    # NPSHR(Q, s) = s² NPSHR(Q / s): similarity, from memory
    here = state(simple(pond_rig, centrifugal(), 1.0), None, {"lines.intake.pump.speed": np.array([1.0, 0.8])})
    (pump,) = here.running
    flow = np.full(2, 16.0 * LITRE)
    assert npsh_asked(here, pump, flow).tolist() == pytest.approx([1.9, 0.64 * 2.0])


@pytest.mark.parametrize(("height", "verdict"), [(2.0, "holds"), (7.5, "close"), (8.2, "fails")])
def test_npsh_holds_is_close_and_fails(
    pond_rig: Callable[..., Rig], centrifugal: Callable[..., CentrifugalPump], found: Any, height: float, verdict: str
) -> None:
    finding = found(simple(pond_rig, centrifugal(), height))["NPSH in hand", "lines.intake.pump"]
    assert finding.verdict == verdict
    # the wanted margin is 1 m or a fifth, whichever is more (ANSI/HI 9.6.1, secondary)
    wanted = max(1.2 * finding.limit, finding.limit + 1.0)
    assert (finding.value >= wanted) == (verdict == "holds")
    assert (finding.value < finding.limit) == (verdict == "fails")
    assert str(finding.reason).startswith("The pump is offered ")


def test_the_greatest_height_for_npsh_is_that_of_a_root_finder(
    pond_rig: Callable[..., Rig], centrifugal: Callable[..., CentrifugalPump], found: Any, state: Callable[..., State]
) -> None:
    rig = simple(pond_rig, centrifugal(), 9.0)
    finding = found(rig)["NPSH in hand", "lines.intake.pump"]
    flow = float(state(rig).flow_at(state(rig).running[0])[0])  # the duty does not depend on where the pump stands
    required = float(np.interp(flow, [0.0, 20.0 * LITRE, 40.0 * LITRE], [1.5, 2.0, 3.5]))
    height = brentq(lambda z: (air() - VAPOUR) / (DENSITY * G) - z - spent(flow) - required, 0.0, 10.0)
    (_, shown, _), *_ = finding.advice.values
    assert shown == pytest.approx(height, abs=0.011)  # said to the centimetre
    assert shown <= height


@pytest.mark.parametrize(("more", "verdict"), [({}, "unknown"), ({"vacuum_rating": 0.5e5}, None)])
def test_npsh_is_not_known_where_neither_it_nor_a_vacuum_rating_is_stated(
    pond_rig: Callable[..., Rig],
    centrifugal: Callable[..., CentrifugalPump],
    found: Any,
    more: Any,
    verdict: str | None,
) -> None:
    findings = found(simple(pond_rig, centrifugal(npsh_required=None, **more), 1.0))
    finding = findings.get(("NPSH in hand", "lines.intake.pump"))
    assert (finding and finding.verdict) == verdict
    assert (("pump inlet vacuum", "lines.intake.pump") in findings) == bool(more)


def test_a_pump_that_states_only_a_vacuum_leaves_the_next_to_be_judged(
    centrifugal: Callable[..., CentrifugalPump], hose: Callable[..., Hose], found: Any
) -> None:
    plain, told = (
        replace(pump, height=1.0) for pump in (centrifugal(npsh_required=None, vacuum_rating=5e4), centrifugal())
    )
    rig = Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={"one": Outlet(height=2.0), "other": Outlet(height=2.0)},
        lines={
            "first": Line(start="pond", end="one", parts=(hose(), plain, hose())),
            "second": Line(start="pond", end="other", parts=(hose(), told, hose())),
        },
    )
    assert [place for rule, place in found(rig) if rule == "NPSH in hand"] == ["lines.second.pump"]


def test_npsh_outside_the_data_sheet_is_not_known_and_says_so(
    pond_rig: Callable[..., Rig], centrifugal: Callable[..., CentrifugalPump], found: Any
) -> None:
    pump = centrifugal(npsh_required=((0.0, 1.5), (5.0 * LITRE, 1.6)))
    finding = found(simple(pond_rig, pump, 1.0))["NPSH in hand", "lines.intake.pump"]
    assert finding.verdict is Verdict.UNKNOWN
    assert "for which its data sheet states no NPSH required" in str(finding.reason)


def test_the_lowest_pressure_is_at_the_pump_where_air_and_vapour_come_out_below_the_limit(
    pond_rig: Callable[..., Rig], centrifugal: Callable[..., CentrifugalPump], found: Any, state: Callable[..., State]
) -> None:
    rig = simple(pond_rig, centrifugal(npsh_required=None, vacuum_rating=1e5), 8.5)
    finding = found(rig)["water stays whole", "lines.intake"]
    flow = float(state(rig).solution.flow("intake")[0])
    assert finding.value == pytest.approx(air() - DENSITY * G * (8.5 + spent(flow, more=1.0)), rel=1e-4)
    assert finding.limit == pytest.approx(VAPOUR + 20e3, rel=1e-4)
    assert finding.verdict is Verdict.FAILS
    assert "at the inlet of the pump" in str(finding.reason)
    height = brentq(lambda z: air() - DENSITY * G * (z + spent(flow, more=1.0)) - VAPOUR - 20e3, 0.0, 10.0)
    (_, shown, _), *_ = finding.advice.values
    assert shown == pytest.approx(height, abs=0.011)


def test_a_siphon_breaks_at_its_crest_not_at_its_ends(found: Any) -> None:
    def siphon(crest: float) -> Rig:
        line = Line(start="high", end="low", parts=(Hose(name="over", bore=0.02, length=30.0, high_point=crest),))
        return Rig(sources={"high": Source(surface=2.0)}, outlets={"low": Outlet(height=0.0)}, lines={"siphon": line})

    # at rest the crest may stand (101 325 - 1 706 - 20 000) / ρg = 8.1 m above the water; less when water runs
    assert found(siphon(8.0))["water stays whole", "lines.siphon"].verdict is Verdict.HOLDS
    broken = found(siphon(10.5))["water stays whole", "lines.siphon"]
    assert broken.verdict is Verdict.FAILS
    assert "at the high point of the over" in str(broken.reason)
    assert "Lower that place by about" in str(broken.advice)


def test_hot_water_high_up_stays_whole_at_an_open_mouth(found: Any) -> None:
    def poured(temperature: float) -> Any:
        line = Line(start="spring", end="cup", parts=(Hose(bore=0.013, length=2.0),))
        site = Site(altitude=4500.0, water_temperature=273.15 + temperature)
        rig = Rig(
            site=site,
            sources={"spring": Source(surface=1.0)},
            outlets={"cup": Outlet(height=0.0)},
            lines={"down": line},
        )
        return found(rig)["water stays whole", "lines.down"]

    assert poured(80.0).verdict is not Verdict.FAILS
    half = 0.5 * (air(4500.0) + PropsSI("P", "T", 353.15, "Q", 0, "Water"))
    assert poured(80.0).limit == pytest.approx(half, rel=1e-6)
    assert poured(20.0).limit == pytest.approx(PropsSI("P", "T", 293.15, "Q", 0, "Water") + 20e3, rel=1e-6)


def test_before_the_exit_of_a_line_stands_its_end_not_its_inlet(found: Any) -> None:
    rises = Line(start="main", end="tap", parts=(Hose(name="up", bore=0.02, length=6.0),))
    ends: Any = {"sources": {"main": Source(surface=0.0, pressure=2e5)}, "outlets": {"tap": Outlet(height=5.0)}}
    finding = found(Rig(**ends, lines={"rises": rises}))["water stays whole", "lines.rises"]
    assert "101 kPa absolute, at the end of line rises" in str(finding.reason)


def test_lines_that_stand_still_or_are_shut_are_not_said_to_break(
    pond_rig: Callable[..., Rig], centrifugal: Callable[..., CentrifugalPump], found: Any
) -> None:
    findings = found(simple(pond_rig, centrifugal(), 1.0, lip=40.0))
    assert findings["water arrives", "lines.intake"].verdict is Verdict.FAILS
    assert not [rule for rule, _ in findings if rule == "water stays whole"]


@pytest.mark.parametrize(
    ("rating", "verdict"), [(0.8e5, "holds"), (0.22e5, "close"), (0.15e5, "fails"), (None, "unknown")]
)
def test_a_hose_under_vacuum_against_its_rating(
    pond_rig: Callable[..., Rig],
    diaphragm: Callable[..., DiaphragmPump],
    found: Any,
    rating: float | None,
    verdict: str,
) -> None:
    suction = Hose(name="suction-hose", bore=BORE, length=LENGTH, vacuum_rating=rating)
    finding = found(pond_rig(diaphragm(), before=(suction,), height=2.0))[
        "hose keeps its shape", "lines.intake.suction-hose"
    ]
    assert finding.verdict == verdict
    if rating is not None:
        assert finding.value == pytest.approx(DENSITY * G * 2.0, rel=0.08)  # 2 m and a little friction


def test_a_hose_under_next_to_no_vacuum_needs_no_rating(
    pond_rig: Callable[..., Rig], diaphragm: Callable[..., DiaphragmPump], found: Any
) -> None:
    suction = Hose(name="suction-hose", bore=BORE, length=1.0)
    assert not [rule for rule, _ in found(pond_rig(diaphragm(), before=(suction,), height=0.1)) if "shape" in rule]


def test_a_hose_over_a_hump_stands_under_the_vacuum_of_its_high_point(found: Any) -> None:
    line = Line(
        start="high", end="low", parts=(Hose(name="over", bore=0.02, length=30.0, high_point=5.0, vacuum_rating=0.3e5),)
    )
    rig = Rig(sources={"high": Source(surface=2.0)}, outlets={"low": Outlet(height=0.0)}, lines={"siphon": line})
    finding = found(rig)["hose keeps its shape", "lines.siphon.over"]
    assert finding.value > DENSITY * G * 3.0
    assert finding.verdict is Verdict.FAILS


@pytest.mark.parametrize(("rating", "verdict"), [(0.45e5, "holds"), (0.22e5, "close"), (0.15e5, "fails")])
def test_the_vacuum_at_a_pump_against_its_rating(
    pond_rig: Callable[..., Rig], diaphragm: Callable[..., DiaphragmPump], found: Any, rating: float, verdict: str
) -> None:
    finding = found(simple(pond_rig, diaphragm(vacuum_rating=rating), 2.0))["pump inlet vacuum", "lines.intake.pump"]
    assert finding.verdict == verdict
    if verdict == "fails":
        assert "Lower the pump to 1.4" in str(finding.advice)  # 0.15 bar hold up 1.5 m of water, less the friction


def test_a_pump_is_never_told_to_go_below_the_water(
    pond_rig: Callable[..., Rig], diaphragm: Callable[..., DiaphragmPump], found: Any
) -> None:
    strangled = (Hose(name="suction-hose", bore=0.006, length=LENGTH, vacuum_rating=0.8e5),)
    rig = pond_rig(diaphragm(vacuum_rating=0.1e5), before=strangled, height=1.0)
    finding = found(rig)["pump inlet vacuum", "lines.intake.pump"]
    assert str(finding.advice) == (
        "Lowering the pump to the water would not be enough: make its suction hose shorter or wider and clean the strainer."
    )


def forked(pump: Any) -> Rig:
    hose = Hose(bore=0.01, length=3.0, vacuum_rating=0.8e5)
    return Rig(
        sources={"pond": Source(surface=0.0), "river": Source(surface=-0.2)},
        outlets={"tap": Outlet(height=3.0)},
        joints={"fork": Joint(height=1.0)},
        lines={
            "one": Line(start="pond", end="fork", parts=(NonReturnValve(bore=0.01), hose)),
            "two": Line(start="river", end="fork", parts=(hose,)),
            "up": Line(start="fork", end="tap", parts=(replace(pump, height=1.5), hose)),
        },
    )


def test_a_pump_on_a_fork_draws_from_every_end_and_stands_above_the_lowest(
    diaphragm: Callable[..., DiaphragmPump], state: Callable[..., State]
) -> None:
    here = state(forked(diaphragm()))
    (pump,) = here.running
    side = suction_of(here, pump)
    assert set(side.ends) == {"pond", "river"}
    assert {here.line_of(index) for index in side.elements} == {"one", "two"}
    assert not side.held  # the way from the river has no valve
    assert not side.fed_by
    lift = static_lift(here, pump)
    assert lift is not None
    assert lift[0] == pytest.approx(1.7)


def test_the_suction_side_ends_at_the_pump_before(
    centrifugal: Callable[..., CentrifugalPump], state: Callable[..., State], hose: Callable[..., Hose], found: Any
) -> None:
    first = (hose(bore=0.032), replace(centrifugal("first", dry_lift=2.0), height=1.0), hose("between", bore=0.012))
    rig = Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={"tap": Outlet(height=2.0)},
        lines={
            "a": Line(start="pond", end="j", parts=first),
            "b": Line(start="j", end="tap", parts=(replace(centrifugal("second"), height=1.0), hose())),
        },
    )
    here = state(rig)
    second = next(pump for pump in here.running if here.line_of(pump) == "b")
    assert [here.plan.elements[index].address for index in suction_of(here, second).fed_by] == ["lines.a.first"]
    assert static_lift(here, second) is None
    findings = found(rig)
    assert findings["pump primes", "lines.b.second"].verdict is Verdict.HOLDS
    assert ("delivery velocity", "lines.a.between") in findings
    assert ("suction velocity", "lines.a.between") not in findings


def test_hose_tails_on_the_suction_side_belong_to_it(
    pond_rig: Callable[..., Rig], diaphragm: Callable[..., DiaphragmPump], state: Callable[..., State]
) -> None:
    before = (HoseTail(bore=0.02), Hose(name="suction-hose", bore=0.025, length=4.0), HoseTail(bore=0.02))
    here = state(pond_rig(diaphragm(), before=before))
    (pump,) = here.running
    assert all(index < pump for index in suction_of(here, pump).elements)
    assert suction_of(here, pump).elements[0] == pump - 1
    assert isinstance(here.rig.ends()["tank"], Tank)
