from __future__ import annotations

import numpy as np
import pytest

from hydrokit.network import build_plan
from hydrokit.parts import Fitting, Hose, Joint, Outlet, Source
from hydrokit.rig import Line, Rig


def heights(rig: Rig, variation: dict[str, np.ndarray] | None = None) -> dict[str, list[float]]:
    plan = build_plan(rig, variation=variation)
    layout, stations, found = plan.layout, plan.stations, dict[str, list[float]]()
    last = [*(stations.begins[1:] - 1), stations.height.shape[1] - 1]
    for line in range(len(layout.lines)):
        for joint, station in ((layout.start[line], stations.begins[line]), (layout.end[line], last[line])):
            if joint < len(layout.joints):
                found[layout.joints[joint]] = stations.height[:, station].tolist()
    return found


def hose(length: float) -> Hose:
    return Hose(length=length, bore=0.02)


def test_a_joint_takes_the_height_of_the_nearest_stated_point() -> None:
    rig = Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={"tap": Outlet(height=2.0)},
        lines={
            "long": Line(start="pond", end="split", parts=(hose(9.0),)),
            "short": Line(start="split", end="tap", parts=(hose(3.0),)),
        },
    )
    assert heights(rig) == {"split": [2.0]}
    assert build_plan(rig).stations.assumed_joints == ("split",)


def test_a_part_of_stated_height_is_nearer_than_the_end_behind_it() -> None:
    rig = Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={"tap": Outlet(height=2.0)},
        lines={
            "long": Line(
                start="pond", end="split", parts=(hose(1.0), Fitting(bore=0.02, k=1.0, height=0.7), hose(1.0))
            ),
            "short": Line(start="split", end="tap", parts=(hose(1.5),)),
        },
    )
    assert heights(rig) == {"split": [0.7]}


def test_heights_are_handed_on_from_joint_to_joint() -> None:
    rig = Rig(
        sources={"pond": Source(surface=1.0)},
        lines={
            "first": Line(start="pond", end="one", parts=(hose(5.0),)),
            "second": Line(start="one", end="two", parts=(hose(5.0),)),
            "third": Line(start="three", end="two", parts=(hose(5.0),)),
            "back": Line(start="three", end="one", parts=(hose(50.0),)),
        },
    )
    assert heights(rig) == {"one": [1.0], "two": [1.0], "three": [1.0]}


def test_a_stated_joint_keeps_its_height_and_gives_it() -> None:
    rig = Rig(
        sources={"pond": Source(surface=0.0)},
        joints={"one": Joint(height=3.0), "two": Joint()},
        lines={
            "first": Line(start="pond", end="one", parts=(hose(5.0),)),
            "second": Line(start="one", end="two", parts=(hose(5.0),)),
        },
    )
    assert heights(rig) == {"one": [3.0], "two": [3.0]}
    assert build_plan(rig).stations.assumed_joints == ("two",)


def test_a_height_that_varies_is_handed_on_as_it_varies() -> None:
    rig = Rig(
        sources={"pond": Source(surface=0.0)},
        lines={
            "first": Line(start="pond", end="one", parts=(hose(5.0),)),
            "second": Line(start="one", end="two", parts=(hose(5.0),)),
            "ring": Line(start="two", end="one", parts=(hose(5.0),)),
        },
    )
    surfaces = np.array([-1.0, 0.5, 2.0])
    found = heights(rig, {"sources.pond.surface": surfaces})
    assert found["two"] == pytest.approx(surfaces.tolist())
