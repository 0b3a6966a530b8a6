"""A row of the drawing: texts above and below, and between them everything at its height to scale."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Final
from xml.etree.ElementTree import SubElement

import numpy as np

from hydrokit.bounds import Dimension
from hydrokit.sheets.schematic.labels import LINE, SIZE
from hydrokit.sheets.schematic.placing import LEFT, WIDTH
from hydrokit.sheets.schematic.shapes import TALLEST, draw_shape, draw_water, reach
from hydrokit.sheets.schematic.svg import line, rectangle, text_width, write
from hydrokit.units import in_unit, show, si

if TYPE_CHECKING:
    from collections.abc import Sequence
    from xml.etree.ElementTree import Element

    from hydrokit.sheets.schematic.items import Item
    from hydrokit.sheets.schematic.placing import Placed, Row

__all__ = ["Heights", "draw_row"]

_TALL: Final = 170.0
"""Of the whole span of heights."""
_LEAST_SPAN: Final = 1.0
"""m; less is drawn no larger than this."""
_LEAST_TANK: Final = 16.0
_ROOM: Final = TALLEST + 7.0
_LEVEL_GAP: Final = 6.0
_TICK: Final = 45.0
_LEAST_TICK: Final = 16.0
_STEPS: Final = (1.0, 2.0, 5.0, 10.0)
_UNITS: Final = {"metric": "m", "US": "ft", "imperial": "ft"}
_CLASS: Final = {"name": "name", "told": "told", "remark": "name"}


@dataclass(frozen=True, slots=True)
class Heights:
    """How heights become places on the page: ``scale`` in units of the drawing for a metre."""

    scale: float
    system: str

    @classmethod
    def of(cls, items: Sequence[Item], system: str) -> Heights:
        """Return the scale that shows all items."""
        low, high = _span(items)
        return cls(_TALL / max(high - low, _LEAST_SPAN), system)

    def ticks(self, low: float, high: float) -> list[tuple[float, str]]:
        """Return round heights within a range, and how to write them: two or more where there is room for them."""
        unit = _UNITS[self.system]
        bottom, top = (in_unit(height, Dimension.LENGTH, unit) for height in (low, high))
        for spacing in (_TICK, _LEAST_TICK):
            step = _round_up(in_unit(spacing / self.scale, Dimension.LENGTH, unit))
            counts = range(int(np.ceil(bottom / step - 1e-9)), int(np.floor(top / step + 1e-9)) + 1)
            if len(counts) > 1:
                break
        heights = [si((count * step, unit), Dimension.LENGTH) for count in counts]
        return [(height, show(height, Dimension.LENGTH, self.system, 6, unit=unit)) for height in heights]


def _round_up(least: float) -> float:
    """Return the next of 1, 2, 5, 10, … that is no less."""
    power = 10.0 ** np.floor(np.log10(least))
    return float(power * next(each for each in _STEPS if each * power >= least * (1.0 - 1e-9)))


def _span(items: Sequence[Item]) -> tuple[float, float]:
    heights = [height for item in items for height in (item.low, item.high, item.enters, item.leaves)]
    heights += [item.level for item in items if item.level is not None]
    return min(heights), max(heights)


class _Canvas:
    """One row while it is drawn."""

    def __init__(self, parent: Element, row: Row, top: float, heights: Heights) -> None:
        self.parent, self.row, self.scale = parent, row, heights
        self.low, self.high = _span([each.item for each in row.placed])
        above, below = self._levels(up=True), self._levels(up=False)
        self.drawing_top = top + sum(above)
        tall = max([(self.high - self.low) * heights.scale, *self._tanks_reach()])
        self.zero = self.drawing_top + _ROOM + tall
        self.drawing_bottom = self.zero + _ROOM
        self.bottom = self.drawing_bottom + sum(below)
        self.starts = {(True, level): self.drawing_top - sum(above[: level + 1]) for level in range(len(above))} | {
            (False, level): self.drawing_bottom + sum(below[:level]) for level in range(len(below))
        }

    def _tanks_reach(self) -> list[float]:
        """Return how far above the lowest height tanks reach that are drawn larger than they are, to be seen at all."""
        return [
            (each.item.low - self.low) * self.scale.scale + _LEAST_TANK
            for each in self.row.placed
            if each.item.shape == "tank"
        ]

    def _levels(self, *, up: bool) -> list[float]:
        """Return the room of each level of text, the nearest first."""
        heights: dict[int, float] = {}
        for each in self.row.placed:
            if each.up is up:
                heights[each.level] = max(heights.get(each.level, 0.0), each.item.label.height + _LEVEL_GAP)
        return [heights.get(level, 0.0) for level in range(max(heights, default=-1) + 1)]

    def y(self, height: float) -> float:
        """Return how far down the page a height is."""
        return self.zero - (height - self.low) * self.scale.scale

    def draw(self) -> None:
        """Draw the scale, then pipes, then things over them, and the texts last."""
        self._draw_scale()
        self._draw_pipes()
        for each in self.row.placed:
            self._draw_thing(each)
        for each in self.row.placed:
            self._write(each)

    def _draw_scale(self) -> None:
        room = _ROOM / self.scale.scale
        for height, text in self.scale.ticks(self.low - room, self.high + room):
            y = self.y(height)
            line(self.parent, [(LEFT, y), (WIDTH, y)], "scale")
            write(self.parent, LEFT - 6.0 - text_width(text, SIZE), y + 4.0, text, "told")

    def _draw_pipes(self) -> None:
        placed = self.row.placed
        for before, after in pairwise(placed):
            if not after.begins:
                start, end = before.x + before.half, after.x - after.half
                ways = [(start, self.y(before.item.leaves)), (end, self.y(after.item.enters))]
                line(self.parent, ways if before.item.shape != "source" else [(start, ways[1][1]), ways[1]], "pipe")
        if self.row.comes:
            y = self.y(placed[0].item.enters)
            line(self.parent, [(LEFT, y), (placed[0].x - placed[0].half, y)], "pipe")
        if self.row.goes:
            y = self.y(placed[-1].item.leaves)
            line(self.parent, [(placed[-1].x + placed[-1].half, y), (WIDTH, y)], "pipe")

    def _draw_thing(self, each: Placed) -> None:
        item, x = each.item, each.x
        left, right = x - each.half, x + each.half
        if item.shape == "hose":
            middle = [(x, self.y(item.high))] if item.high > max(item.enters, item.leaves) else []
            course = [(left, self.y(item.enters)), *middle, (right, self.y(item.leaves))]
            for kind in ("frame-of-hose", "gap", "hose") if item.heavy else ("hose",):
                line(self.parent, course, kind)
        elif item.shape == "source":
            draw_water(self.parent, left, right, self.y(item.low), again=item.again)
            for depth, inset in ((5.0, 8.0), (9.0, 16.0), (13.0, 23.0)):
                y = self.y(item.low) + depth
                line(self.parent, [(left + inset, y), (right - inset, y)], "thin")
        elif item.shape == "tank":
            self._draw_tank(each)
        else:
            through = [(left, self.y(item.enters)), (x, self.y(item.leaves)), (right, self.y(item.leaves))]
            line(self.parent, through[: 2 if item.shape == "outlet" else 3], "pipe")
            draw_shape(self.parent, "joint again" if item.again else item.shape, x, self.y(item.leaves))
        if item.heavy and item.shape != "hose":
            self._frame(each)

    def _draw_tank(self, each: Placed) -> None:
        item, left, right = each.item, each.x - each.half, each.x + each.half
        floor = self.y(item.low)
        top = min(self.y(item.high), floor - _LEAST_TANK)
        rectangle(self.parent, left, top, right - left, floor - top, "again" if item.again else "shape")
        if item.level is not None and item.high > item.low:
            share = (item.level - item.low) / (item.high - item.low)
            draw_water(self.parent, left, right, floor - share * (floor - top), again=item.again)
        if not each.begins and item.enters > item.high:  # water falls in from above
            y = self.y(item.enters)
            line(self.parent, [(left, y), (left + 8.0, y), (left + 8.0, top)], "pipe")

    def _frame(self, each: Placed) -> None:
        """Draw a heavy frame round a thing."""
        tops = [self.y(height) for height in (each.item.high, each.item.low)]
        top, bottom = min(tops) - TALLEST - 3.0, max(tops) + TALLEST + 3.0
        rectangle(self.parent, each.x - each.half - 3.0, top, 2.0 * each.half + 6.0, bottom - top, "frame")

    def _write(self, each: Placed) -> None:
        """Write the text of a thing and the line that leads to it, along the whole height of the text."""
        top, height = self.starts[each.up, each.level], each.item.label.height
        near = self._edge(each)
        line(self.parent, [(each.x, near), (each.x, top + 1.0 if each.up else top + height + 1.0)], "leader")
        for row, (text, style) in enumerate(each.item.label.lines):
            written = write(self.parent, each.text_x, top + LINE * row + SIZE, text, _CLASS[style])
            if not row and each.item.label.whole != text:
                SubElement(written, "title").text = each.item.label.whole

    def _edge(self, each: Placed) -> float:
        """Return where the line to a text leaves what it belongs to."""
        item = each.item
        if item.shape == "hose":
            return self.y(item.high if item.high > max(item.enters, item.leaves) else 0.5 * (item.enters + item.leaves))
        if item.shape in {"tank", "source"}:
            return (
                min(self.y(item.high), self.y(item.low) - _LEAST_TANK * (item.shape == "tank"))
                if each.up
                else self.y(item.low)
            )
        away = TALLEST + 3.0 if item.heavy else reach(item.shape)
        return self.y(item.leaves) + (-away if each.up else away)


def draw_row(parent: Element, row: Row, top: float, heights: Heights) -> float:
    """Draw a row whose texts begin at ``top``; return where it ends."""
    canvas = _Canvas(parent, row, top, heights)
    canvas.draw()
    return canvas.bottom
