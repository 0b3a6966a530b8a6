"""What to change first: every change solved again by hand, none that breaks anything, the best one first."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from hydrokit.answers import Verdict
from hydrokit.catalogue import hose_bores
from hydrokit.files import demonstration, hand_check
from hydrokit.network import solve
from hydrokit.parts import (
    Coupler,
    Elbow,
    Filter,
    Fitting,
    FootValve,
    Hose,
    HoseTail,
    NonReturnValve,
    Outlet,
    Source,
    Strainer,
    Tank,
    Tee,
    Valve,
)
from hydrokit.rig import Line, Rig, Site, replaced, value_at
from hydrokit.rules import RULES, State
from hydrokit.studies import check
from hydrokit.studies.changing.candidates import candidates

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.studies import Check

    Rigs = Callable[..., Rig]

BAR, LITRE = 1e5, 1.0 / 60_000.0
COMFORT = {rule.name for rule in RULES if rule.advisory}


def hose(name: str = "", length: float = 2.0, bore: float = 0.019, **more: Any) -> Hose:
    return Hose(
        name=name, length=length, bore=bore, **{"pressure_rating": 10 * BAR, "vacuum_rating": 0.8 * BAR, **more}
    )


def cases(pond_rig: Rigs) -> dict[str, Rig]:
    clogged = Filter(name="filter", points=((8 * LITRE, 20e3),), points_temperature=293.15, rated_flow=12 * LITRE,
                     end_drop=((8 * LITRE, 300e3),), loading=1.0, pressure_rating=6 * BAR)  # fmt: skip
    crowded = (
        hose("wide", bore=0.025),
        Coupler(bore=0.009, k=4.0),
        hose("mid", bore=0.0125),
        Elbow(bore=0.008),
        HoseTail(bore=0.006),
        hose("last", bore=0.0125),
    )
    return {
        "demonstration": demonstration(),
        "hand check": hand_check(),
        "as it is": pond_rig(),
        "nine metres up": pond_rig(height=9.0),
        "nine metres up, no valve": pond_rig(height=9.0, before=(hose("suction-hose", 11.0, 0.025),)),
        "thin air": pond_rig(height=2.2, before=(hose("suction-hose", 5.0, 0.025),), site=Site(altitude=3000.0)),
        "hunts": pond_rig(after=(hose("delivery-hose"), clogged)),
        "crowded": pond_rig(after=crowded),
        "dirty": pond_rig(
            before=(
                Strainer(bore=0.019, blockage=0.8),
                FootValve(bore=0.019, pattern="poppet"),
                hose("suction-hose", bore=0.025),
            )
        ),
    }


CASES = [
    "demonstration",
    "hand check",
    "as it is",
    "nine metres up",
    "nine metres up, no valve",
    "thin air",
    "hunts",
    "crowded",
    "dirty",
]


def failing(answer: Check) -> dict[tuple[str, str], float]:
    return {
        (each.rule, each.place): each.margin
        for each in answer.findings
        if each.verdict is Verdict.FAILS and each.margin is not None
    }


@pytest.mark.parametrize("case", CASES)
def test_every_change_solved_again_by_hand_gives_what_it_says_and_breaks_nothing(pond_rig: Rigs, case: str) -> None:
    rig = cases(pond_rig)[case]
    now = check(rig)
    for change in now.changes:
        then = check(replaced(rig, change.values))
        assert change.flow == pytest.approx(then.flow, rel=1e-9, abs=1e-15)
        assert change.flow_gain == pytest.approx(then.flow - now.flow, rel=1e-7, abs=1e-12)
        assert set(failing(then)) <= set(failing(now))
        assert set(change.mends) == {f"{rule} at {place}" for rule, place in set(failing(now)) - set(failing(then))}


@pytest.mark.parametrize("case", CASES)
def test_changes_are_ranked_by_the_worst_margin_then_by_flow(pond_rig: Rigs, case: str) -> None:
    answer = check(cases(pond_rig)[case])
    ranks = [(-round(change.margin_gain, 6), -change.flow_gain) for change in answer.changes]
    assert ranks == sorted(ranks)
    assert len(answer.changes) <= 5


@pytest.mark.parametrize("case", CASES)
def test_every_change_brings_something(pond_rig: Rigs, case: str) -> None:
    answer = check(cases(pond_rig)[case])
    assert answer.changes or case == "as it is"
    for change in answer.changes:
        assert change.mends or change.margin_gain > 0.01 or change.flow_gain > 0.005 * answer.flow
        assert change.margin_gain >= -1e-6


@pytest.mark.parametrize("case", ["nine metres up", "nine metres up, no valve", "thin air"])
def test_the_gain_in_the_worst_margin_is_that_of_the_rig_solved_again(pond_rig: Rigs, case: str) -> None:
    rig = cases(pond_rig)[case]
    worst = min(failing(check(rig)).values())
    for change in check(rig).changes:
        then = min(failing(check(replaced(rig, change.values))).values(), default=0.0)
        assert change.margin_gain == pytest.approx(then - worst, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize("case", CASES)
def test_the_limit_that_is_named_is_the_limit_then(pond_rig: Rigs, case: str) -> None:
    rig = cases(pond_rig)[case]
    for change in check(rig).changes:
        then = check(replaced(rig, change.values))
        bad = failing(then)
        if bad:
            rule, place = min(bad, key=lambda key: bad[key])
            assert change.limit_after == f"{rule} at {place}"
        else:
            parts = [share for share in then.head_shares if share.kind != "lift"]
            assert change.limit_after == parts[0].place


def test_changes_carry_their_values_with_units(pond_rig: Rigs) -> None:
    (first, *_) = check(pond_rig(height=9.0)).to_dict()["changes"]
    assert first["what"] == "Lower the pump to 4.52 m above the water"
    (setting,) = first["settings"]
    assert setting["address"] == "lines.intake.pump.height"
    assert setting["value"] == {"value": pytest.approx(4.52), "unit": "m"}


def test_no_pump_is_put_below_the_water(pond_rig: Rigs) -> None:
    for height in (0.2, 1.0, 9.0):
        state = State(solve(pond_rig(height=height)))
        heights = [
            each.values["lines.intake.pump.height"]
            for each in candidates(state)
            if "lines.intake.pump.height" in each.values
        ]
        assert heights
        assert min(heights) >= 0.0
    flooded = State(solve(pond_rig(height=-1.0)))
    assert not [each for each in candidates(flooded) if "lines.intake.pump.height" in each.values]


def tried(*parts: Any) -> dict[str, dict[str, float]]:
    """Return what is tried on a line by gravity, by what it says."""
    rig = Rig(
        sources={"spring": Source(surface=3.0)},
        outlets={"end": Outlet(height=0.0)},
        lines={"down": Line(start="spring", end="end", parts=parts)},
    )
    return {str(each.what): each.values for each in candidates(State(solve(rig)))}


@pytest.mark.parametrize(
    ("bore", "wide"),
    [
        ("12.5 mm", "16 mm"),
        ("19 mm", "25 mm"),
        ("20 mm", "25 mm"),
        ("1/2 in", "5/8 in"),
        ("3/4 in", "1 in"),
        ("38 mm", "50 mm"),
    ],
)
def test_a_hose_is_widened_to_the_next_size_of_its_own_series_that_is_really_wider(bore: str, wide: str) -> None:
    sizes = dict(hose_bores("all"))
    values = [values for what, values in tried(hose("h", bore=sizes[bore])).items() if what.startswith("Widen")]
    assert values == [{"lines.down.h.bore": sizes[wide]}]


def test_tails_that_fit_are_widened_with_their_hose_and_one_that_strangles_it_by_itself() -> None:
    fits, strangles = HoseTail(name="fits", bore=0.0152), HoseTail(name="strangles", bore=0.008)
    found = tried(fits, hose("h", bore=0.019), strangles)
    assert found["Widen the h from 19 mm to 25 mm, with tails to fit"] == {
        "lines.down.h.bore": 0.025,
        "lines.down.fits.bore": pytest.approx(0.02),
    }
    assert found["Widen the strangles from 8 mm to 15.2 mm"] == {"lines.down.strangles.bore": pytest.approx(0.0152)}
    assert not [what for what in found if what.startswith("Widen the fits")]


@pytest.mark.parametrize(
    "part",
    [
        Fitting(name="p", bore=0.01, k=1.0),
        Elbow(name="p", bore=0.01),
        Tee(name="p", bore=0.01),
        Strainer(name="p", bore=0.01),
        FootValve(name="p", bore=0.01),
        Valve(name="p", bore=0.01),
        NonReturnValve(name="p", bore=0.01, pattern="swing"),
    ],
    ids=lambda part: part.kind,
)
def test_a_part_narrower_than_its_hose_is_widened_to_it_and_no_further(part: Any) -> None:
    assert tried(part, hose("h"))["Widen the p from 10 mm to 19 mm"] == {"lines.down.p.bore": 0.019}
    assert not [what for what in tried(replace(part, bore=0.019), hose("h")) if what.startswith("Widen the p")]


def test_a_valve_of_stated_kv_is_widened_as_a_larger_one_of_its_kind() -> None:
    values = tried(Valve(name="v", bore=0.01, kv=2.0 / 3600.0), hose("h", bore=0.02))["Widen the v from 10 mm to 20 mm"]
    assert values == {"lines.down.v.bore": 0.02, "lines.down.v.kv": pytest.approx(8.0 / 3600.0)}


@pytest.mark.parametrize(
    ("part", "what"),
    [
        (Valve(name="v", bore=0.01, pattern="globe"), "Take a ball valve of 19 mm for the v"),
        (NonReturnValve(name="v", bore=0.019), "Take a swing non-return valve of 19 mm for the v"),
        (FootValve(name="v", bore=0.019, pattern="poppet"), "Take a hinged foot valve for the v"),
        (Strainer(name="v", bore=0.019, blockage=0.5), "Clean the v"),
        (FootValve(name="v", bore=0.019, blockage=0.5), "Clean the screen of the v"),
        (Coupler(name="v", bore=0.01), "Leave out the v"),
    ],
)
def test_what_a_builder_would_do(part: Any, what: str) -> None:
    assert what in tried(part, hose("h"))


def test_a_hose_is_never_made_shorter_than_the_heights_it_joins() -> None:
    found = tried(hose("h", length=3.2))  # from 3 m down to 0
    assert not [what for what in found if what.startswith("Shorten")]
    (values,) = [values for what, values in tried(hose("h", length=4.0)).items() if what.startswith("Shorten")]
    assert values["lines.down.h.length"] == pytest.approx(3.3)
    (values,) = [values for what, values in tried(hose("h", length=20.0)).items() if what.startswith("Shorten")]
    assert values["lines.down.h.length"] == pytest.approx(15.0)


def test_lines_that_the_mode_shuts_are_left_alone() -> None:
    for change in check(demonstration(), "filling").changes:
        assert all(address.split(".")[1] in {"intake", "to-near", "to-far"} for address in change.values)


def test_changes_start_from_what_the_mode_and_the_caller_have_set(pond_rig: Rigs) -> None:
    changed = {"lines.intake.delivery-hose.bore": 0.0125}
    answer = check(pond_rig(), changed=changed)
    (bore,) = [change.values for change in answer.changes if "lines.intake.delivery-hose.bore" in change.values]
    assert bore["lines.intake.delivery-hose.bore"] == 0.016
    assert value_at(pond_rig(), "lines.intake.delivery-hose.bore") == 0.019


def test_where_nothing_can_be_changed_nothing_is_said() -> None:
    rig = Rig(
        sources={"spring": Source(surface=3.0)},
        tanks={"t": Tank(volume=0.06, floor=0.0, depth=0.4)},
        lines={"down": Line(start="spring", end="t", parts=(Fitting(bore=0.02, k=1.0),))},
    )
    assert check(rig).changes == ()


def test_a_change_that_breaks_a_limit_is_not_proposed_though_another_does_too(pond_rig: Rigs) -> None:
    """Without the coupler, tried first, and through a wider hose more comes than the filter is rated for.

    The wider hose would mend a velocity that fails by more than the filter then does, and so looks like a gain.
    """

    def rig(rated: float) -> Rig:
        after = (Coupler(name="coupler", bore=0.005, k=4.0), fine(rated), hose("up", bore=0.005))
        return pond_rig(before=(), height=0.0, after=after)

    coupler = {"lines.intake.coupler.k": 0.0, "lines.intake.coupler.bore": 0.005}
    wider = {"lines.intake.up.bore": 0.0063}
    assert wider in [change.values for change in check(rig(20.0)).changes]
    tight = rig(1.05 * check(rig(20.0)).flow / LITRE)
    now, fails = failing(check(tight)), ("filter flow", "lines.intake.fine")
    assert fails not in now
    for values in (coupler, wider):
        assert fails in failing(check(replaced(tight, values)))
    assert min(failing(check(replaced(tight, wider))).values()) > min(now.values()) + 0.01
    assert wider not in [change.values for change in check(tight).changes]


def fine(rated: float) -> Filter:
    return Filter(
        name="fine",
        points=((8 * LITRE, 5e3),),
        points_temperature=293.15,
        rated_flow=rated * LITRE,
        pressure_rating=6 * BAR,
    )
