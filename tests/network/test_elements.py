"""Losses of single elements, worked out beside the network."""

from __future__ import annotations

import numpy as np
import pytest
from fluids.friction import friction_factor

from hydrokit.network import solve
from hydrokit.parts import Fitting, HoseTail, Outlet, Source
from hydrokit.rig import Line, Rig, Site


def test_a_hose_tail_rubs_like_drawn_tubing_of_its_length() -> None:
    """h = f L / D v^2 / 2g (Darcy and Weisbach) with a roughness of 1.5 micrometres: White, table 6.1, drawn tubing, from memory."""
    bore, length = 0.0095, 0.05
    rig = Rig(
        site=Site(density=1000.0, viscosity=1e-3, vapour_pressure=2e3),
        sources={"barrel": Source(surface=2.0)},
        outlets={"tap": Outlet(height=0.0)},
        lines={"feed": Line(start="barrel", end="tap", parts=(HoseTail(bore=bore, length=length), Fitting(bore=bore, k=5.0)))},
    )  # fmt: skip
    solution = solve(rig)
    speed = float(solution.flow("feed")[0]) * 4.0 / (np.pi * bore**2)
    rubbing = friction_factor(Re=speed * bore / 1e-6, eD=1.5e-6 / bore) * length / bore
    tail = [element.kind for element in solution.plan.elements].index("hose tail")
    assert solution.walk.loss[0, tail] == pytest.approx(rubbing * speed**2 / (2.0 * 9.80665), rel=1e-4)
