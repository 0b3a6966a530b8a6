"""Which pump: against putting each pump into the rig by hand."""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.answers import Verdict
from hydrokit.catalogue import part
from hydrokit.errors import InputError
from hydrokit.files import demonstration, hand_check, read_rig, starter
from hydrokit.parts import CentrifugalPump, DiaphragmPump, Hose, Outlet, PoweredPump, Pump, Source, Tank
from hydrokit.rig import Line, Mode, Rig, replaced
from hydrokit.studies import check
from hydrokit.studies.matching import match
from hydrokit.studies.pumping.swaps import with_pump

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.studies.matching import PumpTried

LPM = 1.0 / 60_000.0
NAMES = (
    "diaphragm-pump-7",
    "diaphragm-pump-11",
    "diaphragm-pump-17",
    "centrifugal-pump-in-line",
    "centrifugal-pump-transfer",
    "hand-pump-diaphragm",
)
PLACES = {
    "demonstration": ("intake", "lift-pump"),
    "hand check": ("intake", "pump"),
    "centrifugal": ("lift", "pump"),
    "hand pump": ("lift", "pump"),
    "looped": ("supply", "pump"),
    "quarantine": ("treat", "pump"),
    "balanced": ("fill", "pump"),
    "high": ("lift", "pump"),
    "wide": ("lift", "pump"),
}


def _in_place_of(drawn: Pump, pump: Pump, label: str) -> Pump:
    placed = replace(pump, name=label, height=drawn.height)
    if not (isinstance(drawn, PoweredPump) and isinstance(pump, PoweredPump)):
        return placed
    supply: dict[str, Any] = {
        "battery": drawn.battery,
        "cable_area": drawn.cable_area,
        "cable_length": drawn.cable_length,
        "contact_resistance": drawn.contact_resistance,
        "fuse": drawn.fuse,
    }
    return replace(placed, **supply)


def _by_hand(rig: Rig, line: str, label: str, pump: Pump) -> Rig:
    """Return the rig with its named pump replaced, put together from its parts."""
    drawn = rig.lines[line]
    parts = tuple(
        _in_place_of(each, pump, label) if word == label and isinstance(each, Pump) else each
        for word, each in zip(drawn.labels(), drawn.parts, strict=True)
    )
    lines = {name: replace(each, parts=parts) if name == line else each for name, each in rig.lines.items()}
    kept = {each: width for each, width in rig.tolerances.items() if not each.startswith(f"lines.{line}.{label}.")}
    return replace(rig, lines=lines, origins={}, tolerances=kept)  # ratings are judged at the end of the tolerances


@pytest.mark.slow
@pytest.mark.parametrize("name", list(PLACES))
def test_ranks_as_solving_each_pump_alone_does(ten_rigs: dict[str, Rig], name: str) -> None:
    rig, (line, label) = ten_rigs[name], PLACES[name]
    alone = {pump: check(_by_hand(rig, line, label, part(pump))) for pump in NAMES}
    alone[label] = check(rig)

    def rank(pump: str) -> tuple[int, float, bool, str]:
        failing = sum(finding.verdict is Verdict.FAILS for finding in alone[pump].findings)
        return failing, -round(alone[pump].flow / LPM, 6), pump != label, pump

    answer = match(rig)
    assert answer.place == f"lines.{line}.{label}"
    assert [pump.name for pump in answer.pumps] == sorted(alone, key=rank)
    for tried in answer.pumps:
        single = alone[tried.name]
        assert tried.verdict is single.verdict
        assert tried.flow == pytest.approx(single.flow, rel=1e-9)
        failing = [item for item in single.findings if item.verdict is Verdict.FAILS]
        assert sorted(tried.ruled_out) == sorted(f"{item.rule} at {item.place}" for item in failing)
        assert {str(reason) for reason in tried.reasons} == {str(item.reason) for item in failing}
        duty = next(each for each in single.duties if each.place == answer.place)
        assert (tried.pump_flow, tried.head) == pytest.approx((duty.flow, duty.head), rel=1e-9)


def _at_duty(tried: PumpTried) -> tuple[float | None, float | None]:
    assert tried.curve is not None
    at = int(np.abs(np.array(tried.curve.flows) - tried.pump_flow).argmin())
    assert tried.curve.flows[at] == pytest.approx(tried.pump_flow, rel=1e-12)
    return tried.curve.pump_heads[at], tried.curve.system_heads[at]


