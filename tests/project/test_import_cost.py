"""What a fresh process loads: the heavy libraries stay out until they are needed."""

from __future__ import annotations

import subprocess
import sys

import pytest

HEAVY = (
    "CoolProp",
    "pint",
    "matplotlib",
    "pandas",
    "numba",
    "scipy.optimize",
    "scipy.sparse",
    "scipy.integrate",
    "scipy.interpolate",
)
_AFTER = "import sys; print('\\n'.join(sys.modules))"
_COMMAND = "from hydrokit_cli.main import main; assert main({arguments!r}) == 0"


def _loaded(code: str) -> set[str]:
    done = subprocess.run(
        [sys.executable, "-c", f"{code}\n{_AFTER}"], capture_output=True, text=True, encoding="utf-8", check=True
    )
    return set(done.stdout.splitlines())


def test_importing_hydrokit_loads_nothing_else_of_weight() -> None:
    loaded = _loaded("import hydrokit")
    assert [name for name in (*HEAVY, "numpy", "scipy", "fluids", "pydantic", "rich", "click") if name in loaded] == []


def test_help_loads_click_only() -> None:
    loaded = _loaded(_COMMAND.format(arguments=["--help"]))
    assert "click" in loaded
    assert [name for name in (*HEAVY, "numpy", "scipy", "fluids", "pydantic", "rich") if name in loaded] == []


@pytest.mark.parametrize("arguments", [["check"], ["check", "--json"]])
def test_check_of_the_demonstration_rig_loads_nothing_heavy(arguments: list[str]) -> None:
    loaded = _loaded(_COMMAND.format(arguments=arguments))
    assert "hydrokit.studies" in loaded
    assert [name for name in HEAVY if name in loaded] == []


def test_check_loads_no_other_question_and_no_second_method() -> None:
    loaded = _loaded(_COMMAND.format(arguments=["check"]))
    others = ("sweeping", "spreading", "diagnosing", "matching", "wearing", "comparing", "lifting")
    assert "hydrokit.studies.checking" in loaded
    assert [name for name in others if f"hydrokit.studies.{name}" in loaded] == []
    assert "hydrokit.verifying" not in loaded
