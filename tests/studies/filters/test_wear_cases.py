"""Filters that are part-used from the start, by both laws under which their drop may rise."""

from __future__ import annotations

import numpy as np
import pytest

from hydrokit.parts import Filter, Outlet, Source
from hydrokit.rig import Line, Rig, Site
from hydrokit.studies import wear

LPM = 1 / 60e3


def element(name: str, **more) -> Filter:
    """Return a filter that is wholly viscous: 20 kPa at 10 L/min when new, five times that at its end, 50 g."""
    given = {
        "points": ((5 * LPM, 10e3), (10 * LPM, 20e3)),
        "end_drop": ((10 * LPM, 100e3),),
        "element": "depth",
        "dirt_capacity": 0.05,
        "retains": 0.5,
    }
    return Filter(name=name, **{**given, **more})


def test_a_filter_that_is_part_used_lasts_longer_by_one_law_than_by_the_other() -> None:
    parts = element("first", loading=0.5), element("behind", dirt_capacity=0.1)
    answer = wear(
        Rig(
            site=Site(turbidity=20.0, solids_per_ntu=1e-3),
            sources={"main": Source(surface=0.0, pressure=1e5)},
            outlets={"end": Outlet(height=0.0)},
            lines={"through": Line(start="main", end="end", parts=parts)},
        )
    )
    first, behind = answer.filters
    # by hand: the resistance is three times that when new; ln 3 / ln 5 of its solids are in it by the one law,
    # (1 - 3^-0.5) / (1 - 5^-0.5) by the other; of 20 g/m³ half stay, of what is left half in the next
    left = 1 - np.log(3) / np.log(5), 1 - (1 - 3**-0.5) / (1 - 5**-0.5)
    assert (first.likely, first.most) == pytest.approx((0.05 * min(left) / 0.01, 0.05 * max(left) / 0.01))
    assert (first.least, first.caught) == pytest.approx((first.likely, 0.05))
    assert behind.caught == pytest.approx(0.005 * first.likely)  # what has come to it when the first is full
