"""Where everything stands across the page, so that no two texts meet.

Beside each thing a thin line goes straight up or down to its text, which stands to the right of that line. To the right of
a text only nearer ones follow until it ends, so that no line runs through a text and no text through another.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.sheets.schematic.items import Item

__all__ = ["LEFT", "WIDTH", "Placed", "Row", "rows_of"]

WIDTH: Final = 900.0
"""Of the whole picture."""
LEFT: Final = 62.0
"""Room for the scale of heights."""
_GAP: Final = 9.0
_BETWEEN_TRAILS: Final = 24.0
_CLEAR: Final = 7.0
_INDENT: Final = 3.0
_MOST_LEVELS: Final = 5
_HALF_WIDTHS: Final = {
    "source": 30.0, "tank": 26.0, "outlet": 12.0, "joint": 5.0, "hose": 18.0, "filter": 13.0, "lamp": 13.0,
    "diaphragm pump": 13.0, "centrifugal pump": 13.0, "hand pump": 13.0,
}  # fmt: skip
_SMALL: Final = 9.0


@dataclass(frozen=True, slots=True)
class Placed:
    """An item with its middle, and its text: above (``up``) or below, so many levels away from the drawing.

    ``begins`` is true where no pipe comes from what stands before it.
    """

    item: Item
    x: float
    half: float
    up: bool
    level: int
    begins: bool

    @property
    def text_x(self) -> float:
        """Where its text begins."""
        return self.x + _INDENT

    @property
    def text_ends(self) -> float:
        """Where its text ends."""
        return self.text_x + self.item.label.width


@dataclass(slots=True)
class Row:
    """What stands beside each other; ``comes`` and ``goes`` tell whether a pipe goes on from and to other rows."""

    placed: list[Placed] = field(default_factory=list)
    comes: bool = False
    goes: bool = False

    def _free_level(self, x: float, *, up: bool, levels: int) -> int:
        """Return the farthest level at which a text may begin; negative where none is free."""
        over = [each.level for each in self.placed if each.up is up and each.text_ends + _CLEAR > x]
        return min([levels, *over]) - 1

    def try_to_place(self, item: Item, levels: int, *, begins: bool) -> Placed | None:
        """Return where an item goes behind all others; None where the row has no room for it."""
        half = _HALF_WIDTHS.get(item.shape, _SMALL)
        ends = [each.text_ends + _CLEAR for each in self.placed]
        if not self.placed:
            first = LEFT + 16.0 + half
        elif begins:
            first = max(*ends, self.placed[-1].x + self.placed[-1].half) + _BETWEEN_TRAILS + half
        else:
            first = self.placed[-1].x + self.placed[-1].half + _GAP + half
        for x in sorted({first, *(end for end in ends if end > first)}):
            above, below = (self._free_level(x, up=up, levels=levels) for up in (True, False))
            if max(above, below) >= 0:
                up = above >= below
                found = Placed(item, x, half, up, above if up else below, begins)
                fits = max(found.text_ends, x + half + 14.0) <= WIDTH
                return found if fits or not self.placed else None
        return None


def _fill(row: Row, items: Sequence[Item], levels: int, *, begins: bool) -> int:
    """Place items in a row as far as it has room; return how many."""
    for count, item in enumerate(items):
        found = row.try_to_place(item, levels, begins=begins and not count)
        if found is None:
            return count
        row.placed.append(found)
    return len(items)


def _rows(trails: Sequence[Sequence[Item]], levels: int) -> list[Row]:
    rows = [Row()]
    for trail in trails:
        before = list(rows[-1].placed)
        done = _fill(rows[-1], trail, levels, begins=True)
        if done < len(trail) and before:  # rather whole in a row of its own than cut
            rows[-1].placed = before
            rows.append(Row())
            done = _fill(rows[-1], trail, levels, begins=True)
        while done < len(trail):
            rows[-1].goes = True
            rows.append(Row(comes=True))
            done += _fill(rows[-1], trail[done:], levels, begins=False)
    return rows


def rows_of(trails: Sequence[Sequence[Item]]) -> list[Row]:
    """Return the rows that hold all trails: as few as can be, the texts as near to the drawing as can be."""
    tried = [_rows(trails, levels) for levels in range(1, _MOST_LEVELS + 1)]
    return min(tried, key=len)
