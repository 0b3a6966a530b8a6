"""Tests run in a process that has loaded all that is slow to load, but nothing of hydrokit's own."""

from __future__ import annotations

import contextlib
import importlib
import os
import pickle
import resource
import signal
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

SLOW_TO_LOAD: Final = (
    *("numpy", "scipy.integrate", "scipy.interpolate", "scipy.optimize", "scipy.sparse.linalg", "scipy.stats"),
    *("fluids", "CoolProp.CoolProp", "pint", "pydantic", "rich.console", "rich.table"),
    *("coverage", "hypothesis", "pytest", "_pytest.assertion.rewrite", "_pytest.doctest"),
)
OPTIONS: Final = (
    *("-x", "-q", "--tb=no", "--no-header", "-p", "no:cacheprovider", "-p", "no:xdist"),
    *("--hypothesis-seed=0", "-W", "ignore::pytest.PytestAssertRewriteWarning"),
)
CRASHED: Final = 99


def warm_up() -> None:
    """Load what every child would."""
    for name in SLOW_TO_LOAD:
        importlib.import_module(name)


def run_tests(files: Sequence[str], *, slow: bool) -> int:
    """Run test files until one fails, with or without what is slow; return pytest's exit code."""
    import pytest

    return int(pytest.main([*OPTIONS, *([] if slow else ["-m", "not slow"]), *files]))


def forked(work: Callable[[], tuple[Any, int]], seconds: float) -> tuple[Any, int, float]:
    """Work in a child of its own, held to seconds of processor time; return result, exit code and seconds spent.

    The exit code is below 0 where the child was stopped, the result None then.
    """
    with tempfile.TemporaryDirectory() as folder:
        told = Path(folder) / "told"
        child = os.fork()
        if child == 0:
            _work(work, seconds, told)
        _, status, usage = os.wait4(child, 0)
        with contextlib.suppress(ProcessLookupError):
            os.killpg(child, signal.SIGKILL)  # what it may have started
        result = pickle.loads(told.read_bytes()) if told.exists() else None  # our own
    return result, os.waitstatus_to_exitcode(status), usage.ru_utime + usage.ru_stime


def _work(work: Callable[[], tuple[Any, int]], seconds: float, told: Path) -> None:
    code = CRASHED
    try:
        os.setsid()
        resource.setrlimit(resource.RLIMIT_CPU, (int(seconds) + 1, int(seconds) + 2))
        sys.dont_write_bytecode = True
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, 1)
        os.dup2(nowhere, 2)
        result, code = work()
        told.write_bytes(pickle.dumps(result))
    finally:
        os._exit(code)
