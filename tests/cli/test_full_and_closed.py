"""Full disks, closed streams, devices and locked folders: exit 2 with a sentence, and nothing is harmed."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable

    Runs = Callable[..., subprocess.CompletedProcess[str]]

FULL = Path("/dev/full")
needs_full = pytest.mark.skipif(not FULL.exists(), reason="a device that is always full")


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
@pytest.mark.parametrize("line", ["rules", "check rig.toml --json", "check rig.toml --brief"])
def test_standard_output_that_is_full(rig_file: Path, line: str) -> None:
    done = shell(rig_file.parent, f"{line} > {FULL}")
    assert done.returncode == 2
    assert "standard output cannot be written: no space left on device" in done.stderr
    assert "Traceback" not in done.stderr


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
        "new {} --force",
        "report rig.toml --out {} --force",
        "sweep rig.toml --vary 'site.altitude=0 m' --out {}.csv --force",
        "check rig.toml --drawing {}.svg",
        "check rig.toml --plot {}.svg",
    ],
)
def test_devices_stay_devices(rig_file: Path, line: str) -> None:
    for ending in ("", ".csv", ".svg"):
        (rig_file.parent / f"device{ending}").symlink_to(FULL)
    done = shell(rig_file.parent, line.format("device"))
    assert done.returncode == 2
    assert "is no ordinary file" in done.stderr
    assert FULL.is_char_device()


def test_what_a_name_holds_never_steers_a_terminal(hydrokit: Runs, rig_file: Path) -> None:
    for name in ("\x1b[31mred.toml", "\u202egnp.toml", "\x9b2J.toml"):
        done = hydrokit("check", name, "--json")
        assert done.returncode == 2
        assert not {"\x1b", "\u202e", "\x9b"} & {*done.stderr, *done.stdout}
        assert json.loads(done.stdout)["file"] == name


def test_a_picture_that_cannot_be_is_refused_before_anything_is_written(hydrokit: Runs, rig_file: Path) -> None:
    for line in (("--picture", "pump"), ("--plot", "made.svg", "--picture", "none")):
        done = hydrokit("check", rig_file.name, "--drawing", "drawn.svg", *line)
        assert (done.returncode, done.stdout) == (2, "")
        assert [path.name for path in rig_file.parent.iterdir()] == [rig_file.name]


def test_json_and_drawing_make_one_document(hydrokit: Runs, rig_file: Path) -> None:
    done = hydrokit("check", rig_file.name, "--json", "--drawing", "drawn.svg", "--plot", "plotted.svg")
    assert json.loads(done.stdout)["question"] == "check"
    assert done.stderr.count("is written") == 2
