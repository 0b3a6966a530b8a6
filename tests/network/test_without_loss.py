"""Lines that have no resistance at all, among narrow ones: their flows are as good as any others."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from hydrokit.network import acceleration, solve
from hydrokit.parts import Coupler, Hose, Joint, Source
from hydrokit.rig import Line, Rig

if TYPE_CHECKING:
    from collections.abc import Callable


@pytest.mark.parametrize("compiled", [False, True])
def test_random_networks_with_couplers_of_no_loss(
    random_rig: Callable[..., Rig], monkeypatch: pytest.MonkeyPatch, compiled: bool
) -> None:
    monkeypatch.setattr(acceleration, "_loaded", {})
    if compiled:
        acceleration.speed_up()
    for seed in range(40):
        rig = random_rig(seed)
        between = [name for name, line in rig.lines.items() if {line.start, line.end} <= set(rig.joints)][:2]
        bare = {name: replace(rig.lines[name], parts=(Coupler(bore=0.0127, k=0.0),)) for name in between}
        flows = solve(replace(rig, lines={**rig.lines, **bare}, modes={}, origins={}, tolerances={})).flows
        assert flows.mass_residual[0] <= 1e-9
        assert flows.energy_residual[0] <= 1e-9


def test_a_line_without_loss_changes_nothing() -> None:
    def rig(*, parted: bool) -> Rig:
        hoses = (Hose(bore=0.0125, length=4.0),), (Hose(bore=0.004, length=30.0),)
        middle = {"middle": Line(start="a", end="b", parts=(Coupler(bore=0.0125, k=0.0),))} if parted else {}
        second = "b" if parted else "a"
        return Rig(
            sources={"high": Source(surface=5.0), "low": Source(surface=0.0), "other": Source(surface=1.0)},
            joints={"a": Joint(), **({"b": Joint()} if parted else {})},
            lines={
                "in": Line(start="high", end="a", parts=hoses[0]),
                **middle,
                "out": Line(start=second, end="low", parts=hoses[0]),
                "thin": Line(start=second, end="other", parts=hoses[1]),
            },
        )

    whole, parted = solve(rig(parted=False)), solve(rig(parted=True))
    for line in ("in", "out", "thin"):
        np.testing.assert_allclose(parted.flow(line), whole.flow(line), rtol=1e-9)
