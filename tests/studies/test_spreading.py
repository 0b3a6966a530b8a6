"""Percentiles against plain random draws solved one by one, chances against sums of chances, and what must not change them."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from hydrokit.answers import Verdict
from hydrokit.errors import InputError
from hydrokit.files import demonstration, hand_check, read_rig, write_rig
from hydrokit.network import solve
from hydrokit.rig import replaced, value_at
from hydrokit.rules import State
from hydrokit.studies import check, fill, spread
from hydrokit.studies.chance import sampled
from hydrokit.studies.facts.usable import usable_flow

CARBON = "lines.intake.carbon.rated_flow"
FILTER_FLOW = ("filter flow", "lines.intake.carbon")
WIDTH = 0.8 / 60_000.0
SPEED = "lines.intake.lift-pump.speed"
LPM = 1.0 / 60_000.0
WIDTHS = {
    "site.water_temperature": 4.0,
    "sources.pond.surface": 0.5,
    "lines.intake.pump.height": 0.2,
    "lines.intake.suction-hose.bore": 1e-3,
    "lines.intake.delivery-hose.bore": 1e-3,
    "tanks.twins.volume": 4e-3,
}
RANDOM_DRAWS = 300


def _named(answer) -> dict:
    return {outcome.name: outcome for outcome in answer.outcomes}


@pytest.fixture(scope="module")
def plain():
    """Return how sure the demonstration rig is, as it stands."""
    return spread(demonstration(), samples=1024)


@pytest.fixture(scope="module")
def doubtful():
    """Return how sure it is where nobody knows well what its carbon filter may pass."""
    return spread(demonstration(), tolerances={CARBON: WIDTH}, samples=2048)


@pytest.fixture(scope="module")
def one_by_one() -> tuple[np.ndarray, np.ndarray]:
    """Return flow and time to fill of plain random draws of the hand check, each a rig of its own, solved by itself.

    Its one tank fills from above, so that the time is its volume over the flow.
    """
    rig, random = hand_check(), np.random.default_rng(20)
    flows, times = [], []
    for _ in range(RANDOM_DRAWS):
        values = {name: value_at(rig, name) + width * random.uniform(-1.0, 1.0) for name, width in WIDTHS.items()}
        flow = float(usable_flow(State(solve(replaced(rig, values))))[0])
        flows.append(flow)
        times.append(values["tanks.twins.volume"] / flow)
    return np.sort(flows), np.sort(times)


@pytest.mark.slow
@pytest.mark.parametrize("method", ["latin-hypercube", "sobol"])
def test_percentiles_are_those_of_draws_solved_one_by_one(one_by_one, method: str) -> None:
    """Each lies between the draws whose places hold its share in 999 of 1000 cases (the binomial distribution)."""
    answer = _named(spread(hand_check(), tolerances=WIDTHS, samples=2048, method=method))
    for draws, outcome in zip(one_by_one, (answer["flow"], answer["time to fill"]), strict=True):
        for share, value in ((0.05, outcome.low), (0.5, outcome.median), (0.95, outcome.high)):
            low, high = (int(place) for place in stats.binom.interval(0.999, RANDOM_DRAWS, share))
            assert draws[max(low - 1, 0)] <= value <= draws[min(high, RANDOM_DRAWS - 1)]
        assert outcome.stated == pytest.approx(outcome.median, rel=0.02)


@pytest.mark.slow
def test_every_sample_is_what_fill_and_check_say_of_the_rig_so_changed() -> None:
    rig = demonstration()
    values = {name: value_at(rig, name) + width * np.array([-0.7, 0.9]) for name, width in rig.tolerances.items()}
    values[SPEED] = np.array([0.9, 1.0])
    found = sampled.outcomes_of(rig, "filling", values, 2)
    for row in range(2):
        own = replaced(rig, {name: float(value[row]) for name, value in values.items()})
        filled, judged = fill(own), check(own)
        assert found.flow[row] == pytest.approx(judged.flow, rel=1e-8)
        assert found.fill_time[row] == pytest.approx(filled.full_after, rel=1e-5)
        assert found.energy[row] == pytest.approx(filled.energy, rel=1e-5)
        for finding in judged.findings:
            if (finding.rule, finding.place) in found.margins and finding.margin is not None:
                assert found.margins[finding.rule, finding.place][row] == pytest.approx(finding.margin, abs=1e-7)


def test_a_seed_gives_the_same_answer_and_another_does_not() -> None:
    first, again, other = (spread(demonstration(), samples=200, seed=seed) for seed in (4, 4, 5))
    assert first.to_json() == again.to_json()
    assert _named(first)["flow"].low != _named(other)["flow"].low


def test_a_width_of_nothing_gives_the_plain_answer() -> None:
    rig = demonstration()
    held = dict.fromkeys(rig.tolerances, 0.0)
    answer, plain = spread(rig, tolerances=held, samples=100), check(_exact())
    flow, time = _named(answer)["flow"], _named(answer)["time to fill"]
    assert [flow.stated, flow.low, flow.median, flow.high] == pytest.approx([plain.flow] * 4, rel=1e-9)
    assert [time.low, time.high] == pytest.approx([fill(rig).full_after] * 2, rel=1e-9)
    assert (answer.moves, answer.measure_first) == ((), None)
    assert (answer.verdict, answer.findings) == (plain.verdict, plain.findings)


def test_a_width_does_not_count_twice() -> None:
    """A check judges ratings at the warmest and highest water that the ± allow; no sample may go beyond that."""
    rig = demonstration()
    both = {name: width for name, width in rig.tolerances.items() if name.endswith(("water_temperature", "surface"))}
    only = replace(rig, tolerances=both)
    answer = spread(only, samples=500)
    worst = next(finding.margin for finding in check(only).findings if (finding.rule, finding.place) == FILTER_FLOW)
    risk = next(risk for risk in answer.risks if (risk.rule, risk.place) == FILTER_FLOW)
    assert risk.margin == pytest.approx(worst, rel=1e-9)
    assert worst < risk.least_margin < worst + 0.01


def test_units_never_change_the_answer(small_texts) -> None:
    metric, other = (spread(read_rig(text), samples=256) for text in small_texts)
    for one, same in zip(metric.outcomes, other.outcomes, strict=True):
        assert [same.low, same.median, same.high] == pytest.approx([one.low, one.median, one.high], rel=1e-9)
    assert other.measure_first.address == metric.measure_first.address
    assert [risk.chance for risk in other.risks] == [risk.chance for risk in metric.risks]


@pytest.fixture
def small_texts() -> tuple[str, str]:
    text = """format = 1
