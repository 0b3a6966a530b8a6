from __future__ import annotations

from hydrokit.errors import Mistake
from hydrokit.sheets import render_mistakes


def test_of_very_many_mistakes_the_first_hundred_are_told() -> None:
    text = render_mistakes([Mistake("bore", "nothing", "bore", line=line) for line in range(1, 251)])
    assert text.startswith("250 mistakes; nothing was computed.\n")
    assert "line 100, bore" in text
    assert "line 101, bore" not in text
    assert text.endswith("and 150 more, for when these are mended; --json lists them all.\n")
