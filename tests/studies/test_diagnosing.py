"""What readings say is wrong: ties, further readings, what nothing explains, and mistakes. All rigs are invented."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from hydrokit.errors import InputError
from hydrokit.files import demonstration
from hydrokit.parts import DiaphragmPump, Hose, Outlet, Source, Tank
from hydrokit.rig import GAUGES, Line, Reading, Rig
from hydrokit.studies import check, diagnose, expected_readings
from hydrokit.studies.diagnosis.workbench import Workbench

LPM = 1.0 / 60_000.0

LOADED = (
    Reading(kind="flow", value=5.2 * LPM),
    Reading(kind="vacuum", value=18.5e3),
    Reading(kind="pressure", value=2.57e5, at="filters", side="before"),
    Reading(kind="pressure", value=5e3, at="filters", side="after"),
    Reading(kind="volts", value=11.9),
)
THIN = (
    Reading(kind="flow", value=5.2 * LPM),
    Reading(kind="vacuum", value=18.5e3),
    Reading(kind="pressure", value=1.02e5, at="filters", side="before"),
    Reading(kind="volts", value=12.1),
)


def test_says_which_pressure_would_tell_filters_apart() -> None:
    answer = diagnose(demonstration(), LOADED)
    assert answer.named == 4
    assert {suspect.faults for suspect in answer.suspects[:4]} == {("loaded filter",)}
    assert answer.further[0].kind == "pressure"
    assert answer.further[0].tells == 4  # in the middle of the four: two on either side
    assert answer.flow == pytest.approx(5.2 * LPM, rel=0.03)  # as read
    assert answer.stated_flow == pytest.approx(check(demonstration()).flow, rel=1e-9)


def test_a_worn_pump_and_an_air_leak_are_a_tie_and_dead_head_or_bubbles_would_tell() -> None:
    answer = diagnose(demonstration(), THIN)
    assert {suspect.faults for suspect in answer.suspects[: answer.named]} == {("worn pump",), ("air leak",)}
    assert [further.kind for further in answer.further] == ["dead_head", "bubbles"]
    others = {suspect.faults for suspect in answer.suspects if not suspect.named}
    assert others == {("flat battery",), ("bad cable",), ("blocked strainer",)}  # worse, but better than nothing
    assert {finding.verdict for finding in answer.findings if finding.rule == "what is wrong"} == {"unknown"}


@pytest.mark.parametrize(("seen", "fault"), [(1.0, "air leak"), (0.0, "worn pump")])
def test_bubbles_break_the_tie(seen: float, fault: str) -> None:
    answer = diagnose(demonstration(), [*THIN, Reading(kind="bubbles", value=seen)])
    assert (answer.named, answer.suspects[0].faults) == (1, (fault,))
    assert answer.verdict == "fails"


def test_a_reading_between_filters_names_the_one() -> None:
    between = Reading(kind="pressure", value=0.58e5, at="carbon", side="after")
    answer = diagnose(demonstration(), [*LOADED, between])
    assert answer.named == 3
    assert "lines.intake.membrane" not in {place for suspect in answer.suspects[:3] for place in suspect.places}


def test_readings_of_the_rig_as_stated_hold() -> None:
    bench = Workbench(demonstration(), None, None)
    true = bench.foretold(np.zeros((1, len(bench.faults))), bench.spots)[0]
    readings = [
        Reading(kind=spot.kind, value=float(value), at=spot.at, side=spot.side)
        for spot, value in zip(bench.spots, true, strict=True)
    ]
    answer = diagnose(demonstration(), readings)
    assert (answer.named, answer.explained, answer.verdict) == (0, True, "holds")
    assert answer.chance > 0.99


def test_what_nothing_explains_is_said() -> None:
    odd = [
        Reading(kind="flow", value=12.0 * LPM),
        Reading(kind="vacuum", value=1e3),
        Reading(kind="pressure", value=0.1e5, at="filters", side="before"),
        Reading(kind="volts", value=9.0),
    ]
    answer = diagnose(demonstration(), odd)
    assert not answer.explained
    assert answer.verdict == "fails"
    assert any(finding.rule == "readings explained" for finding in answer.findings)


def test_two_faults_at_once_where_none_alone_will_do() -> None:
    bench = Workbench(demonstration(), None, None)
    kinds = [fault.kind for fault in bench.faults]
    grades = np.zeros((1, len(bench.faults)))
    grades[0, [kinds.index("blocked strainer"), kinds.index("bad cable")]] = 0.66, 0.55
    spots = [spot for spot in bench.spots if spot.kind in ("flow", "vacuum", "volts", "pressure")]
    true = bench.foretold(grades, spots)[0]
    readings = [
        Reading(kind=spot.kind, value=float(value), at=spot.at, side=spot.side)
        for spot, value in zip(spots, true, strict=True)
    ]
    answer = diagnose(demonstration(), readings)
    assert answer.suspects[0].faults == ("blocked strainer", "bad cable")
    assert answer.explained


def test_one_reading_alone_tells_little() -> None:
    answer = diagnose(demonstration(), LOADED[:1])
    assert answer.named > 4
    assert answer.further


def test_the_mode_and_what_is_set_stand_in_front() -> None:
    rig = demonstration()
    clogged = {"lines.intake.membrane.loading": 1.0}
    flow = Workbench(rig, None, clogged)
    stated = flow.foretold(np.zeros((1, len(flow.faults))), flow.spots[:1])[0, 0]
    answer = diagnose(rig, [Reading(kind="flow", value=float(stated))], changed=clogged)
    assert answer.named == 0
    row = next(each for each in answer.conditions if each.place == "lines.intake.membrane")
    assert row.value == pytest.approx(1.0)


def test_every_mistake_at_once() -> None:
    with pytest.raises(InputError) as caught:
        diagnose(
            demonstration(),
            [
                Reading(kind="flow", value=1e-4, at="nere"),
                Reading(kind="pressure", value=1e5, at="membran", side="before"),
                Reading(kind="pressure", value=1e5, at="hose-tail", side="before"),
                Reading(kind="volts", value=12.0, at="tap-pump"),
            ],
        )
    found = {mistake.place: mistake.instead for mistake in caught.value.mistakes}
    assert found["readings, flow nere"] == "near"
    assert found["readings, pressure before membran"] == "membrane"
    assert len(found) == 4


def test_no_reading_is_refused() -> None:
    with pytest.raises(InputError):
        diagnose(demonstration(), [])


def test_answers_are_plain_data(ten_rigs: dict[str, Rig]) -> None:
    for rig in ten_rigs.values():
        bench = Workbench(rig, None, None)
        value = bench.foretold(np.zeros((1, len(bench.faults))), bench.spots[:1])[0, 0]
        answer = diagnose(rig, [Reading(kind="flow", value=0.6 * float(value))])
        assert answer.to_json()
        assert answer.trust.energy_residual < 1e-9


def test_expected_readings_are_those_of_the_rig_as_stated(ten_rigs: dict[str, Rig]) -> None:
    for rig in ten_rigs.values():
        flow = check(rig).flow
        assert expected_readings(rig).readings[0].value == pytest.approx(flow, rel=1e-9)


def test_where_the_rig_has_no_tolerances_a_reading_is_as_far_off_as_its_gauge() -> None:
    rig = replace(demonstration(), tolerances={})
    for reading in expected_readings(rig).readings:
        assert reading.spread == pytest.approx(GAUGES[reading.kind].uncertainty(reading.value), rel=1e-9)


def test_readings_at_a_pump_that_is_not_named_or_cannot_be_foretold_say_what_to_write() -> None:
    hose = Hose(bore=0.019, length=2.0)
    pump = DiaphragmPump(name="lift", points=((0.0, 3e5), (2e-4, 0.0)))
    lines = {
        name: Line(start="pond", end="tap", parts=(hose, replace(pump, name=name), hose)) for name in ("one", "two")
    }
    rig = Rig(sources={"pond": Source(surface=0.0)}, outlets={"tap": Outlet(height=1.0)}, lines=lines)
    wrong = [
        Reading(kind="vacuum", value=1e4),
        Reading(kind="vacuum", value=1e4, at="onne"),
        Reading(kind="amps", value=5.0, at="one"),
    ]
    with pytest.raises(InputError) as caught:
        diagnose(rig, wrong)
    told = {mistake.place: (mistake.found, mistake.expected) for mistake in caught.value.mistakes}
    assert told["readings, vacuum"] == (
        "several pumps that run",
        "the one that is meant: lines.one.one, lines.two.two",
    )
    assert told["readings, vacuum onne"] == ("'onne'", "a pump that runs: lines.one.one, lines.two.two")
    assert told["readings, amps one"] == (
        "a reading that cannot be foretold",
        "a pump that runs, with currents and a battery, in the rig and this mode",
    )


def test_a_rig_with_nothing_that_could_be_at_fault_is_refused() -> None:
    rig = Rig(
        tanks={"high": Tank(volume=0.2, floor=3.0, depth=0.6)},
        outlets={"tap": Outlet(height=0.5)},
        lines={"down": Line(start="high", end="tap", parts=(Hose(bore=0.019, length=5.0),))},
    )
    with pytest.raises(InputError, match="nothing in mode as drawn whose state readings could tell"):
        diagnose(rig, [Reading(kind="flow", value=1e-4)])
