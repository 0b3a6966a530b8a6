"""What a notebook shows of an answer: its numbers and its main table, in the trade's units and few digits.

Curves, tables within a table, sources and the rows beyond the first forty are left to ``to_frame`` and to plots.
"""

from __future__ import annotations

from dataclasses import fields
from enum import Enum
from html import escape
from math import isfinite
from typing import TYPE_CHECKING, Any, Final, TypeAlias

from hydrokit.answers.data import VARIED
from hydrokit.answers.phrases import Phrase
from hydrokit.bounds import Dimension, Spec, specs_of
from hydrokit.units import aligned, show

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["html_of"]

_LONGEST_SERIES: Final = 6
_LONGEST_CELL: Final = 200
_MOST_ROWS: Final = 40
_LEFT_OUT: Final = ("dimension", "source")
_LEFT: Final = ' style="text-align:left"'
_WIDE: Final = ' style="text-align:left;min-width:18em"'
_LONG_TEXT: Final = 60

_Column: TypeAlias = tuple[str, list[str]]
"""Head and cells."""


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _is_short(value: Any) -> bool:
    """Return whether a value can stand in a cell: it is no curve and no table of its own."""
    if isinstance(value, tuple):
        few = len(value) <= _LONGEST_SERIES
        return all(isinstance(item, (str, Phrase)) or (few and _is_number(item)) for item in value)
    return value is None or isinstance(value, (int, float, str, Enum, Phrase))


def _run_on(texts: list[str]) -> str:
    """Return texts as one, sentences one after the other; how many more there are where they are too long for a cell."""
    shown = [
        text for place, text in enumerate(texts) if place == 0 or sum(map(len, texts[: place + 1])) <= _LONGEST_CELL
    ]
    more = [f"and {len(texts) - len(shown)} more"] if len(shown) < len(texts) else []
    return (" " if all(text.endswith(".") for text in texts) else ", ").join([*shown, *more])


def _text(value: Any, dimension: Dimension = Dimension.NUMBER) -> str:
    """Return one value in a few words, a number in the unit that suits it."""
    if _is_number(value):
        return show(value, dimension) if isfinite(value) else ""
    if isinstance(value, tuple):
        return _run_on([_text(item, dimension) for item in value])
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "" if value is None else str(value)


def _column(name: str, rows: Sequence[Any], spec: Any) -> _Column:
    """Return the head of a column, with its unit where that is one for all, and the cells."""
    values = [getattr(row, name) for row in rows]
    head = name.replace("_", " ")
    if name in VARIED and hasattr(rows[0], "dimension"):
        return head, [_text(value, row.dimension) for row, value in zip(rows, values, strict=True)]
    if not isinstance(spec, Spec):
        return head, [_text(value) for value in values]
    if any(isinstance(value, tuple) for value in values):
        return head, [_text(value, spec.dimension) for value in values]
    unit, cells = aligned(values, spec.dimension)
    return f"{head} [{unit}]" if unit else head, cells


def _table(rows: Sequence[Any]) -> list[_Column]:
    if not rows:
        return []
    specs = {} if hasattr(rows[0], "dimension") else specs_of(type(rows[0]))
    columns = [
        _column(item.name, rows, specs.get(item.name))
        for item in fields(rows[0])
        if item.name not in _LEFT_OUT and all(_is_short(getattr(row, item.name)) for row in rows)
    ]
    return [(head, cells) for head, cells in columns if any(cells)]


def _style(cells: list[str]) -> str:
    """Return how a column is set: numbers as they come, to the right; texts to the left, long ones with room."""
    if all(cell.lstrip("+-−")[:1].isdigit() for cell in cells if cell):
        return ""
    return _WIDE if max(map(len, cells)) > _LONG_TEXT else _LEFT


def _cells(columns: list[_Column]) -> str:
    """Return head and rows; notebooks put everything to the right that is not told otherwise."""
    styles = [_style(cells) for _, cells in columns]
    head = "".join(f"<th{style}>{escape(name)}</th>" for style, (name, _) in zip(styles, columns, strict=True))
    rows = (
        "".join(f"<td{style}>{escape(cell)}</td>" for style, cell in zip(styles, row, strict=True))
        for row in zip(*(cells for _, cells in columns), strict=True)
    )
    body = "".join(f"<tr>{row}</tr>" for row in rows)
    return f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody>"


def _numbers(answer: Any) -> list[str]:
    """Return the answer's own numbers, each with its name."""
    specs = specs_of(type(answer))
    found = []
    for item in fields(answer):
        value, spec = getattr(answer, item.name), specs.get(item.name)
        if isinstance(spec, Spec) and _is_number(value) and isfinite(value):
            found.append(f"{item.name.replace('_', ' ')} {show(value, spec.dimension)}")
    return found


def html_of(answer: Any, title: str, table: str) -> str:
    """Return an answer as HTML, every text in it escaped.

    Parameters
    ----------
    answer : Answer
        Any data class.
    title : str
        To stand above the table.
    table : str
        Name of the field that holds the rows.
    """
    rows = getattr(answer, table)
    left = len(rows) - _MOST_ROWS
    more = f"<p>{left} more: to_frame({escape(table)!r})</p>" if left > 0 else ""
    told = _numbers(answer)
    numbers = f"<p>{escape('; '.join(told))}</p>" if told else ""
    caption = f"<caption>{escape(title)}</caption>"
    return f"{numbers}<table>{caption}{_cells(_table(rows[:_MOST_ROWS]))}</table>{more}"
