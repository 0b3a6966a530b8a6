from __future__ import annotations

import json
import re
import subprocess
import sys
from typing import TYPE_CHECKING, Any

import pytest

from hydrokit import check, demonstration
from hydrokit.answers import Verdict
from hydrokit.bounds import Dimension
from hydrokit.units import SYSTEMS

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    Runs = Callable[..., subprocess.CompletedProcess[str]]

PUMP = "lines.intake.lift-pump"


def test_the_demonstration_rig_is_named_as_such_in_the_first_line(hydrokit: Runs) -> None:
    done = hydrokit("check")
    assert done.returncode == 0
    first, _, title = done.stdout.splitlines()[:3]
    assert first == "Built-in demonstration rig, all data invented; name a file to ask about yours."
    assert title == "Mill-pond trailer, filling"
    assert done.stderr == ""


def test_a_rig_of_ones_own(hydrokit: Runs, rig_file: Path) -> None:
    done = hydrokit("check", rig_file.name)
    assert done.returncode == 0
    assert done.stdout.startswith("untitled rig, as drawn\n")
    assert "demonstration" not in done.stdout


def test_another_mode(hydrokit: Runs) -> None:
    assert "Mill-pond trailer, tap\n" in hydrokit("check", "--mode", "tap").stdout


def test_a_pump_nine_metres_up_fails_and_says_why(hydrokit: Runs) -> None:
    done = hydrokit("check", "--set", f"{PUMP}.height=9 m")
    assert done.returncode == 1
    answer = " ".join(done.stdout.split("\n\n")[2].split())
    assert answer.startswith("Suction lets nothing through.")
    assert "upper bound that this rig never reaches" in answer
    assert "It does not work as drawn" in answer
    told = " ".join(done.stdout.split())
    assert re.search(r"Lower the lift-pump to [\d.]+ m above the water, no more", told)
    assert "draws a dry hose full up to 2.39 m" in told


def test_settings_are_read_with_their_units(hydrokit: Runs) -> None:
    one = hydrokit("check", "--json", "--set", f"{PUMP}.height=6 ft", "--set", "site.altitude=3000m")
    other = check(demonstration(), changed={f"{PUMP}.height": 1.8288, "site.altitude": 3000.0})
    assert json.loads(one.stdout) == json.loads(other.to_json())


@pytest.mark.parametrize(
    ("setting", "found", "expected", "instead"),
    [
        ("lines.intake.lift-pmp.height=1 m", "no such value", "the address of a number in this rig", f"{PUMP}.height"),
        (f"{PUMP}.height=1 kg", "kg is a unit of mass", "a length", "1.2 m"),
        (f"{PUMP}.height=1,5 m", "comma", "a length", "1.5 m"),
        (f"{PUMP}.height=1.5", "without a unit", "a length", "1.5 m"),
        ("lines.intake.suction-hose.bore=-3 mm", "'-3 mm'", "0.1 mm to 10 m", "19 mm"),
        (f"{PUMP}.height=1 ± 0.1 m", "a tolerance", "a value without ±", ""),
        (f"{PUMP}.height", f"'{PUMP}.height'", "ADDRESS=VALUE", f"{PUMP}.height='1.2 m'"),
        ("deeper", "'deeper'", "ADDRESS=VALUE", "lines.intake.hose-1.bore='25 mm'"),
        ("tanks.near.volume=16 gal", "which gallon", "20 %", "16 US gal"),
    ],
)
def test_settings_that_are_wrong(here: Runs, setting: str, found: str, expected: str, instead: str) -> None:
    done = here("check", "--json", "--set", setting)
    assert done.returncode == 2
    (mistake,) = json.loads(done.stdout)["mistakes"]
    assert found in mistake["found"]
    assert expected in mistake["expected"]
    assert instead in mistake["instead"]
    assert "once" not in mistake["instead"]  # only a file can say once which gallon it means
    assert "Traceback" not in done.stderr


def test_every_mistake_of_the_command_is_told_at_once(hydrokit: Runs) -> None:
    done = hydrokit("check", "--mode", "fillin", "--set", "a.b=1 m", "--set", f"{PUMP}.height=1 kg")
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.startswith("3 mistakes; nothing was computed.\n")
    assert "  write filling\n" in done.stderr


