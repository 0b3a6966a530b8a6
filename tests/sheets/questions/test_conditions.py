from __future__ import annotations

import re
from dataclasses import replace

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
    assert "it gives way with filters 91 % loaded." in told


def test_every_corner_has_a_row(answer) -> None:
    rows = [line for line in render(answer).splitlines() if re.match(r"(new|half|worn) +(coldest|warmest)", line)]
    assert len(rows) == len(answer.corners)
    assert sum("first" in row for row in rows) == 1
    assert sum("best" in row for row in rows) == 1


def test_what_is_not_varied_is_listed() -> None:
    told = _flat(render(envelope(hand_check())))
    assert "Not varied" in told
    assert "altitude: as stated, no range was asked for" in told


def test_how_long_filling_takes_is_told_of_the_corners_in_which_nothing_holds_the_flow_back(answer) -> None:
    known = [corner for corner in answer.corners if corner.fill_time is not None]
    assert 0 < len(known) < len(answer.corners)
    assert f" in {len(known)} corners; in the others it is not known." in _flat(render(answer))
    none = [replace(corner, fill_time=None) for corner in answer.corners]
    assert "Filling takes" not in _flat(render(replace(answer, corners=tuple(none))))
    all_known = replace(answer, corners=tuple(known), best=0, tightest=0, gives_way=None)
    assert "corners; in the others" not in _flat(render(all_known))


def test_one_corner_alone_is_told_as_such(answer) -> None:
    holding = next(corner for corner in answer.corners if not corner.failing)
    told = _flat(render(replace(answer, corners=(holding,), best=0, tightest=0, gives_way=None)))
    assert "Nothing was varied: in the one corner there is it holds." in told
    failing = replace(holding, failing=1)
    told = _flat(render(replace(answer, corners=(failing,), best=0, tightest=0, gives_way=None)))
    assert "in the one corner there is it fails." in told


def test_where_several_levels_vary_none_is_told_as_the_one(answer) -> None:
    assert answer.gives_way is not None
    best = answer.gives_way.best
    settings = tuple(
        "moved" if name == "level" else setting
        for name, setting in zip(answer.varied, answer.corners[best].settings, strict=True)
    )
    corners = list(answer.corners)
    corners[answer.gives_way.corner] = replace(corners[answer.gives_way.corner], settings=settings)
    several = replace(answer, corners=tuple(corners), gives_way=replace(answer.gives_way, level=None))
    assert "it gives way with levels between highest and lowest." in _flat(render(several))


@pytest.mark.parametrize("system", ["metric", "US", "imperial"])
def test_it_fits_eighty_columns(answer, system: str) -> None:
    assert max(map(len, render(answer, system=system).splitlines())) <= 80
