"""Tables of results out: CSV, JSON lines or Parquet by the file's ending, piece by piece.

A piece is some rows, written by whoever worked them out; pieces joined in order make the same file as all rows at once.
Numbers are SI, the unit in the column's head, and read back to the last bit; what is not known is left empty. CSV as in
RFC 4180, but lines end in a line feed alone; JSON lines as in RFC 8259, one object a line; UTF-8.
"""

from __future__ import annotations

import csv
import json
from dataclasses import dataclass
from io import BytesIO, StringIO
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO, Final, Literal

import numpy as np

from hydrokit.errors import InputError, Mistake
from hydrokit.extras import require_extra

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence
    from types import ModuleType

    import numpy.typing as npt

    Table = Mapping[str, npt.NDArray[Any]]

__all__ = ["FORMS", "Column", "form_of", "join_pieces", "piece_of", "plain_values"]

FORMS: Final = ("csv", "jsonl", "parquet")
"""Endings of the files that can be written."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its name, its SI unit, empty for none, and what stands in it.

    Counts are whole numbers; they too are given as floats, NaN where there is none.
    """

    name: str
    unit: str
    holds: Literal["number", "count", "word"]

    @property
    def head(self) -> str:
        """Name and unit, as they stand over the column."""
        return f"{self.name} [{self.unit}]" if self.unit else self.name


def _pyarrow() -> tuple[ModuleType, ModuleType]:
    require_extra("parquet", "pyarrow", "pyarrow.parquet")
    import pyarrow as pa
    import pyarrow.parquet as pq

    return pa, pq


def form_of(path: str | Path) -> str:
    """Return the form of a file by its ending, one of ``FORMS``.

    Raises
    ------
    InputError
        If it has another.
    MissingExtra
        If the form needs a library that is not installed.
    """
    ending = Path(path).suffix.lower().removeprefix(".")
    if ending not in FORMS:
        found = f"the ending .{ending}" if ending else "no ending"
        expected = "a file that ends in .csv, .jsonl (JSON lines) or .parquet"
        raise InputError([Mistake("out", f"{found} in {str(path)!r}", expected, f"{Path(path).stem or 'sweep'}.csv")])
    if ending == "parquet":
        _pyarrow()
    return ending


def plain_values(column: Column, values: npt.NDArray[Any]) -> list[Any]:
    """Return the cells of a column: numbers, whole numbers or texts; None where there is nothing.

    Parameters
    ----------
    column : Column
        What stands in it.
    values : array, shape (n,)
        Floats, or texts where the column holds words.
    """
    if column.holds == "word":
        return [value or None for value in values.tolist()]
    numbers = (values + 0.0).tolist()  # no row says -0.0
    if column.holds == "count":
        return [None if number != number else int(number) for number in numbers]  # noqa: PLR0124  only NaN differs from itself
    return [None if number != number else number for number in numbers] if np.isnan(values).any() else numbers  # noqa: PLR0124


def _cells(columns: Sequence[Column], table: Table) -> list[list[Any]]:
    return [plain_values(column, table[column.name]) for column in columns]


def _csv(rows: Iterable[Sequence[Any]]) -> bytes:
    text = StringIO(newline="")
    csv.writer(text, lineterminator="\n").writerows(rows)
    return text.getvalue().encode()


def _csv_piece(columns: Sequence[Column], table: Table) -> bytes:
    return _csv(zip(*_cells(columns, table), strict=True))


def _jsonl_piece(columns: Sequence[Column], table: Table) -> bytes:
    heads = [json.dumps(column.head, ensure_ascii=False) for column in columns]
    words: dict[Any, str] = {None: "null"}

    def token(value: Any) -> str:
        if isinstance(value, float):
            return repr(value)
        if value not in words:
            words[value] = json.dumps(value, ensure_ascii=False)
        return words[value]

    cells = [map(token, each) for each in _cells(columns, table)]
    between = [f"{{{heads[0]}: ", *(f", {head}: " for head in heads[1:])]
    lines = ("".join(map("".join, zip(between, row, strict=True))) for row in zip(*cells, strict=True))
    return "".join(f"{line}}}\n" for line in lines).encode()


def _schema(pa: ModuleType, columns: Sequence[Column]) -> Any:
    types = {"number": pa.float64(), "count": pa.int64(), "word": pa.string()}
    return pa.schema([pa.field(column.head, types[column.holds]) for column in columns])


def _parquet_piece(columns: Sequence[Column], table: Table) -> bytes:
    pa, pq = _pyarrow()
    schema = _schema(pa, columns)
    arrays = [pa.array(cells, kind) for cells, kind in zip(_cells(columns, table), schema.types, strict=True)]
    piece = BytesIO()
    pq.write_table(pa.table(arrays, schema=schema), piece)
    return piece.getvalue()


_PIECES: Final[Mapping[str, Callable[[Sequence[Column], Table], bytes]]] = {
    "csv": _csv_piece,
    "jsonl": _jsonl_piece,
    "parquet": _parquet_piece,
}


def piece_of(form: str, columns: Sequence[Column], table: Table) -> bytes:
    """Return some rows as a piece of a file.

    Parameters
    ----------
    form : str
        One of ``FORMS``.
    columns : sequence of Column
        In the order of the file.
    table : mapping of name to array, shape (n,)
        The rows, by column.
    """
    return _PIECES[form](columns, table)


def join_pieces(form: str, columns: Sequence[Column], pieces: Iterable[bytes], file: BinaryIO) -> None:
    """Write a whole file out of its pieces, of which no more than one is held at a time.

    Parameters
    ----------
    form : str
        One of ``FORMS``.
    columns : sequence of Column
        In the order of the file.
    pieces : iterable of bytes
        In order; see :func:`piece_of`.
    file : binary file
        To write to.
    """
    if form == "parquet":
        pa, pq = _pyarrow()
        with pq.ParquetWriter(file, _schema(pa, columns)) as writer:
            for piece in pieces:
                writer.write_table(pq.read_table(BytesIO(piece)))
        return
    if form == "csv":
        file.write(_csv([[column.head for column in columns]]))
    for piece in pieces:
        file.write(piece)
