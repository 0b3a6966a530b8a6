"""Run the installed command as a real process."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from hydrokit.files import starter
from hydrokit_cli.main import main
from tests.fuzz.streams import streams

if TYPE_CHECKING:
    from collections.abc import Callable

    Runs = Callable[..., subprocess.CompletedProcess[str]]

COMMAND = Path(sys.executable).with_name("hydrokit")

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:  # as in a background job; commands would have it ignored too
    signal.signal(signal.SIGINT, signal.default_int_handler)

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
  { part = "hose", bore = "19 mm", length = "6 m", vacuum_rating = "0.7 bar vacuum" },
  { use = "diaphragm-pump-11", height = "1.2 m" },
]
"""


@pytest.fixture
def hydrokit(tmp_path: Path) -> Runs:
    """Return a function that runs ``hydrokit`` with arguments in an empty folder."""

    def run(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
        kept = {name: value for name, value in os.environ.items() if name not in {"COLUMNS", "NO_COLOR", "FORCE_COLOR"}}
        return subprocess.run(
            [COMMAND, *arguments],
            cwd=tmp_path,
            env={**kept, "PYTHONWARNINGS": "error", **environment},
            capture_output=True,
            text=True,
            encoding="utf-8",
            check=False,
            timeout=60,
        )

    return run


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Runs:
    """Return a function like ``hydrokit`` that runs in this process: where many runs are looked at, and starting is no question."""

    def run(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
        monkeypatch.chdir(tmp_path)
        for name in ("COLUMNS", "NO_COLOR", "FORCE_COLOR"):
            monkeypatch.delenv(name, raising=False)
        for name, value in environment.items():
            monkeypatch.setenv(name, value)
        with streams(b"", ("", "")) as (out, err):
            code = main(arguments)
        return subprocess.CompletedProcess([*arguments], code, out.getvalue().decode(), err.getvalue().decode())

    return run


@pytest.fixture
def small() -> str:
    """Return the text of a small rig file."""
    return SMALL


@pytest.fixture
def rig_file(tmp_path: Path, small: str) -> Path:
    """Return the path of a small rig file in the folder where the command runs."""
    path = tmp_path / "rig.toml"
    path.write_text(small, encoding="utf-8")
    return path


@pytest.fixture
def starter_file(tmp_path: Path) -> Path:
    """Return the path of the starter as ``rig.toml``, which the examples in the help texts are about."""
    path = tmp_path / "rig.toml"
    path.write_text(starter(), encoding="utf-8")
    path.with_name("other.toml").write_text(starter(), encoding="utf-8")  # what rig.toml is compared with
    return path
