"""Readings in a file: what is read, and every mistake at once with its line."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hydrokit.errors import InputError
from hydrokit.files import load_readings, read_readings

if TYPE_CHECKING:
    from pathlib import Path

GOOD = """
format = 1
mode = "filling"
gallon = "US"
readings = [
  { flow = "5.0 ± 0.2 L/min" },
  { flow = "1 gal/min", at = "near", note = "in the rain" },
  { vacuum = "0.35 bar vacuum" },
  { pressure = "1.2 bar", before = "filters" },
  { pressure = "20 kPa", after = "lines.intake.membrane" },
  { dead_head = "2.6 bar" },
  { volts = "11.4 V" }, { battery_volts = "12.3 V" }, { amps = "6.2 A ± 3 %" },
  { bubbles = true },
]
"""


def test_reads_every_kind() -> None:
    file = read_readings(GOOD)
    assert file.mode == "filling"
    assert [reading.kind for reading in file.readings] == [
        "flow", "flow", "vacuum", "pressure", "pressure", "dead_head", "volts", "battery_volts", "amps", "bubbles",
    ]  # fmt: skip
    first, second, vacuum, before, after, *_, amps, bubbles = file.readings
    assert first.uncertainty == pytest.approx(0.2 / 60e3)
    assert (second.at, second.value) == ("near", pytest.approx(3.785411784e-3 / 60.0))
    assert (vacuum.value, vacuum.uncertainty) == (35e3, None)
    assert (before.at, before.side, after.side) == ("filters", "before", "after")
    assert amps.uncertainty == pytest.approx(0.186)
    assert bubbles.value == 1.0


def test_readings_know_their_lines() -> None:
    assert [reading.line for reading in read_readings(GOOD).readings[:3]] == [6, 7, 8]


def test_tables_of_their_own_read_alike() -> None:
    text = 'format = 1\n[[readings]]\nflow = "5 L/min"\n[[readings]]\nvacuum = "35 kPa"\n'
    assert [reading.kind for reading in read_readings(text).readings] == ["flow", "vacuum"]


def test_tells_every_mistake_with_its_line() -> None:
    text = """
format = 2
mod = "filling"
readings = [
  { flow = "5 bar" },
  { flow = "5 L/min", vacuum = "3 kPa" },
  { vacum = "35 kPa" },
  { pressure = "1.2 bar" },
  { pressure = "1.2 bar", before = "a", after = "b" },
  { volts = 11.4 },
  { amps = "6 A", before = "filters" },
  { bubbles = "yes" },
  "flow",
  { vacuum = "-35 MPa" },
]
"""
    with pytest.raises(InputError) as caught:
        read_readings(text)
    mistakes = caught.value.mistakes
    assert [mistake.line for mistake in mistakes] == [2, 3, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14]
    assert mistakes[1].instead == "mode"
    assert mistakes[4].instead == 'vacuum = "35 kPa"'
    assert mistakes[2].place == "readings.flow"


@pytest.mark.parametrize(
    ("item", "found", "instead"),
    [
        ('kind = "flow", value = "5 L/min"', "'kind', 'value' and no kind of reading", 'flow = "5.0 L/min"'),
        ('kind = "presure", value = "2 bar"', "'kind', 'value' and no kind of reading", "pressure = "),
        ("", "an empty table and no kind of reading", '{ flow = "5.0 L/min" }'),
    ],
)
def test_a_reading_whose_kind_stands_as_a_value_is_told_how_to_be_written(item: str, found: str, instead: str) -> None:
    with pytest.raises(InputError) as caught:
        read_readings(f"format = 1\nreadings = [ {{ {item} }} ]\n")
    (mistake,) = caught.value.mistakes
    assert mistake.found == found
    assert mistake.instead.startswith(instead)


@pytest.mark.parametrize("text", ["format = 1", "format = 1\nreadings = []", "format = 1\nreadings = 3"])
def test_a_file_without_readings_is_refused(text: str) -> None:
    with pytest.raises(InputError) as caught:
        read_readings(text)
    assert caught.value.mistakes[0].place == "readings"


def test_loads_from_a_path(tmp_path: Path) -> None:
    path = tmp_path / "bench.toml"
    path.write_text(GOOD, encoding="utf-8")
    assert load_readings(path) == read_readings(GOOD)
