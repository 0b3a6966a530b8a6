"""The command ``diagnose``."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING

import pytest

from hydrokit.files import demonstration, read_readings
from hydrokit.rig import Reading
from hydrokit.studies import diagnose, expected_readings
from hydrokit_cli.main import main

if TYPE_CHECKING:
    from pathlib import Path

OPTIONS = [
    "--flow",
    "5.2 L/min",
    "--vacuum",
    "18.5 ± 1 kPa",
    "--before-filters",
    "2.57 bar",
    "--after-filters",
    "5 kPa",
]
FILE = """format = 1
mode = "filling"
readings = [
  { flow = "5.2 L/min" },
  { vacuum = "18.5 ± 1 kPa" },
  { pressure = "2.57 bar", before = "filters" },
  { pressure = "5 kPa", after = "filters" },
]
"""


def _json(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, dict]:
    code = main(["diagnose", *arguments, "--json"])
    return code, json.loads(capsys.readouterr().out)


def test_options_give_what_the_library_gives(capsys: pytest.CaptureFixture[str]) -> None:
    code, data = _json(capsys, *OPTIONS, "--no-bubbles")
    answer = diagnose(
        demonstration(),
        [
            Reading(kind="flow", value=5.2 / 60e3),
            Reading(kind="vacuum", value=18.5e3, uncertainty=1e3),
            Reading(kind="pressure", value=2.57e5, at="filters", side="before"),
            Reading(kind="pressure", value=5e3, at="filters", side="after"),
            Reading(kind="bubbles", value=0.0),
        ],
    )
    assert code == 1
    assert [row["misfit"]["value"] for row in data["suspects"]] == pytest.approx([s.misfit for s in answer.suspects])


def test_a_file_says_the_same_as_options(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "bench.toml"
    path.write_text(FILE, encoding="utf-8")
    assert _json(capsys, "--readings", str(path)) == _json(capsys, *OPTIONS)


def test_a_rig_that_reads_as_it_should_exits_0(capsys: pytest.CaptureFixture[str]) -> None:
    flow = expected_readings(demonstration()).readings[0].value * 60e3
    assert main(["diagnose", "--flow", f"{flow:.4f} L/min"]) == 0
    assert "as stated" in capsys.readouterr().out


def test_no_reading_is_a_mistake(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["diagnose"]) == 2
    assert "at least one reading" in capsys.readouterr().err


def test_mistakes_in_the_file_are_told_with_their_lines(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "bench.toml"
    path.write_text(FILE.replace("5.2 L/min", "5.2 bar").replace("filling", "filing"), encoding="utf-8")
    assert main(["diagnose", "--readings", str(path)]) == 2
    assert "line 4, readings.flow" in capsys.readouterr().err
    path.write_text(FILE.replace('"filters" },\n]', '"filtres" },\n]'), encoding="utf-8")
    assert main(["diagnose", "--readings", str(path)]) == 2
    told = capsys.readouterr().err
    assert "line 7" in told
    assert "write filters" in told


def test_the_blank_sheet_holds_a_file_that_can_be_filled_in(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["diagnose", "--blank"]) == 0
    told = capsys.readouterr().out
    text = told[told.index("format = 1") : told.index("\n]\n") + 3]
    units = {"flow": "5 L/min", "vacuum": "20 kPa", "pressure": "1 bar", "dead_head": "2 bar", "amps": "6 A"}
    filled = re.sub(r'\{ (\w+) = ""', lambda match: f'{{ {match[1]} = "{units.get(match[1], "12 V")}"', text)
    file = read_readings(filled)
    assert file.mode == "filling"
    assert len(file.readings) == len(expected_readings(demonstration()).readings)
    assert diagnose(demonstration(), file.readings, file.mode).suspects
