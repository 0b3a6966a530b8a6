"""What an interrupted sweep has left is gone on with as it was left, worked out anew, or refused: no answer comes of what somebody changed."""

from __future__ import annotations

from random import Random
from typing import TYPE_CHECKING

import pytest

from hydrokit.files import hand_check, write_rig
from tests.fuzz.judge import Case, Place, faults_of, run
from tests.fuzz.unfinished import SWEPT, left_by, tampered

if TYPE_CHECKING:
    from pathlib import Path

RIG = write_rig(hand_check())
LINE = ("sweep", "rig.toml", "--vary", "site.altitude=" + SWEPT["site.altitude"], "--out", "made.csv", "--json")
FILES = {"rig.toml": RIG.encode()}


@pytest.fixture
def place(tmp_path: Path) -> Place:
    return Place(tmp_path.resolve())


def test_what_was_left_is_gone_on_with(place: Place) -> None:
    left = left_by(RIG, "csv")
    assert {name.partition("/")[2] for name in left} == {"manifest.json", "chunk-000000"}
    anew, gone_on = run(Case(LINE, FILES), place), run(Case(LINE, FILES | dict(left)), place)
    assert (gone_on.code, gone_on.out) == (anew.code, anew.out)
    assert "deep/work/made.csv.unfinished" in gone_on.changed  # which is gone
    assert gone_on.made == ("deep/work/made.csv",)


@pytest.mark.parametrize("seed", range(4))
def test_no_answer_comes_of_what_was_changed(place: Place, seed: int) -> None:
    random, anew = Random(seed), run(Case(LINE, FILES), place)
    for _ in range(12):
        case = Case(LINE, FILES | tampered(left_by(RIG, "csv"), random))
        done = run(case, place)
        assert faults_of(case, done) == []
        assert done.code == 2 or (done.code, done.out) == (anew.code, anew.out), case.files
