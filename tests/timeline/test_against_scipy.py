"""Filling and emptying against scipy's integration of the same tanks (see conftest)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from hydrokit.studies.drawing import draw
from hydrokit.studies.filling import fill

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.rig import Rig

WITHIN = 1e-3  # of every time, as promised
FILLS = ("balance", "short balance", "uneven", "backward", "lips", "floats", "through")
DRAWS = ("gravity", "pumped", "level with outlet")
FULL_AT_FLOAT = 0.98


def full_levels(rig: Rig) -> dict[str, float]:
    """Level at which each tank that a line leads to counts as full."""
    levels = {name: tank.depth for name, tank in rig.tanks.items()}
    for line in rig.lines.values():
        for part in line.parts:
            if part.kind == "float valve":
                shut = rig.tanks[line.end].depth if part.shut_level is None else part.shut_level
                levels[line.end] = FULL_AT_FLOAT * shut
    return levels


def close(one: float | None, other: float) -> bool:
    return one is not None and abs(one - other) <= WITHIN * other


@pytest.mark.slow
@pytest.mark.parametrize("name", FILLS)
def test_times_to_fill(name: str, hard_fills: dict[str, Rig], integrated: Callable) -> None:
    rig = hard_fills[name]
    answer = fill(rig)
    start = {row.tank: row.start_level for row in answer.tanks}
    other = integrated(rig, None, start, full_levels(rig), 2.0 * answer.followed_for)
    assert answer.ends == "all full"
    for row in answer.tanks:
        assert close(row.full_after, other.reached[row.tank]), (row.tank, row.full_after, other.reached[row.tank])
        if row.tank in other.brimmed:
            assert close(row.brims_after, other.brimmed[row.tank])
    assert answer.spilled == pytest.approx(sum(other.spilled.values()), rel=1e-2, abs=1e-6)
    assert answer.imbalance < 1e-12


@pytest.mark.slow
@pytest.mark.parametrize("name", DRAWS)
def test_times_to_empty(name: str, hard_draws: dict[str, Rig], integrated: Callable) -> None:
    rig = hard_draws[name]
    answer = draw(rig)
    levels = {row.tank: row.start_level for row in answer.tanks}
    marks = {row.tank: row.outlet_level + 1e-3 for row in answer.tanks}
    other = integrated(rig, None, levels, marks, 2.0 * answer.followed_for)
    assert answer.ends == "empty"
    for row in answer.tanks:
        assert close(row.empty_after, other.reached[row.tank]), (row.tank, row.empty_after, other.reached[row.tank])
    assert answer.imbalance < 1e-12


def test_curves_lie_on_the_integrated_course(hard_fills: dict[str, Rig], integrated: Callable) -> None:
    rig = hard_fills["uneven"]
    answer = fill(rig)
    at = 300.0
    other = integrated(rig, None, {row.tank: 0.0 for row in answer.tanks}, {}, at)
    for row in answer.tanks:
        level = float(np.interp(at, answer.times, row.levels))
        assert level == pytest.approx(other.levels[row.tank], rel=1e-3)
