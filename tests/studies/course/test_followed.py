"""How full tanks are taken to be where limits are judged, and what suction leaves of the flow of a full pipe."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hydrokit.network import build_plan, solve
from hydrokit.parts import Hose, Outlet, Source, Tank
from hydrokit.rig import Line, Mode, Rig
from hydrokit.rules import State
from hydrokit.studies import check
from hydrokit.studies.course.followed import judged_state, really
from hydrokit.studies.course.tanks import tanks_of

if TYPE_CHECKING:
    from collections.abc import Callable


def fed(level: float | None = None, **values: float) -> Rig:
    """Return a tank 0.6 m deep that a spring fills from below."""
    hose = Hose(bore=0.019, length=2.0)
    return Rig(
        sources={"spring": Source(surface=3.0)},
        tanks={"tank": Tank(volume=0.06, floor=1.0, depth=0.6, inlet="bottom", level=level)},
        outlets={"tap": Outlet(height=0.0)},
        lines={
            "in": Line(start="spring", end="tank", parts=(hose,)),
            "out": Line(start="tank", end="tap", parts=(hose,)),
        },
        modes={"filling": Mode(closed=("lines.out",), values=values)},
    )


@pytest.mark.parametrize(
    ("rig", "changed", "level"),
    [
        (fed(), {}, 0.3),  # half of its depth
        (fed(), {"tanks.tank.depth": 0.4}, 0.2),
        (fed(0.1), {}, 0.1),
        (fed(), {"tanks.tank.level": 0.5}, 0.5),
        (fed(**{"tanks.tank.level": 0.45}), {}, 0.45),
    ],
)
def test_limits_are_judged_with_a_tank_half_full_unless_its_level_is_stated(
    rig: Rig, changed: dict[str, float], level: float
) -> None:
    state, told = judged_state(tanks_of(build_plan(rig, None, changed, levels_apart=True)), changed)
    expected = solve(rig, None, {**changed, "tanks.tank.level": level}).flow("in")[0]
    assert state.solution.flow("in")[0] == pytest.approx(expected, rel=1e-12)
    assert told == ("limits are judged with tanks half full where no level is stated",)


def test_suction_leaves_a_share_of_what_the_full_pipe_would_deliver(pond_rig: Callable[..., Rig]) -> None:
    assert really(State(solve(pond_rig(height=1.0)))) == (1.0, True)
    assert really(State(solve(pond_rig(height=9.0)))) == (0.0, True)  # no water reaches the pump at all
    narrow = pond_rig(height=6.0, before=(Hose(bore=0.008, length=6.0, vacuum_rating=0.9e5),))
    answer = check(narrow)
    assert 0.0 < answer.flow < 0.99 * answer.full_pipe_flow
    share, whole = really(State(solve(narrow)))
    assert share == pytest.approx(answer.flow / answer.full_pipe_flow, rel=1e-9)
    assert whole  # up to what suction allows


def test_where_nothing_is_delivered_suction_takes_nothing_away(pond_rig: Callable[..., Rig]) -> None:
    assert really(State(solve(pond_rig(height=1.0, lip=60.0)))) == (1.0, True)
