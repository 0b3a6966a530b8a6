"""What a notebook shows of an answer: its numbers and its main table, in the trade's units and few digits.

Curves and tables within a table are left to ``to_frame`` and to plots.
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


def _text(value: Any, dimension: Dimension = Dimension.NUMBER) -> str:
    """Return one value in a few words, a number in the unit that suits it."""
    if _is_number(value):
        return show(value, dimension) if isfinite(value) else ""
    if isinstance(value, tuple):
        return ", ".join(_text(item, dimension) for item in value)
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
    return [
        _column(item.name, rows, specs.get(item.name))
        for item in fields(rows[0])
        if item.name != "dimension" and all(_is_short(getattr(row, item.name)) for row in rows)
    ]


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
    columns = _table(getattr(answer, table))
    head = "".join(f"<th>{escape(name)}</th>" for name, _ in columns)
    body = "".join(
        f"<tr>{''.join(f'<td>{escape(cell)}</td>' for cell in row)}</tr>"
        for row in zip(*(cells for _, cells in columns), strict=True)
    )
    told = _numbers(answer)
    numbers = f"<p>{escape('; '.join(told))}</p>" if told else ""
    caption = f"<caption>{escape(title)}</caption>"
    return f"{numbers}<table>{caption}<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
