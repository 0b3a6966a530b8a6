"""The registry: what every rule says of itself, and the order of findings."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.answers import Verdict, phrase
from hydrokit.bounds import Dimension
from hydrokit.files import demonstration, hand_check
from hydrokit.rules import RULES, Measure, Missing, Rule, judge, margins
from hydrokit.rules.rule import findings_of, margin_above, margin_below

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.rig import Rig
    from hydrokit.rules import State

ADDRESS = re.compile(r"\b(lines|tanks|sources|outlets|joints)\.")


def test_every_rule_has_a_name_of_its_own() -> None:
    names = [rule.name for rule in RULES]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_every_rule_says_what_it_asks_in_a_sentence_and_names_its_source(rule: Rule) -> None:
    assert rule.doc.endswith(".")
    assert rule.doc[0].isupper()
    assert rule.source


def test_findings_come_gravest_first_then_in_the_order_of_the_registry(
    state: Callable[..., State], pond_rig: Callable[..., Rig]
) -> None:
    found = judge(state(pond_rig(height=9.0)))
    gravity = [Verdict.FAILS, Verdict.CLOSE, Verdict.UNKNOWN, Verdict.HOLDS]
    assert [gravity.index(item.verdict) for item in found] == sorted(gravity.index(item.verdict) for item in found)
    order = [rule.name for rule in RULES]
    holds = [order.index(item.rule) for item in found if item.verdict is Verdict.HOLDS]
    assert holds == sorted(holds)
    assert {item.verdict for item in found} == set(Verdict)


@pytest.mark.parametrize("mode", ["filling", "tap"])
def test_what_is_said_names_parts_not_addresses(state: Callable[..., State], mode: str) -> None:
    for finding in judge(state(demonstration(), mode)):
        for text in (str(finding.reason), str(finding.advice)):
            assert not ADDRESS.search(text), text
        assert str(finding.reason)[0].isupper() or str(finding.reason)[0].isdigit()
        assert str(finding.reason).endswith(".")


@pytest.mark.parametrize("system", ["metric", "US", "imperial"])
def test_what_is_said_can_be_said_in_every_system(
    state: Callable[..., State], pond_rig: Callable[..., Rig], system: str
) -> None:
    for finding in judge(state(pond_rig(height=9.0))):
        assert "{" not in finding.reason.said(system)
        assert "{" not in finding.advice.said(system)


def test_what_holds_needs_no_advice_and_what_fails_does(
    state: Callable[..., State], pond_rig: Callable[..., Rig]
) -> None:
    for finding in judge(state(pond_rig(height=9.0))):
        if finding.verdict is Verdict.HOLDS:
            assert not finding.advice
        if finding.verdict in {Verdict.FAILS, Verdict.UNKNOWN}:
            assert finding.advice


def test_places_that_lack_the_same_datum_share_one_finding(state: Callable[..., State]) -> None:
    (flow,) = [item for item in judge(state(hand_check())) if item.rule == "filter flow"]
    assert flow.verdict is Verdict.UNKNOWN
    assert len(flow.place.split(", ")) == 4
    assert (flow.value, flow.limit, flow.margin) == (None, None, None)
    assert str(flow.reason) == "Cannot be judged without the rated_flow of the filter or lamp."
    assert str(flow.advice) == "State the rated_flow of the filter or lamp, from the data sheet or a measurement."


def test_margins_are_those_of_every_rule_that_can_fail(
    state: Callable[..., State], pond_rig: Callable[..., Rig]
) -> None:
    here = state(pond_rig(), None, {"lines.intake.pump.height": np.array([1.0, 9.0])})
    found = margins(here)
    comfort = {rule.name for rule in RULES if rule.advisory}
    assert not comfort & {rule for rule, _ in found}
    assert all(margin.shape == (2,) for margin in found.values())
    for row in (0, 1):
        for finding in judge(here, row):
            if finding.margin is not None and finding.rule not in comfort:
                assert found[finding.rule, finding.place][row] == finding.margin


def test_where_no_variant_is_named_the_first_is_judged(
    state: Callable[..., State], pond_rig: Callable[..., Rig]
) -> None:
    here = state(pond_rig(), None, {"lines.intake.pump.height": np.array([1.0, 9.0])})
    assert judge(here) == judge(here, 0) != judge(here, 1)


def test_a_rule_of_yes_or_no_has_a_margin_of_one_either_way(state: Callable[..., State]) -> None:
    by_name = {rule.name: rule for rule in RULES}
    findings = judge(state(demonstration(), "filling"))
    told = [each for each in findings if by_name[each.rule].formula.startswith("yes or no")]
    assert {each.rule for each in told} >= {"no way back", "order of stages", "no draining back"}
    assert {each.margin for each in told if each.verdict is Verdict.HOLDS} == {1.0}
    assert {each.margin for each in told} <= {1.0, -1.0}


def rule(measure: Any, **more: Any) -> Rule:
    given: dict[str, Any] = {"name": "r", "doc": "D.", "dimension": Dimension.LENGTH, "source": "s"}
    return Rule(measure=measure, **{**given, **more})


def one(margin: float, **more: Any) -> Measure:
    given: dict[str, Any] = {
        "place": "p",
        "value": np.array([1.0]),
        "limit": np.array([2.0]),
        "margin": np.array([margin]),
    }
    return Measure(word=lambda _row: (phrase("Said."), phrase("Do.")), **{**given, **more})


@pytest.mark.parametrize(
    ("margin", "verdict"),
    [(0.5, Verdict.HOLDS), (0.1, Verdict.HOLDS), (0.09, Verdict.CLOSE), (0.0, Verdict.CLOSE), (-0.01, Verdict.FAILS), (float("nan"), Verdict.UNKNOWN)],
)  # fmt: skip
def test_the_verdict_follows_from_the_margin(state: Callable[..., State], margin: float, verdict: Verdict) -> None:
    (finding,) = findings_of(rule(lambda _state: [one(margin)]), state(demonstration()))
    assert finding.verdict is verdict


def test_passing_a_limit_of_comfort_is_close(state: Callable[..., State]) -> None:
    (finding,) = findings_of(rule(lambda _state: [one(-5.0)], advisory=True), state(demonstration()))
    assert finding.verdict is Verdict.CLOSE


def test_a_measure_may_have_its_own_idea_of_close(state: Callable[..., State]) -> None:
    (finding,) = findings_of(rule(lambda _state: [one(0.5, hand=np.array([0.6]))]), state(demonstration()))
    assert finding.verdict is Verdict.CLOSE


def test_nothing_is_said_of_a_variant_to_which_a_rule_does_not_apply(state: Callable[..., State]) -> None:
    measure = one(0.5, applies=np.array([False]))
    assert findings_of(rule(lambda _state: [measure]), state(demonstration())) == []
    assert np.isnan(measure.margin).all()


def test_a_rule_may_say_what_it_misses_in_its_own_words(state: Callable[..., State]) -> None:
    missing = Missing(place="p", needed="x", reason="Why.", advice="Do.")
    (finding,) = findings_of(rule(lambda _state: [missing]), state(demonstration()))
    assert (str(finding.reason), str(finding.advice)) == ("Why.", "Do.")


def test_margins_are_shares_of_the_limit() -> None:
    value, limit = np.array([1.0, 3.0, 1.0, -1.0, 0.0]), np.array([2.0, 2.0, 0.0, 0.0, 0.0])
    assert margin_below(value, limit).tolist() == [0.5, -0.5, -1.0, 1.0, 1.0]
    assert margin_above(value, limit).tolist() == [-0.5, 0.5, 1.0, -1.0, 1.0]
