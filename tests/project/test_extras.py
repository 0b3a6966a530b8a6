"""Without the extras all goes on that does not need them; what does names the one to install."""

from __future__ import annotations

import json
import subprocess
import sys
import tomllib
from html import unescape
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit import check, demonstration, plot, report, solve, speed_up, sweep
from hydrokit.errors import MissingExtra
from hydrokit.network import acceleration

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from hydrokit.rig import Rig

LIBRARIES = {"fast": "numba", "frames": "pandas", "parquet": "pyarrow", "plots": "matplotlib"}
_BARE = f"""
import sys
sys.modules |= dict.fromkeys({list(LIBRARIES.values())})
from hydrokit_cli.entry import run
run()
"""
_VARIED = {"lines.intake.suction-hose.bore": [0.013, 0.016]}


def _hydrokit(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", _BARE, *words], cwd=folder, capture_output=True, text=True, check=False
    )


@pytest.fixture
def bare(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(acceleration, "_loaded", {})
    for library in LIBRARIES.values():
        for name in [library, *(each for each in sys.modules if each.startswith(f"{library}."))]:
            monkeypatch.setitem(sys.modules, name, None)


_REASONS = {
    'raise ImportError("numpy 9 or less is wanted")': "numpy 9 or less is wanted",
    "import no_such_part": "No module named 'no_such_part'",
    'raise OSError("libpart.so:\\n no such file")': "libpart.so: no such file",
    "import sys; sys.no_such_thing": "module 'sys' has no attribute 'no_such_thing'",
}


@pytest.fixture(params=_REASONS)
def broken(
    request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory
) -> str:
    """Plant libraries that are installed and do not load; return why not."""
    planted = tmp_path_factory.mktemp("planted")
    monkeypatch.setattr(acceleration, "_loaded", {})
    monkeypatch.syspath_prepend(planted)
    for library in LIBRARIES.values():
        (planted / library).mkdir()
        (planted / library / "__init__.py").write_text(request.param, encoding="utf-8")
        for name in [each for each in sys.modules if each.partition(".")[0] == library]:
            monkeypatch.delitem(sys.modules, name)
    return _REASONS[request.param]


def test_these_are_the_extras(root: Path) -> None:
    extras = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]["optional-dependencies"]
    assert {name: [text.split(">=")[0] for text in needs] for name, needs in extras.items() if name != "dev"} == {
        name: [library] for name, library in LIBRARIES.items()
    }


ASKED: dict[str, Callable[[Rig, Path], Any]] = {
    "fast": lambda rig, folder: speed_up(),
    "frames": lambda rig, folder: check(rig).to_frame(),
    "parquet": lambda rig, folder: sweep(rig, _VARIED, out=folder / "x.parquet"),
    "plots": lambda rig, folder: plot(check(rig)),
}


@pytest.mark.parametrize(("extra", "ask"), ASKED.items())
def test_what_is_installed_and_does_not_load_is_named_with_the_reason(
    broken: str, extra: str, ask: Callable[[Rig, Path], Any], tmp_path: Path
) -> None:
    with pytest.raises(MissingExtra) as caught:
        ask(demonstration(), tmp_path)
    told = f"which is installed but does not load ({broken})"
    assert str(caught.value) == f"this needs {LIBRARIES[extra]}, {told}: pip install 'hydrokit[{extra}]'"
    assert list(tmp_path.iterdir()) == []


def test_many_variants_are_solved_without_a_compiler_that_does_not_load(
    broken: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    rig = demonstration()
    levels = np.linspace(-1.0, 0.0, 3)
    few = solve(rig, variation={"sources.pond.surface": levels}).flows.flow
    monkeypatch.setattr(acceleration, "MANY", 2)
    assert broken
    assert not acceleration.worth_compiling(3)
    assert (solve(rig, variation={"sources.pond.surface": levels}).flows.flow == few).all()
    assert sweep(rig, _VARIED).unsolved == 0


@pytest.mark.usefixtures("bare")
@pytest.mark.parametrize(("extra", "ask"), ASKED.items())
def test_what_needs_an_extra_names_it(extra: str, ask: Callable[[Rig, Path], Any], tmp_path: Path) -> None:
    with pytest.raises(MissingExtra) as caught:
        ask(demonstration(), tmp_path)
    assert str(caught.value) == f"this needs {LIBRARIES[extra]}: pip install 'hydrokit[{extra}]'"
    assert list(tmp_path.iterdir()) == []


@pytest.mark.usefixtures("bare")
def test_a_report_goes_on_and_says_why_it_has_no_plots() -> None:
    page = report(demonstration())
    assert "<img" not in page
    assert unescape(page).count("this needs matplotlib: pip install 'hydrokit[plots]'") == 1


@pytest.mark.slow
@pytest.mark.parametrize(
    ("extra", "words"),
    [
        ("parquet", ["sweep", "--vary", "lines.intake.suction-hose.bore=13 mm, 16 mm", "--out", "x.parquet"]),
        ("plots", ["check", "--plot", "x.svg"]),
    ],
)
def test_a_command_names_the_extra_and_writes_nothing(extra: str, words: list[str], tmp_path: Path) -> None:
    done = _hydrokit(tmp_path, *words)
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.count(f"pip install 'hydrokit[{extra}]'") == 1
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.slow
def test_a_check_needs_none(tmp_path: Path) -> None:
    done = _hydrokit(tmp_path, "check", "--json")
    assert (done.returncode, json.loads(done.stdout)["title"]) == (0, "Mill-pond trailer")
