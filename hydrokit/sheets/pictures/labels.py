"""Words in a picture: drawn as they are, broken to the room there is, and placed beside their point clear of all else."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

    from hydrokit.bounds import Array

__all__ = ["TEXT", "Labels", "broken", "plain", "spot", "width_of"]

TEXT: Final = 8.0
"""Size of most letters in points, on paper as drawn."""
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
_OVER_A_LINE: Final = 60.0
"""Points farther off that a label goes rather than stand over a step of a line."""
_ROUND_A_MARK: Final = ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0), (0.0, 0.0))
"""From the middle of a mark to its edge, in radii."""
_PER_POINT: Final = 100.0 / 72.0
"""Pixels to a point while places are looked for."""
_UNDRAWN: Final = "\N{WHITE SQUARE}"


@lru_cache(maxsize=1)
def _letters() -> frozenset[int]:
    from matplotlib.font_manager import FontProperties, findfont, get_font

    return frozenset(get_font(findfont(FontProperties())).get_charmap())


def plain(text: str) -> str:
    """Return a text in one line, a square for each letter that the font does not have."""
    one = " ".join(re.split(r"[^\S\N{NO-BREAK SPACE}]+", text.strip()))
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


def _fitted(word: str, room: float, size: float, *, bold: bool) -> str:
    """Return a word no wider than the room, so that what stands behind a long name is not lost with its end."""
    return word if width_of(word, size, bold=bold) <= room else _cut(word, room, size, bold=bold)


def broken(text: str, room: float, *, lines: int = 2, size: float = TEXT, bold: bool = False) -> str:
    """Return a text broken between words into lines no wider than ``room`` points; what is over ends in dots."""
    words, found = [_fitted(word, room, size, bold=bold) for word in plain(text).split(" ")], [""]
    for place, word in enumerate(words):
        joined = f"{found[-1]} {word}" if found[-1] else word
        if width_of(joined, size, bold=bold) <= room:
            found[-1] = joined
        elif len(found) < lines and found[-1]:
            found.append(word)
        else:
            found[-1] = _cut(" ".join([*([found[-1]] if found[-1] else []), *words[place:]]), room, size, bold=bold)
            break
    return "\n".join(found)


def spot(axes: Axes, x: Sequence[float], y: Sequence[float], share: float) -> tuple[float, float]:
    """Return the point a share of the way along what is seen of a line, in the units of the axes."""
    low, high = sorted(axes.get_ylim())
    points = np.column_stack([x, y])
    seen = points[np.isfinite(points).all(axis=1) & (points[:, 1] >= low) & (points[:, 1] <= high)]
    if not len(seen):
        return float(x[0]), low
    size = np.maximum(np.ptp(seen, axis=0), 1e-300)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*(np.diff(seen, axis=0) / size).T))])
    at = share * along[-1]
    return float(np.interp(at, along, seen[:, 0])), float(np.interp(at, along, seen[:, 1]))


@dataclass(frozen=True, slots=True)
class _Label:
    spots: tuple[tuple[float, float], ...]
    text: str
    ways: tuple[str, ...]
    size: float


class _Place(NamedTuple):
    """Where a label might stand: beside which point, there in pixels, its box, its distance in points, how far off it is."""

    spot: tuple[float, float]
    at: Array
    box: Array
    near: float
    off: float


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
        self._note(((x, y),), text, ways, size, lines)

    def add_along(self, x: Sequence[float], y: Sequence[float], text: str, ways: str = "", share: float = 0.5) -> None:
        """Note a label for a line, to stand anywhere along what is seen of it, best a share of the way along."""
        shares = sorted((place / 10.0 for place in range(1, 10)), key=lambda each: abs(each - share))
        self._note(tuple(spot(self.axes, x, y, each) for each in shares), text, ways, TEXT, 3)

    def _note(self, spots: tuple[tuple[float, float], ...], text: str, ways: str, size: float, lines: int) -> None:
        first = tuple(way.strip() for way in ways.split(",") if way)
        rest = tuple(way for way in _WAYS if way not in first)
        self._wanted.append(_Label(spots, broken(text, self.room, lines=lines, size=size), (*first, *rest), size))

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
                label.text, label.spots[0], xytext=(0.0, 0.0), textcoords="offset points", fontsize=label.size,
                color="black", ha="left", va="bottom", parse_math=False, annotation_clip=False, linespacing=1.1,
                zorder=5.0,
            )  # fmt: skip
            size = text.get_window_extent(renderer)
            places = self._places(label, size.width, size.height)
            best = _best(places, frame, taken, lines)
            text.xy = best.spot
            x, y = ((best.box[:2] - best.at) / _PER_POINT).tolist()
            text.set_position((x, y))
            taken = np.vstack([taken, best.box])
            if best.near >= _LEADER_FROM:
                lines = np.vstack([lines, self._lead(best)])

    def _lead(self, place: _Place) -> Array:
        """Draw a thin line from a label to its point; return points on it, for later labels to keep off."""
        end = np.clip(place.at, place.box[:2], place.box[2:])
        offset = (end - place.at) / _PER_POINT
        self.axes.annotate(
            "", place.spot, xytext=tuple(offset), textcoords="offset points", annotation_clip=False,
            arrowprops={"arrowstyle": "-", "linewidth": 0.5, "color": "0.35", "shrinkA": 0.0, "shrinkB": 2.0},
        )  # fmt: skip
        return np.asarray(np.linspace(place.at, end, 20))

    def _places(self, label: _Label, width: float, height: float) -> list[_Place]:
        """Return every place that a label might take."""
        found = []
        for nth, spot_of_label in enumerate(label.spots):
            at = self.axes.transData.transform(spot_of_label)
            for near in _NEAR:
                for rank, way in enumerate(label.ways):
                    across, up = _WAYS[way]
                    gap = near * _PER_POINT
                    x = at[0] + across * gap - width * (0.0 if across > 0.0 else 1.0 if across < 0.0 else 0.5)
                    y = at[1] + up * gap - height * (0.0 if up > 0.0 else 1.0 if up < 0.0 else 0.5)
                    box = np.array([x, y, x + width, y + height])
                    found.append(_Place(spot_of_label, at, box, near, near + 0.3 * rank + 0.5 * nth))
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
            if line.get_marker() != "None":
                radius = (0.5 * line.get_markersize() + 1.0) * _PER_POINT
                found += [path + radius * np.array(side) for side in _ROUND_A_MARK]
            if len(path) < 2 or line.get_linestyle() == "None":
                continue
            along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
            steps = np.linspace(0.0, along[-1], min(int(along[-1] / _STEP) + 2, 5000))
            found.append(np.column_stack([np.interp(steps, along, path[:, 0]), np.interp(steps, along, path[:, 1])]))
        return np.concatenate(found)


def _best(places: Sequence[_Place], frame: Any, taken: Array, lines: Array) -> _Place:
    """Return the best place: words over words are worst, then out of the frame, then over a line, then far off."""
    box = np.array([place.box for place in places]) + np.array([-2.0, -1.0, 2.0, 1.0])
    x0, y0, x1, y1 = box.T[:, :, None]
    across = np.minimum(x1, taken[:, 2]) - np.maximum(x0, taken[:, 0])
    up = np.minimum(y1, taken[:, 3]) - np.maximum(y0, taken[:, 1])
    words = ((across > 0.0) & (up > 0.0)).sum(axis=1)
    over = np.array([frame.x0, frame.y0, -frame.x1, -frame.y1]) - box * np.array([1.0, 1.0, -1.0, -1.0])
    outside = np.maximum(over, 0.0).sum(axis=1)
    cost = 1e6 * words + 1e5 * (outside > 0.0) + 20.0 * outside + np.array([place.off for place in places])
    best, least = 0, np.inf
    for place in np.argsort(cost, kind="stable").tolist():
        if cost[place] >= least:  # whatever lines it is clear of
            break
        left, low, right, top = box[place]
        inside = (lines[:, 0] > left) & (lines[:, 0] < right) & (lines[:, 1] > low) & (lines[:, 1] < top)
        whole = float(cost[place] + _OVER_A_LINE * inside.sum())
        if whole < least:
            best, least = place, whole
    return places[best]
