"""Which filters raw water meets first, and what the courses of loading rest on."""

from __future__ import annotations

from typing import Any

from hydrokit.network import solve
from hydrokit.parts import Filter, Hose, Outlet, Source, Tank
from hydrokit.rig import Line, Mode, Rig, Site
from hydrokit.rules import State
from hydrokit.studies.filters.prefiltering import first_met
from hydrokit.studies.filters.wear_cases import assumed, cases_of

LPM = 1.0 / 60_000.0
HOSE = Hose(bore=0.019, length=2.0)
SOLIDS = {"dirt_capacity": 0.05, "retains": 0.9}
END = {"end_drop": ((8 * LPM, 60e3),)}


def element(name: str, **more: Any) -> Filter:
    return Filter(name=name, points=((8 * LPM, 5e3),), **more)


def forked(**more: Any) -> Rig:
    """Return a spring that feeds one end without a filter, one through two, and one more behind a tank."""
    return Rig(
        sources={"spring": Source(surface=3.0)},
        tanks={"store": Tank(volume=0.1, floor=0.6, depth=0.5, level=0.3, inlet_height=1.1)},
        outlets={"wash": Outlet(height=0.0), "tap": Outlet(height=0.0), "high": Outlet(height=5.0)},
        lines={
            "in": Line(start="spring", end="fork", parts=(HOSE,)),
            "plain": Line(start="fork", end="wash", parts=(HOSE,)),
            "treated": Line(start="fork", end="store", parts=(HOSE, element("coarse"), element("fine"))),
            "dry": Line(start="fork", end="high", parts=(element("idle"), HOSE)),
            "shut": Line(start="fork", end="tap", parts=(element("unused"), HOSE)),
            "drawn": Line(start="store", end="tap", parts=(HOSE, element("last"))),
        },
        modes={"as-used": Mode(closed=("lines.shut",))},
        **more,
    )


def test_it_is_the_first_of_each_line_in_use_whose_water_has_passed_none() -> None:
    assert first_met(State(solve(forked()))) == ("lines.treated.coarse",)


def told(*parts: Filter, **site: float) -> tuple[str, ...]:
    rig = Rig(
        site=Site(turbidity=10.0, **site),
        sources={"spring": Source(surface=3.0)},
        outlets={"tap": Outlet(height=0.0)},
        lines={"down": Line(start="spring", end="tap", parts=(HOSE, *parts))},
    )
    return assumed(State(solve(rig)), cases_of(rig, None, {}, None))


SETTLES = "nothing settles in tanks, and the water stays as cloudy as it is now"
BAND = "the water carries 1.5 mg/L of solids for each NTU, within 0.5 to 3: common practice, no source"


def test_where_solids_fill_a_filter_what_the_water_carries_is_assumed() -> None:
    known = element("known", element="surface", **SOLIDS, **END)
    assert told(known, solids_per_ntu=2e-3) == (SETTLES,)
    assert told(known) == (BAND, SETTLES)


def test_a_filter_of_which_only_a_life_is_stated_comes_to_its_end_drop_with_that() -> None:
    aged = element("aged", element="surface", life=5.0, **END)
    assert told(aged) == (
        "lines.down.aged lets all solids through to what follows",
        "lines.down.aged comes to its end drop with its stated life",
    )
    # without an end drop there is none to come to
    assert told(element("aged", element="surface", life=5.0)) == (
        "lines.down.aged lets all solids through to what follows",
    )


def test_a_filter_that_does_not_say_how_it_clogs_may_do_so_either_way() -> None:
    assert told(element("unsaid", **SOLIDS, **END), solids_per_ntu=2e-3) == (
        SETTLES,
        "lines.down.unsaid clogs as a cake or pore by pore, which is not stated",
    )


def test_only_what_may_clog_in_two_ways_is_followed_both_ways() -> None:
    rig = forked(site=Site(turbidity=10.0, solids_per_ntu=2e-3))
    assert cases_of(rig, None, {}, None) is None  # nothing tells how long any of these lasts
    for kind, ways in (("surface", 1), ("depth", 2), ("unknown", 2)):
        part = element("one", element=kind, **SOLIDS, **END)
        own = Rig(
            site=Site(turbidity=10.0, solids_per_ntu=2e-3),
            sources={"spring": Source(surface=3.0)},
            outlets={"tap": Outlet(height=0.0)},
            lines={"down": Line(start="spring", end="tap", parts=(HOSE, part))},
        )
        found = cases_of(own, None, {}, None)
        assert found is not None
        assert len(found.courses) == ways
