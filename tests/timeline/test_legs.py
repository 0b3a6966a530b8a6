"""The record of a course, from steps made by hand."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from hydrokit.timeline.legs import Legs


def test_between_steps_volumes_run_on_and_flows_that_jump_are_those_after() -> None:
    """Ten seconds at 0.2 m³/s, then five of nothing."""
    full, half = np.array([3.0]), np.array([1.0])
    legs = Legs(
        begins=[0.0, 10.0], seconds=[10.0, 5.0], before=[half, full], after=[full, full],
        rate=[np.array([0.2]), np.zeros(1)], last_rate=[np.array([0.2]), np.zeros(1)],
        flows=[np.full((4, 1), 0.2), np.zeros((4, 1))],
    )  # fmt: skip
    volumes, flows = legs.at(np.array([0.0, 5.0, 10.0, 15.0]))
    assert legs.times().tolist() == [0.0, 10.0, 15.0]
    assert volumes[:, 0] == pytest.approx([1.0, 2.0, 3.0, 3.0])
    assert flows[:, 0] == pytest.approx([0.2, 0.2, 0.0, 0.0])


def test_a_tank_that_brims_stays_full_throughout_a_step() -> None:
    now: Any = SimpleNamespace(
        brimming=np.array([[True]]), time=np.zeros(1), seconds=np.array([5.0]), volume=np.array([[3.0]]), net=np.zeros((1, 1))
    )  # fmt: skip
    taken: Any = SimpleNamespace(
        volume=np.array([[4.0]]), inflow=np.array([[0.2]]), flows=[np.array([[0.2]]) for _ in range(4)]
    )
    legs = Legs()
    legs.add(now, taken)
    assert legs.at(np.array([0.0, 2.0, 4.0, 5.0]))[0][:, 0].tolist() == [3.0] * 4
