from __future__ import annotations

import subprocess
import sys
from typing import TYPE_CHECKING

from hydrokit_cli.listing import COMMANDS

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


def test_the_readme_names_every_command(root: Path) -> None:
    text = (root / "README.md").read_text(encoding="utf-8")
    assert "```console\n$ hydrokit check\nBuilt-in demonstration rig" in text
    assert [name for name in COMMANDS if f"`{name}`" not in text] == []


def test_the_map_for_developers_names_every_room(root: Path) -> None:
    text = (root / "DEVELOPERS.md").read_text(encoding="utf-8")
    rooms = {path.name for path in (root / "hydrokit").iterdir() if (path / "__init__.py").exists()}
    assert len(rooms) > 10
    assert [room for room in rooms if f"`{room}/`" not in text] == []
