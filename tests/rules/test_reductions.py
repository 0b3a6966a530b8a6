"""Log reductions credited along every path, and the conditions under which a claim counts."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.answers import Verdict
from hydrokit.files import demonstration
from hydrokit.parts import DiaphragmPump, Filter, Hose, Lamp, Outlet, Part, Source, Tank, Valve
from hydrokit.rig import TIERS, Line, Mode, Rig, Site, Targets
from hydrokit.rules.highest import at_highest_flow
from hydrokit.rules.quality import quality_of
from hydrokit.rules.reductions import credited_logs

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.rules import State

LITRE = 1.0 / 60_000.0
RULE = "log reductions credited"
CLEAR = Site(turbidity=0.5, transmittance=0.85, ph=7.0, water_temperature=283.15, chlorine_demand=0.5e-3)
HOSE = Hose(bore=0.012, length=4.0)


def membrane(name: str = "membrane", **more: Any) -> Filter:
    given: dict[str, Any] = {
        "points": ((8 * LITRE, 6e4),),
        "medium": "membrane",
        "bacteria_logs": 6.0,
        "virus_logs": 4.0,
        "protozoa_logs": 4.0,
        "rated_flow": 20 * LITRE,
    }
    return Filter(name=name, **{**given, **more})


def lamp(**more: Any) -> Lamp:
    given: dict[str, Any] = {
        "points": ((8 * LITRE, 4e3),),
        "rated_flow": 20 * LITRE,
        "rated_dose": 400.0,
        "rated_transmittance": 0.75,
        "life": 9000 * 3600.0,
    }
    return Lamp(name="lamp", **{**given, **more})


def falling(*parts: Part, site: Site = CLEAR, **more: Any) -> Rig:
    """Return water that falls 3 m through a hose and some parts."""
    given: dict[str, Any] = {
        "sources": {"spring": Source(surface=3.0)},
        "outlets": {"end": Outlet(height=0.0)},
        "lines": {"down": Line(start="spring", end="end", parts=(HOSE, *parts))},
    }
    return Rig(site=site, **{**given, **more})


def logs(state: Callable[..., State], rig: Rig, end: str = "end", mode: str | None = None) -> list[float]:
    credited: list[float] = credited_logs(state(rig, mode), end)[0].tolist()
    return credited


def test_barriers_one_after_another_add(state: Callable[..., State]) -> None:
    """WHO, Guidelines for drinking-water quality, 4th ed., 2017, sec. 7.3: barriers in series add (from memory)."""
    ceramic = Filter(points=((8 * LITRE, 4e4),), medium="ceramic", bacteria_logs=2.0, virus_logs=0.5, protozoa_logs=3.0)
    assert logs(state, falling(membrane(), ceramic)) == pytest.approx([8.0, 4.5, 7.0])


def test_a_small_way_round_rules(state: Callable[..., State], found: Any) -> None:
    """Balance of germs where waters meet: minus the logarithm of the share that was not treated."""
    rig = falling(
        outlets={"end": Outlet(height=0.0)},
        lines={
            "treated": Line(start="spring", end="meet", parts=(HOSE, membrane())),
            "round": Line(start="spring", end="meet", parts=(Valve(bore=0.002, k=50.0), HOSE)),
            "on": Line(start="meet", end="end", parts=(HOSE,)),
        },
    )
    flows = state(rig).solution
    share = float(flows.flow("round")[0] / flows.flow("on")[0])
    assert 0.001 < share < 0.5
    expected = [-np.log10(share + (1.0 - share) * 10.0**-claimed) for claimed in (6.0, 4.0, 4.0)]
    assert logs(state, rig) == pytest.approx(expected, abs=1e-6)
    assert found(rig)[RULE, "outlets.end"].verdict is Verdict.FAILS


def test_two_barriers_side_by_side_give_no_more_than_the_better(state: Callable[..., State]) -> None:
    lines = {
        "left": Line(start="spring", end="meet", parts=(HOSE, membrane("one"))),
        "right": Line(start="spring", end="meet", parts=(HOSE, membrane("two", bacteria_logs=2.0))),
        "on": Line(start="meet", end="end", parts=(HOSE,)),
    }
    bacteria, viruses, _ = logs(state, falling(lines=lines))
    assert bacteria == pytest.approx(-np.log10(0.5e-6 + 0.5e-2), abs=1e-6)
    assert viruses == pytest.approx(4.0)


@pytest.mark.parametrize(
    ("change", "site", "why"),
    [
        ({"rated_flow": 1 * LITRE}, {}, "it passes more than it is rated for"),
        ({"greatest_turbidity": 1.0}, {"turbidity": 6.0}, "the water is cloudier than it is rated for"),
        ({"loading": 1.2, "end_drop": ((8 * LITRE, 1e5),)}, {}, ""),
        ({"medium_volume": 1e-4, "contact_time": 60.0}, {}, "the water stays too briefly in it"),
    ],
)
def test_a_claim_counts_only_inside_its_conditions(
    state: Callable[..., State], found: Any, change: dict[str, Any], site: dict[str, float], why: str
) -> None:
    rig = falling(membrane(**change), site=replace(CLEAR, **site))
    finding = found(rig)[RULE, "outlets.end"]
    if not why:  # judged with new filters, at the moment of the highest flow
        assert logs(state, rig) == pytest.approx([6.0, 4.0, 4.0])
        return
    assert logs(state, rig) == [0.0, 0.0, 0.0]
    assert finding.verdict is Verdict.FAILS
    assert f"The credit of the membrane does not count: {why}." in str(finding.reason)


def test_a_condition_that_cannot_be_judged_leaves_the_credit_unknown(found: Any) -> None:
    rig = falling(membrane(greatest_turbidity=1.0), site=replace(CLEAR, turbidity=None))
    all_found = found(rig)
    assert all_found[RULE, "outlets.end"].verdict is Verdict.UNKNOWN
    assert "the turbidity of the site is not stated" in str(all_found[RULE, "outlets.end"].reason)
    assert all_found["cloudiness of the feed", "lines.down.membrane"].verdict is Verdict.UNKNOWN


def test_a_class_that_nobody_claims_is_not_known(found: Any) -> None:
    finding = found(falling(membrane(virus_logs=None)))[RULE, "outlets.end"]
    assert finding.verdict is Verdict.UNKNOWN
    assert "What the barriers are worth against viruses is not stated in full." in str(finding.reason)


def test_an_element_of_sediment_is_never_a_barrier(state: Callable[..., State], found: Any) -> None:
    fine = Filter(points=((8 * LITRE, 2e4),), pore_size=1e-6)
    assert logs(state, falling(fine, membrane())) == pytest.approx([6.0, 4.0, 4.0])
    assert (RULE, "outlets.end") not in found(falling(fine))  # "no way round the barrier" says that there is none


def test_no_claim_at_all_is_said_once(found: Any) -> None:
    bare = membrane(bacteria_logs=None, virus_logs=None, protozoa_logs=None)
    findings = [finding for (rule, _), finding in found(falling(bare)).items() if rule == RULE]
    assert [finding.verdict for finding in findings] == [Verdict.UNKNOWN]
    assert "A micron rating is no credit." in str(findings[0].advice)


@pytest.mark.parametrize(
    ("dose", "viruses", "protozoa"), [(400.0, 0.5, 4.0), (1860.0, 4.0, 4.0), (120.0, 0.0, 3.0), (58.0, 0.0, 2.0)]
)
def test_a_lamp_is_credited_with_what_its_dose_is_worth(
    state: Callable[..., State], dose: float, viruses: float, protozoa: float
) -> None:
    """US EPA, Ultraviolet Disinfection Guidance Manual, EPA 815-R-06-007, 2006, table 1.4."""
    assert logs(state, falling(lamp(rated_dose=dose))) == pytest.approx([viruses, viruses, protozoa])


def test_a_lamp_claims_no_more_than_the_table_has(state: Callable[..., State]) -> None:
    boast = lamp(bacteria_logs=6.0, virus_logs=4.0, protozoa_logs=3.0)
    assert logs(state, falling(boast)) == pytest.approx([6.0, 0.5, 3.0])


@pytest.mark.parametrize(
    ("change", "site", "rule", "verdict"),
    [
        ({}, {}, "clarity for the lamp", "holds"),
        ({}, {"transmittance": 0.6}, "clarity for the lamp", "fails"),
        ({}, {"transmittance": None}, "clarity for the lamp", "unknown"),
        ({"rated_transmittance": None}, {}, "clarity for the lamp", "unknown"),
        ({"age": 4000 * 3600.0}, {}, "age of the lamp", "holds"),
        ({"age": 8500 * 3600.0}, {}, "age of the lamp", "close"),
        ({"age": 9500 * 3600.0}, {}, "age of the lamp", "fails"),
        ({"life": None}, {}, "age of the lamp", "unknown"),
    ],
)
def test_the_rating_of_a_lamp(
    state: Callable[..., State], found: Any, change: dict[str, Any], site: dict[str, Any], rule: str, verdict: str
) -> None:
    rig = falling(lamp(**change), site=replace(CLEAR, **site))
    assert found(rig)[rule, "lines.down.lamp"].verdict == verdict
    if verdict == "fails":
        assert logs(state, rig) == [0.0, 0.0, 0.0]


def test_cloudiness_is_that_behind_the_stages_before(found: Any) -> None:
    first = Filter(name="first", points=((8 * LITRE, 5e3),), turbidity_after=3.0)
    for greatest, verdict in ((10.0, "holds"), (3.0, "holds"), (2.0, "fails")):
        rig = falling(first, membrane(greatest_turbidity=greatest), site=replace(CLEAR, turbidity=20.0))
        finding = found(rig)["cloudiness of the feed", "lines.down.membrane"]
        assert (finding.value, finding.verdict.value) == (3.0, verdict)


@pytest.mark.parametrize(("volume", "verdict"), [(2e-3, "holds"), (0.2e-3, "fails"), (None, "unknown")])
def test_time_in_the_medium(state: Callable[..., State], found: Any, volume: float | None, verdict: str) -> None:
    carbon = Filter(name="carbon", points=((8 * LITRE, 5e4),), medium="carbon", medium_volume=volume, contact_time=6.0)
    finding = found(falling(carbon))["time in the medium", "lines.down.carbon"]
    assert finding.verdict == verdict
    if volume is not None:
        assert finding.value == pytest.approx(volume / float(state(falling(carbon)).solution.flow("down")[0]))


def batch(*after: Part, site: Site = CLEAR, targets: Targets | None = None, **tank: Any) -> Rig:
    """Return a tank that one mode fills from a spring, and that another draws through some parts."""
    given: dict[str, Any] = {"volume": 0.1, "floor": 1.0, "depth": 0.5, "level": 0.3, "chlorine_dose": 1.5e-3}
    given |= {"chlorine_wait": 3600.0}
    return Rig(
        site=site,
        targets=targets or Targets(),
        sources={"spring": Source(surface=3.0)},
        tanks={"store": Tank(**{**given, **tank})},
        outlets={"tap": Outlet(height=0.0)},
        lines={
            "in": Line(start="spring", end="store", parts=(HOSE,)),
            "out": Line(start="store", end="tap", parts=(HOSE, *after)),
        },
        modes={"filling": Mode(closed=("lines.out",)), "drawing": Mode(closed=("lines.in",))},
    )


def test_chlorine_in_a_tank_by_the_published_tables(state: Callable[..., State], found: Any) -> None:
    """US EPA 815-R-20-003, table B-2: 6 mg min/L for 4 log of viruses at 10 °C, pH 6 to 9; logs in proportion to Ct."""
    rig = batch(chlorine_wait=180.0)  # 1 mg/L left after 3 minutes: 3 mg min/L
    assert logs(state, rig, "store", "filling") == pytest.approx([2.0, 2.0, 0.0])
    assert found(rig, "filling")["chlorine contact", "tanks.store"].value == pytest.approx(2.0)
    assert found(rig, "filling")["chlorine contact", "tanks.store"].verdict is Verdict.CLOSE
    assert found(batch(), "filling")["chlorine contact", "tanks.store"].verdict is Verdict.HOLDS


def test_what_one_mode_stored_another_draws(state: Callable[..., State]) -> None:
    assert logs(state, batch(), "tap", "drawing") == pytest.approx([4.0, 4.0, 0.0])
    assert logs(state, batch(membrane()), "tap", "drawing") == pytest.approx([10.0, 8.0, 4.0])


def test_what_counted_in_another_mode_is_told(state: Callable[..., State]) -> None:
    assert [*quality_of(state(batch(membrane()), "drawing")).credits] == ["tanks.store", "lines.out.membrane"]


def test_carbon_strikes_chlorine_out(state: Callable[..., State], found: Any) -> None:
    carbon = Filter(name="carbon", points=((8 * LITRE, 3e4),), medium="carbon")
    rig = batch(carbon, membrane())
    assert logs(state, rig, "tap", "drawing") == pytest.approx([6.0, 4.0, 4.0])
    finding = found(rig, "drawing")["order of stages", "lines.out.carbon"]
    assert finding.verdict is Verdict.CLOSE
    assert "takes out the chlorine of tank store" in str(finding.reason)
    alone = found(batch(carbon, targets=Targets(tier="household two star")), "drawing")[RULE, "outlets.tap"]
    assert alone.verdict is Verdict.FAILS
    assert "The contact of chlorine does not count behind carbon, which takes it out." in str(alone.reason)


def test_a_tank_that_water_flows_through_is_no_batch(state: Callable[..., State]) -> None:
    """Baffling factor 0.1 of a plain tank: US EPA 815-R-20-003."""
    drawn = batch()
    rig = replace(drawn, modes={**drawn.modes, "both": Mode()})
    solved = state(rig, "both")
    time = 0.1 * 0.06 / float(solved.solution.flow("out")[0])  # 60 L in it
    assert logs(state, rig, "store", "both")[1] == pytest.approx(4.0 * min(1.0 * time / 60.0 / 6.0, 1.0), rel=1e-6)
    assert logs(state, rig, "tap", "drawing") == logs(state, rig, "store", "both")  # the worst that a mode brings


@pytest.mark.parametrize(
    ("tank", "site", "verdict"),
    [
        ({"chlorine_wait": None}, {}, "unknown"),
        ({}, {"ph": None}, "unknown"),
        ({}, {"chlorine_demand": None}, "unknown"),
        ({"chlorine_residual": 0.4e-3}, {"chlorine_demand": None}, "holds"),
        ({}, {"turbidity": 30.0}, "close"),
        ({}, {"chlorine_demand": 2e-3}, "close"),
    ],
)
def test_what_a_contact_needs(found: Any, tank: dict[str, Any], site: dict[str, Any], verdict: str) -> None:
    rig = batch(site=replace(CLEAR, **site), **tank)
    assert found(rig, "filling")["chlorine contact", "tanks.store"].verdict == verdict


def test_targets_are_named_tiers_or_stated(found: Any) -> None:
    """US EPA purifier protocol, 1987: 6, 4 and 3; WHO, 2011: three stars 4, 5 and 4, two stars 2, 3 and 2 (from memory)."""
    assert {tier: wanted for tier, (wanted, _) in TIERS.items()} == {
        "purifier": (6.0, 4.0, 3.0),
        "household three star": (4.0, 5.0, 4.0),
        "household two star": (2.0, 3.0, 2.0),
    }
    assert found(falling(membrane()))[RULE, "outlets.end"].verdict is Verdict.HOLDS
    three = found(falling(membrane(), targets=Targets(tier="household three star")))[RULE, "outlets.end"]
    assert (three.verdict, three.value, three.limit) == (Verdict.FAILS, 4.0, 5.0)
    assert "WHO, Evaluating household water treatment options, 2011" in str(three.reason)
    own = Targets(bacteria=6.0, viruses=5.0, protozoa=3.0, note="the {committee}")
    assert "(as stated for the rig (the (committee)))" in str(
        found(falling(membrane(), targets=own))[RULE, "outlets.end"].reason
    )


def test_words_never_say_safe(found: Any) -> None:
    for rig in (falling(membrane()), falling(membrane(rated_flow=1 * LITRE)), falling(lamp()), batch()):
        for finding in found(rig).values():
            assert "safe" not in f"{finding.reason} {finding.advice}".lower()


def test_a_quarantine_tank_is_not_judged_before_its_barrier(found: Any) -> None:
    rig = batch(membrane(), chlorine_dose=None)
    assert (RULE, "tanks.store") not in found(rig, "filling")
    assert found(rig, "drawing")[RULE, "outlets.tap"].verdict is Verdict.HOLDS


@pytest.mark.parametrize(
    ("parts", "place", "said"),
    [
        (
            (
                Filter(name="five", points=((1e-4, 5e3),), pore_size=5e-6),
                Filter(name="twenty", points=((1e-4, 5e3),), pore_size=2e-5),
            ),
            "twenty",
            "coarser than the five",
        ),
        ((lamp(), membrane()), "membrane", "stands behind the lamp"),
    ],
)
def test_the_order_of_stages(found: Any, parts: tuple[Part, ...], place: str, said: str) -> None:
    wrong, right = found(falling(*parts)), found(falling(*parts[::-1]))
    assert wrong["order of stages", f"lines.down.{place}"].verdict is Verdict.CLOSE
    assert said in str(wrong["order of stages", f"lines.down.{place}"].reason)
    assert {finding.verdict for (rule, _), finding in right.items() if rule == "order of stages"} == {Verdict.HOLDS}


def test_ratings_are_judged_at_the_highest_flow(state: Callable[..., State], found: Any) -> None:
    loaded = membrane(loading=0.8, end_drop=((8 * LITRE, 5e5),))
    rig = falling(loaded, tolerances={"sources.spring.surface": 0.5, "site.water_temperature": 5.0})
    now, most = state(rig), at_highest_flow(state(rig))
    finding = found(rig)["filter flow", "lines.down.membrane"]
    assert finding.value == float(most.solution.flow("down")[0]) > 1.5 * float(now.solution.flow("down")[0])
    best = falling(membrane(), site=replace(CLEAR, water_temperature=288.15), sources={"spring": Source(surface=3.5)})
    assert finding.value == pytest.approx(float(state(best).solution.flow("down")[0]), rel=1e-9)


def test_a_leak_that_draws_air_in_may_be_mended_tomorrow(pond_rig: Callable[..., Rig], found: Any) -> None:
    def passes(air: float) -> float:
        pump = DiaphragmPump(name="pump", points=((5.3 * LITRE, 2.8e5), (11.3 * LITRE, 0.0)), air=air)
        value: float = found(pond_rig(pump, after=(membrane(),)))["filter flow", "lines.intake.membrane"].value
        return value

    assert passes(0.3) == passes(0.0)


def test_variants_are_judged_one_by_one(state: Callable[..., State]) -> None:
    ratings = np.array([1.0, 20.0]) * LITRE
    varied = state(falling(membrane()), None, {"lines.down.membrane.rated_flow": ratings})
    assert credited_logs(varied, "end").tolist() == [[0.0, 0.0, 0.0], [6.0, 4.0, 4.0]]


def test_the_demonstration_rig_is_credited_with_what_it_wants(found: Any) -> None:
    for mode, places in (("filling", ("tanks.near", "tanks.far")), ("tap", ("outlets.tap",))):
        assert {found(demonstration(), mode)[RULE, place].verdict for place in places} == {Verdict.HOLDS}
