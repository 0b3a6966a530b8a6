"""Several rigs side by side."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations
from typing import TYPE_CHECKING

import pytest

from hydrokit.answers import Verdict
from hydrokit.errors import InputError
from hydrokit.files import demonstration, hand_check
from hydrokit.parts import Hose
from hydrokit.rig import Mode, replaced
from hydrokit.studies import check
from hydrokit.studies.comparing import compare

if TYPE_CHECKING:
    from hydrokit.rig import Rig

WIDER = {"lines.intake.delivery-hose.bore": 0.016, "site.altitude": 900.0}


def test_the_same_rig_twice_differs_in_nothing() -> None:
    answer = compare(demonstration(), demonstration(), names=["a", "b"])
    assert (answer.differs, answer.better) == ((), "")
    assert answer.inputs == answer.words == answer.findings_apart == ()
    assert all(len(set(row.shares)) == 1 for row in answer.heads)


def test_figures_that_differ_by_rounding_alone_are_not_told() -> None:
    rig, longer = demonstration(), {"lines.intake.delivery-hose.length": 4.0 * (1.0 + 1e-13)}
    answer = compare(replaced(rig, {"lines.intake.delivery-hose.length": 4.0}), replaced(rig, longer), names=["a", "b"])
    assert answer.sides[0].flow != answer.sides[1].flow
    assert (answer.differs, answer.better) == ((), "")


@pytest.mark.slow
def test_order_only_turns_the_columns(ten_rigs: dict[str, Rig]) -> None:
    chosen = {name: ten_rigs[name] for name in ("demonstration", "hand check", "high")}
    first = compare(*chosen.values(), names=list(chosen))
    for order in permutations(range(3)):
        names = [list(chosen)[place] for place in order]
        other = compare(*(chosen[name] for name in names), names=names)
        assert other.sides == tuple(first.sides[place] for place in order)
        assert (other.differs, other.better) == (first.differs, first.better)
        for mine, theirs in (
            ([(row.place, row.shares) for row in first.heads], [(row.place, row.shares) for row in other.heads]),
            ([(row.address, row.values) for row in first.inputs], [(row.address, row.values) for row in other.inputs]),
            ([(row.address, row.words) for row in first.words], [(row.address, row.words) for row in other.words]),
            (
                [((row.rule, row.place), row.verdicts) for row in first.findings_apart],
                [((row.rule, row.place), row.verdicts) for row in other.findings_apart],
            ),
        ):
            assert theirs == [(key, tuple(values[place] for place in order)) for key, values in mine]


@pytest.mark.slow
def test_each_side_says_what_check_says(ten_rigs: dict[str, Rig]) -> None:
    answer = compare(*ten_rigs.values(), names=list(ten_rigs))
    for side, rig in zip(answer.sides, ten_rigs.values(), strict=True):
        alone = check(rig)
        assert (side.verdict, side.mode, side.title) == (alone.verdict, alone.mode, rig.title)
        assert side.flow == pytest.approx(alone.flow, rel=1e-9)
        assert len(side.failing) == sum(finding.verdict is Verdict.FAILS for finding in alone.findings)
        moving = [stop for stop in alone.stops if stop.velocity]
        assert side.highest_pressure == pytest.approx(max(stop.gauge_pressure for stop in moving), rel=1e-9)
        assert side.lowest_pressure == pytest.approx(min(stop.absolute_pressure for stop in moving), rel=1e-9)
        shares = {share.place: share.share for share in alone.head_shares}
        column = answer.sides.index(side)
        told = {row.place: row.shares[column] for row in answer.heads if row.shares[column] is not None}
        assert told == pytest.approx(shares)
    ranked = sorted(answer.sides, key=lambda side: (len(side.failing), -side.flow))
    assert answer.better == ranked[0].name


def test_inputs_that_differ_are_named() -> None:
    answer = compare(demonstration(), replaced(demonstration(), WIDER), names=["drawn", "wider"])
    assert {row.address: row.values for row in answer.inputs} == {
        "lines.intake.delivery-hose.bore": (0.0125, 0.016),
        "site.altitude": (140.0, 900.0),
    }
    assert answer.words == ()
    assert "flow" in answer.differs
    assert "mode" not in answer.differs


def test_what_a_mode_sets_counts_as_input() -> None:
    slow = replace(hand_check(), modes={"slow": Mode(values={"lines.intake.pump.speed": 0.8})})
    answer = compare(hand_check(), slow, names=["whole", "slow"])
    assert [(row.address, row.values) for row in answer.inputs] == [("lines.intake.pump.speed", (1.0, 0.8))]
    assert answer.mode == "as drawn, slow"
    assert answer.better == "whole"


def test_parts_and_curves_that_differ_are_told_in_words() -> None:
    rig = hand_check()
    line = rig.lines["intake"]
    parts = list(line.parts)
    parts[2] = replace(parts[2], points=((0.0, 3e5), (12.0 / 60_000.0, 0.0)))
    parts.append(Hose(name="more", bore=0.01, length=1.0))
    other = replace(rig, lines={"intake": replace(line, parts=tuple(parts))})
    rows = {row.address: row.words for row in compare(rig, other, names=["a", "b"]).words}
    assert rows["lines.intake.pump.points"][1] == "3 bar at 0 L/min; 0 kPa at 12 L/min"
    assert rows["lines.intake.more"] == (None, "hose")
    assert rows["lines.intake.parts"][1].endswith("delivery-hose, more")
    assert "lines.intake.from" not in rows


def test_findings_that_differ(ten_rigs: dict[str, Rig]) -> None:
    high = ten_rigs["high"]
    low = replaced(high, {"site.altitude": 0.0})
    answer = compare(high, low, names=["high", "low"])
    rows = {(row.rule, row.place): row.verdicts for row in answer.findings_apart}
    primes = rows["pump primes", "lines.lift.pump"]
    assert primes[0] is Verdict.FAILS
    assert primes[1] is not Verdict.FAILS
    assert answer.better == "low"
    assert answer.verdict is Verdict.FAILS
    assert answer.findings[0].place.startswith("high: ")


def test_names_where_none_are_given() -> None:
    assert [side.name for side in compare(demonstration(), hand_check()).sides] == ["Mill-pond trailer", "Hand check"]
    assert [side.name for side in compare(hand_check(), hand_check()).sides] == ["rig 1", "rig 2"]


def test_answer_in_every_form() -> None:
    answer = compare(demonstration(), hand_check())
    data = answer.to_dict()
    assert data["sides"][0]["flow"]["unit"] == "m^3/s"
    assert data["inputs"][0]["unit"]
    assert len(answer.to_frame()) == 2
    assert "Comparison of 'Mill-pond trailer against Hand check'" in repr(answer)


def test_questions_that_cannot_be_read() -> None:
    with pytest.raises(InputError, match="1 rig, expected at least two"):
        compare(demonstration())
    with pytest.raises(InputError, match="2 different names"):
        compare(demonstration(), hand_check(), names=["a", "a"])
    with pytest.raises(InputError, match=r"rigs: found 'b\.toml', expected a Rig"):
        compare(demonstration(), "b.toml")  # type: ignore[arg-type]
    with pytest.raises(InputError) as caught:
        compare(demonstration(), hand_check(), mode="draining")
    assert [mistake.place for mistake in caught.value.mistakes] == ["Mill-pond trailer: mode", "Hand check: mode"]


def test_what_all_assume_is_told_once_and_what_one_assumes_under_its_name() -> None:
    rig = demonstration()
    stated = replaced(rig, {f"tanks.{name}.level": 0.2 for name in rig.tanks})
    alone = check(rig).trust.assumed
    half = "tanks near and far are half full"
    assert half in alone
    answer = compare(rig, stated, names=["a", "b"])
    assert answer.trust.assumed == (*(text for text in alone if text != half), f"a: {half}")
    assert compare(rig, rig, names=["a", "b"]).trust.assumed == alone
