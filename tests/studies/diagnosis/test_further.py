"""Which further reading would tell suspects apart, worked out from the spread of the gauges."""

from __future__ import annotations

import numpy as np
import pytest

from hydrokit.network import solve
from hydrokit.parts import CentrifugalPump, DiaphragmPump, Hose, Outlet, Source
from hydrokit.rig import GAUGES, Line, Rig
from hydrokit.rules import State
from hydrokit.studies.diagnosis.further import further_readings, safe_to_shut
from hydrokit.studies.diagnosis.gauges import Spot

VACUUM, PRESSURE = Spot("vacuum", "lines.run.pump"), Spot("pressure", "lines.run.pump", "after")
LPM = 1.0 / 60_000.0


def test_it_is_the_reading_that_tells_most_pairs_apart_then_the_one_that_does_so_best() -> None:
    """Of two and a half standard deviations between neighbours every pair is told, of one and a half only the outermost."""
    values = {VACUUM: 20e3, PRESSURE: 100e3}
    spread = {spot: GAUGES[spot.kind].uncertainty(value) for spot, value in values.items()}
    steps = {VACUUM: 1.5, PRESSURE: 2.5}
    foretold = np.array(
        [[values[spot] - far * steps[spot] * spread[spot] for spot in values] for far in (0.0, 1.0, 2.0)]
    )
    first, second = further_readings([*values], foretold, np.zeros((1, 2)), [])
    assert (first.kind, first.tells, first.apart) == ("pressure", 3, pytest.approx(2.5))
    assert (second.kind, second.tells, second.apart) == ("vacuum", 1, pytest.approx(3.0))
    assert first.foretold == tuple(foretold[:, 1].tolist())
    assert [found.kind for found in further_readings([*values], foretold, np.zeros((1, 2)), [PRESSURE])] == ["vacuum"]


def test_what_the_tolerances_of_the_rig_do_widens_the_spread() -> None:
    own = GAUGES["pressure"].uncertainty(100e3)
    foretold = np.array([[100e3], [100e3 - 2.5 * own]])
    (found,) = further_readings([PRESSURE], foretold, np.array([[0.5 * own]]), [])
    assert found.spread == pytest.approx(own * np.sqrt(1.25))
    assert further_readings([PRESSURE], foretold, np.array([[own]]), []) == ()  # 1.77 standard deviations tell nothing


def test_one_suspect_alone_and_what_cannot_be_read_ask_for_nothing() -> None:
    assert further_readings([PRESSURE], np.array([[100e3]]), np.zeros((1, 1)), []) == ()
    assert further_readings([PRESSURE], np.array([[100e3], [np.nan]]), np.zeros((1, 1)), []) == ()


@pytest.mark.parametrize(
    ("pump", "rating", "safe"),
    [
        (DiaphragmPump(name="pump", points=((0.0, 3e5), (12 * LPM, 0.0)), pressure_rating=7e5), 4e5, True),
        (DiaphragmPump(name="pump", points=((0.0, 3e5), (12 * LPM, 0.0)), pressure_rating=7e5), 2e5, False),
        (DiaphragmPump(name="pump", points=((0.0, 3e5), (12 * LPM, 0.0)), pressure_rating=7e5), None, False),
        (DiaphragmPump(name="pump", points=((0.0, 3e5), (12 * LPM, 0.0)), pressure_rating=2e5), 4e5, False),
        (DiaphragmPump(name="pump", points=((0.0, 3e5), (12 * LPM, 0.0)), cut_out=2.5e5), None, True),
        (CentrifugalPump(name="pump", heads=((0.0, 12.0), (40 * LPM, 5.0))), None, True),
    ],
)
def test_a_pump_is_shut_off_only_where_its_switch_or_every_rating_behind_it_guards_it(
    pump: DiaphragmPump | CentrifugalPump, rating: float | None, safe: bool
) -> None:
    before, after = Hose(bore=0.019, length=2.0), Hose(bore=0.019, length=2.0, pressure_rating=rating)
    rig = Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={"end": Outlet(height=1.0)},
        lines={"run": Line(start="pond", end="end", parts=(before, pump, after))},
    )
    assert safe_to_shut(State(solve(rig)), Spot("dead_head", "lines.run.pump")) is safe
