"""What a solution says of itself."""

from __future__ import annotations

import numpy as np

from hydrokit.network import solve
from hydrokit.parts import Hose, Outlet, Source
from hydrokit.rig import Line, Rig


def test_it_names_its_rig_its_variants_and_its_lines() -> None:
    rig = Rig(
        title="Rain barrel",
        sources={"barrel": Source(surface=1.0)},
        outlets={"tap": Outlet(height=0.0)},
        lines={"feed": Line(start="barrel", end="tap", parts=(Hose(length=2.0, bore=0.02),))},
    )
    assert repr(solve(rig)) == "<Solution of 'Rain barrel': 1 variant, lines feed>"
    two = solve(rig, None, {"sources.barrel.surface": np.array([1.0, 2.0])})
    assert repr(two) == "<Solution of 'Rain barrel': 2 variants, lines feed>"