@pytest.mark.slow
@pytest.mark.parametrize("name", list(PLACES))
def test_curves_meet_at_the_duty(ten_rigs: dict[str, Rig], name: str) -> None:
    """Two networks solved apart: the rig with its pump, and the rig cut open there."""
    for tried in match(ten_rigs[name]).pumps:
        added, asked = _at_duty(tried)
        upright = tried.kind == "hand pump" and tried.pump_flow == pytest.approx(16.0 * LPM, rel=1e-9)
        if upright:  # at its greatest stroke rate it passes no more, and gives no more than the rig asks for
            assert asked == pytest.approx(tried.head, rel=1e-6)
            assert added is not None
            assert added >= tried.head
            continue
        assert (added, asked) == pytest.approx((tried.head, tried.head), rel=1e-6)


def test_system_asks_for_the_lift_and_then_more(ten_rigs: dict[str, Rig]) -> None:
    """With next to no flow the system head is the static lift: 7 m up to the lip of the store; it only rises."""
    (tried,) = [pump for pump in match(ten_rigs["centrifugal"]).pumps if pump.drawn]
    assert tried.curve is not None
    heads = [head for head in tried.curve.system_heads if head is not None]
    assert heads[0] == pytest.approx(7.0, abs=1e-3)
    assert all(later > earlier for earlier, later in itertools.pairwise(heads))
    pumped = [head for head in tried.curve.pump_heads if head is not None]
    assert all(later <= earlier for earlier, later in itertools.pairwise(pumped))


def _falls(label: str, height: float) -> Rig:
    pump = DiaphragmPump(name="", height=height, points=((0.0, 1e5), (10 * LPM, 0.0)), dry_lift=2.0)
    second = DiaphragmPump(points=((0.0, 1e5), (12 * LPM, 0.0)), dry_lift=2.0)
    return Rig(
        title=label,
        sources={"pond": Source(surface=0.0)},
        tanks={"tank": Tank(volume=0.1, floor=3.0, depth=0.4)},
        lines={
            "up": Line(
                start="pond",
                end="tank",
                parts=(Hose(bore=0.019, length=2.0), pump, Hose(bore=0.0125, length=3.0), second),
            )
        },
    )


def test_two_pumps_need_a_place() -> None:
    rig = _falls("two in series", 1.0)
    with pytest.raises(InputError, match="2 pumps that run"):
        match(rig)
    answer = match(rig, place="lines.up.diaphragm-pump-2", pumps={"same": rig.lines["up"].parts[3]})
    same, drawn = answer.pumps
    assert {same.name, drawn.name} == {"same", "diaphragm-pump-2"}
    assert same.flow == pytest.approx(drawn.flow, rel=1e-12)
    for tried in answer.pumps:
        assert _at_duty(tried)[1] == pytest.approx(tried.head, rel=1e-6)


def test_what_the_mode_sets_of_the_old_pump_stays_with_it() -> None:
    rig = replace(
        hand_check(),
        modes={"slow": Mode(values={"lines.intake.pump.speed": 0.5, "lines.intake.pump.height": 1.5})},
    )
    answer = match(rig, pumps={"same": replace(hand_check().lines["intake"].parts[2], name="")})
    by_name = {pump.name: pump for pump in answer.pumps}
    whole = check(replace(hand_check(), modes={"slow": Mode(values={"lines.intake.pump.height": 1.5})}))
    assert by_name["same"].flow == pytest.approx(whole.flow, rel=1e-9)
    assert by_name["pump"].flow == pytest.approx(check(rig).flow, rel=1e-9)
    assert by_name["pump"].flow < 0.8 * by_name["same"].flow
    faster = match(
        hand_check(), pumps={"same": hand_check().lines["intake"].parts[2]}, changed=rig.modes["slow"].values
    )
    assert {pump.name: pump.flow for pump in faster.pumps} == pytest.approx(
        {pump.name: pump.flow for pump in answer.pumps}, rel=1e-9
    )


def test_the_cable_of_the_place_supplies_whichever_pump_stands_there() -> None:
    place, thin = "lines.intake.lift-pump", {"lines.intake.lift-pump.cable_area": 0.75e-6}
    pump = part("diaphragm-pump-11")
    assert isinstance(pump, DiaphragmPump)
    answer = match(demonstration(), place=place, pumps={"other": pump}, changed=thin)
    flow = next(tried.flow for tried in answer.pumps if tried.name == "other")
    swapped = with_pump(replaced(demonstration(), thin), place, pump)
    assert flow == pytest.approx(check(swapped).flow, rel=1e-9)
    assert flow < 0.95 * check(with_pump(demonstration(), place, pump)).flow


