"""What a plan makes of parts that state only some of their bores."""

from __future__ import annotations

import numpy as np
import pytest

from hydrokit.laws.friction import REST_REYNOLDS
from hydrokit.network import build_plan, solve
from hydrokit.parts import CentrifugalPump, Fitting, Hose, Joint, Outlet, Source
from hydrokit.rig import Line, Rig, Site

LPM = 1.0 / 60_000.0
SITE = Site(density=1000.0, viscosity=1e-3, vapour_pressure=2e3)


@pytest.mark.parametrize("stated", [{"inlet_bore": 0.01}, {"outlet_bore": 0.01}, {}])
def test_a_pump_of_which_only_one_port_is_stated_is_no_place_where_flow_comes_to_rest(stated: dict[str, float]) -> None:
    """Below the Reynolds number of rest in the narrowest bore, 20 mm here, a square law goes on in proportion."""
    pump = CentrifugalPump(name="pump", heads=((0.0, 12.0), (40 * LPM, 5.0)), **stated)
    rig = Rig(
        site=SITE,
        sources={"pond": Source(surface=0.0)},
        outlets={"end": Outlet(height=2.0)},
        lines={"run": Line(start="pond", end="end", parts=(Hose(bore=0.02, length=2.0), pump, Hose(bore=0.02, length=2.0)))},
    )  # fmt: skip
    plan = build_plan(rig)
    at = [element.kind for element in plan.elements].index("centrifugal pump")
    assert not np.isfinite(plan.element_losses.rest_flow[0, at])
    narrowest = 0.01 if stated else 0.02  # the change of bore at the port that is stated
    assert plan.losses.rest_flow[0, 0] == pytest.approx(REST_REYNOLDS * np.pi * narrowest * 1e-6 / 4.0, rel=1e-12)


def test_water_leaves_a_joint_at_the_speed_of_the_first_bore_of_its_line() -> None:
    rig = Rig(
        site=SITE,
        sources={"barrel": Source(surface=5.0)},
        joints={"split": Joint(height=1.0)},
        outlets={"tap": Outlet(height=0.0)},
        lines={
            "in": Line(start="barrel", end="split", parts=(Fitting(bore=0.03, k=1.0),)),
            "out": Line(start="split", end="tap", parts=(Fitting(bore=0.02, k=2.0), Fitting(bore=0.01, k=1.0))),
        },
    )
    solution = solve(rig)
    first = solution.plan.stations.begins[1]
    assert solution.walk.velocity[0, first] == pytest.approx(
        solution.flow("out")[0] * 4.0 / (np.pi * 0.02**2), rel=1e-12
    )
