"""The published values: one entry of ``checks.toml`` at a time, its figures in SI, its answers compared as printed.

Each test is named after the entry it checks and goes through hydrokit's own public functions. ``agrees`` keeps
(id, quantity, published, computed, tolerance, unit) among the test's user properties, from which a table can be made.
A test that leaves a quantity unchecked, without saying why by ``leaves_out``, fails.
"""

from __future__ import annotations

import re
import tomllib
from functools import cache
from pathlib import Path

import numpy as np
import pint
import pytest

CHECKS = tuple(Path(__file__).with_name(name) for name in ("checks.toml", "more_checks.toml"))
_NUMBER = re.compile(r"^\s*([-+]?\d+(?:\.\d*)?(?:[eE][-+]?\d+)?)\s*(\S.*)?$")
_ROUND_OFF = 1e-12  # of converting to SI and back


@cache
def _registry() -> pint.UnitRegistry:
    registry = pint.UnitRegistry()
    for unit in ("kft = 1000 foot", "hp = 550 foot * force_pound / second"):
        registry.define(unit)
    return registry


@cache
def _entries() -> dict[str, dict]:
    read = [entry for path in CHECKS for entry in tomllib.loads(path.read_text(encoding="utf-8"))["check"]]
    entries = {entry["id"]: entry for entry in read}
    assert len(entries) == len(read), "an id stands twice"
    return entries


def _si(text: str) -> float:
    number, unit = _NUMBER.match(text).groups()
    registry = _registry()
    return registry.Quantity(float(number), registry.parse_units(unit or "1")).to_base_units().magnitude


class Published:
    """One published example: what was given, and what it says comes out."""

    def __init__(self, entry: dict, properties: list[tuple[str, object]]) -> None:
        self.id: str = entry["id"]
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
        row = (self.id, quantity, expected["value"], computed.tolist(), expected["tolerance"], unit)
        self._properties.append(("published", row))
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

    def leaves_out(self, quantity: str, because: str) -> None:
        """Say that a quantity is not checked, and why."""
        assert because
        assert quantity in self._unchecked, f"{self.id} has no unchecked {quantity}"
        self._unchecked.discard(quantity)
        self._properties.append(("published left out", (self.id, quantity, because)))

    @property
    def unchecked(self) -> list[str]:
        """Quantities neither compared nor left out so far."""
        return sorted(self._unchecked)


@pytest.fixture
def published(request):
    """Give ``published(id)``; at the end of the test every quantity of that entry must have been dealt with."""
    opened: list[Published] = []

    def open_entry(id_: str) -> Published:
        opened.append(Published(_entries()[id_], request.node.user_properties))
        return opened[-1]

    failed_before = request.session.testsfailed
    yield open_entry
    if request.session.testsfailed == failed_before:
        forgotten = {entry.id: entry.unchecked for entry in opened if entry.unchecked}
        assert not forgotten, f"published values neither checked nor left out: {forgotten}"


@pytest.fixture
def published_entries() -> dict[str, dict]:
    """Return every entry by its id, as it stands in the file."""
    return _entries()
