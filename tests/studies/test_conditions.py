from __future__ import annotations

import json
from functools import cache

import numpy as np
import pytest

from hydrokit.answers import Verdict, worst
from hydrokit.errors import InputError
from hydrokit.rig import Site, replaced
from hydrokit.rules import RULES
from hydrokit.sheets import render
from hydrokit.studies import check, envelope

COMFORT = {rule.name for rule in RULES if rule.advisory}
NAMES = (
    "demonstration",
    "hand check",
    "gravity",
    "centrifugal",
    "hand pump",
    "looped",
    "quarantine",
    "balanced",
    "high",
    "wide",
)


@pytest.fixture(scope="session")
def answers(ten_rigs):
    @cache
    def of(name: str, **ranges: tuple[float, ...]):
        return envelope(ten_rigs[name], **ranges)

    return of


def _level(rig, answer, corner) -> dict[str, float]:
    source = next(iter(rig.sources), None)
    return {} if source is None or corner.level is None else {f"sources.{source}.surface": corner.level}


@pytest.mark.slow
@pytest.mark.parametrize("name", [name for name in NAMES if name not in {"gravity", "quarantine"}])
def test_every_corner_is_what_check_says_of_the_rig_so_changed(ten_rigs, answers, name: str) -> None:
    rig = ten_rigs[name]
    answer = answers(name, altitudes=(0.0, 2500.0))
    for corner in answer.corners[:: max(len(answer.corners) // 6, 1)]:
        loaded = [
            f"lines.{line}.{label}.loading"
            for line, own in rig.lines.items()
            for label, part in zip(own.labels(), own.parts, strict=True)
            if getattr(part, "end_drop", None) is not None and f"lines.{line}" not in rig.mode()[1].closed
        ]
        plain = check(
            rig,
            changed={"site.altitude": corner.altitude, "site.water_temperature": corner.water_temperature}
            | _level(rig, answer, corner)
            | ({} if corner.charge is None else {"batteries.main.charge": corner.charge})
            | dict.fromkeys(loaded if corner.loading is not None else [], corner.loading),
        )
        fails = {f"{item.rule} at {item.place}" for item in plain.findings if item.verdict is Verdict.FAILS}
        assert corner.flow == pytest.approx(plain.flow, rel=1e-7)
        assert corner.failing == len(fails)
        assert (corner.verdict is Verdict.FAILS) == bool(fails)
        assert not fails or corner.limit in fails
        known = {item.verdict for item in plain.findings if item.rule not in COMFORT and item.margin is not None}
        assert corner.verdict is (worst([*known]) if known else Verdict.UNKNOWN)


@pytest.mark.parametrize("name", NAMES)
def test_the_corner_that_fails_first_is_the_fewest_steps_from_the_best(answers, name: str) -> None:
    answer = answers(name, altitudes=(0.0, 2500.0))
    best, first = answer.corners[answer.best], answer.corners[answer.tightest]
    words = [
        list(dict.fromkeys(corner.settings[place] for corner in answer.corners)) for place in range(len(answer.varied))
    ]

    def steps(corner) -> int:
        return sum(
            abs(own.index(a) - own.index(b)) for own, a, b in zip(words, corner.settings, best.settings, strict=True)
        )

    failing = [corner for corner in answer.corners if corner.failing]
    assert bool(failing) == (answer.verdict is Verdict.FAILS)
    if failing:
        assert first in failing
        assert steps(first) == min(steps(corner) for corner in failing)
        alike = [corner.margin for corner in failing if steps(corner) == steps(first)]
        assert first.margin == min(alike)
    elif any(corner.verdict is Verdict.CLOSE for corner in answer.corners):
        assert first.verdict is Verdict.CLOSE
    else:
        assert first.margin == min(corner.margin for corner in answer.corners if corner.margin is not None)
    kept = [corner for corner in answer.corners if corner.verdict is Verdict.HOLDS] or answer.corners
    assert best in kept
    assert best.margin == max((corner.margin for corner in kept if corner.margin is not None), default=None)


def test_where_the_first_limit_gives_way_is_where_check_begins_to_fail(ten_rigs, answers) -> None:
    rig, answer = ten_rigs["demonstration"], answers("demonstration")
    way = answer.gives_way
    assert way.limit == "pump runs steadily at lines.intake.lift-pump"
    filters = [f"lines.intake.{label}.loading" for label in ("sediment-20", "sediment-5", "carbon", "membrane")]

    def fails(loading: float) -> bool:
        values = dict.fromkeys(filters, loading) | {
            "site.water_temperature": way.water_temperature,
            "sources.pond.surface": way.level,
            "batteries.main.charge": way.charge,
        }
        return check(rig, changed=values).verdict is Verdict.FAILS

    assert not fails(way.loading - 1e-4)
    assert fails(way.loading + 1e-4)


def test_tolerances_of_the_rig_are_its_ranges(answers) -> None:
    answer = answers("demonstration")
    assert {round(corner.water_temperature - 273.15, 6) for corner in answer.corners} == {6.0, 12.0}
    assert {corner.level for corner in answer.corners} == {-0.3, 0.3}
    assert {corner.loading for corner in answer.corners} == {0.0, 0.5, 1.0}
    assert not any("lower or higher" in str(text) for text in answer.trust.assumed)


def test_ranges_that_nobody_stated_are_listed_as_assumed(answers) -> None:
    answer = answers("centrifugal")
    told = [str(text) for text in answer.trust.assumed]
    assert "the water of sources.river stands up to 0.5 m lower or higher than stated" in told
    assert "the water is up to 5 K colder or warmer than stated" in told
    shown = " ".join(render(answer, system="US").split())
    assert "source river stands up to 1.64 ft lower or higher than stated" in shown
    assert "the water is up to 9 °F colder or warmer than stated" in shown
    assert answer.not_varied == ("altitude: as stated, no range was asked for",)


def test_filters_without_an_end_drop_are_named_as_not_varied(answers) -> None:
    answer = answers("balanced")
    assert "filters" not in answer.varied
    assert "lines.fill.filter-1 is as it stands: its end_drop is not stated" in answer.not_varied


def test_a_rig_that_draws_from_tanks_has_their_levels_varied(ten_rigs) -> None:
    rig = ten_rigs["gravity"]
    answer = envelope(rig)
    tank = rig.tanks["high"]
    assert {corner.level for corner in answer.corners} == {0.1 * tank.depth, tank.depth}


def test_a_liquid_stated_by_its_properties_keeps_its_temperature(ten_rigs) -> None:
    site = {"site.density": 1100.0, "site.viscosity": 2e-3, "site.vapour_pressure": 1000.0}
    answer = envelope(replaced(ten_rigs["hand check"], site))
    assert "water temperature" not in answer.varied
    assert "water temperature: the liquid is stated by its properties" in answer.not_varied


def test_an_air_pressure_as_measured_gives_way_to_that_of_the_altitudes_asked_for(ten_rigs) -> None:
    rig = ten_rigs["high"]
    stated = envelope(replaced(rig, {"site.air_pressure": 66e3}), altitudes=(0.0, 3500.0))
    plain = envelope(rig, altitudes=(0.0, 3500.0))
    assert [corner.margin for corner in stated.corners] == pytest.approx([corner.margin for corner in plain.corners])


def test_flow_falls_as_filters_load_as_water_cools_and_as_the_battery_runs_down(answers) -> None:
    answer = answers("demonstration")
    both = np.array([corner.flow for corner in answer.corners]).reshape(3, 2, 2, 2)
    assert (np.diff(both, axis=3)[:2] < 0.0).all()
    flows = both[..., 0]
    assert (np.diff(flows, axis=0) < 0.0).all()
    assert (np.diff(flows, axis=1) > 0.0).all()
    assert (np.diff(flows, axis=2)[:2] > 0.0).all()
    assert flows[2, :, 0] == pytest.approx(
        flows[2, :, 1]
    )  # worn, its pump hunts between two pressures, whatever the level


def test_impossible_ranges_are_told_at_once(ten_rigs) -> None:
    with pytest.raises(InputError) as caught:
        envelope(ten_rigs["demonstration"], loadings=(3.0,), temperatures=(300.0, 280.0), altitudes=(0.0, 1e5))
    assert [mistake.place for mistake in caught.value.mistakes] == ["loadings", "temperatures", "altitudes"]


def test_json_names_each_corner(answers) -> None:
    data = json.loads(answers("demonstration").to_json())
    assert data["varied"] == ["filters", "water temperature", "level", "battery"]
    assert data["corners"][0]["settings"] == ["new", "coldest", "lowest", "full"]
    assert data["corners"][0]["flow"]["unit"] == "m^3/s"


def test_a_tolerance_of_the_altitude_is_its_range(pond_rig) -> None:
    answer = envelope(pond_rig(site=Site(altitude=800.0), tolerances={"site.altitude": 300.0}))
    assert {corner.altitude for corner in answer.corners} == {500.0, 1100.0}
    asked = envelope(pond_rig(site=Site(altitude=800.0), tolerances={"site.altitude": 300.0}), altitudes=(0.0, 900.0))
    assert {corner.altitude for corner in asked.corners} == {0.0, 900.0}