def test_best_efficiency_as_stated_and_as_derived() -> None:
    """A straight curve with constant power is best at half its open flow, for Q(1 - Q) peaks there."""
    straight = CentrifugalPump(
        heads=((0.0, 20.0), (20 * LPM, 0.0)), powers=((0.0, 50.0), (20 * LPM, 50.0)), dry_lift=3.0
    )
    rig = hand_check()
    answer = match(rig, pumps={"derived": straight, "stated": replace(straight, powers=None, best_flow=8 * LPM)})
    by_name = {pump.name: pump for pump in answer.pumps}
    assert by_name["derived"].best_flow == pytest.approx(10 * LPM, rel=1e-3)
    assert by_name["stated"].best_flow == pytest.approx(8 * LPM)
    assert by_name["stated"].best_share == pytest.approx(by_name["stated"].pump_flow / (8 * LPM))
    assert by_name["derived"].energy_per_volume == pytest.approx(50.0 / by_name["derived"].pump_flow)
    assert by_name["stated"].energy_per_volume is None
    assert by_name["pump"].best_flow is None


def test_priming_is_told(ten_rigs: dict[str, Rig]) -> None:
    by_name = {pump.name: pump for pump in match(ten_rigs["hand pump"]).pumps}
    assert by_name["centrifugal-pump-in-line"].primes is Verdict.FAILS
    assert by_name["diaphragm-pump-17"].primes is Verdict.HOLDS
    limit = by_name["diaphragm-pump-17"].prime_limit
    assert limit is not None
    assert 1.2 < limit <= 3.0


def test_a_pump_that_cannot_start_has_curves_that_never_meet() -> None:
    weak = DiaphragmPump(points=((0.0, 1e4), (10 * LPM, 0.0)), dry_lift=3.0)
    answer = match(hand_check(), pumps={"weak": weak})
    tried = next(pump for pump in answer.pumps if pump.name == "weak")
    assert tried.flow == 0.0
    assert tried.verdict is Verdict.FAILS
    assert tried.curve is not None
    pairs = zip(tried.curve.pump_heads, tried.curve.system_heads, strict=True)
    assert all(added is None or asked is None or added < asked for added, asked in pairs)


def test_first_in_rank_gives_the_findings() -> None:
    answer = match(demonstration())
    assert answer.best is answer.pumps[0]
    assert answer.verdict is answer.pumps[0].verdict
    failing = match(_falls("weak", 9.0), place="lines.up.diaphragm-pump-1", pumps={"same": part("diaphragm-pump-7")})
    assert failing.best is None
    assert failing.verdict is Verdict.FAILS


def test_answer_in_every_form() -> None:
    told: list[float] = []
    answer = match(hand_check(), progress=told.append)
    assert told[-1] == 1.0
    assert answer.to_dict()["pumps"][0]["flow"]["unit"] == "m^3/s"
    assert len(answer.to_frame()) == len(answer.pumps) == 7
    assert "Match of 'Hand check'" in repr(answer)


@pytest.mark.parametrize(
    ("ask", "told"),
    [
        (lambda rig: match(rig, place="lines.intake.lift-pmp"), "write lines.intake.lift-pump"),
        (lambda rig: match(rig, place="lines.to-tap.tap-pump"), "runs in mode 'filling'"),
        (lambda rig: match(rig, pumps={}), "pumps: found none"),
        (lambda rig: match(rig, pumps={"a": Hose(bore=0.01, length=1.0)}), "pumps.a: found Hose"),
        (lambda rig: match(rig, "fillng"), "write filling"),
    ],
)
def test_questions_that_cannot_be_read(ask: Callable[[Rig], object], told: str) -> None:
    with pytest.raises(InputError, match=told):
        ask(demonstration())


def test_no_pump_to_replace() -> None:
    rig = Rig(
        sources={"spring": Source(surface=2.0)},
        outlets={"end": Outlet(height=0.0)},
        lines={"down": Line(start="spring", end="end", parts=(Hose(bore=0.019, length=5.0),))},
    )
    with pytest.raises(InputError, match="0 pumps that run in mode 'as drawn'"):
        match(rig)


def test_the_pump_drawn_is_not_tried_again_out_of_the_catalogue() -> None:
    rig = read_rig(starter())
    drawn = match(rig)
    assert [pump.name for pump in drawn.pumps].count("diaphragm-pump-11") == 1
    assert len(drawn.pumps) == len(NAMES)
    slow = match(rig, changed={"lines.filling.diaphragm-pump-11.speed": 0.8})
    assert [pump.name for pump in slow.pumps].count("diaphragm-pump-11") == 2
