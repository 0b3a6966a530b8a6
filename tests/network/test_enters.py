"""A line that enters a tank otherwise than by the tank's own inlet: a balance line between twins filled from the top."""

from __future__ import annotations

from dataclasses import replace

import pytest

from hydrokit import fill
from hydrokit.errors import NetworkError
from hydrokit.files import read_rig, write_rig
from hydrokit.network import solve
from hydrokit.parts import Hose, Joint, Source, Tank
from hydrokit.rig import Line, Rig


def twins(enters: str) -> Rig:
    tank = Tank(volume=0.06, floor=1.0, depth=0.4, inlet="top")
    hose = Hose(length=1.0, bore=0.0125)
    return Rig(
        sources={"spring": Source(surface=3.0)},
        tanks={"near": replace(tank, level=0.3), "far": replace(tank, level=0.1)},
        joints={"split": Joint()},
        lines={
            "down": Line(start="spring", end="split", parts=(hose,)),
            "in": Line(start="split", end="near", parts=(hose,)),
            "also": Line(start="split", end="far", parts=(replace(hose, length=4.0),)),
            "level": Line(start="near", end="far", parts=(replace(hose, length=0.5, bore=0.025),), enters=enters),  # type: ignore[arg-type]
        },
    )


def test_a_balance_line_at_the_floor_levels_both_ways() -> None:
    rig = twins("bottom")
    there = solve(rig).flow("level")[0]
    back = solve(rig, variation={"tanks.near.level": 0.1, "tanks.far.level": 0.3}).flow("level")[0]
    assert there > 0.0 > back


def test_by_the_tanks_own_inlet_it_falls_in_and_never_comes_back() -> None:
    rig = twins("")
    assert solve(rig).flow("level")[0] == 0.0  # the lip stands above the water of the other tank
    assert solve(rig, variation={"tanks.near.level": 0.1, "tanks.far.level": 0.3}).flow("level")[0] == 0.0


def test_twins_with_a_balance_line_fill_almost_together() -> None:
    apart, joined = (
        fill(replace(twins(enters), modes={}), changed={"tanks.near.level": 0.0, "tanks.far.level": 0.0})
        for enters in ("top", "bottom")
    )
    spread = [abs(answer.tanks[0].full_after - answer.tanks[1].full_after) for answer in (apart, joined)]
    assert spread[1] < 0.2 * spread[0]


def test_it_survives_the_file_and_means_nothing_elsewhere() -> None:
    rig = twins("bottom")
    assert read_rig(write_rig(rig)) == rig
    with pytest.raises(NetworkError, match="a line that ends in a tank"):
        replace(rig, lines={**rig.lines, "down": replace(rig.lines["down"], enters="top")})
