"""The table of credits: what counts of each barrier, of each end, and what is wanted."""

from __future__ import annotations

from dataclasses import replace

import pytest

from hydrokit.network import solve
from hydrokit.parts import Elbow, Filter, Hose, Outlet, Source, Tank
from hydrokit.rig import Line, Mode, Rig, Targets
from hydrokit.rules import State
from hydrokit.studies.facts.credited import Credited, credited_in
from hydrokit.studies.facts.surroundings import kinds_of

LPM = 1.0 / 60_000.0
CERAMIC = Filter(name="ceramic", points=((8 * LPM, 4e4),), medium="ceramic", bacteria_logs=4.0, protozoa_logs=3.0)


def falling(*parts: Filter, height: float = 0.0) -> Rig:
    return Rig(
        targets=Targets(bacteria=3.0, viruses=2.0, protozoa=1.0),
        sources={"spring": Source(surface=3.0)},
        tanks={"unused": Tank(volume=0.1, floor=0.0, depth=0.5)},
        outlets={"tap": Outlet(height=height)},
        lines={
            "down": Line(start="spring", end="tap", parts=(Hose(bore=0.012, length=4.0), *parts)),
            "aside": Line(start="spring", end="unused", parts=(Elbow(bore=0.012),)),
        },
        modes={"as-used": Mode(closed=("lines.aside",))},
    )


def test_a_class_that_a_barrier_does_not_claim_is_left_out_and_counts_for_nothing_at_the_end() -> None:
    found = credited_in(State(solve(falling(CERAMIC))))
    assert found == (
        Credited(place="lines.down.ceramic", role="barrier", bacteria=4.0, viruses=None, protozoa=3.0),
        Credited(place="outlets.tap", role="end", bacteria=4.0, viruses=0.0, protozoa=3.0),
        Credited(place="targets", role="wanted", bacteria=3.0, viruses=2.0, protozoa=1.0),
    )


def test_a_claim_that_does_not_count_says_why_and_is_nothing() -> None:
    barrier, end, _ = credited_in(State(solve(falling(replace(CERAMIC, rated_flow=1 * LPM)))))
    assert barrier.struck_out == ("it passes more than it is rated for",)
    assert (barrier.bacteria, barrier.viruses, barrier.protozoa) == (0.0, None, 0.0)
    assert end.bacteria == pytest.approx(0.0)


def test_where_nobody_claims_anything_or_nothing_arrives_there_is_no_table() -> None:
    assert credited_in(State(solve(falling(Filter(points=((8 * LPM, 4e4),), medium="sediment"))))) == ()
    assert credited_in(State(solve(falling(CERAMIC, height=9.0)))) == ()


def test_kinds_in_use_name_a_filter_by_its_medium_and_leave_out_what_the_mode_shuts() -> None:
    assert kinds_of(State(solve(falling(CERAMIC)))) == ("ceramic filter", "hose", "outlet", "source")
