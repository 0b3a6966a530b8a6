"""``report`` and ``check --drawing`` as they are typed."""

from __future__ import annotations

from typing import TYPE_CHECKING
from xml.etree.ElementTree import fromstring

import pytest

if TYPE_CHECKING:
    import subprocess
    from collections.abc import Callable
    from pathlib import Path

    Runs = Callable[..., subprocess.CompletedProcess[str]]


@pytest.mark.slow
def test_a_report_is_written_and_not_written_over(hydrokit: Runs, rig_file: Path, tmp_path: Path) -> None:
    done = hydrokit("report", str(rig_file), "--out", "rig.html", "--units", "US")
    assert done.returncode == 0, done.stderr
    assert done.stdout == ""
    assert done.stderr == "rig.html is written.\n"
    text = (tmp_path / "rig.html").read_text(encoding="utf-8")
    assert text.startswith("<!DOCTYPE html>")
    assert "US gpm" in text
    again = hydrokit("report", str(rig_file), "--out", "rig.html")
    assert again.returncode == 2
    assert "rig.html exists already" in again.stderr
    assert (tmp_path / "rig.html").read_text(encoding="utf-8") == text
    assert sorted(path.name for path in tmp_path.iterdir()) == ["rig.html", "rig.toml"]


@pytest.mark.slow
def test_a_report_of_a_failing_rig_is_written_and_tells_by_its_code(
    hydrokit: Runs, rig_file: Path, tmp_path: Path
) -> None:
    (tmp_path / "rig.html").write_text("old", encoding="utf-8")
    setting = "lines.intake.diaphragm-pump-11.height=9 m"
    done = hydrokit("report", str(rig_file), "--out", "rig.html", "--force", "--set", setting)
    assert done.returncode == 1, done.stderr
    assert "It does not work as drawn" in (tmp_path / "rig.html").read_text(encoding="utf-8")


def test_a_wrong_setting_leaves_no_report(hydrokit: Runs, tmp_path: Path) -> None:
    done = hydrokit("report", "--out", "rig.html", "--set", "lines.intake.lift-pmup.height=9 m")
    assert done.returncode == 2
    assert "lines.intake.lift-pump.height" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_check_draws_the_rig(hydrokit: Runs, rig_file: Path, tmp_path: Path) -> None:
    done = hydrokit("check", str(rig_file), "--brief", "--drawing", "rig.svg")
    assert done.stderr == "rig.svg is written.\n"
    tree = fromstring((tmp_path / "rig.svg").read_text(encoding="utf-8").encode())
    assert tree.tag == "{http://www.w3.org/2000/svg}svg"


def test_a_drawing_is_refused_before_anything_is_computed(hydrokit: Runs) -> None:
    done = hydrokit("check", "--drawing", "rig.png")
    assert done.returncode == 2
    assert done.stdout == ""
    assert "--drawing" in done.stderr
    assert "write rig.svg" in done.stderr
