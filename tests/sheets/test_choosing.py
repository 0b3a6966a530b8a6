"""The sheets of bore, match and compare: the answer first, in words; then the tables, in any width."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from hydrokit import Hose, Line, Outlet, Rig, Source, bore, compare, demonstration, match, render
from hydrokit.answers import Verdict, phrase
from hydrokit.files import hand_check
from hydrokit.parts import DiaphragmPump, HoseTail
from hydrokit.rig import replaced
from hydrokit.units import SYSTEMS

LPM = 1.0 / 60_000.0
DELIVERY = "lines.intake.delivery-hose"


def _first(text: str) -> str:
    """Return the answer in words as one line."""
    return " ".join(text.split("\n\n")[1].split())


def _told(text: str) -> str:
    return " ".join(text.split())


def test_bore_says_what_to_take() -> None:
    text = render(bore(demonstration(), hoses=[DELIVERY]))
    assert text.startswith("Mill-pond trailer, filling: which hose bore\n\n")
    assert _first(text).startswith("Take 10 mm for delivery-hose (intake): the smallest that delivers 7.05 L/min")
    assert "95 % of the most that any size gives" in _first(text)
    assert "take this" in text
    assert "What does not fit: hose-tail-1 (intake) takes hose of 9.5 mm to 14.2 mm." in _told(text)
    assert "beyond 8 mm no wider hose brings 3 % more flow" in _told(text)
    assert "From 16 mm on the tails cost more than the hose." in _told(text)


def test_bore_with_a_wanted_flow_says_nothing_of_shares() -> None:
    text = render(bore(demonstration(), hoses=[DELIVERY], wanted_flow=7.4 * LPM))
    assert "Take 12.5 mm" in _first(text)
    assert "95 %" not in text


def test_bore_of_several_shows_what_nothing_betters(monkeypatch: pytest.MonkeyPatch) -> None:
    answer = bore(demonstration())
    text = render(answer)
    assert "19, 10, 10, 10 mm" in text
    assert "more were tried; --all lists every one." in text
    row = re.compile(r"^ *(?:[\d.]+, ){3}[\d.]+ mm ", re.MULTILINE)
    whole = render(answer, also=["findings"])
    assert "were tried" not in whole
    assert len(row.findall(whole)) == 16
    monkeypatch.setattr("hydrokit.sheets.questions.sizing._MOST_ROWS", 2)  # as where thousands were tried
    shown = {0, 1, *answer.front, answer.next_best}
    told = render(answer, also=["findings"])
    assert len(row.findall(told)) == len(shown)
    assert f"{16 - len(shown)} more were tried; --json lists every one." in told


@pytest.mark.parametrize(
    ("wanted", "told"),
    [(30.0 * LPM, "No size that fits delivers 30 L/min. The most is 7."), (None, "Take")],
)
def test_bore_that_cannot_deliver(wanted: float | None, told: str) -> None:
    answer = bore(hand_check(), hoses=[DELIVERY], wanted_flow=wanted)
    assert _first(render(answer)).startswith(told)


def test_bore_that_mends_nothing(too_high_up: Rig) -> None:
    text = _first(render(bore(too_high_up, lines=["up"])))
    assert text.startswith("No bore mends it: this fails at every size that fits: ")
    assert "pump primes at pump (up)" in text


def test_bore_that_lets_nothing_arrive(too_high_up: Rig) -> None:
    text = _first(render(bore(replaced(too_high_up, {"lines.up.pump.height": 11.0}), lines=["up"])))
    assert text.startswith("No size that fits lets any water arrive: ")


def test_bore_that_fits_nowhere() -> None:
    odd = Rig(
        sources={"lake": Source(surface=3.0)},
        outlets={"end": Outlet(height=0.0)},
        lines={"down": Line(start="lake", end="end", parts=(HoseTail(bore=0.0205), Hose(bore=0.0207, length=5.0)))},
    )
    assert _first(render(bore(odd, most=0.02))).startswith("No size tried fits: ")


@pytest.fixture
def too_high_up() -> Rig:
    pump = DiaphragmPump(name="pump", height=4.0, points=((0.0, 4e5), (10 * LPM, 0.0)), dry_lift=2.0)
    return Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={"end": Outlet(height=4.5)},
        lines={"up": Line(start="pond", end="end", parts=(Hose(bore=0.019, length=12.0), pump))},
    )


def test_match_keeps_what_is_as_good() -> None:
    text = render(match(demonstration()))
    assert _first(text).startswith("Keep lift-pump, the pump as drawn: it delivers 7.42 L/min, and no limit fails.")
    assert "4 of 7 pumps break no rule." in _first(text)
    assert "Why the others fail" in text
    assert "The membrane passes up to 10.4 L/min, rated for 10 L/min." in text


def test_match_names_a_better_one() -> None:
    weak = DiaphragmPump(points=((0.0, 6e5), (14 * LPM, 0.0)), dry_lift=3.0, pressure_rating=7e5)
    text = _first(render(match(hand_check(), pumps={"stronger": weak})))
    assert text.startswith("Take stronger: it delivers ")
    assert "the pump as drawn delivers 7.38 L/min" in text


def test_match_without_any_that_suits(too_high_up: Rig) -> None:
    text = render(match(too_high_up))
    assert _first(text).startswith("None of these pumps suits. The nearest is ")
    assert "Why they fail" in text


def test_compare_marks_what_differs() -> None:
    wider = replaced(demonstration(), {f"{DELIVERY}.bore": 0.016})
    text = render(compare(demonstration(), wider, names=["drawn", "wider"]))
    assert _first(text).startswith("wider comes first: ")
    (verdict,) = [line for line in text.splitlines() if line.startswith("verdict")]
    (flow,) = [line for line in text.splitlines() if line.startswith("flow delivered")]
    assert (verdict.endswith("differs"), flow.endswith("differs")) == (False, True)
    assert f"{DELIVERY}.bore  12.5 mm  16 mm" in text


def test_compare_gives_each_figure_in_one_unit() -> None:
    slow = replaced(demonstration(), {"lines.intake.delivery-hose.bore": 0.003})
    text = render(compare(demonstration(), slow, names=["drawn", "slow"]))
    (time,) = [line for line in text.splitlines() if line.startswith("tanks full after")]
    assert len(set(re.findall(r"(?<=\d )(?:min|s|h)\b", time))) == 1


def test_compare_of_the_same() -> None:
    text = render(compare(demonstration(), demonstration()))
    assert _first(text).startswith("Neither is better")
    assert "Nothing: the rigs are the same." in text
    assert "differs\n" not in text


def test_compare_leaves_out_what_merely_does_not_apply() -> None:
    answer = compare(demonstration(), hand_check())
    text, whole = render(answer), render(answer, also=["findings"])
    assert "wherever they apply, which is not in every rig." in _told(text)
    assert "wherever they apply" not in whole
    assert "more; --all lists every one." in text
    assert "more; --all lists every one." not in whole


@pytest.mark.parametrize("width", [20, 47, 80, 100])
@pytest.mark.parametrize("system", SYSTEMS)
def test_every_width_and_system(width: int, system: str) -> None:
    wider = replaced(demonstration(), {f"{DELIVERY}.bore": 0.016})
    for answer in (
        bore(hand_check(), most=0.03),
        match(hand_check()),
        compare(demonstration(), wider, names=["a", "b"]),
    ):
        text = render(answer, system=system, width=width)
        longest = max(len(line) for line in text.splitlines())
        assert longest <= max(width, max(len(word) for word in text.split()) + 4)
        assert "nan" not in text.lower().split()
        assert ("L/min" in text) == (system == "metric")


def test_match_says_once_what_fails_alike_at_both_tanks() -> None:
    text = _told(render(match(demonstration())))
    assert text.count("What reaches tanks near and far is credited with") == 2  # one for each of two pumps
    assert "What reaches tank near" not in text


def test_match_gathers_reasons_that_begin_with_their_place() -> None:
    answer = match(demonstration())
    failing = next(pump for pump in answer.pumps if pump.reasons)
    twice = replace(
        failing,
        ruled_out=("tank pressure at tanks.near", "tank pressure at tanks.far", "flow at lines.intake.carbon"),
        reasons=(phrase("Tank near bursts."), phrase("Tank far bursts."), phrase("The carbon passes too much.")),
    )
    text = render(replace(answer, pumps=(*answer.pumps[:-1], twice)))
    assert "  Tank near bursts. The same goes for tank far.\n  The carbon passes too much.\n" in text


def test_one_of_many_is_told_in_the_singular() -> None:
    answer = match(demonstration())
    holding = next(pump for pump in answer.pumps if pump.verdict is not Verdict.FAILS)
    failing = [pump for pump in answer.pumps if pump.verdict is Verdict.FAILS]
    assert f"1 of {1 + len(failing)} pumps breaks no rule." in _told(render(replace(answer, pumps=(holding, *failing))))


def test_what_stays_of_the_pressure_of_vapour_is_not_called_that_of_the_whole_suction_side() -> None:
    """The tightest limit of the suction side is often another, which ``lift`` and ``spread`` tell."""
    wider = replaced(demonstration(), {f"{DELIVERY}.bore": 0.016})
    assert "suction in hand" not in _told(render(compare(demonstration(), wider, names=["a", "b"])))
    assert "water whole, in hand" in _told(render(compare(demonstration(), wider, names=["a", "b"])))
