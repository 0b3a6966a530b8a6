from __future__ import annotations

import re
from dataclasses import replace

import pytest

from hydrokit.files import demonstration
from hydrokit.sheets import render
from hydrokit.studies import spread
from hydrokit.units import show

CARBON = "lines.intake.carbon.rated_flow"


@pytest.fixture(scope="module")
def plain():
    return spread(demonstration(), samples=500)


@pytest.fixture(scope="module")
def doubtful():
    return spread(demonstration(), tolerances={CARBON: 0.8 / 60_000.0}, samples=500)


def _one_line(text: str) -> str:
    return " ".join(text.split())


def test_the_answer_comes_first_in_sentences(plain) -> None:
    text = render(plain)
    assert text.startswith("Mill-pond trailer, filling: how sure that is\n\nNo limit fails in any of 500 samples")
    told = _one_line(text.partition("What comes out")[0])
    flow, time = (
        f"{show(each.low, each.dimension)} to {show(each.high, each.dimension)}" for each in plain.outcomes[:2]
    )
    assert f"{flow} arrives in nine samples out of ten. Filling takes {time}." in told
    assert "Measure first: the water temperature of the site, stated as 9 °C ± 3 K." in told
    assert "Were it known exactly, nine samples out of ten would lie within 0.0" in told


def test_what_is_said_briefly_is_whole(plain) -> None:
    brief = _one_line(render(plain, brief=True))
    assert "Measure first" in brief
    assert "What comes out" not in brief


def test_a_limit_in_doubt_is_told_with_where_it_is_sure(doubtful) -> None:
    told = _one_line(render(doubtful).partition("What comes out")[0])
    assert "likeliest is the limit “filter flow” at carbon (intake), in" in told
    assert "more than the 5 % allowed." in told
    assert "Measure first: the rated flow of carbon (intake), stated as 8 L/min ± 0.8 L/min." in told
    assert "it failed in no sample, below" in told
    assert "no more than the 60 % allowed." in _one_line(render(replace(doubtful, risk=0.6)))
    assert "- filter flow, at worst: The carbon passes" in _one_line(render(doubtful))


def test_what_harms_when_there_is_more_of_it_is_told_the_other_way_round(doubtful) -> None:
    first = replace(doubtful.measure_first, correlation=-0.9, sure_from=None)
    told = _one_line(render(replace(doubtful, measure_first=first)).partition("What comes out")[0])
    assert f": above {first.lost_from * 6e4:.3g} L/min it failed in every sample." in told


def test_nothing_that_moves_is_told(plain) -> None:
    assert "Nothing that is varied moves any figure or limit." in _one_line(render(replace(plain, measure_first=None)))


def test_tables_tell_every_figure_limit_and_share(plain) -> None:
    text = render(plain)
    assert "energy of a fill     21.6 Wh" in text
    assert "73 more limits fail in no sample; --all lists them." in text
    assert "left unexplained" in text
    share = next(row.share for row in plain.moves if row.outcome == "time to fill")
    assert f" -{100 * share:.0f} %" in text
    assert "Guesses without ±, not varied\nTurbidity of the site," in text
    whole = render(plain, also=["findings"])
    assert "more limits fail in no sample" not in whole
    assert "Under 1 % of any of them" not in whole


def test_an_outcome_that_some_samples_do_not_have_is_said(plain) -> None:
    time = replace(plain.outcomes[1], high=None, missing=0.12)
    text = _one_line(render(replace(plain, outcomes=(plain.outcomes[0], time))))
    assert "In 12 % of the samples some tank is never full, or something holds the flow back." in text


@pytest.mark.parametrize("system", ["metric", "US", "imperial"])
@pytest.mark.parametrize("width", [40, 80])
def test_it_fits_the_screen_in_every_system(doubtful, system: str, width: int) -> None:
    text = render(doubtful, system=system, width=width)
    assert max(len(line) for line in text.splitlines()) <= width
    assert "nan" not in text
    assert "None" not in text


def test_a_width_of_a_temperature_is_a_difference(plain) -> None:
    assert "48.2 °F ± 5.4 °F" in _one_line(render(plain, system="US"))


def test_what_one_measurement_would_leave_is_never_a_nought(plain) -> None:
    certain = replace(plain, measure_first=replace(plain.measure_first, narrows_to=0.0))
    told = _one_line(render(certain, brief=True))
    assert re.search(
        r"next to nothing would be left of the 0\.\d+ L/min within which nine samples out of ten lie", told
    )


def test_a_limit_whose_name_holds_an_at_is_named_whole(plain) -> None:
    risk = replace(plain.risks[0], rule="voltage at the pump", place="lines.intake.lift-pump", chance=0.2)
    told = _one_line(render(replace(plain, failing=0.2, risks=(risk,)), brief=True))
    assert "likeliest is the limit “voltage at the pump” at lift-pump (intake), in 20 %" in told


def test_one_limit_more_is_told_in_the_singular(plain) -> None:
    shown = int(re.search(r"(\d+) more limits fail in no sample", _one_line(render(plain)))[1])
    fewer = replace(plain, risks=plain.risks[: len(plain.risks) - shown + 1])
    assert "1 more limit fails in no sample; --all lists it." in _one_line(render(fewer))
