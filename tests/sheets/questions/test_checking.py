"""The sheet of a check: the answer first, then the tables; what is not known is never called good."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from hydrokit import Check, InputError, Verdict, check, demonstration, render
from hydrokit.answers import phrase
from hydrokit.bounds import Dimension
from hydrokit.files import hand_check
from hydrokit.rig import replaced
from hydrokit.sheets.cautions import ALWAYS
from hydrokit.sheets.findings import of_verdict
from hydrokit.units import SYSTEMS, show

if TYPE_CHECKING:
    from hydrokit.studies.changing.changes import Change


def _flat(text: str) -> str:
    return " ".join(text.split())


def _first(answer: Check) -> str:
    return _flat(render(answer).split("\n\n")[1])


def _with(answer: Check, *verdicts: Verdict) -> Check:
    """Return the same answer with findings of the given verdicts only."""
    made = tuple(replace(finding, verdict=verdict) for finding, verdict in zip(answer.findings, verdicts, strict=False))
    return replace(answer, findings=made)


@pytest.mark.parametrize(
    ("verdicts", "words"),
    [
        ([Verdict.HOLDS, Verdict.HOLDS], "It works: 2 limits were judged and all hold."),
        ([Verdict.CLOSE, Verdict.HOLDS], "It works, but 1 limit is close."),
        ([Verdict.UNKNOWN, Verdict.HOLDS], "Nothing that could be judged fails, but 1 limit is not known."),
        ([Verdict.CLOSE, Verdict.UNKNOWN], "It works, but 1 limit is close. Besides, 1 limit is not known."),
        ([Verdict.FAILS, Verdict.FAILS], "It does not work as drawn: 2 limits fail."),
    ],
)
def test_the_verdict_comes_first(answer: Check, verdicts: list[Verdict], words: str) -> None:
    made = _with(answer, *verdicts)
    made = replace(made, findings=tuple(replace(each, margin=0.0) for each in made.findings))
    assert _first(made).startswith(words)


def test_flow_is_said_in_all_and_for_each_place(answer: Check) -> None:
    text = _first(answer)
    for flow in (answer.flow, *(arrival.flow for arrival in answer.arrivals)):
        assert show(flow, Dimension.FLOW) in text
    assert "at near and" in text


def test_what_limits_and_what_to_change_are_said(answer: Check) -> None:
    text = _first(answer)
    assert "What holds the flow back most is membrane (intake): 41 %" in text
    assert f"{show(answer.changes[0].flow, Dimension.FLOW)} then arrives." in text


def test_where_suction_allows_less_the_full_pipe_is_called_an_upper_bound(too_high: Check) -> None:
    assert too_high.flow < too_high.full_pipe_flow
    text = _first(too_high)
    assert text.startswith("Suction lets nothing through.")
    some = _first(replace(too_high, flow=0.5 * too_high.full_pipe_flow))
    bound = f"The {show(too_high.full_pipe_flow, Dimension.FLOW)} of a full pipe is an upper bound"
    assert some.startswith(
        f"Suction lets {show(0.5 * too_high.full_pipe_flow, Dimension.FLOW)} through, no more. {bound}"
    )


def test_the_worst_failure_is_the_one_with_least_in_hand(too_high: Check) -> None:
    failing = of_verdict(too_high, Verdict.FAILS)
    assert len(failing) > 1
    assert [finding.margin for finding in failing] == sorted(finding.margin or 0.0 for finding in failing)
    assert "The worst: " in _first(too_high)


def test_nothing_arriving_is_said() -> None:
    dry = check(demonstration(), changed={"tanks.near.inlet_height": 90.0, "tanks.far.inlet_height": 90.0})
    text = _first(dry)
    assert "It does not work as drawn" in text
    assert "No water arrives anywhere." in text


def test_a_pump_that_hunts_takes_back_the_steady_flow() -> None:
    hunting = check(
        demonstration(), changed={"lines.intake.membrane.loading": 1.0, "lines.intake.lift-pump.cut_out": 2e5}
    )
    assert "pump runs steadily" in {finding.rule for finding in of_verdict(hunting, Verdict.FAILS)}
    assert "for a pump that runs steadily, which its switch or relief valve does not allow" in _first(hunting)


def test_sections_stand_in_order(answer: Check) -> None:
    text = render(answer, also=["walk"])
    headings = [
        "What to change first",
        "Where the head goes",
        "Holds",
        "Pump",
        "Battery",
        "The walk along the lines",
        "How this was reached",
        "Cautions",
    ]
    places = [text.index(f"\n{heading}\n") for heading in headings]
    assert places == sorted(places)


def test_every_finding_that_does_not_hold_is_told_with_what_to_do(too_high: Check) -> None:
    text = _flat(render(too_high))
    for finding in too_high.findings:
        if finding.verdict is not Verdict.HOLDS:
            assert f"{finding.verdict}: {finding.rule}," in text
    for rule in {finding.rule for finding in too_high.findings if finding.verdict is Verdict.HOLDS}:
        assert rule in text


def test_findings_that_say_the_same_of_several_places_are_written_once() -> None:
    answer = check(demonstration(), changed={"targets.viruses": 8.0})
    grave = [finding for finding in answer.findings if finding.verdict is not Verdict.HOLDS]
    text = _flat(render(answer))
    assert len(grave) == 2
    assert text.count("fails: log reductions credited,") == 1
    assert "fails: log reductions credited, tank near, tank far What reaches tank near and tank far is" in text
    assert "No single change that was tried mends any of them." in text


def test_findings_that_differ_in_the_part_alone_stand_together() -> None:
    parts = ("sediment-20", "sediment-5", "carbon", "membrane")
    worn = check(demonstration(), changed={f"lines.intake.{part}.loading": 1.0 for part in parts})
    text = _flat(render(worn))
    named = "close: filter life, sediment-20 (intake), sediment-5 (intake), carbon (intake), membrane (intake)"
    assert f"{named} The sediment-20 is at its end drop now. The same goes for sediment-5 (intake)," in text
    assert text.count("before the next fill.") == 1


def test_findings_with_figures_of_their_own_keep_them_with_the_advice_once(answer: Check) -> None:
    found = tuple(
        replace(
            answer.findings[0],
            verdict=Verdict.FAILS,
            place=f"lines.intake.{part}",
            reason=phrase(f"The {part} passes {{flow}}.", flow=(flow / 60_000.0, Dimension.FLOW)),
            advice=phrase("Take less."),
        )
        for part, flow in (("carbon", 3.0), ("membrane", 4.0))
    )
    text = _flat(render(replace(answer, findings=found)))
    assert (
        "carbon (intake), membrane (intake) The carbon passes 3 L/min. The membrane passes 4 L/min. Take less." in text
    )


def test_what_holds_by_a_figure_stands_before_what_has_none_the_tightest_first(answer: Check) -> None:
    rows = render(answer).partition("\nHolds\n")[2].partition("\n\n")[0].splitlines()[2:]
    hands = [match[1] for row in rows if (match := re.search(r"  (>?[\d.]+ %|yes)(?: |$)", row))]
    figures = [float(each.strip("> %")) for each in hands if each != "yes"]
    assert len(hands) == len(rows)
    assert hands[len(figures) :] == ["yes"] * (len(rows) - len(figures))
    assert figures == sorted(figures)


def test_what_is_far_from_its_limit_is_told_without_figures_that_mean_nothing(answer: Check) -> None:
    far = replace(answer.findings[0], verdict=Verdict.HOLDS, value=2.0e8, limit=1.0, margin=2.0e8 - 1.0)
    assert ">1000 %" in render(replace(answer, findings=(far,)))


def test_what_is_merely_not_stated_is_told_once() -> None:
    text = _flat(render(check(hand_check())))
    assert "Cannot be judged without" not in text
    assert "State the NPSH required" in text


def test_a_brief_answer_is_its_sentences(answer: Check, too_high: Check) -> None:
    for each in (answer, too_high):
        whole, brief = render(each), render(each, brief=True)
        sentences = "\n\n".join(whole.split("\n\n")[:2])
        assert brief.startswith(sentences)
        rest = _flat(brief.removeprefix(sentences))
        assert rest == "This can show that a rig cannot work, never that water is safe to drink. More without --brief."


def test_what_is_assumed_and_how_well_it_closes_is_told(answer: Check) -> None:
    text = _flat(render(answer))
    assert "- tanks near and far are half full" in text
    assert "- guesses: turbidity of the site, pressure rating of tank near," in text
    assert f"Solved in {answer.trust.steps} step" in text
    assert f"heads to within {max(answer.trust.energy_residual, 1e-12):.1g}" in text


def test_what_is_not_known_of_a_pump_is_not_invented() -> None:
    answer = check(hand_check())
    assert answer.duties[0].power is None
    text = _flat(render(answer))
    assert re.search(r"Not known: [^.]*\bcurrent, power, energy, charge\.", text)
    assert not re.search(r"\npower +\S", render(answer))
    assert answer.batteries == ()


def test_what_a_battery_gives_is_told_with_how_long_it_lasts(answer: Check) -> None:
    (use,) = answer.batteries
    assert use.current is not None
    text = _flat(render(answer).partition("\nBattery\n")[2])
    assert text.startswith(f"Battery main, {show(use.charge, Dimension.FRACTION, digits=2)} charged")
    assert f"gives {show(use.current, Dimension.CURRENT)} at {show(use.voltage, Dimension.VOLTAGE)}" in text
    assert f"{show(use.run_time, Dimension.TIME)} of pumping like this" in text


def test_cautions_end_every_sheet(answer: Check, too_high: Check) -> None:
    for each in (answer, too_high):
        assert _flat(ALWAYS) in _flat(render(each).partition("\nCautions\n")[2])


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_same_answer_in_every_system(answer: Check, system: str) -> None:
    text = render(answer, system=system)
    assert show(answer.flow, Dimension.FLOW, system) in text
    assert show(answer.duties[0].npsh_available, Dimension.LENGTH, system) in text


def test_an_unknown_system_is_refused(answer: Check) -> None:
    with pytest.raises(InputError, match="one of metric, US, imperial; write metric"):
        render(answer, system="metrik")


def test_no_gain_is_written_as_nought() -> None:
    answer = check(replaced(demonstration(), {"lines.intake.lift-pump.height": 6.5}))
    assert "+0.0 %" not in render(answer)
    none = replace(answer.changes[0], flow_gain=0.0, margin_gain=0.0)
    assert (
        "+0" not in render(replace(answer, changes=(none,))).partition("What to change first")[2].partition("Each")[0]
    )


def test_where_nothing_arrives_the_words_say_nothing() -> None:
    answer = check(demonstration())
    dry = replace(answer, arrivals=(replace(answer.arrivals[0], flow=0.0), answer.arrivals[1]))
    assert "arrives: nothing at near and " in _flat(render(dry, brief=True))


def test_a_change_that_mends_one_of_several_limits_is_told_though_another_comes_first(too_high: Check) -> None:
    failing = [finding for finding in too_high.findings if finding.verdict is Verdict.FAILS]
    assert len(failing) > 1
    none = replace(too_high.changes[0], what=phrase("Warm the pond"), mends=())
    one = replace(none, what=phrase("Lower the pump"), mends=(f"{failing[0].rule} at {failing[0].place}",))
    all_of_them = replace(one, what=phrase("Dig"), mends=tuple(f"{each.rule} at {each.place}" for each in failing))

    def told(*changes: Change) -> str:
        return _flat(render(replace(too_high, changes=changes), brief=True))

    assert "No single change that was tried mends any of them. The most flow comes by this: warm the pond;" in told(
        none
    )
    some = told(none, one)
    assert "No single change mends it all. The worst limit gains most by this: warm the pond;" in some
    assert "1 limit is mended by this: lower the pump." in some
    assert "Begin here: lower the pump;" in told(one, none)
    assert "Change first: dig; that mends it," in told(none, one, all_of_them)


def test_of_an_intake_drawn_the_wrong_way_round_the_first_change_is_to_turn_it() -> None:
    rig = demonstration()
    line = rig.lines["intake"]
    turned = replace(line, start="near", end=line.start)
    lines = {**rig.lines, "intake": turned}
    shut = tuple(f"lines.{name}" for name in lines if name != "intake")
    answer = check(replace(rig, lines=lines, modes={"filling": replace(rig.modes["filling"], closed=shut)}))
    told = _first(answer)
    assert not answer.changes
    assert (
        "Change first: line intake leads into source pond: if it is to draw from there, let from and to change places."
        in told
    )
    assert "side by side" not in told
