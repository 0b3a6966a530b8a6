from __future__ import annotations

import re
import shlex
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from hydrokit_cli.listing import COMMANDS
from hydrokit_cli.main import main

if TYPE_CHECKING:
    from pathlib import Path


def test_the_readme_shows_what_the_commands_print(root: Path) -> None:
    done = subprocess.run(
        [sys.executable, root / "tests" / "project" / "readme.py", "--check"],
        cwd=root,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr


BLOCK = re.compile(r"^```(\w*)\n(.*?)^```", re.MULTILINE | re.DOTALL)


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md", "CHANGELOG.md"])
def test_every_block_of_code_is_of_a_kind_that_a_test_runs(root: Path, name: str) -> None:
    text = (root / name).read_text(encoding="utf-8")
    kinds = {"sh", "console", "python"} if name == "README.md" else set()
    assert {kind for kind, _ in BLOCK.findall(text)} == kinds
    for kind, block in BLOCK.findall(text):
        assert kind != "python" or block.startswith(">>> "), "a doctest runs only what stands behind >>>"
        assert kind != "console" or block.startswith("$ hydrokit ")


def test_what_the_readme_says_to_type_runs(root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = (root / "README.md").read_text(encoding="utf-8")
    blocks = [block for kind, block in BLOCK.findall(text) if kind == "sh"]
    typed = [shlex.split(line, comments=True) for block in blocks for line in block.splitlines()]
    targets = set(re.findall(r"^(\w+):", (root / "Makefile").read_text(encoding="utf-8"), re.MULTILINE))
    assert {words[1] for words in typed if words[0] == "make"} <= targets
    monkeypatch.chdir(tmp_path)
    ours = [words[1:] for words in typed if words[0] == "hydrokit"]
    assert len(ours) >= 3
    assert [main(words) for words in ours] == [0] * len(ours)


def test_the_commands_that_texts_speak_of_are_there(root: Path) -> None:
    for name in ("README.md", "DEVELOPERS.md", "CHANGELOG.md"):
        text = (root / name).read_text(encoding="utf-8")
        spoken = re.findall(r"`hydrokit (\w+)[^`]*`", text)
        assert [word for word in spoken if word not in COMMANDS] == []


def test_the_readme_names_every_command(root: Path) -> None:
    text = (root / "README.md").read_text(encoding="utf-8")
    assert "```console\n$ hydrokit check\nBuilt-in demonstration rig" in text
    assert [name for name in COMMANDS if f"`{name}`" not in text] == []


def test_the_map_for_developers_names_every_room(root: Path) -> None:
    text = (root / "DEVELOPERS.md").read_text(encoding="utf-8")
    rooms = {path.name for path in (root / "hydrokit").iterdir() if (path / "__init__.py").exists()}
    assert len(rooms) > 10
    assert [room for room in rooms if f"`{room}/`" not in text] == []
