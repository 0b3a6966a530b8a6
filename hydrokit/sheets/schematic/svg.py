"""A few SVG elements, built as a tree so that every text is escaped by whoever writes the tree out."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final
from unicodedata import east_asian_width
from xml.etree.ElementTree import Element, SubElement

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["circle", "line", "number", "path", "printable", "rectangle", "text_width", "write"]

_NEVER: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")
_LETTER: Final = 0.6
"""Width of a letter over the size of the type, on the safe side: sans-serif faces take 0.5 on average."""
_THIN: Final = frozenset(" .,:;'|!iljtfI()[]")


def printable(text: str) -> str:
    """Return a text without the characters that XML cannot hold."""
    return _NEVER.sub("\ufffd", text)


def number(value: float) -> str:
    """Return a coordinate, to a tenth of a unit."""
    return (
        f"{value:.1f}".removesuffix(".0").replace("-0", "0") if abs(value) < 0.05 else f"{value:.1f}".removesuffix(".0")
    )


def text_width(text: str, size: float) -> float:
    """Return about how wide a line of text is, rather too much than too little."""
    wide = sum(1.0 if east_asian_width(letter) in "WF" else 0.4 if letter in _THIN else _LETTER for letter in text)
    capitals = sum(0.15 for letter in text if letter.isupper() or letter in "mwMW@%—")
    return (wide + capitals) * size


def line(parent: Element, points: Sequence[tuple[float, float]], kind: str) -> Element:
    """Draw straight lines from point to point."""
    found = SubElement(parent, "polyline", {"class": kind})
    found.set("points", " ".join(f"{number(x)},{number(y)}" for x, y in points))
    return found


def path(parent: Element, steps: str, kind: str) -> Element:
    """Draw a path."""
    return SubElement(parent, "path", {"class": kind, "d": steps})


def rectangle(parent: Element, x: float, y: float, width: float, height: float, kind: str) -> Element:
    """Draw a box from its upper left corner."""
    sides = {"x": x, "y": y, "width": width, "height": height}
    return SubElement(parent, "rect", {"class": kind, **{name: number(side) for name, side in sides.items()}})


def circle(parent: Element, x: float, y: float, radius: float, kind: str) -> Element:
    """Draw a circle."""
    return SubElement(parent, "circle", {"class": kind, "cx": number(x), "cy": number(y), "r": number(radius)})


def write(parent: Element, x: float, y: float, text: str, kind: str) -> Element:
    """Write one line of text that begins at a point on its base line."""
    found = SubElement(parent, "text", {"class": kind, "x": number(x), "y": number(y)})
    found.text = printable(text)
    return found
