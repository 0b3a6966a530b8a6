"""The commands bore, match and compare, run as real processes."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from hydrokit import bore, compare, demonstration, load_rig, match
from hydrokit.files import demonstration_text

if TYPE_CHECKING:
    import subprocess
    from collections.abc import Callable
    from pathlib import Path

    Runs = Callable[..., subprocess.CompletedProcess[str]]

DELIVERY = "lines.intake.delivery-hose"
BROKEN = 'format = 1\n[lines.a]\nfrom = "x"\nparts = [{ part = "hoes" }]\n'


@pytest.fixture
def demo_file(tmp_path: Path) -> Path:
    path = tmp_path / "demo.toml"
    path.write_text(demonstration_text(), encoding="utf-8")
    return path


def test_bore_of_the_demonstration_rig(hydrokit: Runs) -> None:
    done = hydrokit("bore")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("Built-in demonstration rig")
    assert "Take 19 mm for suction-hose (intake)" in " ".join(done.stdout.split())


def test_bore_with_every_option(here: Runs) -> None:
    options = ["--hose", DELIVERY, "--flow", "7 L/min", "--series", "inch", "--least", "1/4 in", "--most", "25 mm"]
    done = here("bore", *options, "--change-tails", "--set", f"{DELIVERY}.length=12 m", "--json")
    assert done.returncode == 0
    answer = bore(
        demonstration(),
        hoses=[DELIVERY],
        wanted_flow=7.0 / 60_000.0,
        series="inch",
        least=0.00635,
        most=0.025,
        tails="changed",
        changed={f"{DELIVERY}.length": 12.0},
    )
    assert json.loads(done.stdout) == answer.to_dict()


def test_bore_that_nothing_passes_exits_1(hydrokit: Runs) -> None:
    done = hydrokit("bore", "--line", "intake", "--set", "lines.intake.carbon.rated_flow=4 L/min")
    assert done.returncode == 1
    assert "No bore mends it" in done.stdout


@pytest.mark.parametrize(
    ("options", "place", "hint"),
    [
        (["--flow", "9"], "--flow", "write 9 L/min"),
        (["--flow", "9 ± 1 L/min"], "--flow", "a value without ±"),
        (["--most", "19"], "--most", "19 mm"),
        (["--line", "intke"], "--line", "write intake"),
        (["--series", "imperial"], "--series", "one of metric, inch, all"),
    ],
)
def test_bore_options_that_cannot_be_read(here: Runs, options: list[str], place: str, hint: str) -> None:
    done = here("bore", *options)
    assert (done.returncode, done.stdout) == (2, "")
    assert place in done.stderr
    assert hint in " ".join(done.stderr.split())


def test_match_of_the_demonstration_rig(hydrokit: Runs) -> None:
    done = hydrokit("match", "--json")
    assert done.returncode == 0
    assert json.loads(done.stdout) == match(demonstration()).to_dict()


def test_match_with_pumps_from_a_file(here: Runs, rig_file: Path, demo_file: Path) -> None:
    done = here("match", rig_file.name, "--pumps", demo_file.name, "--place", "lines.intake.diaphragm-pump-11")
    assert done.returncode == 0
    assert "tap-pump" in done.stdout
    assert "centrifugal" not in done.stdout


def test_match_with_a_list_that_holds_no_pump(hydrokit: Runs, tmp_path: Path) -> None:
    (tmp_path / "list.toml").write_text("format = 1\n", encoding="utf-8")
    done = hydrokit("match", "--pumps", "list.toml")
    assert (done.returncode, done.stdout) == (2, "")
    assert "in list.toml" in done.stderr
    assert "no pump under [parts]" in done.stderr


def test_compare_two_files(hydrokit: Runs, demo_file: Path, starter_file: Path) -> None:
    done = hydrokit("compare", demo_file.name, starter_file.name, "--json")
    answer = compare(load_rig(demo_file), load_rig(starter_file), names=["demo", "rig"])
    assert json.loads(done.stdout) == answer.to_dict()
    assert done.returncode in {0, 1}


def test_compare_with_a_value_set_in_all(here: Runs, demo_file: Path) -> None:
    done = here("compare", demo_file.name, demo_file.name, "--set", "site.altitude=2000 m")
    assert done.returncode == 0
    assert "demo.toml (1)" in done.stdout
    assert "Nothing: the rigs are the same." in done.stdout
    plain = here("compare", demo_file.name, demo_file.name)
    assert plain.stdout != done.stdout


def test_compare_tells_the_mistakes_of_all_files(here: Runs, demo_file: Path, tmp_path: Path) -> None:
    (tmp_path / "broken.toml").write_text(BROKEN, encoding="utf-8")
    done = here("compare", demo_file.name, "broken.toml", "nowhere.toml", "--json")
    assert done.returncode == 2
    places = [mistake["place"] for mistake in json.loads(done.stdout)["mistakes"]]
    assert places == ["broken.toml: lines.a.to", "broken.toml: lines.a.part-1.part", "nowhere.toml"]


def test_compare_needs_two(here: Runs, demo_file: Path) -> None:
    done = here("compare", demo_file.name)
    assert (done.returncode, done.stdout) == (2, "")
    assert "at least two rigs" in done.stderr
    assert here("compare").returncode == 2


@pytest.mark.parametrize("command", ["bore", "match"])
def test_a_broken_file(here: Runs, tmp_path: Path, command: str) -> None:
    (tmp_path / "broken.toml").write_text(BROKEN, encoding="utf-8")
    done = here(command, "broken.toml")
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("2 mistakes in broken.toml; nothing was computed.\n")
