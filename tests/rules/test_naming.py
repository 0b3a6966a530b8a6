"""What sentences call parts, lines and ends."""

from __future__ import annotations

from dataclasses import replace

import pytest

from hydrokit.parts import Hose, HoseTail, Source, Tank
from hydrokit.rig import Line, Rig
from hydrokit.rules.naming import capital, listed, named

HOSE, TAIL = Hose(bore=0.019, length=1.0), HoseTail(bore=0.015)
RIG = Rig(
    sources={"pond": Source(surface=0.0)},
    tanks={"near": Tank(volume=0.06, floor=1.0, depth=0.4), "far": Tank(volume=0.06, floor=1.0, depth=0.4)},
    lines={
        "one": Line(start="pond", end="near", parts=(TAIL, replace(HOSE, name="long"), TAIL, HOSE)),
        "two": Line(start="pond", end="far", parts=(replace(HOSE, name="long"), replace(TAIL, name="own"))),
    },
)


@pytest.mark.parametrize(
    ("address", "said"),
    [
        ("lines.two.own", "the own"),
        ("lines.two.long", "the long of line two"),
        ("lines.one.hose-1", "the hose of line one"),
        ("lines.one.hose-tail-2", "hose tail 2 of line one"),
        ("lines.one", "line one"),
        ("tanks.near", "tank near"),
        ("sources.pond", "source pond"),
    ],
)
def test_a_part_goes_by_its_name_else_by_its_kind(address: str, said: str) -> None:
    assert named(RIG, address) == said


def test_a_sentence_begins_with_a_large_letter() -> None:
    assert capital("the own") == "The own"
    assert capital("") == ""


@pytest.mark.parametrize(("words", "said"), [(["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")])
def test_a_list_in_a_sentence(words: list[str], said: str) -> None:
    assert listed(words) == said


def test_an_end_called_by_its_kind_is_named_once() -> None:
    ends = {
        "sources": {"source": Source(surface=0.0)},
        "tanks": {"tank": Tank(volume=0.06, floor=1.0, depth=0.4)},
    }
    rig = Rig(**ends, lines={"one": Line(start="source", end="tank", parts=(HOSE,))})
    assert (named(rig, "tanks.tank"), named(rig, "sources.source")) == ("the tank", "the source")
