from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from hydrokit.files import demonstration
from hydrokit.studies import spread
from hydrokit_cli.main import main

if TYPE_CHECKING:
    import subprocess
    from collections.abc import Callable
    from pathlib import Path

    Runs = Callable[..., subprocess.CompletedProcess[str]]

FAST = ("--samples", "128")
RATED = "lines.intake.carbon.rated_flow"


@pytest.mark.slow
def test_the_built_in_rig_works_surely_enough(hydrokit: Runs) -> None:
    done = hydrokit("spread", *FAST)
    assert (done.returncode, done.stderr) == (0, "")
    assert "Measure first: the water temperature of the site" in " ".join(done.stdout.split())
    assert max(len(line) for line in done.stdout.splitlines()) <= 80


@pytest.mark.slow
def test_what_fails_too_often_gives_code_1(hydrokit: Runs) -> None:
    done = hydrokit("spread", *FAST, "--vary", f"{RATED}=8 ± 0.8 L/min", "--json", "--seed", "7")
    assert done.returncode == 1
    data = json.loads(done.stdout)
    assert (data["question"], data["verdict"], data["seed"]) == ("spread", "fails", 7)
    assert data["measure_first"]["address"] == RATED


@pytest.mark.slow
def test_a_broken_rig_is_told_once_and_nothing_else_is_written(hydrokit: Runs, rig_file: Path) -> None:
    rig_file.write_text(rig_file.read_text(encoding="utf-8").replace('"6 m"', '"6 ± m"'), encoding="utf-8")
    done = hydrokit("spread", "rig.toml", "--json")
    assert done.returncode == 2
    (mistake,) = json.loads(done.stdout)["mistakes"]
    assert mistake["place"] == "lines.intake.hose-1.length"
    assert "rig.toml" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.slow
def test_a_rig_without_any_width_says_what_to_write(hydrokit: Runs, rig_file: Path) -> None:
    done = hydrokit("spread", rig_file.name, "--json")
    assert done.returncode == 2
    (mistake,) = json.loads(done.stdout)["mistakes"]
    assert mistake["found"] == "no value with ±"
    assert 'length = "2.5 ± 0.3 m"' in mistake["instead"]


def test_options_are_those_of_the_study(capsys) -> None:
    code = main(
        ["spread", "--samples", "256", "--method", "sobol", "--shape", "triangular", "--mode", "tap", "--json", "--risk",
         "1 %", "--set", "lines.to-tap.tap-pump.height=1.6 m", "--vary", "outlets.tap.height=2.3 ± 0.2 m"]
    )  # fmt: skip
    data = json.loads(capsys.readouterr().out)
    plain = spread(
        demonstration(),
        "tap",
        samples=256,
        method="sobol",
        shape="triangular",
        risk=0.01,
        changed={"lines.to-tap.tap-pump.height": 1.6, "outlets.tap.height": 2.3},
        tolerances={"outlets.tap.height": 0.2},
    )
    assert data["outcomes"] == json.loads(plain.to_json())["outcomes"]
    assert (data["shape"], data["method"], data["risk"]["value"]) == ("triangular", "sobol", 0.01)
    assert code == (1 if plain.verdict.value == "fails" else 0)


def test_a_value_without_a_width_is_held(capsys) -> None:
    main(["spread", *FAST, "--json", "--vary", "site.water_temperature=9 °C"])
    inputs = {each["address"]: each for each in json.loads(capsys.readouterr().out)["inputs"]}
    assert inputs["site.water_temperature"]["spread"]["value"] == 0.0


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--vary", "site.altitude"], "--vary"),
        (["--vary", "site.altitud=140 ± 5 m"], "site.altitude"),
        (["--vary", "site.altitude=140 ± 5 kg"], "site.altitude"),
        (["--samples", "3"], "samples"),
        (["--shape", "round"], "--shape"),
        (["--risk", "2"], "--risk"),
        (["--mode", "flying"], "mode"),
    ],
)
def test_wrong_options_are_told(capsys, arguments: list[str], told: str) -> None:
    assert main(["spread", *arguments]) == 2
    assert told in capsys.readouterr().err
