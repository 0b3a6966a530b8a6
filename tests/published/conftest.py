"""The published values: one entry of ``checks.toml`` at a time, its figures in SI, its answers compared as printed.

Each test is named after the entry it checks and goes through hydrokit's own public functions. ``agrees`` keeps what it
compared among the test's user properties, and at the end of the test these are held against the table in README.md, which
``proof.py`` writes from them. A test that leaves a quantity unchecked, without saying why by ``leaves_out``, fails.
"""

from __future__ import annotations

import re
import tomllib
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pint
import pytest

CHECKS = tuple(Path(__file__).with_name(name) for name in ("checks.toml", "more_checks.toml"))
TABLE = Path(__file__).with_name("README.md")
_NUMBER = re.compile(r"^\s*([-+]?\d+(?:\.\d*)?(?:[eE][-+]?\d+)?)\s*(\S.*)?$")
_LIST = re.compile(r"[-\d.]+(, [-\d.]+)*")
_ROUND_OFF = 1e-12  # of converting to SI and back


WRITER = "writer of the table"
_FIXTURE_ITSELF = "test_all_used.py"  # compares wrong values on purpose


class Row(NamedTuple):
    """One quantity as printed and as computed by one test, in the unit of the print; plain lists."""

    test: str
    id: str
    quantity: str
    published: list[float]
    computed: list[float]


@cache
def told() -> dict[tuple[str, str, str], list[Row]]:
    """Return the rows of README.md by test, id and quantity."""
    table: dict[tuple[str, str, str], list[Row]] = {}
    text = TABLE.read_text(encoding="utf-8") if TABLE.exists() else ""
    for line in text.splitlines():
        cells = [cell.strip() for cell in line.strip("|").split(" | ")]
        if len(cells) == 8 and (key := re.fullmatch(r"`([\w-]+)` (.+)", cells[2])):
            test = re.search(r"`(test_\w+)`", cells[7]).group(1)
            numbers = [[float(text) for text in _LIST.match(cell).group().split(", ")] for cell in cells[3:5]]
            row = Row(test, key[1], key[2].replace(" ", "_"), *numbers)
            table.setdefault(row[:3], []).append(row)
    return table


def places(published: float) -> int:
    """Return the decimals to which a computed value is printed: two more than those of the print."""
    return max(0, -Decimal(repr(published)).as_tuple().exponent) + 2


def stands_in_the_table(row: Row, allowed: np.ndarray) -> bool:
    """Return whether README.md shows these figures, to a unit of their last digit or a tenth of the tolerance."""
    slack = np.maximum([1.01 * 10.0 ** -places(value) for value in row.published], 0.1 * allowed)
    return any(
        old.published == row.published and (np.abs(np.subtract(old.computed, row.computed)) <= slack).all()
        for old in told().get(row[:3], [])
    )


@cache
def _registry() -> pint.UnitRegistry:
    registry = pint.UnitRegistry()
    for unit in ("kft = 1000 foot", "hp = 550 foot * force_pound / second"):
        registry.define(unit)
    return registry


@cache
def entries_by_id() -> dict[str, dict]:
    read = [entry for path in CHECKS for entry in tomllib.loads(path.read_text(encoding="utf-8"))["check"]]
    found = {entry["id"]: entry for entry in read}
    assert len(found) == len(read), "an id stands twice"
    return found


def _si(text: str) -> float:
    number, unit = _NUMBER.match(text).groups()
    registry = _registry()
    return registry.Quantity(float(number), registry.parse_units(unit or "1")).to_base_units().magnitude


class Published:
    """One published example: what was given, and what it says comes out."""

    def __init__(self, entry: dict, test: str, properties: list[tuple[str, object]]) -> None:
        self.id: str = entry["id"]
        self.test = test
        self.untold: list[str] = []
        self.source: str = entry["source"]
        self._inputs = entry["inputs"]
        self._expected = {expected["quantity"]: expected for expected in entry["expected"]}
        self._properties = properties
        self._unchecked = set(self._expected)

    def given(self, name: str) -> float | np.ndarray:
        """Return an input in SI units; a list comes as an array."""
        value = self._inputs[name]
        if isinstance(value, list):
            return np.array([_si(str(item)) for item in value])
        return _si(str(value))

    def plain(self, name: str):
        """Return an input as it stands in the file."""
        return self._inputs[name]

    def agrees(self, quantity: str, value) -> None:
        """Compare a value in SI units with the published one, in its unit and within its tolerance."""
        expected = self._expected[quantity]
        unit, published = expected["unit"], np.asarray(expected["value"], dtype=np.float64)
        target = _registry().parse_units(unit)
        base = _registry().Quantity(1.0, target).to_base_units().units
        computed = _registry().Quantity(np.asarray(value, dtype=np.float64), base).to(target).magnitude
        share = np.abs(published) if expected["kind"] == "relative" else 1.0
        allowed = expected["tolerance"] * share + _ROUND_OFF * np.abs(published)
        self._unchecked.discard(quantity)
        assert computed.shape == published.shape or published.size == computed.size == 1, (
            f"{self.id} {quantity}: {published.size} published, {computed.size} computed"
        )
        difference = computed.reshape(published.shape) - published
        if not (np.abs(difference) <= allowed).all():
            pytest.fail(
                f"{self.id}: {quantity}\n  source: {self.source}\n  published: {published} {unit} "
                f"(± {expected['tolerance']:g} {expected['kind']}: {expected['why']})\n"
                f"  computed: {computed}\n  difference: {difference}",
                pytrace=False,
            )
        printed = expected["value"] if isinstance(expected["value"], list) else [expected["value"]]
        row = Row(self.test, self.id, quantity, printed, computed.ravel().tolist())
        self._properties.append(("published", tuple(row)))  # between processes only plain values pass
        if not stands_in_the_table(row, allowed.ravel()):
            self.untold.append(quantity)

    def leaves_out(self, quantity: str, because: str) -> None:
        """Say that a quantity is not checked, and why."""
        assert because
        assert quantity in self._unchecked, f"{self.id} has no unchecked {quantity}"
        self._unchecked.discard(quantity)
        self._properties.append(("published left out", (self.test, self.id, quantity, because)))

    @property
    def unchecked(self) -> list[str]:
        """Quantities neither compared nor left out so far."""
        return sorted(self._unchecked)


@pytest.fixture
def published(request):
    """Give ``published(id)``; at the end of the test every quantity of that entry must have been dealt with."""
    opened: list[Published] = []

    def open_entry(id_: str) -> Published:
        opened.append(Published(entries_by_id()[id_], request.node.name, request.node.user_properties))
        return opened[-1]

    failed_before = request.session.testsfailed
    yield open_entry
    if request.session.testsfailed == failed_before:
        forgotten = {entry.id: entry.unchecked for entry in opened if entry.unchecked}
        assert not forgotten, f"published values neither checked nor left out: {forgotten}"
        if request.node.path.name != _FIXTURE_ITSELF and not request.config.pluginmanager.has_plugin(WRITER):
            untold = {entry.id: entry.untold for entry in opened if entry.untold}
            assert not untold, f"tests/published/README.md shows other figures; run: make proof; {untold}"


@pytest.fixture
def published_entries() -> dict[str, dict]:
    """Return every entry by its id, as it stands in the files."""
    return entries_by_id()
