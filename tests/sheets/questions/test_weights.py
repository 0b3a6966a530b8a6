"""The table of weights: what is left out, in the words of one part and of several."""

from __future__ import annotations

from dataclasses import replace

import pytest

from hydrokit import check, demonstration
from hydrokit.sheets.page import Page
from hydrokit.sheets.questions.weights import lay_weights
from hydrokit.sheets.view import View


@pytest.mark.parametrize(
    ("left_out", "told"),
    [
        (0, "at rest. Weigh it"),
        (1, "at rest. 1 part states no mass and is left out. Weigh it"),
        (2, "at rest. 2 parts state no mass and are left out. Weigh it"),
    ],
)
def test_parts_without_mass_are_counted(left_out: int, told: str) -> None:
    weights = check(demonstration()).weights
    assert weights is not None
    page = Page(80)
    lay_weights(page, replace(weights, left_out=left_out), View("metric"))
    assert told in " ".join(page.text().split())
