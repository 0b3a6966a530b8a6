"""A page of text: headings, sentences, notes and tables, laid out in a given width.

A table that does not fit is written as one short list for each row, so that nothing is cut off on a narrow screen.
Colour only repeats what the words say.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from io import StringIO
from typing import TYPE_CHECKING, Any, Final

from hydrokit.bounds import Dimension
from hydrokit.units import listed_units

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rich.console import Console
    from rich.table import Table

__all__ = ["NARROWEST", "Page", "filled_columns", "stands_right"]

NARROWEST: Final = 20
"""Columns below which no text is worth laying out."""

_GAP: Final = 2
"""Blanks between two columns."""

_STYLES: Final = {"fails": "bold red", "close": "yellow", "unknown": "magenta", "heading": "bold"}


def _console(width: int, *, colour: bool) -> Console:
    from rich.console import Console

    return Console(
        file=StringIO(),
        width=max(width, NARROWEST),
        force_terminal=colour,
        force_jupyter=False,  # else a notebook is shown the text, and the file gets none of it
        color_system="standard" if colour else None,
        no_color=not colour,
        highlight=False,
        markup=False,
        emoji=False,
        legacy_windows=False,
    )


def _widths(columns: Sequence[Sequence[str]], room: int) -> list[int] | None:
    """Return a width for each column, no word cut; None where even the longest words have no room side by side."""
    from rich.cells import cell_len

    least = [max((cell_len(word) for cell in column for word in cell.split()), default=1) for column in columns]
    widths = [max(cell_len(line) for cell in column for line in cell.split("\n")) for column in columns]
    room -= _GAP * (len(columns) - 1)
    if sum(least) > room:
        return None
    while sum(widths) > room:
        widest = max(range(len(widths)), key=lambda place: (widths[place] > least[place], widths[place]))
        widths[widest] -= 1
    return widths


@lru_cache(maxsize=1)
def _units() -> frozenset[str]:
    return frozenset(unit for dimension in Dimension for unit in listed_units(dimension))


def _in_a_line(head: str) -> str:
    """Return the head of a column in one line: its unit behind a comma, joined what was broken to be narrow."""
    words, _, last = head.rpartition("\n")
    return f"{words}, {last}".replace("\n", " ") if words and last in _units() else head.replace("\n", " ")


def stands_right(cells: Iterable[str]) -> bool:
    """Return whether a column holds numbers, which stand to the right."""
    return all(cell.lstrip("<>+-")[:1].isdigit() for cell in cells if cell)


def filled_columns(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> list[list[str]]:
    """Return the columns of a table, each with its head first; those that are empty throughout are left out."""
    kept = [place for place in range(len(heads)) if any(row[place] for row in rows)]
    return [[heads[place], *(row[place] for row in rows)] for place in kept]


def _table(columns: Sequence[Sequence[str]], widths: Sequence[int]) -> Table:
    """Return a table of columns, the first cell of each its head."""
    from rich.box import SIMPLE_HEAD
    from rich.table import Table

    table = Table(
        box=SIMPLE_HEAD, show_edge=False, pad_edge=False, padding=(0, _GAP - 1, 0, 0), header_style="",
        show_header=any(head for head, *_ in columns),
    )  # fmt: skip
    for (head, *cells), width in zip(columns, widths, strict=True):
        table.add_column(head, justify="right" if stands_right(cells) else "left", width=width)
    for row in zip(*(cells for _, *cells in columns), strict=True):
        table.add_row(*row)
    return table


@dataclass(slots=True)
class Page:
    """Takes what is to be said in order, and gives it back as one text; a brief page ends where its first section begins."""

    width: int = 80
    colour: bool = False
    brief: bool = False
    console: Any = field(init=False, repr=False)
    ended: bool = field(init=False, default=False)

    def __post_init__(self) -> None:
        self.console = _console(self.width, colour=self.colour)

    def say(self, text: str, style: str = "", indent: int = 0) -> None:
        """Write sentences, wrapped."""
        from rich.padding import Padding
        from rich.text import Text

        self._print(Padding(Text(text, style=_STYLES.get(style, "")), (0, 0, 0, indent)))

    def heading(self, text: str) -> None:
        """Begin a section."""
        self.ended = self.ended or self.brief
        self.gap()
        self.say(text, "heading")

    def gap(self) -> None:
        """Leave a line free."""
        self._print()

    def close(self, text: str) -> None:
        """Write a last remark, on a brief page as well."""
        self.ended = False
        self.gap()
        self.say(text)

    def verbatim(self, line: str) -> None:
        """Write a line of a file, which must not be broken however long it is."""
        if not self.ended:
            self.console.print(line, soft_wrap=True)

    def _print(self, *things: Any) -> None:
        if not self.ended:
            self.console.print(*things)

    def points(self, texts: Iterable[str]) -> None:
        """Write a list, each entry behind a dash."""
        from rich.table import Table

        grid = Table.grid(padding=(0, 1, 0, 0))
        grid.add_column(width=1)
        grid.add_column(overflow="fold")
        for text in texts:
            grid.add_row("-", text)
        self._print(grid)

    def table(self, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
        """Write a table; columns of numbers stand to the right, columns that are empty throughout are left out."""
        columns = filled_columns(heads, rows)
        widths = _widths(columns, self.console.width)
        if widths is not None:
            self._print(_table(columns, widths))
            return
        kept, *rows = zip(*columns, strict=True)
        told_apart = len({row[0] for row in rows}) == len(rows)
        for row in rows:
            self.say(row[0] if told_apart or not kept[0] else f"{_in_a_line(kept[0])}: {row[0]}")
            for head, cell in zip(kept[1:], row[1:], strict=True):
                if cell:
                    name = _in_a_line(head)
                    self.say(f"{name}: {cell}" if name else cell, indent=2)

    def columns(self, *columns: tuple[str, Sequence[str]]) -> None:
        """Write a table of columns, each its head and its cells."""
        self.table([head for head, _ in columns], list(zip(*(cells for _, cells in columns), strict=True)))

    def text(self) -> str:
        """Return the page; no line ends in blanks."""
        whole: str = self.console.file.getvalue()
        return "\n".join(line.rstrip() for line in whole.splitlines()) + "\n"