def _objects(data: Any) -> Iterator[dict[str, Any]]:
    if isinstance(data, dict):
        yield data
        data = list(data.values())
    if isinstance(data, list):
        for item in data:
            yield from _objects(item)


def _refuse(word: str) -> None:
    raise AssertionError(word)


@pytest.mark.parametrize("system", SYSTEMS)
def test_json_is_si_whatever_the_units(here: Runs, system: str) -> None:
    done = here("check", "--json", "--units", system)
    assert done.returncode == 0
    data = json.loads(done.stdout, parse_constant=_refuse)  # NaN and Infinity are no JSON
    assert (data["format"], data["question"], data["verdict"]) == (1, "check", check(demonstration()).verdict.value)
    assert data["flow"] == {"value": check(demonstration()).flow, "unit": "m^3/s"}
    measured = [item for item in _objects(data) if set(item) == {"value", "unit"}]
    assert len(measured) > 300
    units = {item["unit"] for item in measured}
    assert {"m^3/s", "m", "Pa", "K", "kg/m^3", "Pa s", "1", "m/s", "A", "W", "kg", "NTU", "s"} <= units
    assert units <= {dimension.si_unit for dimension in Dimension}
    assert done.stderr.startswith("Built-in demonstration rig")


def test_json_of_a_rig_file_leaves_standard_error_empty(hydrokit: Runs, rig_file: Path) -> None:
    done = hydrokit("check", rig_file.name, "--json")
    assert json.loads(done.stdout)["title"] == "untitled rig"
    assert done.stderr == ""


def test_units_change_what_is_shown(here: Runs) -> None:
    shown = {system: here("check", "--units", system).stdout for system in SYSTEMS}
    for system, unit in {"metric": "L/min", "US": "US gpm", "imperial": "imperial gpm"}.items():
        assert {other for other, text in shown.items() if f" {unit}" in text} == {system}
    assert here("check", "--units", "us").stdout == shown["US"]


def test_all_lists_what_is_otherwise_summed_up(here: Runs) -> None:
    some, every = here("check").stdout, here("check", "--all").stdout
    count = sum(finding.verdict is Verdict.HOLDS for finding in check(demonstration()).findings)
    rules = {finding.rule for finding in check(demonstration()).findings if finding.verdict is Verdict.HOLDS}

    def rows(text: str) -> int:
        table = text.partition("\nHolds\n")[2].partition("\n\n")[0].splitlines()[2:]
        return sum(not line.startswith(" ") and line.rstrip().endswith(("%", "yes", *"0123456789")) for line in table)

    assert rows(some) == len(rules)
    assert rows(every) == count


def test_walk_is_there_when_asked_for(here: Runs) -> None:
    assert "The walk along the lines" not in here("check").stdout
    walked = here("check", "--walk").stdout
    assert "membrane filter" in walked
    assert "Nothing flows in lines from-near, from-far and to-tap." in walked


def test_a_rig_built_in_python_gives_the_same_answer(hydrokit: Runs, tmp_path: Path, rig_file: Path) -> None:
    script = """
from hydrokit import Hose, Line, Rig, Source, Tank, check, part

rig = Rig(
    sources={"pond": Source(surface=0.0)},
    tanks={"near": Tank(volume=0.06, floor=1.0, depth=0.4)},
    lines={"intake": Line(start="pond", end="near", parts=(
        Hose(bore=0.019, length=6.0, vacuum_rating=70e3),
        part("diaphragm-pump-11", name="diaphragm-pump-11", height="1.2 m"),
    ))},
)
print(check(rig).to_json())
"""
    built = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, encoding="utf-8", check=True)
    assert json.loads(built.stdout) == json.loads(hydrokit("check", rig_file.name, "--json").stdout)


def test_verify_tells_the_largest_difference(here: Runs) -> None:
    done = here("check", "--verify")
    assert done.returncode == 0
    assert "The two differ at most by" in " ".join(done.stdout.split())
