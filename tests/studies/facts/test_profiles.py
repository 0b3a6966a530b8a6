"""Head along the way: the stops of the walk in the order of the water, with the heads of no pressure and of vapour."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from hydrokit import Hose, Line, Rig, Source, Tank, check, demonstration

if TYPE_CHECKING:
    from hydrokit.studies.facts.profiles import Profile

GRAVITY = 9.80665  # standard gravity, exact: CGPM 1901


def _profile(rig: Rig) -> Profile:
    (profile,) = check(rig, curves=True).profiles
    return profile


def test_points_are_the_stops_of_the_walk() -> None:
    answer = check(demonstration(), curves=True)
    (profile,) = answer.profiles
    assert (profile.start, profile.lines, profile.end) == ("pond", ("intake", "to-near"), "near")
    stops = [stop for line in profile.lines for stop in answer.stops if stop.line == line]
    assert [point.head for point in profile.points] == [stop.head for stop in stops]
    weight = answer.surroundings.density * GRAVITY
    for point, stop in zip(profile.points, stops, strict=True):
        assert (point.head - point.air_head) * weight == pytest.approx(stop.gauge_pressure, abs=1e-6)
        over_vapour = stop.absolute_pressure - answer.surroundings.vapour_pressure
        assert (point.head - point.vapour_head) * weight == pytest.approx(over_vapour, abs=1e-6)


def test_distance_is_the_length_of_hose_behind(ten_rigs: dict[str, Rig]) -> None:
    rig = ten_rigs["centrifugal"]
    points = _profile(rig).points
    assert points[0].distance == 0.0
    assert points[-1].distance == sum(part.length for part in rig.lines["lift"].parts if isinstance(part, Hose))
    assert [point.distance for point in points] == sorted(point.distance for point in points)


def test_a_line_against_its_sense_is_walked_backward() -> None:
    parts = (Hose(name="low", bore=0.02, length=3.0), Hose(name="high", bore=0.02, length=5.0))
    rig = Rig(
        sources={"spring": Source(surface=4.0)},
        tanks={"can": Tank(volume=0.1, floor=0.0, depth=0.5, inlet="bottom")},
        lines={"down": Line(start="can", end="spring", parts=parts)},
    )
    profile = _profile(rig)
    assert (profile.start, profile.end) == ("spring", "can")
    passed = [(point.after.rpartition(".")[2], point.distance) for point in profile.points if point.kind == "hose"]
    assert passed == [("high", 5.0), ("low", 8.0)]
    heads = [point.head for point in profile.points]
    assert heads == sorted(heads, reverse=True)


def test_a_crest_stands_halfway_along_its_hose_at_its_own_height(ten_rigs: dict[str, Rig]) -> None:
    rig = ten_rigs["centrifugal"]
    line = rig.lines["lift"]
    parts = tuple(
        replace(part, high_point=7.5) if isinstance(part, Hose) and part.name == "delivery" else part
        for part in line.parts
    )
    points = _profile(replace(rig, lines={"lift": replace(line, parts=parts)})).points
    (at,) = [place for place, point in enumerate(points) if point.kind == "crest"]
    before, crest, after = points[at - 1 : at + 2]
    assert crest.height == 7.5
    assert crest.distance == pytest.approx(0.5 * (before.distance + after.distance))
    assert crest.head == pytest.approx(0.5 * (before.head + after.head))
    assert crest.vapour_head < crest.air_head


def test_water_that_stands_still_has_no_way(ten_rigs: dict[str, Rig]) -> None:
    assert check(ten_rigs["quarantine"], "drawing", curves=True).profiles == ()
