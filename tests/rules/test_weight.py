"""Weight on the vehicle in every state of the tanks."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.answers import Verdict
from hydrokit.files import demonstration
from hydrokit.parts import Filter, Hose, Load, Outlet, Source, Tank, Vehicle
from hydrokit.rig import Line, Rig
from hydrokit.rules.weighing import weighed_of
from hydrokit.water import water

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.rules import State

DENSITY = float(water(288.15).density)
SWAY = "water that sways"
TRAILER = Vehicle(
    mass=200.0,
    position=2.0,
    rating=500.0,
    front="hitch",
    front_position=0.0,
    front_rating=60.0,
    rear="axle",
    rear_position=2.5,
    rear_rating=450.0,
    least_front_share=0.04,
    greatest_front_share=0.20,
)


def trailer(vehicle: Vehicle = TRAILER, positions: tuple[float, ...] = (1.5, 3.0), **tank: Any) -> Rig:
    """Return tanks of 50 L on a trailer, that run out over a hose each."""
    given: dict[str, Any] = {"mass": 4.0, "volume": 0.05, "floor": 1.0, "depth": 0.4, "level": 0.2, "length": 0.3}
    tanks = {
        f"tank-{place}": Tank(**{**given, "position": position, **tank}) for place, position in enumerate(positions)
    }
    lines = {
        f"out-{place}": Line(start=name, end=f"end-{place}", parts=(Hose(bore=0.012, length=2.0),))
        for place, name in enumerate(tanks)
    }
    outlets = {f"end-{place}": Outlet(height=0.2) for place in range(len(tanks))}
    return Rig(tanks=tanks, outlets=outlets, lines=lines, vehicle=vehicle, loads={"box": Load(mass=10.0, position=1.0)})


def by_hand(rig: Rig, shares: tuple[float, ...]) -> tuple[float, float]:
    """Return the mass and the load on the hitch, moments taken about the axle: any textbook of statics."""
    vehicle = rig.vehicle
    assert vehicle.mass is not None
    assert vehicle.position is not None
    assert vehicle.rear_position is not None
    things = [(vehicle.mass, vehicle.position), *((load.mass, load.position) for load in rig.loads.values())]
    for tank, share in zip(rig.tanks.values(), shares, strict=True):
        assert tank.mass is not None
        assert tank.position is not None
        things.append((tank.mass + share * tank.volume * DENSITY, tank.position))
    moment = sum(mass * (vehicle.rear_position - position) for mass, position in things)
    return sum(mass for mass, _ in things), moment / vehicle.rear_position


@pytest.mark.parametrize("shares", [(0.0, 0.0), (0.5, 0.5), (1.0, 1.0), (1.0, 0.25)])
def test_loads_are_those_of_moments_about_the_axle(state: Callable[..., State], shares: tuple[float, ...]) -> None:
    rig = trailer()
    weighing = weighed_of(state(rig))
    assert weighing is not None
    water_in = np.array([[share * 0.05 * DENSITY for share in shares]])
    mass, hitch = by_hand(rig, shares)
    assert weighing.balance(water_in).mass == pytest.approx(mass, rel=1e-12)
    assert weighing.loads(water_in).first == pytest.approx(hitch, rel=1e-12)
    assert weighing.loads(water_in).second == pytest.approx(mass - hitch, rel=1e-12)


@pytest.mark.parametrize("positions", [(1.5, 3.0), (0.5, 1.0, 2.9, 3.4), (2.5, 2.5, 1.0), (3.0,)])
def test_no_fill_of_a_fine_grid_is_worse_than_those_looked_at(
    state: Callable[..., State], found: Any, positions: tuple[float, ...]
) -> None:
    rig = trailer(positions=positions)
    weighing = weighed_of(state(rig))
    assert weighing is not None
    loads = [weighing.loads(fill.water) for fill in weighing.fills]
    shares = [
        float(np.ravel(load.first / weighing.balance(fill.water).mass)[0])
        for load, fill in zip(loads, weighing.fills, strict=True)
    ]
    grid = [by_hand(rig, fill) for fill in product((0.0, 0.3, 0.5, 0.8, 1.0), repeat=len(positions))]
    assert max(float(np.ravel(load.first)[0]) for load in loads) == pytest.approx(max(hitch for _, hitch in grid))
    assert max(float(np.ravel(load.second)[0]) for load in loads) == pytest.approx(max(m - hitch for m, hitch in grid))
    assert min(shares) == pytest.approx(min(hitch / mass for mass, hitch in grid))
    assert max(shares) == pytest.approx(max(hitch / mass for mass, hitch in grid))


@pytest.mark.parametrize(("rating", "verdict"), [(80.0, "holds"), (70.0, "close"), (60.0, "fails")])
def test_the_hitch_is_judged_with_the_tank_ahead_full(found: Any, rating: float, verdict: str) -> None:
    finding = found(trailer(replace(TRAILER, front_rating=rating)))["load on supports", "vehicle.front_rating"]
    _, hitch = by_hand(trailer(), (1.0, 0.0))
    assert finding.value == pytest.approx(hitch)
    assert finding.verdict == verdict
    assert "with tank-0 full, the rest empty" in str(finding.reason)


def test_the_whole_mass_is_judged_with_all_tanks_full(found: Any) -> None:
    finding = found(trailer(replace(TRAILER, rating=300.0)))["whole mass", "vehicle.rating"]
    assert finding.value == pytest.approx(by_hand(trailer(), (1.0, 1.0))[0])
    assert finding.verdict is Verdict.FAILS
    assert "with the tanks full" in str(finding.reason)


def test_the_share_in_front_has_two_ends(found: Any) -> None:
    both = found(trailer(replace(TRAILER, least_front_share=0.16, greatest_front_share=0.20)))
    least, greatest = (both["share in front", f"vehicle.{end}_front_share"] for end in ("least", "greatest"))
    assert least.verdict is Verdict.FAILS
    assert "with tank-1 full, the rest empty; at least 16 % is wanted" in str(least.reason)
    assert greatest.value > least.value
    assert greatest.verdict is Verdict.FAILS


def test_a_rig_that_says_nothing_of_its_vehicle_says_so_once(found: Any) -> None:
    rules = {"load on supports", "whole mass", "share in front", "water that sways"}
    said = [finding for (rule, _), finding in found(trailer(Vehicle())).items() if rule in rules]
    assert [(finding.rule, finding.verdict) for finding in said] == [("load on supports", Verdict.UNKNOWN)]


def test_what_is_missing_is_named(found: Any) -> None:
    rig = trailer(mass=None)
    finding = found(rig)["load on supports", "tanks.tank-0, tanks.tank-1"]
    assert finding.verdict is Verdict.UNKNOWN
    assert str(finding.reason) == "Cannot be judged without the mass of the tank."
    without = found(trailer(replace(TRAILER, rear_rating=None)))
    assert without["load on supports", "vehicle.rear_rating"].verdict is Verdict.UNKNOWN
    assert without["load on supports", "vehicle.front_rating"].verdict is not Verdict.UNKNOWN


def test_a_tank_on_the_ground_weighs_nothing(state: Callable[..., State]) -> None:
    weighing = weighed_of(state(trailer(carried=False, mass=None)))
    assert weighing is not None
    assert weighing.known
    assert weighing.tanks == ()
    assert float(np.ravel(weighing.balance(np.zeros((1, 0))).mass)[0]) == 210.0


def test_a_hose_weighs_itself_and_its_water(state: Callable[..., State]) -> None:
    hose = Hose(bore=0.02, length=4.0, mass_per_length=0.3, position=1.0)
    rig = Rig(
        sources={"pond": Source(surface=1.0)},
        outlets={"end": Outlet(height=0.0)},
        lines={"down": Line(start="pond", end="end", parts=(hose,))},
        vehicle=TRAILER,
    )
    weighing = weighed_of(state(rig))
    assert weighing is not None
    held = np.pi / 4.0 * 0.02**2 * 4.0 * DENSITY
    assert float(np.ravel(weighing.balance(np.zeros((1, 0))).mass)[0]) == pytest.approx(200.0 + 1.2 + held)


@pytest.mark.parametrize(
    ("parts", "said"), [(1, "1 part states no mass and is left out."), (2, "2 parts state no mass")]
)
def test_what_is_left_out_of_the_weight_is_told_of_one_part_as_of_several(found: Any, parts: int, said: str) -> None:
    rig = trailer(positions=(1.5,))
    hoses = tuple(Hose(bore=0.02, length=1.0) for _ in range(parts))
    lines = {name: replace(line, parts=hoses) for name, line in rig.lines.items()}
    finding = found(replace(rig, lines=lines))["load on supports", "vehicle.rear_rating"]
    assert said in str(finding.reason)


def test_filters_side_by_side_weigh_as_many_times(state: Callable[..., State]) -> None:
    def mass(count: float) -> float:
        points = ((1e-4, 1e4), (2e-4, 2e4))
        part = Filter(points=points, mass=1.5, holds=1e-3, position=1.0, side_by_side=count)
        rig = Rig(
            sources={"pond": Source(surface=1.0)},
            outlets={"end": Outlet(height=0.0)},
            lines={"down": Line(start="pond", end="end", parts=(part,))},
            vehicle=TRAILER,
        )
        weighing = weighed_of(state(rig))
        assert weighing is not None
        return float(np.ravel(weighing.balance(np.zeros((1, 0))).mass)[0])

    assert mass(3.0) - mass(1.0) == pytest.approx(2.0 * (1.5 + 1e-3 * DENSITY))


@pytest.mark.parametrize(
    ("position", "place", "said"),
    [
        (6.0, "vehicle.least_front_share", "Hitch is lifted: the vehicle tips up."),
        (-3.0, "vehicle.greatest_front_share", "Axle is lifted: the vehicle tips up."),
    ],
)
def test_a_support_that_is_lifted_fails_though_no_share_is_stated(
    found: Any, position: float, place: str, said: str
) -> None:
    unstated = replace(TRAILER, least_front_share=None, greatest_front_share=None)
    finding = found(trailer(replace(unstated, position=position)))["share in front", place]
    assert finding.verdict is Verdict.FAILS
    assert said in str(finding.reason)
    assert not any(rule == "share in front" for rule, _ in found(trailer(unstated)))


def test_masses_and_positions_can_be_varied(state: Callable[..., State]) -> None:
    heavy = state(
        trailer(), None, {"loads.box.mass": np.array([10.0, 110.0]), "vehicle.position": np.array([2.0, 2.0])}
    )
    weighing = weighed_of(heavy)
    assert weighing is not None
    loads = weighing.loads(weighing.now)
    assert np.diff(loads.first) == pytest.approx([100.0 * 1.5 / 2.5])
    assert np.diff(loads.second) == pytest.approx([100.0 * 1.0 / 2.5])


@pytest.mark.parametrize(
    ("level", "length", "verdict"),
    [
        (0.2, 0.3, "holds"),
        (0.2, 0.6, "close"),
        (0.4, 0.6, None),
        (0.0, 0.6, None),
        (0.2, None, "unknown"),
        (0.4, None, None),
    ],
)
def test_water_that_sways(found: Any, level: float, length: float | None, verdict: str | None) -> None:
    """A box of 0.6 m with 0.2 m of water sways in 0.99 s (Lamb, Hydrodynamics, sec. 257, from memory)."""
    all_found = found(trailer(positions=(1.5,), level=level, length=length))
    finding = all_found.get((SWAY, "tanks.tank-0"))
    assert (None if finding is None else finding.verdict.value) == verdict
    if verdict == "close" and finding is not None:
        assert finding.value == pytest.approx(0.99, abs=0.005)
    if finding is not None and verdict != "unknown":
        assert bool(finding.advice) == (verdict == "close")


def test_a_tank_on_the_ground_or_of_no_stated_length_leaves_the_next_to_be_judged(found: Any) -> None:
    rig = trailer(length=0.6)
    for change in ({"carried": False, "position": None}, {"length": None}):
        first = replace(rig.tanks["tank-0"], **change)
        assert found(replace(rig, tanks={**rig.tanks, "tank-0": first}))[SWAY, "tanks.tank-1"].verdict is Verdict.CLOSE


def test_where_no_least_share_in_front_is_wanted_the_greatest_still_counts(found: Any) -> None:
    findings = found(trailer(replace(TRAILER, least_front_share=None)))
    assert ("share in front", "vehicle.least_front_share") not in findings
    assert findings["share in front", "vehicle.greatest_front_share"].limit == 0.20


def test_the_demonstration_rig_is_within_its_plates(found: Any) -> None:
    findings = [
        finding for (rule, _), finding in found(demonstration()).items() if rule in {"load on supports", "whole mass"}
    ]
    assert len(findings) == 3
    assert {finding.verdict for finding in findings} == {Verdict.HOLDS}
