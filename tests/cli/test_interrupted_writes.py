"""Writing that is killed, interrupted, too large for the disk or forbidden: the old file is whole, nothing else is left."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

CHILD = Path(__file__).with_name("interrupted.py")
WORDS = ("new", "report", "sweep", "drawing", "plot")
pytestmark = [pytest.mark.slow, pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are forked")]


@pytest.fixture(scope="module")
def ended(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """Return how each command ended, in each trouble."""
    from hydrokit.files import hand_check, write_rig

    folder = tmp_path_factory.mktemp("writing")
    folder.parent.chmod(0o755)
    folder.parent.parent.chmod(0o755)
    (folder / "rig.toml").write_text(write_rig(hand_check()), encoding="utf-8")
    done = subprocess.run(
        [sys.executable, CHILD, "killed", "interrupted", "full", "locked"],
        cwd=folder, capture_output=True, text=True, encoding="utf-8", check=False, timeout=120,
        env={**os.environ, "OPENBLAS_NUM_THREADS": "1"},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return dict(json.loads(done.stdout.splitlines()[-1]))


@pytest.mark.parametrize("word", WORDS)
@pytest.mark.parametrize(("trouble", "code"), [("killed", -9), ("interrupted", 130), ("full", 2), ("locked", 2)])
def test_the_old_file_is_whole_and_nothing_else_is_left(
    ended: dict[str, Any], word: str, trouble: str, code: int
) -> None:
    found = ended[f"{word} {trouble}"]
    assert found["code"] == code
    assert found["whole"]
    begun = (
        {"made.csv.unfinished": ""} if (word, trouble) == ("sweep", "killed") else {}
    )  # the same command goes on there
    assert found["left"] == begun
