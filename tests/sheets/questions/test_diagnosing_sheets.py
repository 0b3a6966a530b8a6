"""The sheets of ``diagnose`` and of the readings to take."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from hydrokit.files import demonstration
from hydrokit.rig import Reading
from hydrokit.sheets import render
from hydrokit.studies import diagnose, expected_readings

FEW = (
    Reading(kind="flow", value=5.2 / 60e3),
    Reading(kind="vacuum", value=18.5e3),
    Reading(kind="pressure", value=1.02e5, at="filters", side="before"),
    Reading(kind="volts", value=12.1),
)


def _flat(text: str) -> str:
    return re.sub(r"\s+", " ", text)


def test_a_tie_is_said_first_with_what_to_read_next() -> None:
    told = _flat(render(diagnose(demonstration(), FEW)))
    assert "These explain the readings equally well, which do not tell them apart: the lift-pump worn" in told
    assert "or air drawn in before the lift-pump" in told
    assert "To tell them apart, read pressure after lift-pump (intake), shut next" in told
    assert "with the pump's outlet shut for a few seconds only" in told


def test_one_fault_comes_with_what_to_do() -> None:
    told = _flat(render(diagnose(demonstration(), [*FEW, Reading(kind="bubbles", value=1.0)])))
    assert "Most likely: air drawn in before the lift-pump" in told
    assert "Sink the strainer deeper" in told


def test_what_nothing_explains_names_the_reading_farthest_off() -> None:
    odd = [Reading(kind="flow", value=12.0 / 60e3), *FEW[1:]]
    told = _flat(render(diagnose(demonstration(), odd)))
    assert "No fault that is looked for explains these readings" in told
    assert "farthest off is flow, all together" in told


@pytest.mark.parametrize("system", ["metric", "US", "imperial"])
@pytest.mark.parametrize("width", [40, 80])
def test_every_system_and_width(system: str, width: int) -> None:
    told = render(diagnose(demonstration(), FEW), system=system, width=width)
    assert max(len(line) for line in told.splitlines()) <= width
    assert "Cautions" in told


def test_the_blank_sheet_has_a_blank_for_every_reading() -> None:
    answer = expected_readings(demonstration())
    told = render(answer)
    assert told.count("________") == 2 * len(answer.readings)


def test_what_is_expected_has_no_more_digits_than_a_gauge_tells_and_the_unit_of_what_it_may_be_off() -> None:
    answer = expected_readings(demonstration())
    (reading,) = (each for each in answer.readings if each.kind == "vacuum")
    told = _flat(render(replace(answer, readings=(replace(reading, value=19_640.0, spread=2_000.0),))))
    assert "20 kPa vacuum 2 kPa ____" in told
    told = _flat(render(replace(answer, readings=(replace(reading, value=1_964.0, spread=2_000.0),))))
    assert "2 kPa vacuum 2 kPa ____" in told


def test_what_all_explanations_share_is_said_once_and_shares_have_two_digits() -> None:
    readings = (
        Reading(kind="flow", value=5.0 / 60e3),
        Reading(kind="vacuum", value=35e3, uncertainty=1e3),
        Reading(kind="pressure", value=1.2e5, at="filters", side="before"),
    )
    told = _flat(render(diagnose(demonstration(), readings))).partition("What may be wrong")[0]
    assert told.count("92 % of its open area") == 1
    assert "5 L/min was read where 7.42 L/min should arrive." in told
    assert ", and with that the lift-pump worn" in told
    assert not re.search(r"\d\.\d %", told)


def test_a_brief_answer_points_at_nothing_below_it() -> None:
    told = _flat(render(diagnose(demonstration(), FEW[:1]), brief=True))
    assert "they are listed in the whole answer" in told
    assert "below" not in told


def test_no_reading_is_off_by_minus_nothing() -> None:
    for readings in (FEW, FEW[:2]):
        assert not re.search(r"-0\.0\b", render(diagnose(demonstration(), readings)))