[site]
water_temperature = "{}"
[sources.pond]
surface = "{}"
[tanks.near]
volume = "60 L"
floor = "1 m"
depth = "0.4 m"
[lines.intake]
from = "pond"
to = "near"
parts = [
  {{ part = "hose", bore = "{}", length = "6 m", vacuum_rating = "0.7 bar vacuum" }},
  {{ use = "diaphragm-pump-11", height = "1.2 m" }},
]
"""
    return text.format("10 ± 5 °C", "0 ± 0.3048 m", "19.05 ± 1.27 mm"), text.format(
        "50 ± 9 °F", "0 ± 1 ft", "3/4 ± 0.05 in"
    )


def test_a_rig_written_and_read_again_gives_the_same_answer() -> None:
    rig = demonstration()
    first, again = (_named(spread(each, samples=128))["flow"] for each in (rig, read_rig(write_rig(rig))))
    assert [again.low, again.high] == pytest.approx([first.low, first.high], rel=1e-12)


def test_the_chance_of_failing_is_that_of_a_limit_that_errs_by_itself(doubtful) -> None:
    """Where a rated flow lies anywhere in a range, a flow is above it with the chance that its place in the range says."""
    rig, rated = _exact(), value_at(demonstration(), CARBON)
    risk = doubtful.risks[0]
    assert (risk.rule, risk.place) == FILTER_FLOW
    found = sampled.outcomes_of(rig, "filling", _other_draws(demonstration()), 1000, filling=False)
    flows = rated * (1.0 - found.margins[FILTER_FLOW])
    expected = np.clip((flows - (rated - WIDTH)) / (2.0 * WIDTH), 0.0, 1.0)
    error = np.sqrt(expected.mean() * (1.0 - expected.mean()) / 2048 + expected.var() / 1000)
    assert risk.chance == pytest.approx(float(expected.mean()), abs=3.0 * float(error))
    assert doubtful.failing >= risk.chance
    assert "rated for" in risk.reason.said()


def _exact():
    return replace(demonstration(), tolerances={})


def _other_draws(rig) -> dict[str, np.ndarray]:
    random = np.random.default_rng(9)
    return {name: value_at(rig, name) + width * random.uniform(-1, 1, 1000) for name, width in rig.tolerances.items()}


@pytest.mark.parametrize(("risk", "verdict"), [(0.0, Verdict.FAILS), (0.05, Verdict.FAILS), (0.9, Verdict.CLOSE)])
def test_the_verdict_goes_by_the_risk_allowed(doubtful, risk: float, verdict: Verdict) -> None:
    answer = replace(doubtful, risk=risk)
    assert 0.05 < answer.risks[0].chance < 0.9
    assert answer.verdict is verdict
    assert json.loads(answer.to_json())["verdict"] == verdict.value


def test_what_fails_as_stated_fails() -> None:
    answer = spread(demonstration(), changed={"lines.intake.lift-pump.height": 9.0}, samples=100, risk=1.0)
    assert answer.verdict is Verdict.FAILS
    assert answer.failing == 1.0


def test_measure_first_what_decides_about_the_limit_in_doubt(doubtful) -> None:
    first = doubtful.measure_first
    assert (first.address, first.in_doubt, first.moves) == (CARBON, True, " at ".join(FILTER_FLOW))
    assert first.correlation > 0.0
    assert first.narrows_to < 0.6

    def failing(rated: float) -> float:
        values = {**_other_draws(demonstration()), CARBON: rated}
        found = sampled.outcomes_of(_exact(), "filling", values, 1000, filling=False)
        return float((found.margins[FILTER_FLOW] < 0.0).mean())

    assert failing(first.sure_from + 0.2 * LPM) == 0.0
    assert failing(first.lost_from - 0.2 * LPM) == 1.0
    assert 0.1 < failing(0.5 * (first.sure_from + first.lost_from)) < 0.9


def test_measure_first_what_moves_the_flow_where_no_limit_is_in_doubt(plain) -> None:
    first, flow = plain.measure_first, _named(plain)["flow"]
    assert (first.moves, first.in_doubt, first.sure_from) == ("flow", False, None)
    values = {**_other_draws(demonstration()), first.address: first.value}
    known = sampled.outcomes_of(demonstration(), "filling", values, 1000, filling=False).flow
    narrowed = float(np.ptp(np.quantile(known, [0.05, 0.95]))) / (flow.high - flow.low)
    assert first.narrows_to == pytest.approx(narrowed, rel=0.15)
    assert narrowed < 0.5


def test_shares_make_up_what_is_explained(plain) -> None:
    for outcome in plain.outcomes:
        own = [row for row in plain.moves if row.outcome == outcome.name]
        assert {row.address for row in own} == set(demonstration().tolerances)
        assert sum(row.share for row in own) + outcome.unexplained == pytest.approx(1.0, abs=1e-12)
        assert [row.share for row in own] == sorted((row.share for row in own), reverse=True)


def test_chunks_change_nothing(monkeypatch) -> None:
    rig = demonstration()
    values = _other_draws(rig) | {CARBON: np.linspace(7.0, 9.0, 1000) * LPM}
    whole = sampled.outcomes_of(rig, "filling", values, 1000, filling=False)
    monkeypatch.setattr(sampled, "_CHUNK", 300)
    told: list[float] = []
    pieces = sampled.outcomes_of(rig, "filling", values, 1000, filling=False, progress=told.append)
    assert told == [0.3, 0.6, 0.9, 1.0]
    assert pieces.flow == pytest.approx(whole.flow, rel=1e-8)
    assert pieces.margins.keys() == whole.margins.keys()
    for key, margins in whole.margins.items():
        assert pieces.margins[key] == pytest.approx(margins, abs=1e-7, nan_ok=True)
    assert pieces.reasons[FILTER_FLOW].text == whole.reasons[FILTER_FLOW].text


def test_a_tank_that_may_never_fill_has_no_upper_percentile() -> None:
    """The pump gives up at about 54 m where no switch stops it: with the lip 52 m up, give or take 10 m, it may fill."""
    lip, cut_out = "tanks.twins.inlet_height", "lines.intake.pump.cut_out"
    answer = spread(hand_check(), changed={lip: 52.0, cut_out: 9e5}, tolerances={lip: 10.0}, samples=200)
    time = _named(answer)["time to fill"]
    assert 0.3 < time.missing < 0.6
    assert time.low is not None
    assert time.high is None


def test_a_mode_that_fills_nothing_has_neither_time_nor_energy_of_a_fill() -> None:
    answer = spread(demonstration(), "tap", samples=100)
    assert [outcome.name for outcome in answer.outcomes] == ["flow", "suction margin"]
    assert answer.mode == "tap"


def test_guesses_without_a_width_are_named() -> None:
    rig = demonstration()
    guesses = {address for address, word in rig.origins.items() if word == "guess"}
    answer = spread(rig, samples=100, tolerances={"batteries.main.inner_resistance": 4e-3})
    assert set(answer.not_varied) == guesses - {"batteries.main.inner_resistance"}


def test_how_it_was_drawn_is_told_as_assumed() -> None:
    answer = spread(demonstration(), samples=128, shape="normal", method="sobol")
    assert any("two standard deviations" in text for text in answer.trust.assumed)
    assert any("independently" in text for text in answer.trust.assumed)
    assert answer.trust.mass_residual < 1e-9


def test_the_answer_is_plain_data(plain) -> None:
    data = json.loads(plain.to_json())
    assert data["outcomes"][0]["median"]["unit"] == "m^3/s"
    assert data["measure_first"]["address"] == "site.water_temperature"
    frame = plain.to_frame()
    assert list(frame["name"]) == [outcome.name for outcome in plain.outcomes]
    assert list(plain.to_frame("moves").columns) == ["outcome", "address", "correlation [1]", "share [1]"]


def test_nothing_to_vary_is_refused() -> None:
    with pytest.raises(InputError, match="no value with ±"):
        spread(replace(demonstration(), tolerances={}))


@pytest.mark.parametrize("risk", [5.0, -0.1])
def test_a_risk_that_is_no_chance_is_refused(risk: float) -> None:
    with pytest.raises(InputError, match="risk"):
        spread(demonstration(), risk=risk)
