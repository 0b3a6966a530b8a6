"""Words in a picture: drawn as they are, broken to the room there is, and placed beside their point clear of all else."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.sheets.pictures.style import TEXT

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from hydrokit.bounds import Array

__all__ = ["Labels", "broken", "plain", "width_of"]

_NEAR: Final = (4.0, 9.0, 16.0, 25.0, 36.0, 50.0, 68.0)
"""Points between a label and what it names; the nearest that is free is taken."""
_WAYS: Final = {
    "right": (1.0, 0.0),
    "up right": (0.8, 0.6),
    "down right": (0.8, -0.6),
    "up": (0.0, 1.0),
    "down": (0.0, -1.0),
    "up left": (-0.8, 0.6),
    "down left": (-0.8, -0.6),
    "left": (-1.0, 0.0),
}
_LEADER_FROM: Final = 14.0
"""Points from which on a thin line leads from the label to its point."""
_STEP: Final = 3.0
"""Pixels between the points of a line that labels keep off."""
_PER_POINT: Final = 100.0 / 72.0
"""Pixels to a point while places are looked for."""
_UNDRAWN: Final = "\N{WHITE SQUARE}"


@lru_cache(maxsize=1)
def _letters() -> frozenset[int]:
    from matplotlib.font_manager import FontProperties, findfont, get_font

    return frozenset(get_font(findfont(FontProperties())).get_charmap())


def plain(text: str) -> str:
    """Return a text in one line, a square for each letter that the font does not have."""
    one = " ".join(text.split())
    return "".join(each if ord(each) in _letters() else _UNDRAWN for each in one)


@lru_cache(maxsize=4096)
def width_of(text: str, size: float = TEXT, *, bold: bool = False) -> float:
    """Return how wide a line of text is, in points."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import text_to_path

    font = FontProperties(size=size, weight="bold" if bold else "normal")
    width, _, _ = text_to_path.get_text_width_height_descent(text, font, ismath=False)
    return float(width)


def _cut(word: str, room: float, size: float, *, bold: bool) -> str:
    """Return the longest beginning of a word that has room, with dots behind."""
    while word and width_of(f"{word}…", size, bold=bold) > room:
        word = word[:-1]
    return f"{word}…"


def broken(text: str, room: float, *, lines: int = 2, size: float = TEXT, bold: bool = False) -> str:
    """Return a text broken between words into lines no wider than ``room`` points; what is over ends in dots."""
    words, found = plain(text).split(" "), [""]
    for place, word in enumerate(words):
        joined = f"{found[-1]} {word}" if found[-1] else word
        if width_of(joined, size, bold=bold) <= room:
            found[-1] = joined
        elif len(found) < lines and found[-1]:
            fits = width_of(word, size, bold=bold) <= room
            found.append(word if fits else _cut(word, room, size, bold=bold))
            if not fits:
                break
        else:
            found[-1] = _cut(" ".join([*([found[-1]] if found[-1] else []), *words[place:]]), room, size, bold=bold)
            break
    return "\n".join(found)


@dataclass(frozen=True, slots=True)
class _Label:
    x: float
    y: float
    text: str
    ways: tuple[str, ...]
    size: float


