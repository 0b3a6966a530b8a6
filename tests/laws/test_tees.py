"""Tees with split flow: against fluids, limits of the split, and what is refused."""

from __future__ import annotations

import fluids
import numpy as np
import pytest

from hydrokit.errors import InputError, RangeError
from hydrokit.laws.tees import tee_k

LAWS = {
    "joining": (fluids.K_run_converging_Crane, fluids.K_branch_converging_Crane),
    "dividing": (fluids.K_run_diverging_Crane, fluids.K_branch_diverging_Crane),
}


@pytest.mark.parametrize("flow", ["joining", "dividing"])
@pytest.mark.parametrize("branch_bore", [0.012, 0.019, 0.025])
@pytest.mark.parametrize("share", [0.0, 0.2, 0.5, 0.9, 1.0])
@pytest.mark.parametrize("degrees", [30.0, 60.0, 90.0])
def test_against_fluids(flow, branch_bore, share, degrees) -> None:
    total, bore = 3e-4, 0.025
    k = tee_k(
        run_flow=total * (1.0 - share),
        branch_flow=total * share,
        run_bore=bore,
        branch_bore=branch_bore,
        flow=flow,
        angle=np.deg2rad(degrees),
    )
    run, branch = (law(bore, branch_bore, total * (1.0 - share), total * share, degrees) for law in LAWS[flow])
    assert k.run == pytest.approx(run, rel=1e-9, abs=1e-12)
    assert k.branch == pytest.approx(branch, rel=1e-9, abs=1e-12)


def test_a_little_water_joining_is_dragged_along() -> None:
    k = tee_k(run_flow=1e-3, branch_flow=1e-5, run_bore=0.025, branch_bore=0.025, flow="joining")
    assert k.branch < 0.0 < k.run


def test_at_rest_gives_a_finite_k() -> None:
    k = tee_k(run_flow=np.zeros(2), branch_flow=0.0, run_bore=0.025, branch_bore=0.019, flow="dividing")
    assert np.isfinite(k.run).all()
    assert np.isfinite(k.branch).all()


def test_array_gives_the_numbers_of_floats() -> None:
    branch = np.array([1e-5, 2e-4, 3e-4])
    many = tee_k(run_flow=1e-4, branch_flow=branch, run_bore=0.025, branch_bore=0.019, flow="dividing")
    for index, part in enumerate(branch.tolist()):
        one = tee_k(run_flow=1e-4, branch_flow=part, run_bore=0.025, branch_bore=0.019, flow="dividing")
        assert (many.run[index], many.branch[index]) == (one.run, one.branch)
    assert type(one.branch) is float


@pytest.mark.parametrize(
    ("changed", "place"),
    [
        ({"run_flow": -1e-5}, "run_flow"),
        ({"branch_flow": float("nan")}, "branch_flow"),
        ({"run_bore": 0.0}, "run_bore"),
        ({"branch_bore": 0.03}, "branch_bore / run_bore"),
        ({"angle": np.deg2rad(29.0)}, "angle"),  # fluids: 30 to 90 degrees
        ({"angle": np.deg2rad(91.0)}, "angle"),
    ],
)
def test_outside_the_law_is_refused(changed, place) -> None:
    sound = {"run_flow": 1e-4, "branch_flow": 1e-4, "run_bore": 0.025, "branch_bore": 0.019, "flow": "joining"}
    with pytest.raises(RangeError) as caught:
        tee_k(**(sound | changed))
    assert caught.value.mistakes[0].place == place


def test_unknown_flow_tells_the_nearest() -> None:
    with pytest.raises(InputError, match="write dividing"):
        tee_k(run_flow=1e-4, branch_flow=1e-4, run_bore=0.025, branch_bore=0.019, flow="divides")
