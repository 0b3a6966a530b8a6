"""The sheets of ``lift`` and ``limit``."""

from __future__ import annotations

import re

import pytest

from hydrokit.bounds import Dimension
from hydrokit.files import demonstration, hand_check
from hydrokit.rig import replaced
from hydrokit.sheets import render
from hydrokit.studies import lift, limit
from hydrokit.units import si

LPM = 1.0 / 60_000.0
HOSE = {"flow": 8 * LPM, "bore": 0.019, "length": 6.0}


def _flat(text: str) -> str:
    return re.sub(r"\s+", " ", text)


@pytest.fixture(scope="module")
def lifted():
    return lift(demonstration())


def test_lift_answers_first_in_sentences(lifted) -> None:
    told = _flat(render(lifted))
    assert told.startswith("Mill-pond trailer, filling lift-pump (intake) stands 1.8 m above the water of source pond")
    assert (
        "It could lift 4.40 m, with the water 2.60 m deeper than now, at -2.60 m. Beyond that fails: pump inlet vacuum."
        in told
    )
    assert "A valve below keeps a hose full that was filled by hand" in told


def test_what_the_sheet_says_is_what_the_answer_holds(lifted) -> None:
    told = render(lifted)
    for limit_ in lifted.limits:
        row = next(line for line in told.splitlines() if line.startswith(limit_.limit))
        if limit_.lift is not None:
            assert f"{limit_.lift:.2f}" in row
        else:
            assert "not known" in row
    for depth in lifted.depths:
        assert any(line.lstrip().startswith(f"{depth.lift:.2f} ") for line in told.splitlines())


@pytest.mark.parametrize("system", ["metric", "US", "imperial"])
def test_both_sheets_fit_eighty_columns_in_every_system(lifted, system: str) -> None:
    for answer in (lifted, limit(**HOSE, dry_lift=2.4, npsh_required=3.0, lift=1.0)):
        assert max(map(len, render(answer, system=system).splitlines())) <= 80


def test_feet_say_the_same_as_metres(lifted) -> None:
    feet = float(re.search(r"It could lift ([\d.]+) ft", _flat(render(lifted, system="US")))[1])
    assert si(f"{feet} ft", Dimension.LENGTH) == pytest.approx(lifted.greatest_lift, rel=5e-3)  # three digits shown


def test_a_pump_too_high_is_told_so_first() -> None:
    high = lift(replaced(demonstration(), {"lines.intake.lift-pump.height": 6.5}))
    told = _flat(render(high))
    assert "It does not work from here:" in told
    assert re.search(r"It could lift \d\.\d\d m, \d\.\d\d m less than this, with the water at", told)


def test_a_dry_lift_that_is_not_stated_is_told_as_not_known() -> None:
    assert "is not known, as its dry lift is not stated." in _flat(render(lift(hand_check())))


def test_limit_says_how_high_and_why() -> None:
    told = _flat(render(limit(**HOSE, altitude=1500.0, water_temperature=285.15, dry_lift=2.4)))
    assert "a pump may stand up to 2.02 m above the water. Beyond that fails: pump primes." in told
    assert "water then at" not in told


def test_less_npsh_than_is_wanted_is_close_and_no_failure() -> None:
    # it requires 4 m and 5 m are wanted: between both heights a limit is neither kept with ease nor broken
    told = _flat(render(limit(**HOSE, npsh_required=4.0, lift=5.5)))
    assert "Beyond that less NPSH is left than is wanted to be safe." in told
    assert "At 5.5 m it is close: the pump is offered 4.5" in told
    assert "no limit that could be judged is passed" not in told


def test_limit_judges_a_height_that_is_meant() -> None:
    assert "At 1 m no limit that could be judged is passed." in _flat(render(limit(**HOSE, dry_lift=2.4, lift=1.0)))
    assert "At 3 m it does not work:" in _flat(render(limit(**HOSE, dry_lift=2.4, lift=3.0)))


def test_a_pump_that_must_stand_under_water_is_told_so() -> None:
    told = _flat(render(limit(flow=40 * LPM, bore=0.019, length=8.0, npsh_required=5.0, altitude=1500.0)))
    assert re.search(r"a pump must stand at least [\d.]+ m below the water\. Above that less NPSH is left than", told)


def test_what_needs_no_search_claims_none() -> None:
    told = _flat(render(limit(**HOSE)))
    assert "Solved in" not in told
    assert "to 0" not in told.partition("How this was reached")[2].partition("It rests")[0]


def test_what_fails_goes_on_in_lower_case() -> None:
    told = _flat(render(lift(replaced(demonstration(), {"lines.intake.lift-pump.height": 6.5}))))
    assert re.search(r"It does not work from here: [a-z]", told)


def test_a_limit_that_is_passed_is_told_once_in_the_table_of_depths() -> None:
    table = render(lift(demonstration())).partition("Flow against depth\n")[2].partition("Budget")[0]
    assert "passed from here on" in table
    assert table.count("pump inlet vacuum") == 1
