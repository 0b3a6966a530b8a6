"""What to measure first, on samples whose outcomes are known by hand."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from hydrokit.bounds import Dimension
from hydrokit.studies.chance.foremost import foremost
from hydrokit.studies.chance.uncertain import Uncertain

if TYPE_CHECKING:
    from hydrokit.studies.chance.foremost import MeasureFirst

COUNT = 1000
LONG = np.arange(1.0, COUNT + 1.0)  # from the shortest to the longest, in no order that the other follows
OTHER = np.random.default_rng(2).permutation(LONG)
DRAWN = {"hose.length": LONG, "pond.surface": OTHER}
INPUTS = [
    Uncertain(address=address, dimension=Dimension.LENGTH, value=500.0, spread=500.0, low=0.0, high=1001.0)
    for address in DRAWN
]


def first(
    margins: dict[str, np.ndarray], figures: dict[str, np.ndarray], known: np.ndarray = LONG
) -> MeasureFirst | None:
    return foremost(INPUTS, DRAWN, figures, margins, lambda _name, _address: known)


def test_it_is_what_moves_the_limit_most_in_doubt() -> None:
    margins = {"hardly": LONG - 30.5, "doubtful": 400.5 - LONG, "never": LONG, "always": -LONG}
    found = first(margins, {"flow": OTHER})
    assert found is not None
    assert (found.address, found.moves, found.in_doubt) == ("hose.length", "doubtful", True)
    assert found.correlation == pytest.approx(-1.0)
    # a longer hose harms: none fails up to 400, every one from 401
    assert (found.sure_from, found.lost_from) == (401.0, 400.0)


def test_where_it_helps_the_limit_more_of_it_is_sure() -> None:
    found = first({"doubtful": LONG - 600.5}, {})
    assert found is not None
    assert found.correlation == pytest.approx(1.0)
    assert (found.sure_from, found.lost_from) == (600.0, 601.0)


@pytest.mark.parametrize(("failing", "told"), [(9, False), (10, True)])
def test_of_less_than_a_hundredth_of_the_samples_it_is_not_said_that_all_fail(failing: int, told: bool) -> None:
    found = first({"doubtful": LONG - failing - 0.5}, {})
    assert found is not None
    assert found.sure_from == failing
    assert found.lost_from == (failing + 1.0 if told else None)


def test_where_no_limit_is_in_doubt_it_is_what_moves_the_first_figure_that_varies() -> None:
    found = first({"never": LONG, "always": -LONG}, {"constant": np.ones(COUNT), "flow": 2.0 * OTHER + 0.1 * LONG})
    assert found is not None
    assert (found.address, found.moves, found.in_doubt) == ("pond.surface", "flow", False)
    assert (found.sure_from, found.lost_from) == (None, None)


def test_where_nothing_moves_anything_there_is_nothing_to_measure() -> None:
    assert first({"never": np.ones(COUNT)}, {"flow": np.full(COUNT, 2.0)}) is None


def test_what_it_narrows_to_is_the_range_between_the_fifth_and_the_ninety_fifth_of_a_hundred() -> None:
    """Of 1 to 1000 squared: 950^2 - 50^2 = 900,000; known, of 1 to 1000 alone: 900."""
    found = first({}, {"flow": LONG**2}, known=LONG)
    assert found is not None
    assert found.narrows_to == pytest.approx(900.0 / 900_000.0, rel=1e-12)
    endless = first({}, {"time": np.where(LONG > 900.0, np.inf, LONG)}, known=LONG)
    assert endless is not None
    assert endless.narrows_to == 1.0