@dataclass(slots=True)
class Labels:
    """Takes the words that belong to points of one pair of axes, and places them once the axes stand still.

    Those that come first choose first. A label keeps off all lines drawn in the axes, off the other labels and inside the
    frame as far as that can be had.
    """

    axes: Axes
    room: float = 130.0
    """Points across that one line may take."""
    _wanted: list[_Label] = field(default_factory=list)

    def add(self, x: float, y: float, text: str, ways: str = "", *, size: float = TEXT, lines: int = 3) -> None:
        """Note a label for a point in the units of the axes; ``ways`` are those to be tried first, with commas between."""
        first = tuple(way.strip() for way in ways.split(",") if way)
        rest = tuple(way for way in _WAYS if way not in first)
        self._wanted.append(_Label(x, y, broken(text, self.room, lines=lines, size=size), (*first, *rest), size))

    def place(self) -> None:
        """Write all labels where they are clear of each other and of lines; call when the layout is done."""
        if not self._wanted:
            return
        root: Any = self.axes.get_figure(root=True)
        renderer = root.canvas.get_renderer()
        frame = self.axes.get_window_extent(renderer)
        taken, lines = self._boxes(renderer), self._points()
        for label in self._wanted:
            text = self.axes.annotate(
                label.text, (label.x, label.y), xytext=(0.0, 0.0), textcoords="offset points", fontsize=label.size,
                color="black", ha="left", va="bottom", parse_math=False, annotation_clip=False, linespacing=1.1,
                zorder=5.0,
            )  # fmt: skip
            size = text.get_window_extent(renderer)
            at = self.axes.transData.transform((label.x, label.y))
            best = min(
                self._places(label, at, size.width, size.height), key=lambda place: _cost(place, frame, taken, lines)
            )
            offset, box, near = best[0], best[1], best[2]
            text.set_position(tuple((offset - at) / _PER_POINT))
            taken = np.vstack([taken, box])
            if near >= _LEADER_FROM:
                self._lead(label, box, at)

    def _lead(self, label: _Label, box: Array, at: Array) -> None:
        """Draw a thin line from a label to its point."""
        near = np.clip(at, box[:2], box[2:])
        offset = (near - at) / _PER_POINT
        self.axes.annotate(
            "", (label.x, label.y), xytext=tuple(offset), textcoords="offset points", annotation_clip=False,
            arrowprops={"arrowstyle": "-", "linewidth": 0.5, "color": "0.35", "shrinkA": 0.0, "shrinkB": 2.0},
        )  # fmt: skip

    def _places(self, label: _Label, at: Array, width: float, height: float) -> list[tuple[Array, Array, float, int]]:
        """Return every place for a label: its lower left corner, its box, its distance in points and rank of its way."""
        found = []
        for near in _NEAR:
            for rank, way in enumerate(label.ways):
                across, up = _WAYS[way]
                gap = near * _PER_POINT
                x = at[0] + across * gap - width * (0.0 if across > 0.0 else 1.0 if across < 0.0 else 0.5)
                y = at[1] + up * gap - height * (0.0 if up > 0.0 else 1.0 if up < 0.0 else 0.5)
                found.append((np.array([x, y]), np.array([x, y, x + width, y + height]), near, rank))
        return found

    def _boxes(self, renderer: Any) -> Array:
        """Return the boxes of all words that stand in the axes already."""
        boxes = [text.get_window_extent(renderer) for text in self.axes.texts if text.get_text()]
        return np.array([[box.x0, box.y0, box.x1, box.y1] for box in boxes]).reshape(-1, 4)

    def _points(self) -> Array:
        """Return points on all lines in the axes, close enough together that no label slips between, shape (m, 2)."""
        found = [np.empty((0, 2))]
        for line in self.axes.lines:
            path = line.get_transform().transform(line.get_xydata())
            path = path[np.isfinite(path).all(axis=1)]
            if len(path) < 2:
                found.append(path)
                continue
            along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
            steps = np.linspace(0.0, along[-1], min(int(along[-1] / _STEP) + 2, 5000))
            found.append(np.column_stack([np.interp(steps, along, path[:, 0]), np.interp(steps, along, path[:, 1])]))
        return np.concatenate(found)


def _cost(place: tuple[Array, Array, float, int], frame: Any, taken: Array, lines: Array) -> float:
    """Return how bad a place is: words over words are worst, then out of the frame, then over a line, then far off."""
    _, box, near, rank = place
    x0, y0, x1, y1 = box + np.array([-2.0, -1.0, 2.0, 1.0])
    across = np.minimum(x1, taken[:, 2]) - np.maximum(x0, taken[:, 0])
    up = np.minimum(y1, taken[:, 3]) - np.maximum(y0, taken[:, 1])
    words = float(((across > 0.0) & (up > 0.0)).sum())
    outside = max(frame.x0 - x0, 0.0) + max(x1 - frame.x1, 0.0) + max(frame.y0 - y0, 0.0) + max(y1 - frame.y1, 0.0)
    crossed = ((lines[:, 0] > x0) & (lines[:, 0] < x1) & (lines[:, 1] > y0) & (lines[:, 1] < y1)).sum()
    return float(1e6 * words + 1e3 * (outside > 0.0) + 20.0 * outside + 8.0 * crossed + near + 0.3 * rank)
