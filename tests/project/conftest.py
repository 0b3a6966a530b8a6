from __future__ import annotations

from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="session")
def root() -> Path:
    """Return the folder of the project."""
    return ROOT
