"""Times to fill beside other questions: none where the flow that they count on never comes."""

from __future__ import annotations

import numpy as np
import pytest

from hydrokit.files import demonstration
from hydrokit.network import solve
from hydrokit.rules import State
from hydrokit.studies import compare, envelope, fill
from hydrokit.studies.chance.sampled import outcomes_of
from hydrokit.studies.course.times_to_fill import fill_times_if_known
from hydrokit.studies.facts.usable import usable

PARTS = ("sediment-20", "sediment-5", "carbon", "membrane")
"""Worn all together, they make the pressure switch of the pump hunt."""


def worn(*loadings: float) -> dict[str, np.ndarray]:
    return {f"lines.intake.{part}.loading": np.array(loadings) for part in PARTS}


def test_no_time_is_told_of_a_variant_whose_pump_is_held_back() -> None:
    values = worn(0.0, 1.0)
    state = State(solve(demonstration(), "filling", values))
    times = fill_times_if_known(state, usable(state), values, {})
    assert times[0] == pytest.approx(fill(demonstration()).full_after)
    assert np.isnan(times[1])


def test_nothing_is_followed_where_every_variant_is_held_back() -> None:
    values, unknown = worn(1.0, 1.1), dict[str, None]()
    state = State(solve(demonstration(), "filling", values))
    assert np.isnan(fill_times_if_known(state, usable(state), values, unknown)).all()
    assert not unknown


def test_samples_that_are_held_back_have_neither_time_nor_energy() -> None:
    found = outcomes_of(demonstration(), "filling", worn(0.0, 0.5, 1.0), 3)
    assert np.isfinite(found.fill_time).tolist() == [True, True, False]
    assert np.isfinite(found.energy).tolist() == [True, True, False]


def test_corners_and_sides_that_are_held_back_have_no_time() -> None:
    for corner in envelope(demonstration()).corners:
        assert (corner.fill_time is None) == (corner.loading == 1.0)
    changed = {address: float(value[0]) for address, value in worn(1.0).items()}
    assert [side.fill_time for side in compare(demonstration(), demonstration(), changed=changed).sides] == [None, None]
