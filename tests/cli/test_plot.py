"""``--plot`` and ``--picture``: pictures beside the answer, or one message and nothing else."""

from __future__ import annotations

import json
import os
from typing import TYPE_CHECKING

import pytest

from hydrokit.sheets.pictures.gallery import PICTURES
from hydrokit_cli import exits
from hydrokit_cli.main import main

if TYPE_CHECKING:
    import subprocess
    from collections.abc import Callable
    from pathlib import Path

    Runs = Callable[..., subprocess.CompletedProcess[str]]


def test_pictures_are_written_beside_the_answer(hydrokit: Runs, rig_file: Path, tmp_path: Path) -> None:
    done = hydrokit("check", rig_file.name, "--plot", "a.svg", "--json", "--units", "US")
    assert done.returncode == 0
    assert done.stderr.endswith("a.svg is written.\n")
    told = json.loads(done.stdout)
    assert [curve["place"] for curve in told["curves"]] == ["lines.intake.diaphragm-pump-11"]
    text = (tmp_path / "a.svg").read_text(encoding="utf-8")
    assert "flow through the pump (US gpm)" in text
    assert "height and head above the datum (ft)" in text


def test_one_picture_alone(hydrokit: Runs, rig_file: Path, tmp_path: Path) -> None:
    assert hydrokit("lift", rig_file.name, "--plot", "a.svg", "--picture", "depth").returncode == 0
    text = (tmp_path / "a.svg").read_text(encoding="utf-8")
    assert "lift, pump above the water (m)" in text
    assert "flow through the pump" not in text


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--plot", "a.gif"], "a file name that ends in .png, .svg, .pdf"),
        (["--plot", "none/a.svg"], "there is no directory"),
        (["--plot", "a.svg", "--picture", "wya"], "one of pump, way, heads"),
        (["--plot", "a.svg", "--picture", "heads 2"], "one of pump, way, heads"),
        (["--plot", "a.svg", "--picture", "way 0"], "one of pump, way, heads"),
        (["--picture", "way"], "--plot FILE"),
    ],
)
def test_what_cannot_be_drawn_writes_nothing(here: Runs, tmp_path: Path, options: list[str], told: str) -> None:
    done = here("check", *options)
    assert done.returncode == 2
    assert done.stdout == ""
    assert told in " ".join(done.stderr.split())
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing is forbidden to the superuser")
def test_a_folder_that_may_not_be_written_is_told(hydrokit: Runs, tmp_path: Path) -> None:
    (tmp_path / "locked").mkdir(mode=0o500)
    done = hydrokit("check", "--plot", "locked/a.svg")
    assert done.returncode == 2
    assert "nothing may be written" in " ".join(done.stderr.split())


@pytest.mark.parametrize("question", PICTURES)
def test_a_picture_that_there_is_not_is_refused_before_a_rig_is_read(
    question: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def read(*_: object) -> None:
        raise AssertionError("a rig was read")

    monkeypatch.setattr("hydrokit_cli.question.load_rig", read)
    monkeypatch.setattr("hydrokit_cli.commands.compare.load_rig", read)
    wrong = [question, "a.toml", "--plot", str(tmp_path / "a.svg"), "--picture", "heads of all"]
    assert main(wrong) == exits.WRONG_INPUT
    told = " ".join(capsys.readouterr().err.split())
    assert f"--picture found 'heads of all' expected one of {', '.join(PICTURES[question])}" in told
    assert list(tmp_path.iterdir()) == []
