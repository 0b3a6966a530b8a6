"""Whole processes: how long a command takes from nothing, and how much memory a sweep needs at its peak."""

from __future__ import annotations

import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from pathlib import Path

pytestmark = pytest.mark.slow
_SWEEP = """
import resource, sys
import numpy as np
from hydrokit import demonstration, sweep
values = {"lines.intake.suction-hose.length": np.linspace(3.0, 9.0, int(sys.argv[1])), "sources.pond.surface": np.linspace(-1.0, 0.0, 100)}
sweep(demonstration(), values, "filling", out=sys.argv[2])
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""


def process(*arguments: str) -> str:
    done = subprocess.run([sys.executable, *arguments], capture_output=True, text=True, check=False)
    assert done.returncode in (0, 1), done.stderr
    return done.stdout


@pytest.mark.parametrize(
    ("name", "arguments"),
    [
        ("process check", ("-m", "hydrokit_cli", "check")),
        ("process help", ("-m", "hydrokit_cli", "--help")),
        ("process import", ("-c", "import hydrokit; print(hydrokit)")),
    ],
)
def test_a_process(timed, name: str, arguments: tuple[str, ...]) -> None:
    assert timed(name, process, *arguments, rounds=5)


@pytest.mark.parametrize(("name", "lengths"), [("sweep memory small", 200), ("sweep memory", 1000)])
def test_peak_memory(measured: dict[str, float], measuring: bool, tmp_path: Path, name: str, lengths: int) -> None:
    peak = float(process("-c", _SWEEP, str(lengths if measuring else 2), str(tmp_path / "rows.csv")))
    assert peak < 1024.0  # MiB
    if measuring:
        measured[name] = peak
