"""The curves of filters that load up, early and late, stand beside each other at the same litres."""

from __future__ import annotations

import re

import numpy as np
import pytest

from hydrokit.files import demonstration, hand_check
from hydrokit.rig import replaced
from hydrokit.sheets import render
from hydrokit.studies import wear


def test_late_figures_are_those_at_the_litres_of_their_row() -> None:
    # a depth filter nine tenths of the way to its end drop holds more by the one law than by the other: two ends
    answer = wear(replaced(demonstration(), {"lines.intake.sediment-5.loading": 0.9}))
    early, late = ([point for point in answer.points if point.curve == name] for name in ("early", "late"))
    assert early[-1].litres > 1.2 * late[-1].litres
    first = late[-1].litres  # when the first of the two curves ends
    left = np.interp(first, [point.litres for point in early], [point.flow for point in early]) * 60e3
    told = " ".join(render(answer).split())
    assert f"{left:.3g} L/min is left of" in told.partition(f"After {first * 1e3:.3g} L, ")[2][:30]
    text = render(answer).partition("As the litres pass")[2].partition("Pressure before")[0]
    rows = [line.split() for line in text.splitlines() if re.match(r" +\d+ ", line)]
    assert len(rows) == len(early)
    litres, flows = [point.litres for point in late], [point.flow for point in late]
    for point, cells in zip(early, rows, strict=True):
        if point.litres <= litres[-1]:
            assert len(cells) == 6
            assert float(cells[2]) / 60e3 == pytest.approx(np.interp(point.litres, litres, flows), rel=1e-3)
        else:  # by then the filter is used up, if drops rise late
            assert len(cells) == 4


def test_a_filter_that_flushes_keep_from_filling_is_not_told_to_lack_figures() -> None:
    membrane = {"dirt_capacity": 0.014, "retains": 1.0, "flush_restores": 0.7}
    known = {"site.turbidity": 6.0, **{f"lines.intake.membrane.{name}": value for name, value in membrane.items()}}
    told = " ".join(render(wear(replaced(hand_check(), known), flush=0.05)).split())
    assert "No filter of which enough is known ever gets full with such flushes. At the end" in told
    assert "cannot be told" not in told
