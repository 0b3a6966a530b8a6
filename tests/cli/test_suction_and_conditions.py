"""The commands ``lift``, ``limit``, ``hose`` and ``envelope``."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from hydrokit.files import demonstration
from hydrokit.studies import envelope, lift
from hydrokit_cli.main import main

if TYPE_CHECKING:
    from pathlib import Path

LIMIT = ["limit", "--flow", "8L/min", "--bore", "19mm", "--length", "6m"]
SMALL = """format = 1
[sources.pond]
surface = "0 m"
[tanks.near]
volume = "60 L"
floor = "1 m"
depth = "0.4 m"
[lines.intake]
from = "pond"
to = "near"
parts = [
  { part = "hose", bore = "19 mm", length = "9 m", vacuum_rating = "0.7 bar vacuum" },
  { use = "diaphragm-pump-11", height = "HEIGHT" },
]
"""


def _json(capsys, *arguments: str) -> tuple[int, dict]:
    code = main([*arguments, "--json"])
    return code, json.loads(capsys.readouterr().out)


def test_lift_of_the_demonstration_rig_is_that_of_the_library(capsys) -> None:
    code, data = _json(capsys, "lift")
    assert code == 0
    assert data["greatest_lift"]["value"] == lift(demonstration()).greatest_lift


def test_lift_fails_where_the_pump_stands_too_high(tmp_path: Path, capsys) -> None:
    for height, wanted in (("1.2 m", 0), ("6 m", 1)):
        path = tmp_path / "rig.toml"
        path.write_text(SMALL.replace("HEIGHT", height), encoding="utf-8")
        assert main(["lift", str(path)]) == wanted
    assert "It does not work from here" in capsys.readouterr().out


def test_lift_fails_where_it_gives_less_than_is_wanted(capsys) -> None:
    assert main(["lift", "--flow", "6 L/min"]) == 0
    assert main(["lift", "--flow", "9 L/min"]) == 1
    capsys.readouterr()


def test_limit_as_its_help_shows_it(capsys) -> None:
    code, data = _json(capsys, *LIMIT, "--altitude", "1500m", "--water", "12C", "--dry-lift", "2.4m")
    assert code == 0
    assert data["governs"] == "pump primes"


def test_limit_judges_the_height_that_is_meant(capsys) -> None:
    assert main([*LIMIT, "--dry-lift", "2.4 m", "--lift", "2 m"]) == 0
    assert main([*LIMIT, "--dry-lift", "2.4 m", "--lift", "3 m"]) == 1
    capsys.readouterr()


def test_limit_takes_the_words_of_a_rig_file(capsys) -> None:
    code, data = _json(
        capsys, *LIMIT, "--foot-valve", "poppet", "--npsh", "3 m", "--vacuum", "0.45 bar vacuum", "--material", "copper"
    )
    assert code == 0
    assert {each["limit"]: each["reach"] for each in data["limits"]}["NPSH in hand"] == "found"


@pytest.mark.parametrize(
    ("given", "found"),
    [
        (["--flow", "8 L/min", "--bore", "19 mm"], "drop"),
        (["--flow", "8 L/min", "--drop", "10 kPa"], "bore"),
        (["--bore", "3/4 in", "--drop", "2 psi"], "flow"),
    ],
    ids=["drop", "bore", "flow"],
)
def test_hose_finds_the_third(capsys, given: list[str], found: str) -> None:
    code, data = _json(capsys, "hose", "--length", "6 m", *given)
    assert (code, data["found"]) == (0, found)


def test_hose_refuses_one_alone(capsys) -> None:
    assert main(["hose", "--length", "6 m", "--flow", "8 L/min"]) == 2
    assert "exactly two of them" in " ".join(capsys.readouterr().err.split())


def test_a_number_without_its_unit_is_refused(capsys) -> None:
    assert main([*LIMIT[:2], "8", *LIMIT[3:]]) == 2
    assert "--flow" in capsys.readouterr().err


def test_envelope_fails_where_a_corner_does(capsys) -> None:
    assert main(["envelope"]) == 1
    assert main(["envelope", "--loading", "0 %", "--loading", "50 %"]) == 0
    capsys.readouterr()


def test_envelope_takes_its_ranges(capsys) -> None:
    code, data = _json(
        capsys, "envelope", "--altitude", "0 m", "2000 m", "--water", "2 °C", "24 °C", "--level", "-1 m", "0.2 m"
    )
    plain = envelope(demonstration(), altitudes=(0.0, 2000.0), temperatures=(275.15, 297.15), levels=(-1.0, 0.2))
    assert code == 1
    assert [corner["flow"]["value"] for corner in data["corners"]] == pytest.approx(
        [each.flow for each in plain.corners]
    )
    assert {corner["level"]["value"] for corner in data["corners"]} == {-1.0, 0.2}
