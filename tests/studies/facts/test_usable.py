"""Where water does not stay whole on its way, no arrival is claimed; what is told is what would be if it did."""

from __future__ import annotations

import re

import numpy as np
import pytest

from hydrokit.network import solve
from hydrokit.parts import Hose, Joint, Outlet, Source, Tank
from hydrokit.rig import Line, Rig
from hydrokit.rules import State
from hydrokit.sheets import render
from hydrokit.studies import check, compare, draw, envelope, fill
from hydrokit.studies.facts.usable import runs_full, stays_whole, usable

CREST = "lines.over.up.high_point"


def siphon(end: Outlet | Tank | Source, crest: float = 1.0) -> Rig:
    """Return a pond that a hose siphons empty over a crest into an end 3 m below."""
    up = Hose(name="up", bore=0.0125, length=25.0, high_point=crest, vacuum_rating=1e5, pressure_rating=1e6)
    group = {Outlet: "outlets", Tank: "tanks"}.get(type(end))
    ends = {"sources": {"pond": Source(surface=0.0), **({} if group else {"end": end})}}
    return Rig(
        title="siphon",
        lines={"over": Line(start="pond", end="end", parts=(up,))},
        **ends,
        **({group: {"end": end}} if group else {}),
    )


def flat(text: str) -> str:
    return re.sub(r"\s+", " ", text)


def test_a_siphon_runs_up_to_the_height_to_which_the_air_pushes_water() -> None:
    """At 10.3 m the column breaks by itself; 20 kPa before that, air comes out of it (about 8 m, less what friction takes)."""
    state = State(solve(siphon(Outlet(height=-3.0)), None, {CREST: np.array([1.0, 5.0, 9.0, 11.0])}))
    assert stays_whole(state).tolist() == [True, True, False, False]
    assert runs_full(state, usable(state)).tolist() == [True, True, False, False]


@pytest.mark.parametrize("end", [Outlet(height=-3.0), Tank(volume=0.06, floor=-4.0, depth=0.5), Source(surface=-3.0)])
def test_over_too_high_a_crest_no_arrival_is_claimed(end: Outlet | Tank | Source) -> None:
    low, high = check(siphon(end)), check(siphon(end, 11.0))
    assert low.stays_whole
    assert not high.stays_whole
    assert "arrives at end." in flat(render(low))
    told = flat(render(high))
    assert "would arrive if the water stayed whole, which it does not: no arrival can be claimed." in told
    assert "arrives at" not in told
    assert "then arrives" not in told


def test_water_that_breaks_on_its_way_back_into_the_pond_keeps_nothing_from_arriving() -> None:
    rig = siphon(Outlet(height=-3.0))
    ring = Hose(name="ring", bore=0.0125, length=4.0, high_point=11.0)
    tap = Line(start="fork", end="end", parts=(Hose(bore=0.0125, length=2.0),))
    back = Line(start="fork", end="pit", parts=(ring,))
    over = Line(start="pond", end="fork", parts=rig.lines["over"].parts)
    both = Rig(
        sources={"pond": Source(surface=0.0), "pit": Source(surface=-3.0)},
        outlets={"end": Outlet(height=-3.0)},
        joints={"fork": Joint(height=-2.0)},
        lines={"over": over, "tap": tap, "back": back},
    )
    assert not stays_whole(State(solve(both)))[0]  # an open line leads to the pit: what comes there arrives
    turned = Line(start="pit", end="fork", parts=(ring,))
    assert stays_whole(
        State(
            solve(
                Rig(
                    sources=both.sources, outlets=both.outlets, joints=both.joints, lines={**both.lines, "back": turned}
                )
            )
        )
    )[0]


def test_times_and_flows_of_broken_water_are_told_as_such() -> None:
    tank = Tank(volume=0.06, floor=-4.0, depth=0.5)
    told = flat(render(fill(siphon(tank, 11.0))))
    assert told.startswith(
        "siphon, as drawn The water does not stay whole on its way: no arrival can be claimed, and how long it takes is not known."
    )
    outlet = Outlet(height=-3.0)
    cask = Tank(volume=0.06, floor=-0.5, depth=0.5)
    drawn = Rig(
        tanks={"cask": cask},
        outlets={"end": outlet},
        lines={"over": Line(start="cask", end="end", parts=siphon(outlet, 11.0).lines["over"].parts)},
    )
    assert "what comes out and how long it lasts are not known" in flat(render(draw(drawn)))
    assert "which it does not in any corner: no arrival can be claimed there." in flat(
        render(envelope(siphon(tank, 11.0)))
    )
    assert [
        side.fill_time is None for side in compare(siphon(tank), siphon(tank, 11.0), names=["low", "high"]).sides
    ] == [False, True]
