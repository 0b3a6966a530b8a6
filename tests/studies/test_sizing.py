"""Which hose bore: against trying every size by hand, one check at a time."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import pi
from typing import TYPE_CHECKING

import pytest

from hydrokit.answers import Verdict
from hydrokit.catalogue import hose_bores
from hydrokit.errors import InputError
from hydrokit.files import demonstration, hand_check
from hydrokit.parts import DiaphragmPump, Hose, Outlet, Pump, Source
from hydrokit.rig import Line, Rig, Site
from hydrokit.studies import check
from hydrokit.studies.bores.runs import STRETCH
from hydrokit.studies.course.times_to_fill import fill_times
from hydrokit.studies.sizing import bore

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.studies import Check

LPM = 1.0 / 60_000.0
SINGLE = {
    "demonstration": "lines.intake.delivery-hose",
    "hand check": "lines.intake.suction-hose",
    "gravity": "lines.down.hose-1",
    "centrifugal": "lines.lift.delivery",
    "hand pump": "lines.lift.suction",
    "looped": "lines.supply.hose-1",
    "quarantine": "lines.treat.suction",
    "balanced": "lines.fill.delivery",
    "high": "lines.lift.delivery",
    "wide": "lines.lift.suction",
}


def _facing(part: object, *, before_hose: bool) -> float | None:
    if isinstance(part, Pump):
        return part.outlet_bore if before_hose else part.inlet_bore
    return getattr(part, "bore", None)


def _fits(rig: Rig, address: str, size: float) -> bool:
    """Return whether a hose may take the place of one, worked out from the parts of the line alone."""
    _, name, label = address.split(".")
    line = rig.lines[name]
    at = line.labels().index(label)
    drawn = line.parts[at]
    assert isinstance(drawn, Hose)
    beside = [_facing(line.parts[at - 1], before_hose=True)] if at else []
    beside += [_facing(line.parts[at + 1], before_hose=False)] if at + 1 < len(line.parts) else []
    return abs(size - drawn.bore) < 1e-9 or all(
        seat is None or seat - 1e-9 <= size <= STRETCH * seat + 1e-9 for seat in beside
    )


def _by_hand(
    rig: Rig, addresses: tuple[str, ...], sizes: list[float], mode: str | None = None
) -> dict[tuple[float, ...], Check]:
    ways = [[size for size in sizes if _fits(rig, address, size)] for address in addresses]
    return {
        bores: check(rig, mode, changed={f"{place}.bore": size for place, size in zip(addresses, bores, strict=True)})
        for bores in product(*ways)
    }


def _water(rig: Rig, addresses: tuple[str, ...], bores: tuple[float, ...]) -> float:
    lengths = [dict(zip(rig.lines[name].labels(), rig.lines[name].parts, strict=True))[label].length
               for _, name, label in (address.split(".") for address in addresses)]  # fmt: skip
    return sum(pi / 4.0 * size**2 * length for size, length in zip(bores, lengths, strict=True))


def _smallest(rig: Rig, addresses: tuple[str, ...], tried: dict[tuple[float, ...], Check], wanted: float | None = None):
    passing = {bores: answer.flow for bores, answer in tried.items() if answer.verdict is not Verdict.FAILS}
    if not passing:
        return None
    enough = 0.95 * max(passing.values()) if wanted is None else wanted
    good = [bores for bores, flow in passing.items() if flow >= enough * (1.0 - 1e-9)]
    return min(good, key=lambda bores: _water(rig, addresses, bores), default=None)


@pytest.mark.slow
@pytest.mark.parametrize("name", list(SINGLE))
def test_choice_is_the_smallest_that_passes(ten_rigs: dict[str, Rig], name: str) -> None:
    """Brute force: every size that fits, each checked by itself."""
    rig, address = ten_rigs[name], SINGLE[name]
    tried = _by_hand(rig, (address,), [size for _, size in hose_bores("all")])
    answer = bore(rig, hoses=[address], series="all")
    chosen = None if answer.choice is None else answer.choice.bores
    assert chosen == _smallest(rig, (address,), tried)
    assert {each.bores for each in answer.candidates if each.fits} == set(tried)
    for each in answer.candidates:
        if each.fits:
            alone = tried[each.bores]
            assert each.flow == pytest.approx(alone.flow, rel=1e-7, abs=1e-13)
            assert each.passes == (alone.verdict is not Verdict.FAILS)
            failing = {f"{item.rule} at {item.place}" for item in alone.findings if item.verdict is Verdict.FAILS}
            assert set(each.ruled_out) == failing


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "addresses"),
    [
        ("hand check", ("lines.intake.suction-hose", "lines.intake.delivery-hose")),
        ("hand pump", ("lines.lift.suction", "lines.lift.delivery")),
        ("looped", ("lines.supply.hose-1", "lines.to-tap.hose-1")),
        ("quarantine", ("lines.treat.suction", "lines.treat.delivery")),
    ],
)
def test_several_together_carry_the_least_water(
    ten_rigs: dict[str, Rig], name: str, addresses: tuple[str, ...]
) -> None:
    rig = ten_rigs[name]
    sizes = [size for _, size in hose_bores("metric") if 0.006 <= size <= 0.026]
    tried = _by_hand(rig, addresses, sizes)
    answer = bore(rig, hoses=addresses, least=0.006, most=0.026)
    assert len(answer.candidates) == len(tried)
    assert answer.choice is not None
    wanted = _smallest(rig, addresses, tried)
    assert _water(rig, addresses, answer.choice.bores) == pytest.approx(_water(rig, addresses, wanted), rel=1e-9)


@pytest.mark.slow
def test_front_is_what_nothing_betters(ten_rigs: dict[str, Rig]) -> None:
    answer = bore(ten_rigs["looped"], lines=["supply", "to-tap"], most=0.03)
    passing = [(place, each) for place, each in enumerate(answer.candidates) if each.passes]
    best = [
        place
        for place, each in passing
        if not any(
            (other.flow >= each.flow * (1.0 + 1e-9) and other.water_mass <= each.water_mass)
            or (other.flow >= each.flow and other.water_mass < each.water_mass * (1.0 - 1e-9))
            for _, other in passing
        )
    ]  # fmt: skip
    assert list(answer.front) == best
    assert len(best) > 3


def test_wanted_flow_is_met_by_the_first_that_can() -> None:
    rig, address = hand_check(), "lines.intake.delivery-hose"
    tried = _by_hand(rig, (address,), [size for _, size in hose_bores("metric")])
    for wanted in (5.0 * LPM, 7.0 * LPM, 7.4 * LPM):
        answer = bore(rig, hoses=[address], wanted_flow=wanted)
        assert answer.choice is not None
        assert answer.choice.bores == _smallest(rig, (address,), tried, wanted)


def test_more_than_any_bore_gives_leaves_no_choice() -> None:
    answer = bore(hand_check(), lines=["intake"], most=0.03, wanted_flow=30.0 * LPM)
    assert answer.choice is None
    assert answer.next_best is None
    assert answer.wanted_flow == pytest.approx(30.0 * LPM)


def test_what_no_bore_mends_is_set_aside(ten_rigs: dict[str, Rig]) -> None:
    answer = bore(ten_rigs["high"])
    assert answer.choice is None
    assert answer.aside == ("pump primes at lines.lift.pump",)
    assert answer.next_best is not None
    assert set(answer.candidates[answer.next_best].ruled_out) == set(answer.aside)
    assert answer.verdict is Verdict.FAILS


def test_knee_is_where_nothing_wider_brings_three_per_cent() -> None:
    rig, address = hand_check(), "lines.intake.delivery-hose"
    (curve,) = bore(rig, hoses=[address]).curves
    flows = [check(rig, changed={f"{address}.bore": size}).flow for size in curve.bores]
    knee = next(place for place, flow in enumerate(flows) if max(flows[place:]) <= 1.03 * flow)
    assert curve.knee == curve.sizes[knee]
    assert 0 < knee < len(flows) - 1


def test_tails_take_over_from_the_hose() -> None:
    """Shares of head as ``check`` tells them, size by size."""
    rig, address = demonstration(), "lines.intake.delivery-hose"
    labels = rig.lines["intake"].labels()
    at = labels.index("delivery-hose")
    beside = {f"lines.intake.{labels[at - 1]}", f"lines.intake.{labels[at + 1]}"}
    (curve,) = bore(rig, hoses=[address]).curves
    for place, size in enumerate(curve.bores):
        shares = {share.place: share.share for share in check(rig, changed={f"{address}.bore": size}).head_shares}
        assert curve.hose_shares[place] == pytest.approx(shares.get(address, 0.0), rel=1e-6, abs=1e-12)
        assert curve.tail_shares[place] == pytest.approx(sum(shares.get(tail, 0.0) for tail in beside), rel=1e-6)
    first = curve.sizes.index(curve.tails_from)
    assert curve.tail_shares[first] > curve.hose_shares[first]
    assert all(curve.tail_shares[place] <= curve.hose_shares[place] for place in range(first))


def test_tails_changed_along_with_the_hose() -> None:
    address = "lines.intake.delivery-hose"
    kept = bore(demonstration(), hoses=[address])
    free = bore(demonstration(), hoses=[address], tails="changed")
    assert sum(each.fits for each in kept.candidates) < sum(each.fits for each in free.candidates)
    assert max(each.flow for each in free.candidates) > max(each.flow for each in kept.candidates)


def test_hoses_on_one_side_of_the_pump_share_a_bore() -> None:
    answer = bore(demonstration(), lines=["lines.intake"])
    assert [run.place for run in answer.runs] == ["lines.intake.suction-hose", "lines.intake after lift-pump"]
    assert [hose.place.rpartition(".")[2] for hose in answer.runs[1].hoses] == ["delivery-hose", "clean-hose"]


def test_a_hose_named_by_itself_leaves_its_line() -> None:
    answer = bore(demonstration(), lines=["intake"], hoses=["lines.intake.clean-hose"])
    assert [run.place.rpartition(".")[2] for run in answer.runs] == ["suction-hose", "delivery-hose", "clean-hose"]


def test_lines_that_only_level_tanks_are_left_out(ten_rigs: dict[str, Rig]) -> None:
    assert "lines.balance.hose-1" not in [run.place for run in bore(ten_rigs["balanced"], most=0.03).runs]
    named = bore(ten_rigs["balanced"], lines=["balance"], most=0.03)
    assert [run.place for run in named.runs] == ["lines.balance.hose-1"]


def test_changed_values_stand_in_front() -> None:
    longer = {"lines.intake.delivery-hose.length": 40.0}
    address = "lines.intake.delivery-hose"
    plain, far = bore(hand_check(), hoses=[address]), bore(hand_check(), hoses=[address], changed=longer)
    assert far.candidates[3].flow < plain.candidates[3].flow
    assert far.candidates[3].water_mass == pytest.approx(10.0 * plain.candidates[3].water_mass)


def test_water_in_a_published_length_of_hose() -> None:
    """NWCG S-211 field mathematics, table 3.1: 100 ft of 1.5 inch hose hold 9.2 US gal, of 1 inch 4.1 US gal."""
    rig = Rig(
        site=Site(density=998.2, viscosity=1.0e-3, vapour_pressure=2339.0),
        sources={"lake": Source(surface=5.0)},
        outlets={"end": Outlet(height=0.0)},
        lines={"down": Line(start="lake", end="end", parts=(Hose(bore=0.038, length=30.48),))},
    )
    found = {each.sizes[0]: each.water_mass / 998.2 / 3.785411784e-3 for each in bore(rig, series="inch").candidates}
    assert found["1 1/2 in"] == pytest.approx(9.2, abs=0.05)
    assert found["1 in"] == pytest.approx(4.1, abs=0.05)


def test_progress_reaches_the_end() -> None:
    told: list[float] = []
    bore(hand_check(), progress=told.append)
    assert told[-1] == 1.0


def test_answer_in_every_form() -> None:
    answer = bore(hand_check(), most=0.03)
    data = answer.to_dict()
    assert data["question"] == "bore"
    assert data["candidates"][0]["flow"]["unit"] == "m^3/s"
    assert len(answer.to_frame()) == len(answer.candidates)
    assert "Bore of 'Hand check'" in repr(answer)


@pytest.mark.parametrize(
    ("ask", "told"),
    [
        (lambda rig: bore(rig, lines=["intke"]), "lines: found 'intke'.*write intake"),
        (lambda rig: bore(rig, hoses=["lines.intake.suction"]), "write lines.intake.suction-hose"),
        (lambda rig: bore(rig, lines=["to-tap"]), "an open line with hose, in mode 'filling'"),
        (lambda rig: bore(rig, series="metrc"), "series: found 'metrc'.*write metric"),
        (lambda rig: bore(rig, tails="keep"), "tails: found 'keep'.*kept, changed"),
        (lambda rig: bore(rig, least=0.0201, most=0.0249), "a range that holds one of"),
        (lambda rig: bore(rig, least=-1.0), "least: found -1 m"),
        (lambda rig: bore(rig, wanted_flow=float("nan")), "wanted_flow: found nan"),
        (lambda rig: bore(rig, "fillng"), "mode: found 'fillng'.*write filling"),
        (lambda rig: bore(rig, changed={"lines.intake.nothing.bore": 0.02}), "lines.intake.nothing.bore"),
    ],
)
def test_questions_that_cannot_be_read(ask: Callable[[Rig], object], told: str) -> None:
    with pytest.raises(InputError, match=told):
        ask(demonstration())


def test_every_wrong_name_is_told_at_once() -> None:
    with pytest.raises(InputError) as caught:
        bore(demonstration(), lines=["a"], hoses=["b", "c"])
    assert len(caught.value.mistakes) == 3


def test_too_many_to_try(ten_rigs: dict[str, Rig]) -> None:
    with pytest.raises(InputError, match="960000 combinations of 6 runs of hose"):
        bore(ten_rigs["looped"])


def test_fill_time_is_that_of_filling() -> None:
    answer = bore(demonstration(), hoses=["lines.intake.delivery-hose"])
    for each in answer.candidates[4:8]:
        alone = fill_times(demonstration(), "filling", {"lines.intake.delivery-hose.bore": each.bores[0]})
        assert each.fill_time == pytest.approx(float(alone[0]), rel=1e-3)
    assert all(each.fill_time is None for each in bore(demonstration(), "tap", lines=["to-tap"]).candidates)


def test_where_every_bore_carries_the_same_only_the_narrowest_is_not_bettered() -> None:
    steady = DiaphragmPump(name="pump", points=((0.0, 3e5), (6 * LPM, 2e5), (6 * LPM, 0.0)), dry_lift=2.0)
    parts = (Hose(bore=0.019, length=2.0), replace(steady, height=0.5), Hose(name="up", bore=0.019, length=3.0))
    rig = Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={"end": Outlet(height=1.0)},
        lines={"run": Line(start="pond", end="end", parts=parts)},
    )
    answer = bore(rig, hoses=["lines.run.up"])
    whole = [
        place
        for place, candidate in enumerate(answer.candidates)
        if candidate.flow == pytest.approx(6 * LPM, rel=1e-12)
    ]
    assert len(whole) >= 3
    assert [place for place in answer.front if place in whole] == whole[:1]


def test_sizes_are_those_of_the_series_in_which_the_hose_is_drawn() -> None:
    hose = ["lines.intake.suction-hose"]
    inch = bore(demonstration(), hoses=hose, changed={f"{hose[0]}.bore": 0.01905})
    assert all(candidate.sizes[0].endswith(" in") for candidate in inch.candidates)
    assert all(candidate.sizes[0].endswith(" mm") for candidate in bore(demonstration(), hoses=hose).candidates)
