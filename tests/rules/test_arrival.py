"""By what share of the height to be gained water falls short where it does not arrive."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from hydrokit.answers import Verdict
from hydrokit.parts import Hose, Outlet, Source, Tank
from hydrokit.rig import Line, Mode, Rig

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.parts import CentrifugalPump
    from hydrokit.rules import State

    Rigs = Callable[..., Rig]

ARRIVES = "water arrives"


def test_water_that_arrives_has_all_in_hand(pond_rig: Rigs, found: Any) -> None:
    assert found(pond_rig())[ARRIVES, "lines.intake"].margin == 1.0


def test_what_is_missing_counts_over_the_height_from_the_lowest_water(
    pond_rig: Rigs, centrifugal: Callable[..., CentrifugalPump], found: Any
) -> None:
    # from a well 5 m down to a lip at 15 m: 20 m to gain, of which 12 m at no flow leave 8 m
    rig = pond_rig(centrifugal(), height=-4.0, lip=15.0, sources={"pond": Source(surface=-5.0)})
    finding = found(rig)[ARRIVES, "lines.intake"]
    assert str(finding.reason) == "Nothing arrives at the tank: 8 m of head is missing."
    assert finding.margin == pytest.approx(-8.0 / 20.0)


def drawn(hose: Callable[..., Hose], level: float) -> Rig:
    return Rig(
        tanks={"store": Tank(volume=0.06, floor=1.0, depth=0.4, level=level)},
        outlets={"tap": Outlet(height=0.0)},
        lines={"out": Line(start="store", end="tap", parts=(hose(),))},
    )


def test_from_an_empty_tank_all_is_missing(hose: Callable[..., Hose], found: Any) -> None:
    finding = found(drawn(hose, 0.0))[ARRIVES, "lines.out"]
    assert (finding.verdict, finding.margin) == (Verdict.FAILS, -1.0)


def test_between_two_reservoirs_what_arrives_is_what_one_gains(hose: Callable[..., Hose], state: Any) -> None:
    rig = Rig(
        sources={"high": Source(surface=3.0), "low": Source(surface=0.0)},
        lines={"down": Line(start="high", end="low", parts=(hose(),))},
    )
    here: State = state(rig)
    flow = float(here.solution.flow("down")[0])
    assert flow > 0.0
    assert {name: float(gained[0]) for name, gained in here.arrivals.items()} == {"low": flow}
    assert here.delivered[0] == flow


def test_an_intake_drawn_the_wrong_way_round_is_told(
    pond_rig: Rigs, centrifugal: Callable[..., CentrifugalPump], found: Any
) -> None:
    rig = pond_rig(centrifugal())
    line = rig.lines["intake"]
    turned = replace(rig, lines={"intake": replace(line, start=line.end, end=line.start)})
    tap = Line(start=line.end, end="tap", parts=(next(part for part in line.parts if isinstance(part, Hose)),))
    shut = replace(
        turned,
        outlets={"tap": Outlet(height=0.0)},
        lines={**turned.lines, "drawing": replace(tap, parts=(replace(tap.parts[0], name=""),))},
        modes={"filling": Mode(closed=("lines.drawing",))},
    )
    advice = str(found(shut)[ARRIVES, "lines.drawing"].advice)
    assert advice.endswith(
        "Line intake leads into source pond: if it is to draw from there, let from and to change places."
    )


def test_a_drain_back_into_the_water_that_is_drawn_from_is_no_intake(
    pond_rig: Rigs, hose: Callable[..., Hose], found: Any
) -> None:
    rig = pond_rig()
    empty = replace(
        rig,
        tanks={name: replace(tank, level=0.0) for name, tank in rig.tanks.items()},
        outlets={"tap": Outlet(height=-1.0)},
        lines={
            **rig.lines,
            "drain": Line(start=next(iter(rig.tanks)), end="pond", parts=(hose(),)),
            "drawing": Line(start=next(iter(rig.tanks)), end="tap", parts=(hose(),)),
        },
    )
    assert not any("change places" in str(finding.advice) for finding in found(empty).values())
