"""A page of text: headings, sentences, notes and tables, laid out in a given width.

A table that does not fit is written as one short list for each row, so that nothing is cut off on a narrow screen.
Colour only repeats what the words say.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from io import StringIO
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rich.console import Console
    from rich.table import Table

__all__ = ["NARROWEST", "Page"]

NARROWEST: Final = 20
"""Columns below which no text is worth laying out."""

_STYLES: Final = {"fails": "bold red", "close": "yellow", "unknown": "magenta", "heading": "bold"}


def _console(width: int, *, colour: bool) -> Console:
    from rich.console import Console

    return Console(
        file=StringIO(),
        width=max(width, NARROWEST),
        force_terminal=colour,
        color_system="standard" if colour else None,
        no_color=not colour,
        highlight=False,
        markup=False,
        emoji=False,
        legacy_windows=False,
    )


def _table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> Table:
    from rich.box import SIMPLE_HEAD
    from rich.table import Table

    table = Table(box=SIMPLE_HEAD, show_edge=False, pad_edge=False, padding=(0, 1, 0, 0), header_style="")
    for place, head in enumerate(heads):
        numbers = [row[place] for row in rows if row[place]]
        right = bool(numbers) and all(text.lstrip("+-−")[:1].isdigit() for text in numbers)
        table.add_column(head, justify="right" if right else "left", overflow="fold")
    for row in rows:
        table.add_row(*row)
    return table


@dataclass(slots=True)
class Page:
    """Takes what is to be said in order, and gives it back as one text."""

    width: int = 80
    colour: bool = False
    console: Any = field(init=False, repr=False)

    def __post_init__(self) -> None:
        self.console = _console(self.width, colour=self.colour)

    def say(self, text: str, style: str = "", indent: int = 0) -> None:
        """Write sentences, wrapped."""
        from rich.padding import Padding
        from rich.text import Text

        self.console.print(Padding(Text(text, style=_STYLES.get(style, "")), (0, 0, 0, indent)))

    def heading(self, text: str) -> None:
        """Begin a section."""
        self.console.print()
        self.say(text, "heading")

    def points(self, texts: Iterable[str]) -> None:
        """Write a list, each entry behind a dash."""
        from rich.table import Table

        grid = Table.grid(padding=(0, 1, 0, 0))
        grid.add_column(width=1)
        grid.add_column(overflow="fold")
        for text in texts:
            grid.add_row("-", text)
        self.console.print(grid)

    def table(self, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
        """Write a table; columns of numbers stand to the right, columns that are empty throughout are left out."""
        from rich.measure import Measurement

        kept = [place for place in range(len(heads)) if any(row[place] for row in rows)]
        heads, rows = [heads[place] for place in kept], [[row[place] for place in kept] for row in rows]
        table = _table(heads, rows)
        if Measurement.get(self.console, self.console.options, table).minimum <= self.console.width:
            self.console.print(table)
            return
        for row in rows:
            self.say(row[0])
            for head, cell in zip(heads[1:], row[1:], strict=True):
                if cell:
                    name = head.replace("\n", ", ")
                    self.say(f"{name}: {cell}" if name else cell, indent=2)

    def text(self) -> str:
        """Return the page; no line ends in blanks."""
        whole: str = self.console.file.getvalue()
        return "\n".join(line.rstrip() for line in whole.splitlines()) + "\n"
