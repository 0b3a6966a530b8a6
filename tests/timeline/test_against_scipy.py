"""Filling and emptying against scipy's integration of the same tanks (see conftest)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from hydrokit.parts import DiaphragmPump, Filter, FloatValve, FootValve, Hose, NonReturnValve, Outlet, Source, Tank
from hydrokit.rig import Line, Rig
from hydrokit.studies.drawing import draw
from hydrokit.studies.filling import fill

if TYPE_CHECKING:
    from collections.abc import Callable

WITHIN = 1e-3  # of every time, as promised
FULL_AT_FLOAT = 0.98
LPM = 1.0 / 60_000.0
_PUMP = DiaphragmPump(name="pump", height=0.8, points=((0.0, 3.0e5), (17 * LPM, 0.0)))
_FEED = (FootValve(bore=0.019), Hose(bore=0.019, length=4.0), _PUMP, Hose(bore=0.0125, length=3.0))
_FILTER = Filter(points=((4 * LPM, 20e3), (10 * LPM, 60e3)))


def _twins() -> Rig:
    return Rig(
        title="balance line from top-fed near",
        sources={"pond": Source(surface=0.0)},
        tanks={
            "near": Tank(volume=0.06, floor=1.0, depth=0.45),
            "far": Tank(volume=0.06, floor=1.0, depth=0.45, inlet="bottom"),
        },
        lines={
            "fill": Line(start="pond", end="near", parts=(*_FEED, _FILTER)),
            "balance": Line(start="near", end="far", parts=(Hose(bore=0.0125, length=0.6),)),
        },
    )


def filled_rigs() -> dict[str, Rig]:
    """Return rigs that fill in every way there is."""
    short = Line(start="near", end="far", parts=(Hose(bore=0.025, length=0.3),))
    twins = _twins()
    uneven = Rig(
        title="far lower than near, filled first by gravity through near's outlet",
        sources=twins.sources,
        tanks={
            "near": Tank(volume=0.06, floor=1.3, depth=0.45, outlet_height=1.35),
            "far": Tank(volume=0.08, floor=1.0, depth=0.5, inlet="bottom"),
        },
        lines=twins.lines,
    )
    backward = Rig(
        title="balance line drawn against its flow, near's end of it above the floor",
        sources=twins.sources,
        tanks={
            "near": Tank(volume=0.06, floor=1.0, depth=0.45, outlet_height=1.06),
            "far": Tank(volume=0.06, floor=1.0, depth=0.45, inlet="bottom"),
        },
        lines={
            "fill": Line(start="pond", end="far", parts=(*_FEED, _FILTER)),
            "balance": twins.lines["balance"],
        },
    )
    lip = Rig(
        title="gravity through lips that drown",
        sources={"header": Source(surface=2.2)},
        tanks={
            "one": Tank(volume=0.1, floor=1.0, depth=0.5, inlet_height=1.2),
            "two": Tank(volume=0.1, floor=1.1, depth=0.5, inlet="bottom", inlet_height=1.25),
        },
        lines={
            "down": Line(start="header", end="fork", parts=(Hose(bore=0.0125, length=6.0),)),
            "to-one": Line(start="fork", end="one", parts=(Hose(bore=0.0125, length=1.0),)),
            "to-two": Line(start="fork", end="two", parts=(Hose(bore=0.01, length=2.0),)),
        },
    )
    floats = Rig(
        title="float valves behind one feed",
        sources={"header": Source(surface=3.0)},
        tanks={name: Tank(volume=0.06, floor=1.0, depth=0.45) for name in ("near", "far")},
        lines={
            "down": Line(start="header", end="fork", parts=(Hose(bore=0.0125, length=6.0),)),
            "to-near": Line(
                start="fork", end="near", parts=(Hose(bore=0.01, length=1.0), FloatValve(bore=0.0125, kv=1.0 / 3600.0))
            ),
            "to-far": Line(
                start="fork",
                end="far",
                parts=(
                    Hose(bore=0.01, length=3.0),
                    FloatValve(bore=0.0125, kv=0.7 / 3600.0, shut_level=0.4, band=0.1),
                ),
            ),
        },
    )
    through = Rig(
        title="fed and drawn at once",
        sources=twins.sources,
        tanks={
            "near": Tank(volume=0.06, floor=1.0, depth=0.45, level=0.2),
            "far": Tank(volume=0.02, floor=0.6, depth=0.3, level=0.0),
        },
        lines={
            "fill": Line(start="pond", end="near", parts=(*_FEED, _FILTER)),
            "on": Line(
                start="near", end="far", parts=(Hose(bore=0.008, length=2.0), NonReturnValve(bore=0.008, k=3.0))
            ),
        },
    )
    return {
        "balance": twins,
        "short balance": Rig(
            title="short balance line",
            sources=twins.sources,
            tanks=twins.tanks,
            lines={**twins.lines, "balance": short},
        ),
        "uneven": uneven,
        "backward": backward,
        "lips": lip,
        "floats": floats,
        "through": through,
    }


def drawn_rigs() -> dict[str, Rig]:
    """Return rigs drawn from in every way there is."""
    tanks = {
        "near": Tank(volume=0.06, floor=1.0, depth=0.45, outlet_height=1.03),
        "far": Tank(volume=0.06, floor=1.1, depth=0.45),
    }
    joined = {
        "from-near": Line(start="near", end="drawn", parts=(Hose(bore=0.0125, length=0.5),)),
        "from-far": Line(start="far", end="drawn", parts=(Hose(bore=0.0125, length=1.1),)),
        "to-tap": Line(start="drawn", end="tap", parts=(Hose(bore=0.01, length=2.0),)),
    }
    pumped = {
        **joined,
        "to-tap": Line(
            start="drawn",
            end="tap",
            parts=(
                DiaphragmPump(name="pump", points=((0.0, 2.4e5), (7 * LPM, 0.0)), height=1.0),
                *joined["to-tap"].parts,
            ),
        ),
    }
    return {
        "gravity": Rig(tanks=tanks, outlets={"tap": Outlet(height=0.4)}, lines=joined),
        "pumped": Rig(tanks=tanks, outlets={"tap": Outlet(height=1.6)}, lines=pumped),
        "level with outlet": Rig(
            tanks={"near": Tank(volume=0.02, floor=1.0, depth=0.4)},
            outlets={"tap": Outlet(height=1.0)},
            lines={"out": Line(start="near", end="tap", parts=(Hose(bore=0.008, length=1.0),))},
        ),
    }


FILLS, DRAWS = filled_rigs(), drawn_rigs()


def full_levels(rig: Rig) -> dict[str, float]:
    """Level at which each tank that a line leads to counts as full."""
    levels = {name: tank.depth for name, tank in rig.tanks.items()}
    for line in rig.lines.values():
        for part in line.parts:
            if part.kind == "float valve":
                shut = rig.tanks[line.end].depth if part.shut_level is None else part.shut_level
                levels[line.end] = FULL_AT_FLOAT * shut
    return levels


def close(one: float | None, other: float) -> bool:
    return one is not None and abs(one - other) <= WITHIN * other


@pytest.mark.slow
@pytest.mark.parametrize("name", FILLS)
def test_times_to_fill(name: str, integrated: Callable) -> None:
    rig = FILLS[name]
    answer = fill(rig)
    start = {row.tank: row.start_level for row in answer.tanks}
    other = integrated(rig, None, start, full_levels(rig), 2.0 * answer.followed_for)
    assert answer.ends == "all full"
    for row in answer.tanks:
        assert close(row.full_after, other.reached[row.tank]), (row.tank, row.full_after, other.reached[row.tank])
        if row.tank in other.brimmed:
            assert close(row.brims_after, other.brimmed[row.tank])
    assert answer.spilled == pytest.approx(sum(other.spilled.values()), rel=1e-2, abs=1e-6)
    assert answer.imbalance < 1e-12


@pytest.mark.slow
@pytest.mark.parametrize("name", DRAWS)
def test_times_to_empty(name: str, integrated: Callable) -> None:
    rig = DRAWS[name]
    answer = draw(rig)
    levels = {row.tank: row.start_level for row in answer.tanks}
    marks = {row.tank: row.outlet_level + 1e-3 for row in answer.tanks}
    other = integrated(rig, None, levels, marks, 2.0 * answer.followed_for)
    assert answer.ends == "empty"
    for row in answer.tanks:
        assert close(row.empty_after, other.reached[row.tank]), (row.tank, row.empty_after, other.reached[row.tank])
    assert answer.imbalance < 1e-12


def test_curves_lie_on_the_integrated_course(integrated: Callable) -> None:
    rig = FILLS["uneven"]
    answer = fill(rig)
    at = 300.0
    other = integrated(rig, None, {row.tank: 0.0 for row in answer.tanks}, {}, at)
    for row in answer.tanks:
        level = float(np.interp(at, answer.times, row.levels))
        assert level == pytest.approx(other.levels[row.tank], rel=1e-3)
