from __future__ import annotations

import numpy as np
import pytest

from hydrokit.errors import RangeError
from hydrokit.laws.vortex import submergence_wanted


def test_the_rule_in_inches_and_us_gallons() -> None:
    # ANSI/HI 9.8 in US units: S = D + 0.574 Q / D^1.5, inches and US gal/min (from memory); 1000 gal/min, 12 inch bell.
    inch, gallon_per_minute = 0.0254, 3.785411784e-3 / 60.0
    expected = 12.0 + 0.574 * 1000.0 / 12.0**1.5
    found = submergence_wanted(flow=1000.0 * gallon_per_minute, bore=12.0 * inch) / inch
    assert found == pytest.approx(expected, rel=1e-3)


def test_at_rest_one_bore_is_still_asked_for() -> None:
    assert submergence_wanted(flow=0.0, bore=0.019) == 0.019


def test_a_wider_mouth_needs_less_depth_where_it_runs_fast() -> None:
    depth = submergence_wanted(flow=2e-4, bore=np.array([0.0125, 0.019, 0.025]))
    assert (np.diff(depth) < 0.0).all()


def test_flow_out_of_the_mouth_is_refused() -> None:
    with pytest.raises(RangeError, match=r"^flow: found -1"):
        submergence_wanted(flow=-1.0, bore=0.02)
