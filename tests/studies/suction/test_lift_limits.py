"""What is left of the limits of a lift where a rule has no figure to give."""

from __future__ import annotations

import numpy as np

from hydrokit.parts import CentrifugalPump, DiaphragmPump, Hose, Outlet, Pump, Source
from hydrokit.rig import Line, Rig
from hydrokit.studies.suction.drawn import Drawn, drawn_water
from hydrokit.studies.suction.lift_limits import searched, what_is_left

LPM = 1.0 / 60_000.0


def drawn(pump: Pump, mouth: float = 1.0) -> Drawn:
    return drawn_water(
        Rig(
            sources={"pond": Source(surface=0.0)},
            outlets={"end": Outlet(height=mouth)},
            lines={"up": Line(start="pond", end="end", parts=(Hose(bore=0.025, length=12.0), pump))},
        )
    )


def left_at(found: Drawn, *lifts: float) -> dict[str, list[float]]:
    state = found.solved({}, np.zeros(len(lifts), np.intp), found.pump_height - np.array(lifts))
    return {name: each.tolist() for name, each in what_is_left(found, state, None).items()}


def test_where_nothing_flows_there_is_nothing_to_pass() -> None:
    """A pump of 0.2 bar moves no water from 3 m below, and what stands still does not break."""
    weak = drawn(DiaphragmPump(name="pump", height=1.0, points=((0.0, 0.2e5), (8 * LPM, 0.0))))
    whole = left_at(weak, 1.0, 3.0)["water stays whole"]
    assert 0.0 < whole[0] < whole[1] == np.inf
    found = searched(weak, {}, np.array([1.0]), None)
    assert found.reach["water stays whole"][0] == "beyond"
    assert found.governing(0)[0] == "enough flow"


def test_past_the_end_of_its_data_sheet_the_npsh_of_a_pump_is_not_shown_to_be_kept() -> None:
    """Of 30 to 40 L/min that run, NPSH is stated up to 20."""
    heads, known = ((0.0, 12.0), (20 * LPM, 10.0), (40 * LPM, 5.0)), ((0.0, 1.5), (20 * LPM, 2.0))
    unknown = drawn(CentrifugalPump(name="pump", height=1.0, heads=heads, npsh_required=known), 5.0)
    assert 30 * LPM < unknown.state.flow_at(unknown.pump)[0] < 40 * LPM
    assert left_at(unknown, 1.0)["NPSH in hand"] == [-np.inf]
    whole = (*known, (40 * LPM, 3.5))
    told = drawn(CentrifugalPump(name="pump", height=1.0, heads=heads, npsh_required=whole), 5.0)
    assert 0.0 < left_at(told, 1.0)["NPSH in hand"][0] < np.inf
