"""Hoses so wide, or so short, that they hardly resist: by themselves, and among narrow ones."""

from __future__ import annotations

from math import pi

import fluids
import pytest

from hydrokit.network import solve
from hydrokit.parts import Hose, Outlet, Source
from hydrokit.rig import Line, Rig
from tests.soak.run import wrong
from tests.ten_rigs import made_rigs


def test_a_hose_of_six_metres_bore_carries_what_its_friction_says() -> None:
    fall = 1e-8
    pool, end = Source(surface=fall, entrance_k=0.0, exit_k=0.0), Outlet(height=0.0, exit_k=0.0)
    hose = Hose(bore=6.0, length=6.0, roughness=1e-6)
    solution = solve(
        Rig(sources={"pool": pool}, outlets={"end": end}, lines={"out": Line(start="pool", end="end", parts=(hose,))})
    )
    speed = float(solution.flow("out")[0]) / (pi * 9.0)
    reynolds = fluids.Reynolds(V=speed, D=6.0, nu=float(solution.plan.conditions.kinematic_viscosity))
    factor = fluids.friction_factor(Re=reynolds, eD=1e-6 / 6.0)  # Colebrook
    assert factor * speed**2 / 2.0 / 9.80665 == pytest.approx(fall, rel=1e-6)


@pytest.mark.parametrize(
    ("line", "wide"), [("upper", {"bore": 9.0}), ("lower", {"bore": 2.0}), ("cross", {"length": 1e-12})]
)
def test_a_loop_with_one_hose_that_hardly_resists_settles(line: str, wide: dict[str, float]) -> None:
    rig = made_rigs()["looped"]
    parts = {name: f"lines.{line}.hose-1.{name}" for name in (*wide, "bore")}
    solution = solve(rig, None, {parts[name]: value for name, value in wide.items()})
    assert [what for what, where in wrong(solution) if where.any()] == []
    plain = solve(rig, None, {parts["bore"]: 0.2})  # which loses a millionth of what the others do
    for name in rig.lines:
        assert solution.flow(name)[0] == pytest.approx(float(plain.flow(name)[0]), rel=1e-4)
