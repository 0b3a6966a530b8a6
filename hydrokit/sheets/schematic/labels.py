"""What stands beside something drawn: its name, its numbers, and what makes it stand out, in short lines."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from hydrokit.sheets.schematic.svg import text_width

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["LINE", "SIZE", "Label", "folded", "label"]

SIZE: Final = 11.0
"""Of the type."""
LINE: Final = 13.0
"""From one line of text to the next."""
_WIDEST: Final = 126.0
_MOST_LINES: Final = 3
_BOLD: Final = 1.1
_BREAKS: Final = re.compile(r"[\t\n\v\f\r\x85\u2028\u2029]+")
_PIECES: Final = re.compile(r"[^ _-]*[ _-]?")


@dataclass(frozen=True, slots=True)
class Label:
    """Lines of text with the style of each (``name``, ``told`` or ``remark``); ``whole`` is the name uncut."""

    whole: str
    lines: tuple[tuple[str, str], ...]

    @property
    def width(self) -> float:
        """Room that the longest line takes."""
        return max(_room(text, style) for text, style in self.lines)

    @property
    def height(self) -> float:
        """Room that all lines take."""
        return LINE * len(self.lines)


def _room(text: str, style: str) -> float:
    return text_width(text, SIZE) * (1.0 if style == "told" else _BOLD)


def _cut(piece: str, widest: float, size: float) -> list[str]:
    """Return a word in pieces that fit; it has no place where people would part it."""
    found = [""]
    for letter in piece:
        if found[-1] and text_width(found[-1] + letter, size) > widest:
            found.append("")
        found[-1] += letter
    return found


def folded(text: str, widest: float, most: int, size: float = SIZE) -> list[str]:
    """Return a text in lines of at most a width, parted behind blanks and hyphens; the last ends in … where more is left."""
    text = _BREAKS.sub(" ", text)
    pieces = [part for piece in _PIECES.findall(text) for part in _cut(piece, widest, size) if part]
    lines = [""]
    for piece in pieces:
        if lines[-1] and text_width((lines[-1] + piece).rstrip(), size) > widest:
            lines.append("")
        lines[-1] += piece
    lines = [line.strip() for line in lines]
    if len(lines) <= most:
        return lines
    last = lines[most - 1]
    while last and text_width(f"{last}…", size) > widest:
        last = last[:-1]
    return [*lines[: most - 1], f"{last}…"]


def label(name: str, told: Iterable[str], remarks: Iterable[str]) -> Label:
    """Return a label; what is empty is left out."""
    lines = [(line, "name") for line in folded(name, _WIDEST / _BOLD, _MOST_LINES)]
    lines += [(line, "told") for text in told if text for line in folded(text, _WIDEST, _MOST_LINES)]
    lines += [(line, "remark") for text in remarks for line in folded(text, _WIDEST / _BOLD, _MOST_LINES)]
    return Label(name, tuple(lines))
