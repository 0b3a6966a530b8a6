"""What pyproject.toml allows stands in one place; the files of pinned versions agree with it."""

from __future__ import annotations

import re
import tomllib
from typing import TYPE_CHECKING

from packaging.version import Version

if TYPE_CHECKING:
    from pathlib import Path

_BOUND = re.compile(r"([\w-]+)>=(\d[\d.]*)")
_PIN = re.compile(r"([\w.-]+)==(\d[\w.]*)")


def _allowed(root: Path) -> list[tuple[str, str]]:
    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = project["optional-dependencies"].values()
    found = [
        _BOUND.fullmatch(text) for text in [*project["dependencies"], *(text for extra in extras for text in extra)]
    ]
    assert all(found)
    return [(each[1].lower(), each[2]) for each in found if each]


def _pinned(file: Path) -> dict[str, str]:
    lines = [line for line in file.read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")]
    found = [_PIN.fullmatch(line) for line in lines]
    assert all(found), [line for line, each in zip(lines, found, strict=True) if not each]
    return {each[1].lower(): each[2] for each in found if each}


def test_a_dependency_has_one_lower_bound(root: Path) -> None:
    assert len(set(_allowed(root))) == len(dict(_allowed(root))) > 20


def test_lowest_versions_are_the_lower_bounds(root: Path) -> None:
    lowest = _pinned(root / "constraints-lowest.txt")
    assert {name: Version(pin) for name, pin in lowest.items()} == {
        name: Version(bound) for name, bound in _allowed(root)
    }


def test_pinned_versions_are_allowed(root: Path) -> None:
    pins = _pinned(root / "constraints.txt")
    assert {name for name, bound in _allowed(root) if Version(pins[name]) < Version(bound)} == set()
