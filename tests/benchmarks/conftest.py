"""What the benchmarks have measured, put together as one table of ratios at the end of the run."""

from __future__ import annotations

import os
import platform
import re
import sys
from dataclasses import replace
from importlib.metadata import version
from math import log
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from hydrokit.files import demonstration
from hydrokit.network import acceleration
from hydrokit.parts import PoweredPump

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from hydrokit.rig import Rig

MEASURED: dict[str, float] = {}
"""Least seconds of each thing timed, or the figure itself of what is no time."""
DEVELOPERS = Path(__file__).parents[2] / "DEVELOPERS.md"
_BLOCK = re.compile(r"(?<=<!-- benchmarks -->\n).*?(?=<!-- end of benchmarks -->)", re.DOTALL)
_ROWS: list[tuple[str, str, str, str, int]] = [
    # what is measured, its name, what it is held against, its name, how many of that it does
    ("one warm solve", "one solve", "fsolve script over fluids", "script", 1),
    ("one warm solve, compiled", "one solve compiled", "fsolve script over fluids", "script", 1),
    ("one warm solve on its battery", "one solve on battery", "", "", 1),
    ("compile the rig for the solver", "compile", "", "", 1),
    ("walk along every line", "walk", "", "", 1),
    ("20,000 variants", "batch", "20,000 runs of the script", "script", 20_000),
    ("20,000 variants, compiled", "batch compiled", "20,000 runs of the script", "script", 20_000),
    ("network of 49 joints", "grid 7", "scipy.optimize.root", "root 7", 1),
    ("network of 49 joints", "grid 7", "scipy's newton_krylov", "krylov 7", 1),
    ("network of 100 joints", "grid 10", "scipy.optimize.root", "root 10", 1),
    ("network of 1,024 joints", "grid 32", "", "", 1),
    ("network of 10,000 joints", "grid 100", "", "", 1),
    ("twin tanks filled, with events", "fill", "", "", 1),
    ("the same through a short balance line", "fill short", "", "", 1),
    ("whole answer of fill", "answer fill", "", "", 1),
    ("1,000 fills at once", "thousand fills", "1,000 single ones", "fill short", 1_000),
    ("hydrokit check, whole process", "process check", "", "", 1),
    ("hydrokit --help, whole process", "process help", "", "", 1),
    ("import hydrokit, whole process", "process import", "", "", 1),
]
_FIGURES = [
    ("peak memory of a sweep of 100,000 variants, MiB", "sweep memory", "{:.0f}"),
    ("the same of 20,000 variants, MiB", "sweep memory small", "{:.0f}"),
]


@pytest.fixture
def timed(benchmark: Any) -> Callable[..., Any]:
    """Return the function that times a call under a name, and gives its result."""

    def measure(name: str, call: Callable[..., Any], *arguments: Any, rounds: int | None = None) -> Any:
        many = {} if rounds is None else {"rounds": rounds}
        result = benchmark.pedantic(call, arguments, **many) if many else benchmark(call, *arguments)
        if benchmark.stats is not None:
            MEASURED[name] = float(benchmark.stats.stats.min)
        return result

    return measure


@pytest.fixture
def measured() -> dict[str, float]:
    """Return what has been measured so far."""
    return MEASURED


@pytest.fixture
def measuring(pytestconfig: pytest.Config) -> bool:
    """Return whether this run measures, or only sees that the benchmarks run."""
    return not pytestconfig.getoption("benchmark_disable") or bool(pytestconfig.getoption("benchmark_enable"))


@pytest.fixture(autouse=True)
def _as_before() -> Iterator[None]:
    before = dict(acceleration._loaded)
    yield
    acceleration._loaded.clear()
    acceleration._loaded.update(before)


@pytest.fixture
def plain(monkeypatch: pytest.MonkeyPatch) -> None:
    """Solve without the extra ``fast``."""
    monkeypatch.setattr(acceleration, "_loaded", {})
    monkeypatch.setitem(sys.modules, "numba", None)


@pytest.fixture
def fast() -> None:
    """Solve with the extra ``fast``."""
    acceleration.speed_up()


@pytest.fixture(scope="session")
def rig() -> Rig:
    """Return the demonstration rig off its battery: the script knows nothing of electricity."""
    return _off_its_battery(demonstration())


@pytest.fixture(scope="session")
def off_its_battery() -> Callable[[Rig], Rig]:
    return _off_its_battery


def _off_its_battery(rig: Rig) -> Rig:
    lines = {
        name: replace(
            line,
            parts=tuple(replace(part, battery="") if isinstance(part, PoweredPump) else part for part in line.parts),
        )
        for name, line in rig.lines.items()
    }
    return replace(rig, lines=lines)


def _time(seconds: float) -> str:
    for size, unit in ((1.0, "s"), (1e-3, "ms")):
        if seconds >= size:
            return f"{seconds / size:.3g} {unit}"
    return f"{seconds * 1e6:.3g} µs"


def _table() -> list[str]:
    rows = ["| what | takes | held against | times as fast |", "|---|---|---|---|"]
    for what, name, against, other, count in _ROWS:
        if name in MEASURED:
            ratio = f"{MEASURED[other] * count / MEASURED[name]:.3g}" if other in MEASURED else ""
            taken = f"{against}: {_time(MEASURED[other] * count)}" if other in MEASURED else ""
            rows.append(f"| {what} | {_time(MEASURED[name])} | {taken} | {ratio} |")
    if "grid 10" in MEASURED and "grid 100" in MEASURED:
        power = log(MEASURED["grid 100"] / MEASURED["grid 10"]) / log(100.0)
        rows.append(f"| time from 100 to 10,000 joints grows as size to the power | {power:.2f} | | |")
    rows += [f"| {what} | {form.format(MEASURED[name])} | | |" for what, name, form in _FIGURES if name in MEASURED]
    return rows


def _machine() -> str:
    names = ", ".join(f"{name} {version(name)}" for name in ("numpy", "scipy", "fluids", "numba"))
    return f"{platform.machine()}, {os.cpu_count()} cores, {platform.system()}; Python {platform.python_version()}, {names}."


def pytest_terminal_summary(terminalreporter: Any) -> None:
    """Print the table; a whole run puts it into DEVELOPERS.md."""
    if not MEASURED:
        return
    table = "\n".join(_table())
    terminalreporter.write_line(f"\n{_machine()}\n\n{table}")
    if all(name in MEASURED for _, name, *_ in _ROWS):
        text = DEVELOPERS.read_text(encoding="utf-8")
        made = _BLOCK.sub(lambda _: f"{_machine()} Least of several runs, one core.\n\n{table}\n", text)
        DEVELOPERS.write_text(made, encoding="utf-8")
