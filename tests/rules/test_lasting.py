"""How long filters last, and which solids reach them."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.answers import Verdict
from hydrokit.parts import Source, Tank
from hydrokit.rig import Line, Rig, Site
from hydrokit.rules.solids import arriving, end_ratio

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.parts import Filter

RULE = "filter life"
CLOUDY = Site(turbidity=10.0, solids_per_ntu=2e-3)  # 20 g/m³


def _finding(found: Any, pond_rig: Callable[..., Rig], part: Filter, site: Site = CLOUDY) -> Any:
    return found(pond_rig(after=(part,), site=site))[RULE, f"lines.intake.{part.name}"]


@pytest.mark.parametrize(
    ("capacity", "verdict"), [(0.012, "holds"), (0.0023, "close"), (0.0011, "close")]
)  # fills of 60 L: 10, under two, under one
def test_a_filter_lasts_for_what_it_holds_over_what_comes(
    pond_rig: Callable[..., Rig], membrane: Callable[..., Filter], found: Any, capacity: float, verdict: str
) -> None:
    finding = _finding(found, pond_rig, membrane(dirt_capacity=capacity, retains=1.0))
    assert finding.verdict == verdict
    assert finding.value == pytest.approx(capacity / 0.02)
    assert finding.limit == pytest.approx(0.06)
    assert bool(finding.advice) == (verdict != "holds")


def test_side_by_side_they_last_as_many_times_as_long(
    pond_rig: Callable[..., Rig], membrane: Callable[..., Filter], found: Any
) -> None:
    part = membrane(dirt_capacity=0.012, retains=0.5, side_by_side=3.0)
    assert _finding(found, pond_rig, part).value == pytest.approx(3 * 0.012 / 0.01)


def test_a_filter_in_one_of_two_branches_lasts_for_what_arrives_by_both(
    membrane: Callable[..., Filter], found: Any
) -> None:
    """Half of what arrives passes it, and it lasts for twice as much as it passes itself."""
    part = membrane(dirt_capacity=0.012, retains=1.0)
    rig = Rig(
        sources={"pond": Source(surface=5.0)},
        tanks={name: Tank(volume=0.03, floor=0.0, depth=0.3) for name in ("one", "two")},
        lines={name: Line(start="pond", end=name, parts=(part,)) for name in ("one", "two")},
        site=CLOUDY,
    )
    finding = found(rig)[RULE, "lines.one.membrane"]
    assert finding.value == pytest.approx(2.0 * 0.012 / 0.02)
    assert str(finding.reason) == "The membrane of line one lasts for 1200 L more that arrive, until its end drop."


def test_without_a_stated_ratio_the_most_solids_count_and_the_span_is_told(
    pond_rig: Callable[..., Rig], membrane: Callable[..., Filter], found: Any
) -> None:
    finding = _finding(found, pond_rig, membrane(dirt_capacity=0.012, retains=1.0), Site(turbidity=10.0))
    assert finding.value == pytest.approx(0.012 / 0.03)  # 3 mg/L for each NTU: common practice, no source
    assert str(finding.reason) == (
        "The membrane lasts for 400 L to 2400 L more that arrive, by what the water carries."
    )


def test_the_stated_life_counts_less_what_has_passed(
    pond_rig: Callable[..., Rig], membrane: Callable[..., Filter], found: Any
) -> None:
    finding = _finding(found, pond_rig, membrane(life=8.0, passed=7.0))
    assert finding.value == pytest.approx(1.0)
    assert "its solids are not counted, for dirt_capacity and retains are not stated" in str(finding.reason)


@pytest.mark.parametrize(
    ("given", "site", "missing"),
    [
        ({}, CLOUDY, "neither its life nor dirt_capacity and retains are stated"),
        ({"dirt_capacity": 0.01, "retains": 1.0}, Site(), "neither its life nor turbidity of the site is stated"),
        ({"dirt_capacity": 0.01}, CLOUDY, "neither its life nor retains is stated"),
    ],
)
def test_where_data_lack_it_is_not_known(
    pond_rig: Callable[..., Rig], membrane: Callable[..., Filter], found: Any, given: Any, site: Site, missing: str
) -> None:
    finding = _finding(found, pond_rig, membrane(**given), site)
    assert finding.verdict is Verdict.UNKNOWN
    assert missing in str(finding.reason)


def test_half_loaded_it_lasts_for_what_is_left(
    pond_rig: Callable[..., Rig], membrane: Callable[..., Filter], found: Any
) -> None:
    part = membrane(
        dirt_capacity=0.012, retains=1.0, element="surface", end_drop=((8.0 / 60_000.0, 200e3),), loading=0.5
    )
    assert _finding(found, pond_rig, part).value == pytest.approx(0.3)
    deep = replace(
        part, element="depth"
    )  # by the laws of blocking more than half the solids are in it at half the drop
    assert 0.1 < _finding(found, pond_rig, deep).value < 0.25


@pytest.mark.parametrize(
    ("given", "reason"),
    [
        ({"dirt_capacity": 0.012, "retains": 1.0, "loading": 1.0}, "The membrane is at its end drop now."),
        ({"life": 8.0, "passed": 8.0}, "The membrane is past the litres that its maker states now."),
    ],
)
def test_a_filter_that_passes_no_more_is_said_to_be_used_up_now(
    pond_rig: Callable[..., Rig], membrane: Callable[..., Filter], found: Any, given: Any, reason: str
) -> None:
    part = membrane(element="surface", end_drop=((8.0 / 60_000.0, 200e3),), **given)
    finding = _finding(found, pond_rig, part)
    assert finding.value == 0.0
    assert str(finding.reason) == reason
    assert str(finding.advice) == "Change it, or flush it, before the next fill."


def test_the_end_ratio_is_of_resistances(membrane: Callable[..., Filter]) -> None:
    assert end_ratio(membrane(end_drop=((8.0 / 60_000.0, 180e3),))) == pytest.approx(3.0, rel=1e-9)
    assert end_ratio(membrane()) == 1.0


def test_solids_that_reach_filters_are_thinned_by_those_before(
    pond_rig: Callable[..., Rig], membrane: Callable[..., Filter], state: Any
) -> None:
    parts = (membrane("a", retains=0.5), membrane("b"), membrane("c", retains=0.9))
    here = state(pond_rig(after=parts), None, {"lines.intake.a.retains": np.array([0.0, 0.5, 1.0])})
    filters = [index for index, element in enumerate(here.plan.elements) if element.address[-1] in "abc"]
    come = arriving(here, filters)
    assert come.share.tolist() == [[1.0, 1.0, 1.0], [1.0, 0.5, 0.5], [1.0, 0.0, 0.0]]
    assert come.delivered / come.brought == pytest.approx([0.1, 0.05, 0.0])
