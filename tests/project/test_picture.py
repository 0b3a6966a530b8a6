"""The picture in README.md is what the commands draw now."""

from __future__ import annotations

import re
import runpy
from importlib.metadata import version
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from pathlib import Path

NUMBER = re.compile(r"(?:(?<![\w#.])|(?<=[MLHV]))-?\d+(?:\.\d+)?(?:(?![\w.])|(?=[MLHVZ]))")

NAMES = ("pump-against-its-rig.svg", "mill-pond-trailer.svg")


@pytest.mark.parametrize("name", NAMES)
def test_a_picture_in_the_readme_is_drawn_anew(root: Path, tmp_path: Path, name: str) -> None:
    pinned = re.search(r"^matplotlib==(\d+\.\d+)", (root / "constraints.txt").read_text(encoding="utf-8"), re.MULTILINE)
    assert pinned
    if name == NAMES[0] and not version("matplotlib").startswith(f"{pinned[1]}."):
        pytest.skip(f"drawn with matplotlib {pinned[1]}; others shape letters otherwise, and lay out by them")
    pictures = runpy.run_path(str(root / "tests" / "project" / "picture.py"))["PICTURES"]
    file = root / "notebooks" / name
    pictures[file](tmp_path / "now.svg")
    kept, now = (path.read_text(encoding="utf-8") for path in (file, tmp_path / "now.svg"))
    assert NUMBER.sub("0", kept) == NUMBER.sub("0", now), "run: make readme"
    numbers = [[float(each) for each in NUMBER.findall(text)] for text in (kept, now)]
    assert numbers[0] == pytest.approx(numbers[1], abs=0.01)  # points of 1/72 inch: no eye can tell
    assert file.stat().st_size < 60_000


def test_the_readme_shows_every_picture(root: Path) -> None:
    pictures = runpy.run_path(str(root / "tests" / "project" / "picture.py"))["PICTURES"]
    assert {path.name for path in pictures} == set(NAMES)
    text = (root / "README.md").read_text(encoding="utf-8")
    assert [name for name in NAMES if f"](notebooks/{name})" not in text] == []
