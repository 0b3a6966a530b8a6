"""Published losses of tees."""

from __future__ import annotations

import numpy as np

from hydrokit.laws.fittings import k_head
from hydrokit.laws.tees import tee_k


def test_tee_crane_7_35(published) -> None:
    """Crane TP-410, example 7-35: joining flows; the branch gains head."""
    example = published("tee-crane-7-35")
    run, branch, bore = example.given("run_flow"), example.given("branch_flow"), example.given("bore")
    k = tee_k(
        run_flow=run, branch_flow=branch, run_bore=bore, branch_bore=bore, flow="joining", angle=example.given("angle")
    )
    example.agrees("k_branch", k.branch)
    example.agrees("k_run", k.run)
    example.agrees("branch_head_loss", k_head(k=k.branch, flow=run + branch, bore=bore))
    example.agrees("run_head_loss", k_head(k=k.run, flow=run + branch, bore=bore))
    assert np.isclose(example.given("angle"), np.pi / 2.0)


def test_tee_crane_7_36(published) -> None:
    """Crane TP-410, example 7-36: a wye that divides the flow."""
    example = published("tee-crane-7-36")
    bore = example.given("bore")
    k = tee_k(
        run_flow=example.given("run_flow"),
        branch_flow=example.given("branch_flow"),
        run_bore=bore,
        branch_bore=bore,
        flow="dividing",
        angle=example.given("angle"),
    )
    example.agrees("k_branch", k.branch)
    example.agrees("k_run", k.run)
