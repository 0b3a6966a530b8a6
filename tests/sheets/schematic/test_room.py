"""Room on the page: no text meets another text or the line that leads to one.

A letter is taken as 0.5 of the size of the type on average, bold 0.56: common practice for sans-serif faces, no source.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple
from xml.etree.ElementTree import fromstring

import pytest

from hydrokit import check
from hydrokit.sheets.schematic import rig_drawing

if TYPE_CHECKING:
    from collections.abc import Callable
    from xml.etree.ElementTree import Element

    from hydrokit.rig import Rig

SVG = "{http://www.w3.org/2000/svg}"
SIZE = {"title": 15.0, "name": 11.0, "told": 11.0}
LETTER = {"title": 0.56, "name": 0.56, "told": 0.5}


class Box(NamedTuple):
    left: float
    top: float
    right: float
    bottom: float
    text: str


def _boxes(root: Element) -> list[Box]:
    found = []
    for text in root.iter(f"{SVG}text"):
        kind, words = text.attrib["class"], text.text or ""
        x, y, size = float(text.attrib["x"]), float(text.attrib["y"]), SIZE[kind]
        width = LETTER[kind] * size * len(words)
        found.append(Box(x, y - 0.75 * size, x + width, y + 0.2 * size, words))
    return found


def _leaders(root: Element) -> list[tuple[float, float, float]]:
    found = []
    for line in root.iter(f"{SVG}polyline"):
        if line.attrib["class"] == "leader":
            (x, first), (same, second) = (map(float, pair.split(",")) for pair in line.attrib["points"].split())
            assert x == same
            found.append((x, min(first, second), max(first, second)))
    return found


def faults(drawing: str) -> list[str]:
    """Return which texts overlap, which lines run through a text, and what stands outside the picture."""
    root = fromstring(drawing)
    boxes, leaders = _boxes(root), _leaders(root)
    _, _, width, height = map(float, root.attrib["viewBox"].split())
    found = [
        f"{one.text!r} over {other.text!r}"
        for place, one in enumerate(boxes)
        for other in boxes[:place]
        if one.left < other.right and other.left < one.right and one.top < other.bottom and other.top < one.bottom
    ]
    found += [
        f"a line through {box.text!r}"
        for x, top, bottom in leaders
        for box in boxes
        if box.left < x < box.right and top < box.bottom and bottom > box.top
    ]
    return found + [
        f"{box.text!r} outside"
        for box in boxes
        if box.left < 0.0 or box.right > width or box.top < 0.0 or box.bottom > height
    ]


@pytest.mark.parametrize(
    ("count", "low", "high", "name"),
    [
        (1, 0.0, 1.0, ""), (2, 0.0, 1.0, ""), (30, 0.0, 1.0, ""), (12, 1.0, 1.0, ""), (20, 0.0, 100.0, ""),
        (20, 50.0, -50.0, ""), (30, 0.0, 2.0, "a-name-of-many-words-that-goes-on-and-on-number-"), (30, 0.0, 2.0, "x" * 200),
        (9, 0.0, 2.0, "WWWWWWWWWW-"),
    ],
)  # fmt: skip
def test_no_text_meets_another(
    single: Callable[..., Rig], drawn: Callable[..., str], count: int, low: float, high: float, name: str
) -> None:
    drawing = drawn(single(count, low, high, name))
    assert drawing.count('class="leader"') == count + 3  # the parts, both ends and the arrow of the line
    assert faults(drawing) == []


@pytest.mark.slow
def test_no_text_meets_another_in_ten_rigs(ten_rigs: dict[str, Rig]) -> None:
    for name, rig in ten_rigs.items():
        for mode in rig.mode_names():
            answer = check(rig, mode)
            for system in ("metric", "US"):
                assert faults(rig_drawing(rig, answer, system=system)) == [], (name, mode, system)


@pytest.mark.parametrize("seed", [1, 2, 6, 7])
def test_no_text_meets_another_in_rigs_drawn_at_random(
    random_rig: Callable[..., Rig], drawn: Callable[..., str], seed: int
) -> None:
    assert faults(drawn(random_rig(seed, 12))) == []


def test_texts_that_meet_are_found(single: Callable[..., Rig], drawn: Callable[..., str]) -> None:
    drawing = drawn(single(5))
    assert faults(re.sub(r'(<text class="told" )x="[^"]+" y="[^"]+"', r'\1x="90" y="90"', drawing))
    assert faults(drawing.replace('class="leader" points="', 'class="leader" points="110,0 110,999" was="'))
