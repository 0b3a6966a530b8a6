"""What gauges would read at rest and where there is something to read."""

from __future__ import annotations

from typing import Any

import pytest

from hydrokit.network import solve
from hydrokit.parts import DiaphragmPump, Filter, Hose, Outlet, Source
from hydrokit.rig import Line, Rig, Site
from hydrokit.rules import State
from hydrokit.studies.diagnosis.gauges import Bench, Spot, spots_of

LPM, DENSITY, G = 1.0 / 60_000.0, 1000.0, 9.80665
PUMP = "lines.run.pump"
HOSE = Hose(bore=0.019, length=2.0)


def forked(far: float = 20.0, **pump: Any) -> Rig:
    """Return a pump of 3 bar at 1 m above the pond, before a fork to a low end and, with a filter each, a far one."""
    given: dict[str, Any] = {"name": "pump", "height": 1.0, "points": ((0.0, 3e5), (12 * LPM, 0.0)), **pump}
    one, other = (Filter(name=name, points=((8 * LPM, 5e3),)) for name in ("idle", "used"))
    return Rig(
        site=Site(density=DENSITY, viscosity=1e-3, vapour_pressure=2e3),
        sources={"pond": Source(surface=0.0)},
        outlets={"high": Outlet(height=far), "low": Outlet(height=2.0)},
        lines={
            "run": Line(start="pond", end="fork", parts=(HOSE, DiaphragmPump(**given), HOSE)),
            "up": Line(start="fork", end="high", parts=(HOSE, one)),
            "on": Line(start="fork", end="low", parts=(HOSE, other)),
        },
    )


@pytest.mark.parametrize(
    ("cut_out", "expected"), [(None, 3e5 - DENSITY * G), (2.5e5, 2.5e5), (2.95e5, 3e5 - DENSITY * G)]
)
def test_the_dead_head_is_that_of_the_curve_less_the_lift_unless_the_switch_stops_it_before(
    cut_out: float | None, expected: float
) -> None:
    bench = Bench(State(solve(forked(cut_in=None if cut_out is None else 1e5, cut_out=cut_out))))
    assert bench.read([Spot("dead_head", PUMP)])[0, 0] == pytest.approx(expected, rel=1e-9)


def test_where_water_stands_still_there_is_nothing_to_read() -> None:
    found = spots_of(State(solve(forked())))
    assert [spot for spot in found if "idle" in spot.at] == []
    assert [spot.side for spot in found if spot.at == "lines.on.used"] == ["before", "after"]
    assert [spot for spot in found if spot.kind == "flow"] == [Spot("flow")]  # one end alone gains


def test_where_both_ends_gain_each_may_be_read_by_bucket() -> None:
    found = spots_of(State(solve(forked(far=2.2))))
    assert [spot for spot in found if spot.kind == "flow"] == [Spot("flow"), Spot("flow", "high"), Spot("flow", "low")]
    assert [spot.side for spot in found if spot.at == "lines.up.idle"] == ["before", "after"]
