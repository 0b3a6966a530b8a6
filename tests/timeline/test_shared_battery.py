"""Two pumps on one battery: what each draws lowers the voltage of the other, at every moment of filling and drawing.

Held against nested searches with ``brentq`` that know nothing of shared batteries: around solves of each line alone,
without electricity, the inner one finds the speed at which Ohm's law holds for the pump, the outer one the current that
both draw together.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from hydrokit.network import solve
from hydrokit.parts import Battery, CentrifugalPump, DiaphragmPump, Hose, Outlet, PoweredPump, Source, Tank
from hydrokit.rig import Line, Rig
from hydrokit.studies import draw, fill

LPM = 1.0 / 60_000.0
OPEN, INNER = 12.8, 0.15
PER_METRE = 7.98e-3  # ohm/m; 2.5 mm², class 5, IEC 60228
LOOPS = {"one": 2.0 * 4.0 * PER_METRE, "other": 2.0 * 9.0 * PER_METRE}

DIAPHRAGM = DiaphragmPump(
    name="pump",
    points=((0.0, 3.0e5), (5.3 * LPM, 2.4e5), (11.3 * LPM, 0.0)),
    currents=((11.3 * LPM, 4.2), (8.0 * LPM, 6.4), (5.3 * LPM, 7.6)),
)
CENTRIFUGAL = CentrifugalPump(
    name="pump",
    heads=((0.0, 9.0), (20 * LPM, 7.0), (40 * LPM, 2.0), (48 * LPM, 0.0)),
    currents=((0.0, 3.0), (20 * LPM, 5.0), (40 * LPM, 6.5)),
)
PAIRS = [(DIAPHRAGM, DIAPHRAGM), (CENTRIFUGAL, DIAPHRAGM), (CENTRIFUGAL, CENTRIFUGAL)]


def _rig(pumps: dict[str, PoweredPump], *, drawing: bool) -> Rig:
    """Return a rig in which each pump fills a tank of its own from above, or empties it into the air."""
    tanks = {f"tank-{name}": Tank(volume=0.06, floor=1.1, depth=0.4) for name in pumps}
    outlets = {f"tap-{name}": Outlet(height=3.0) for name in pumps}
    lines = {
        name: Line(
            start=f"tank-{name}" if drawing else "pond",
            end=f"tap-{name}" if drawing else f"tank-{name}",
            parts=(Hose(bore=0.019, length=3.0), pump, Hose(bore=0.0125, length=8.0)),
        )
        for name, pump in pumps.items()
    }
    battery = Battery(nominal_voltage=12.0, full_voltage=OPEN, inner_resistance=INNER)
    ends: dict[str, Any] = {"outlets": outlets} if drawing else {"sources": {"pond": Source(surface=0.0)}}
    return Rig(tanks=tanks, lines=lines, batteries={"main": battery}, **ends)


def _fed(pump: PoweredPump, name: str) -> PoweredPump:
    lengths = {"one": 4.0, "other": 9.0}
    return replace(pump, battery="main", cable_area=2.5e-6, cable_length=lengths[name], rated_voltage=12.0)


def _alone(bare: Rig, name: str, pump: PoweredPump, level: float, voltage: float) -> tuple[float, float]:
    """Return flow and current of one pump at a voltage of the battery, by a search for its speed."""
    flows, amps = np.array(sorted(pump.currents or ())).T

    def at(speed: float) -> tuple[float, float]:
        values = {f"lines.{name}.pump.speed": speed, f"tanks.tank-{name}.level": level}
        flow = float(solve(bare, None, values).flow(name)[0])
        return flow, float(np.interp(flow / speed, flows, amps)) * (1.0 if pump.displacement else speed**2)

    speed = brentq(lambda ratio: (voltage - at(ratio)[1] * LOOPS[name]) / 12.0 - ratio, 0.3, 1.5, rtol=1e-13)
    return at(speed)


def _together(pumps: dict[str, PoweredPump], levels: dict[str, float], *, drawing: bool) -> tuple[list[float], float]:
    """Return the flows of both and the power that the battery gives, by a search for their whole current."""
    bare = _rig(pumps, drawing=drawing)

    def each(current: float) -> list[tuple[float, float]]:
        return [_alone(bare, name, pump, levels[name], OPEN - INNER * current) for name, pump in pumps.items()]

    whole = brentq(lambda current: sum(amps for _, amps in each(current)) - current, 2.0, 20.0, rtol=1e-12)
    return [flow for flow, _ in each(whole)], whole * (OPEN - INNER * whole)


@pytest.mark.slow
@pytest.mark.parametrize("pair", PAIRS)
def test_a_fill_has_both_pumps_on_what_the_other_leaves(pair: tuple[PoweredPump, PoweredPump]) -> None:
    pumps = dict(zip(LOOPS, pair, strict=True))
    answer = fill(_rig({name: _fed(pump, name) for name, pump in pumps.items()}, drawing=False))
    flows, power = _together(pumps, dict.fromkeys(pumps, 0.0), drawing=False)
    assert [line.first_flow for line in answer.lines] == pytest.approx(flows, rel=1e-9)
    assert answer.full_after == pytest.approx(0.06 / min(flows), rel=1e-7)
    assert answer.energy == pytest.approx(power * 0.06 / min(flows), rel=1e-7)
    alone, _ = _together({"one": pumps["one"]}, {"one": 0.0}, drawing=False)
    assert alone[0] > 1.02 * flows[0]  # or the battery would not be felt


@pytest.mark.slow
def test_drawing_has_both_pumps_on_what_the_other_leaves_at_every_level() -> None:
    pumps: dict[str, PoweredPump] = {"one": CENTRIFUGAL, "other": DIAPHRAGM}
    rig = _rig({name: _fed(pump, name) for name, pump in pumps.items()}, drawing=True)
    answer = draw(rig, time_limit=120.0)
    times, rows = np.array(answer.times), answer.tanks
    at = [int(np.argmin(np.abs(times - when))) for when in np.linspace(0.0, 120.0, 5)]
    powers = []
    for moment in at:
        levels = {row.tank.removeprefix("tank-"): row.levels[moment] for row in rows}
        flows, power = _together(pumps, levels, drawing=True)
        assert [outlet.flows[moment] for outlet in answer.outlets] == pytest.approx(flows, rel=1e-6)
        powers.append(power)
    assert np.ptp(powers) > 1e-3 * powers[0]  # levels are felt
    means = 0.5 * (np.array(powers)[1:] + powers[:-1])
    assert answer.energy == pytest.approx(float(means @ np.diff(times[at])), rel=1e-5)
