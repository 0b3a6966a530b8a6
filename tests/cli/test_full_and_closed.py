"""Full disks, closed streams, devices and locked folders: exit 2 with a sentence, and nothing is harmed."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.fuzz.judge import Case, Place, faults_of, run

FULL = Path("/dev/full")
needs_full = pytest.mark.skipif(not FULL.exists(), reason="a device that is always full")


@pytest.fixture
def place(tmp_path: Path) -> Place:
    """Return a folder in which commands run in this process."""
    return Place(tmp_path.resolve())


def shell(folder: Path, line: str) -> subprocess.CompletedProcess[str]:
    command = f'"{sys.executable}" -m hydrokit_cli {line}'
    return subprocess.run(
        ["/bin/sh", "-c", command],
        cwd=folder,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        timeout=60,
    )


@needs_full
@pytest.mark.parametrize("line", ["rules", "check rig.toml --json", "--help", "--version", "wear -h", ""])
def test_standard_output_that_is_full(rig_file: Path, line: str) -> None:
    done = shell(rig_file.parent, f"{line} > {FULL}")
    assert done.returncode == 2
    assert "standard output cannot be written: no space left on device" in done.stderr
    assert "Traceback" not in done.stderr
    assert "--force" not in done.stderr  # which would not help


@needs_full
def test_mistakes_that_standard_output_cannot_take_are_told_all_the_same(rig_file: Path) -> None:
    done = shell(rig_file.parent, f"check rig.toml --mode none --json > {FULL}")
    assert done.returncode == 2
    assert "found 'none'" in done.stderr
    assert "no space left on device" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("line", "code"), [("--help", 0), ("--version", 0), ("hose -h", 0), ("lift --mode none --json", 2)]
)
def test_a_reader_that_has_seen_enough_changes_no_exit_code(place: Place, line: str, code: int) -> None:
    case = Case(tuple(line.split()), {}, ends=("gone", ""))
    done = run(case, place)
    assert (done.code, faults_of(case, done)) == (code, [])


@needs_full
def test_standard_error_that_is_full_changes_no_exit_code(rig_file: Path) -> None:
    assert shell(rig_file.parent, f"check rig.toml --mode none 2> {FULL}").returncode == 2


@pytest.mark.parametrize(("line", "code"), [("check rig.toml --brief >&-", 0), ("check --mode none 2>&-", 2)])
def test_streams_that_are_closed(rig_file: Path, line: str, code: int) -> None:
    done = shell(rig_file.parent, line)
    assert (done.returncode, "Traceback" in done.stderr) == (code, False)


def test_questions_without_anybody_to_answer(tmp_path: Path) -> None:
    done = shell(tmp_path, "new rig.toml --ask <&-")
    assert done.returncode == 2
    assert "the end of the input" in done.stderr
    assert not list(tmp_path.iterdir())


@needs_full
@pytest.mark.parametrize(
    "line",
    [
        ("new", "device", "--force"),
        ("report", "rig.toml", "--out", "device", "--force"),
        ("sweep", "rig.toml", "--vary", "site.altitude=0 m", "--out", "device.csv", "--force"),
        ("check", "rig.toml", "--drawing", "device.svg"),
        ("check", "rig.toml", "--plot", "device.svg"),
    ],
)
def test_devices_stay_devices(place: Place, small: str, line: tuple[str, ...]) -> None:
    for ending in ("", ".csv", ".svg"):
        (place.work / f"device{ending}").symlink_to(FULL)
    done = run(Case(line, {"rig.toml": small.encode()}), place)
    assert done.code == 2
    assert "is no ordinary file" in " ".join(done.err.decode().split())
    assert not done.changed
    assert FULL.is_char_device()


@pytest.mark.parametrize("name", ["\x1b[31mred.toml", "\u202egnp.toml", "\x9b2J.toml"])
def test_what_a_name_holds_never_steers_a_terminal(place: Place, name: str) -> None:
    case = Case(("check", name, "--json"), {})
    done = run(case, place)
    assert done.code == 2
    assert faults_of(case, done) == []
    assert json.loads(done.out)["file"] == name


@pytest.mark.parametrize("line", [("--picture", "pump"), ("--plot", "made.svg", "--picture", "none")])
def test_a_picture_that_cannot_be_is_refused_before_anything_is_written(
    place: Place, small: str, line: tuple[str, ...]
) -> None:
    done = run(Case(("check", "rig.toml", "--drawing", "drawn.svg", *line), {"rig.toml": small.encode()}), place)
    assert (done.code, done.out, done.changed) == (2, b"", ())


def test_json_and_drawing_make_one_document(place: Place, small: str) -> None:
    line = ("check", "rig.toml", "--json", "--drawing", "drawn.svg", "--plot", "plotted.svg")
    done = run(Case(line, {"rig.toml": small.encode()}), place)
    assert json.loads(done.out)["question"] == "check"
    assert done.changed == ("deep/work/drawn.svg", "deep/work/plotted.svg")


@pytest.mark.parametrize(("word", "option"), [("check", "--set"), ("sweep", "--vary"), ("spread", "--vary")])
def test_a_value_without_an_address_is_told_under_its_option(place: Place, word: str, option: str) -> None:
    case = Case((word, option, "=1 m", "--json"), {})
    done = run(case, place)
    assert faults_of(case, done) == []
    assert json.loads(done.out)["mistakes"][0]["place"] == option


def test_a_name_that_no_text_holds_and_closed_streams(place: Place) -> None:
    case = Case(("check", "\udc9b.toml"), {}, ends=("closed", "closed"))
    outcome = run(case, place)
    assert outcome.code == 2
    assert faults_of(case, outcome) == []
