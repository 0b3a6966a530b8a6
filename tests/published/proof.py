"""Write README.md of this folder: every published value beside what hydrokit computes, from one run of the tests here."""

from __future__ import annotations

import sys
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from conftest import Row

FOLDER = Path(__file__).parent
_HEAD = """\
# Published values and what hydrokit computes

Made by `make proof` from a run of the tests in this folder; every run of the tests holds its figures against this table.
{counts}
Computed values are printed to two digits more than the source has. A tolerance is that of the print, or of what the source
itself rounds, reads off a chart or leaves out; `checks.toml` and `more_checks.toml` say which, and what was given. No expected
value comes from hydrokit. "Memory": the print was not at hand. There the arithmetic was repeated by other means; of a table that is
laid down there is none to repeat, and where hydrokit's own table is from memory too, the two agreeing proves little.

| topic | source | quantity | published | computed | difference | tolerance | tested by |
|---|---|---|---|---|---|---|---|
"""
_LEFT_OUT = """
## Not compared

| source | quantity | published | why |
|---|---|---|---|
"""


class Gatherer:
    """Collects what the tests compared and left out."""

    def __init__(self) -> None:
        self.rows: list[Row] = []
        self.left_out: list[tuple[str, str, str, str]] = []

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        from conftest import Row

        if report.when != "teardown":
            return
        for name, value in report.user_properties:
            if name == "published":
                self.rows.append(Row(*value))
            elif name == "published left out":
                self.left_out.append(value)


def _numbers(published: list[float], values: list[float], sign: str = "") -> str:
    from conftest import places

    rounded = [round(value, places(print_)) + 0.0 for print_, value in zip(published, values, strict=True)]  # no -0
    return ", ".join(f"{value:{sign}.{places(print_)}f}" for print_, value in zip(published, rounded, strict=True))


def _as_printed(values: list[float]) -> str:
    return ", ".join(f"{Decimal(repr(value)):f}" for value in values)


def _unit(expected: dict) -> str:
    return "" if expected["unit"] == "1" else " " + expected["unit"].replace("**", "^").replace("*", " ")


def _tolerance(expected: dict) -> str:
    if not expected["tolerance"]:
        return "exact"
    if expected["kind"] == "relative":
        return f"± {100.0 * expected['tolerance']:g} %"
    return f"± {Decimal(repr(expected['tolerance'])):f}"


def _seen(entry: dict) -> str:
    if entry["provenance"].startswith("from memory"):
        return " (memory)"
    return " (memory in part)" if "from memory" in entry["provenance"] else ""


def _tested_by(test: str) -> str:
    rig = FOLDER / "rigs" / f"{test.removeprefix('test_').replace('_', '-')}.toml"
    return f"`{test}`" + (f", [rig file](rigs/{rig.name})" if rig.exists() else "")


def _line(row: Row, entry: dict) -> str:
    expected = next(item for item in entry["expected"] if item["quantity"] == row.quantity)
    difference = [new - old for new, old in zip(row.computed, row.published, strict=True)]
    cells = (
        entry["topic"],
        entry["source"] + _seen(entry),
        f"`{row.id}` {row.quantity.replace('_', ' ')}",
        _as_printed(row.published) + _unit(expected),
        _numbers(row.published, row.computed),
        _numbers(row.published, difference, "+"),
        _tolerance(expected),
        _tested_by(row.test),
    )
    return "| " + " | ".join(cells) + " |"


def _left_line(left: tuple[str, str, str, str], entry: dict) -> str:
    _, id_, quantity, because = left
    expected = next(item for item in entry["expected"] if item["quantity"] == quantity)
    value = expected["value"] if isinstance(expected["value"], list) else [expected["value"]]
    printed = _as_printed(value) + _unit(expected)
    return f"| {entry['source']} | `{id_}` {quantity.replace('_', ' ')} | {printed} | {because} |"


def written(gathered: Gatherer) -> str:
    """Return the whole file."""
    from conftest import entries_by_id

    entries = entries_by_id()
    order = {id_: number for number, id_ in enumerate(entries)}
    topics: dict[str, int] = {}
    for entry in entries.values():
        topics.setdefault(entry["topic"], len(topics))
    rows = sorted(gathered.rows, key=lambda row: (topics[entries[row.id]["topic"]], order[row.id]))
    compared = {(row.id, row.quantity): len(row.published) for row in rows}
    memory = sum(_seen(entry) == " (memory)" for entry in entries.values())
    counts = (
        f"{len(entries)} entries, {sum(compared.values())} numbers; {memory} entries are from memory. "
        f"{len(list(FOLDER.glob('rigs/*.toml')))} whole systems are run as rig files."
    )
    left = [each for each in gathered.left_out if (each[1], each[2]) not in compared]
    lines = dict.fromkeys(_line(row, entries[row.id]) for row in rows)
    left_lines = dict.fromkeys(_left_line(each, entries[each[1]]) for each in left)
    return _HEAD.format(counts=counts) + "\n".join(lines) + "\n" + _LEFT_OUT + "\n".join(left_lines) + "\n"


class Named:
    """Registers the gatherer under a name by which the tests know that the table is being written."""

    def __init__(self, gatherer: Gatherer) -> None:
        self._gatherer = gatherer

    def pytest_configure(self, config: pytest.Config) -> None:
        from conftest import WRITER

        config.pluginmanager.register(self._gatherer, WRITER)


def main() -> None:
    """Run the tests and write the table, unless one of them fails."""
    from conftest import TABLE

    gatherer = Gatherer()
    options = ["-q", "-n", "0", "-p", "no:cacheprovider", f"--ignore={FOLDER / 'test_all_used.py'}"]
    if pytest.main([str(FOLDER), *options], plugins=[Named(gatherer)]):
        sys.exit("a test failed: the table was left as it was")
    TABLE.write_text(written(gatherer), encoding="utf-8")


if __name__ == "__main__":
    main()
