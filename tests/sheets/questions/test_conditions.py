from __future__ import annotations

import re

import pytest

from hydrokit.files import demonstration, hand_check
from hydrokit.sheets import render
from hydrokit.studies import envelope


def _flat(text: str) -> str:
    return re.sub(r"\s+", " ", text)


@pytest.fixture(scope="module")
def answer():
    return envelope(demonstration(), altitudes=(0.0, 3000.0))


def test_it_says_how_many_corners_hold_and_which_fails_first(answer) -> None:
    told = _flat(render(answer))
    failing = sum(corner.failing > 0 for corner in answer.corners)
    assert f"It holds in {48 - failing} of 48 corners and fails in {failing}." in told
    assert "Fails first: pump runs steadily at lift-pump (intake)." in told
    assert "it gives way at filters 96 % loaded." in told


def test_every_corner_has_a_row(answer) -> None:
    rows = [line for line in render(answer).splitlines() if re.match(r"(new|half|worn) +(coldest|warmest)", line)]
    assert len(rows) == len(answer.corners)
    assert sum("first" in row for row in rows) == 1
    assert sum("best" in row for row in rows) == 1


def test_what_is_not_varied_is_listed() -> None:
    told = _flat(render(envelope(hand_check())))
    assert "Not varied" in told
    assert "altitude: 120 m as stated, no range was asked for" in told


@pytest.mark.parametrize("system", ["metric", "US", "imperial"])
def test_it_fits_eighty_columns(answer, system: str) -> None:
    assert max(map(len, render(answer, system=system).splitlines())) <= 80
