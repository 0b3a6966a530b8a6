"""Tables of results: what is written reads back, by the readers of Python's own library and of others."""

from __future__ import annotations

import csv
import json
import sys
from io import BytesIO, StringIO
from itertools import pairwise

import numpy as np
import pytest

from hydrokit.errors import InputError, MissingExtra
from hydrokit.files.result_tables import FORMS, Column, form_of, join_pieces, piece_of

COLUMNS = (Column("variant", "", "count"), Column("flow", "m^3/s", "number"), Column("limit", "", "word"))
FLOWS = [0.1, 1.0 / 3.0, float("nan"), 5e-324, 1.7976931348623157e308, -0.0]
WORDS = ["plain", 'quoted "so", with comma', "", "line\nbreak", "Größe ≤ 2 µm", "=1+1"]
TABLE = {
    "variant": np.array([1.0, 2.0, 3.0, float("nan"), 5.0, 1e6]),
    "flow": np.array(FLOWS),
    "limit": np.array(WORDS, np.object_),
}
EXPECTED = [
    [1, 0.1, "plain"],
    [2, 1.0 / 3.0, 'quoted "so", with comma'],
    [3, None, None],
    [None, 5e-324, "line\nbreak"],
    [5, 1.7976931348623157e308, "Größe ≤ 2 µm"],
    [1_000_000, 0.0, "=1+1"],
]
HEADS = ["variant", "flow [m^3/s]", "limit"]


def _file(form: str, cuts: list[int]) -> bytes:
    bounds = [0, *cuts, len(FLOWS)]
    parts = [{name: values[a:b] for name, values in TABLE.items()} for a, b in pairwise(bounds)]
    file = BytesIO()
    join_pieces(form, COLUMNS, (piece_of(form, COLUMNS, part) for part in parts), file)
    return file.getvalue()


def _csv_rows(data: bytes) -> list[list[object]]:
    head, *rows = csv.reader(StringIO(data.decode(), newline=""), strict=True)
    assert head == HEADS
    kinds = (int, float, str)
    return [[kind(cell) if cell else None for kind, cell in zip(kinds, row, strict=True)] for row in rows]


def _jsonl_rows(data: bytes) -> list[list[object]]:
    def refuse(word: str) -> None:
        raise AssertionError(word)

    rows = [json.loads(line, parse_constant=refuse) for line in data.decode().splitlines()]
    assert all([*row] == HEADS for row in rows)
    return [[*row.values()] for row in rows]


def _parquet_rows(data: bytes) -> list[list[object]]:
    pq = pytest.importorskip("pyarrow.parquet")
    table = pq.read_table(BytesIO(data))
    assert table.column_names == HEADS
    return [[*row.values()] for row in table.to_pylist()]


READERS = {"csv": _csv_rows, "jsonl": _jsonl_rows, "parquet": _parquet_rows}


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("cuts", [[], [3], [1, 2, 5]])
def test_what_is_written_reads_back_to_the_last_bit(form: str, cuts: list[int]) -> None:
    assert READERS[form](_file(form, cuts)) == EXPECTED


@pytest.mark.parametrize("form", ["csv", "jsonl"])
def test_pieces_make_no_difference_to_text(form: str) -> None:
    assert _file(form, []) == _file(form, [2, 4])


def test_no_row_says_minus_nothing() -> None:
    assert b"-0" not in _file("csv", [])
    assert _file("csv", []).splitlines()[-1] == b"1000000,0.0,=1+1"


def test_parquet_is_the_same_twice() -> None:
    assert _file("parquet", [3]) == _file("parquet", [3])


@pytest.mark.parametrize(("path", "form"), [("a.csv", "csv"), ("b.JSONL", "jsonl"), ("c.d/e.parquet", "parquet")])
def test_the_ending_says_the_form(path: str, form: str) -> None:
    assert form_of(path) == form


@pytest.mark.parametrize("path", ["a.xlsx", "a", "", "csv", ".csv", "a.csv.gz"])
def test_other_endings_are_refused(path: str) -> None:
    with pytest.raises(InputError, match=r"ends in \.csv"):
        form_of(path)


def test_parquet_without_its_library(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    with pytest.raises(MissingExtra, match=r"hydrokit\[parquet\]"):
        form_of("a.parquet")
