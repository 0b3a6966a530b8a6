from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hydrokit.errors import InputError
from hydrokit.files import read_rig

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.errors import Mistake

SMALL = """format = 1
[sources.pond]
surface = "0 m"
[tanks.near]
volume = "60 L"
floor = "1 m"
depth = "0.4 m"
[lines.intake]
from = "pond"
to = "near"
parts = [
  { part = "hose", bore = "19 mm", length = "6 m" },
]
"""


@pytest.fixture
def small() -> str:
    return SMALL


@pytest.fixture
def mistakes() -> Callable[[str], list[Mistake]]:
    def read(text: str) -> list[Mistake]:
        with pytest.raises(InputError) as caught:
            read_rig(text, place="rig.toml")
        return list(caught.value.mistakes)

    return read
