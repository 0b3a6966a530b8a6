"""Tanks from which a joint asks for a set flow, however they are joined: an answer always, and it balances."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from hydrokit.parts import DiaphragmPump, Hose, Joint, NonReturnValve, Outlet, Source, Tank
from hydrokit.rig import Line, Mode, Rig
from hydrokit.studies import draw, fill
from tests.properties.effort import effort

L_MIN = 1.0 / 60_000.0
BORES = st.sampled_from([0.008, 0.0125, 0.019, 0.025])


@st.composite
def asked(draw: st.DrawFn) -> Rig:
    """One tank or two, empty, part full or full; fed or not, from above or below; what is asked small or far too much."""

    def hose() -> Hose:
        return Hose(length=draw(st.floats(0.3, 20.0)), bore=draw(BORES))

    def tank() -> Tank:
        depth = draw(st.floats(0.2, 0.8))
        return Tank(
            volume=draw(st.floats(0.005, 0.08)),
            floor=draw(st.sampled_from([0.3, 1.0, 2.0])),
            depth=depth,
            level=draw(st.sampled_from([0.0, None, 0.3 * depth, depth])),
            inlet=draw(st.sampled_from(["top", "bottom"])),
        )

    flow, top = draw(st.sampled_from([3.0, 10.0])), draw(st.sampled_from([1e5, 3e5]))
    pump = DiaphragmPump(points=((0.0, top), (flow * L_MIN, 0.0)), height=1.0)
    names = ["a", "b"][: draw(st.integers(1, 2))]
    valve = (NonReturnValve(bore=0.019),) if draw(st.booleans()) else ()
    lines = {"down": Line(start="a", end="trough", parts=(hose(), *valve))}
    more: dict[str, Any] = {}
    if draw(st.booleans()):
        parts = (hose(), pump, hose()) if draw(st.booleans()) else (hose(), hose())
        lines["in"] = Line(start="pond", end=draw(st.sampled_from(names)), parts=parts)
        more["sources"] = {"pond": Source(surface=draw(st.sampled_from([-0.5, 3.0])))}
    if len(names) == 2:
        start, end = draw(st.permutations(names))
        lines["across"] = Line(start=start, end=end, parts=(hose(),))
        if draw(st.booleans()):
            lines["also"] = Line(start="b", end="trough", parts=(hose(),))
    if draw(st.booleans()):
        lines["tap"] = Line(start=draw(st.sampled_from([*names, "trough"])), end="tap", parts=(hose(),))
        more["outlets"] = {"tap": Outlet(height=draw(st.floats(-0.5, 1.5)))}
    return Rig(
        tanks={name: tank() for name in names},
        joints={"trough": Joint(height=0.2, demand=draw(st.sampled_from([0.2, 1.0, 8.0, 20.0])) * L_MIN)},
        lines=lines,
        modes={"all": Mode()},
        **more,
    )


@pytest.mark.parametrize("ask", [fill, draw])
@effort(4)
@given(asked())
def test_the_joint_gets_what_it_asks_for_until_the_end_is_told(ask: Any, rig: Rig) -> None:
    answer = ask(rig, "all")
    assert (answer.ends == "runs dry") <= (answer.lacking == ("trough",))
    assert answer.imbalance < 1e-12
    assume(answer.followed_for > 0.0)
    carried = {line.line: line.volume for line in answer.lines}
    came = sum(carried.get(name, 0.0) for name in ("down", "also"))
    if "tap" in rig.lines and rig.lines["tap"].start == "trough":
        came -= carried.get("tap", 0.0)
    assert came == pytest.approx(rig.joints["trough"].demand * answer.followed_for, rel=1e-8)
