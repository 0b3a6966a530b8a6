"""The proof of ``diagnose``: one planted fault in each of two hundred varied rigs is named, and healthy rigs are left alone.

All rigs are invented; the readings are those of the rig with the planted fault, with noise as in the published aim.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pytest

from hydrokit.parts import (
    Battery,
    CentrifugalPump,
    DiaphragmPump,
    Elbow,
    Filter,
    FootValve,
    Hose,
    HoseTail,
    Outlet,
    Source,
    Strainer,
    Tank,
    Tee,
)
from hydrokit.rig import Line, Reading, Rig, Site
from hydrokit.studies import diagnose
from hydrokit.studies.diagnosis.workbench import Workbench

if TYPE_CHECKING:
    from hydrokit.studies import Diagnosis
    from hydrokit.studies.diagnosis.gauges import Spot

LPM = 1.0 / 60_000.0
KINDS = ("blocked strainer", "loaded filter", "worn pump", "air leak", "bad cable")
RIGS = 200 if os.environ.get("SOAK") else 60
"""How many are planted; `make soak` tries more."""
NOISE = {"vacuum": 1e3, "pressure": 2e3, "volts": 0.05}
FLOW_NOISE = 0.03


@dataclass
class Draw:
    """Draws the pieces of one varied rig."""

    random: np.random.Generator

    def times(self, low: float = 0.8, high: float = 1.25) -> float:
        return float(np.exp(self.random.uniform(np.log(low), np.log(high))))

    def between(self, low: float, high: float) -> float:
        return float(self.random.uniform(low, high))

    def filter(self, name: str, flow: float, drop: float) -> Filter:
        flow, drop = flow * LPM, drop * 1e3 * self.times()
        return Filter(
            name=name,
            height=1.9,
            points=((0.5 * flow, 0.45 * drop), (flow, drop)),
            end_drop=((flow, 6.0 * drop + 40e3),),
        )

    def battery(self, **more: float) -> Battery:
        return Battery(nominal_voltage=12.0, full_voltage=12.6, inner_resistance=0.012, **more)

    def wiring(self) -> dict[str, object]:
        return {
            "battery": "main",
            "rated_voltage": 12.0,
            "cable_area": float(self.random.choice([2.5e-6, 4e-6, 6e-6])),
            "cable_length": self.between(2.0, 7.0),
        }

    def diaphragm(self, flow: float, pressure: float, amps: float) -> DiaphragmPump:
        flow, pressure, amps = flow * LPM * self.times(), pressure * 1e5 * self.times(), amps * self.times()
        return DiaphragmPump(
            name="pump",
            height=self.between(0.8, 2.2),
            points=((flow, 0.0), (0.75 * flow, 0.5 * pressure), (0.45 * flow, pressure)),
            currents=((flow, 0.5 * amps), (0.45 * flow, amps)),
            **self.wiring(),
        )

    def suction(self, bore: float) -> list[object]:
        return [
            Strainer(name="strainer", bore=bore, k=self.between(1.5, 4.0), height=-0.4),
            FootValve(bore=bore, height=-0.35),
            Hose(bore=bore, length=self.between(3.0, 8.0)),
        ]

    def rig(self, pump: object, before: list[object], after: list[object], **more: object) -> Rig:
        return Rig(
            title="varied",
            site=Site(water_temperature=273.15 + self.between(5.0, 22.0), altitude=self.between(0.0, 900.0)),
            sources={"pond": Source(surface=0.0)},
            batteries={"main": self.battery()},
            lines={"intake": Line(start="pond", end="end", parts=(*before, pump, *after))},
            **more,
        )


def trailer(draw: Draw) -> Rig:
    """Four filters and a small pump, far apart in height."""
    train = [draw.filter("coarse", 8, 6), draw.filter("fine", 8, 12), draw.filter("carbon", 8, 45)]
    tail = HoseTail(bore=0.0095)
    return draw.rig(
        draw.diaphragm(13.0, 4.0, 8.0),
        draw.suction(0.019),
        [tail, Hose(bore=0.0125, length=draw.between(1.0, 4.0)), *train, tail, Hose(bore=0.0125, length=2.0)],
        tanks={"end": Tank(volume=0.06, floor=1.8, depth=0.45, inlet_height=draw.between(2.2, 3.0))},
    )


def one_filter(draw: Draw) -> Rig:
    """One membrane, a thin suction hose."""
    return draw.rig(
        draw.diaphragm(9.0, 5.0, 7.0),
        draw.suction(0.0125),
        [Hose(bore=0.01, length=draw.between(2.0, 8.0)), draw.filter("membrane", 6, 60), Hose(bore=0.01, length=1.0)],
        outlets={"end": Outlet(height=draw.between(1.0, 4.0))},
    )


def turning(draw: Draw) -> Rig:
    """A centrifugal pump on a long delivery."""
    lift, reach = 9.0 * draw.times(), 32.0 * LPM * draw.times()
    pump = CentrifugalPump(
        name="pump",
        height=draw.between(0.4, 1.2),
        heads=((0.0, lift), (0.5 * reach, 0.82 * lift), (reach, 0.2 * lift)),
        currents=((0.0, 3.0 * draw.times()), (reach, 7.5 * draw.times())),
        **draw.wiring(),
    )
    return draw.rig(
        pump,
        draw.suction(0.025),
        [
            Hose(bore=0.019, length=draw.between(4.0, 15.0)),
            draw.filter("sediment", 20, 12),
            Hose(bore=0.019, length=2.0),
        ],
        tanks={"end": Tank(volume=0.2, floor=1.6, depth=0.5, inlet_height=draw.between(2.0, 2.8))},
    )


def twins(draw: Draw) -> Rig:
    """Two tanks behind a tee."""
    base = trailer(draw)
    intake = base.lines["intake"]
    parts = (Tee(bore=0.0125), Hose(bore=0.0125, length=1.2))
    tank = Tank(volume=0.06, floor=1.8, depth=0.45, inlet_height=2.3)
    return Rig(
        title="varied twins",
        site=base.site,
        sources=base.sources,
        batteries=base.batteries,
        tanks={"near": tank, "far": tank},
        lines={
            "intake": Line(start="pond", end="split", parts=intake.parts),
            "to-near": Line(start="split", end="near", parts=parts),
            "to-far": Line(start="split", end="far", parts=(*parts, Elbow(bore=0.0125))),
        },
    )


def big_pump(draw: Draw) -> Rig:
    """A larger pump and two filters of low drop."""
    return draw.rig(
        draw.diaphragm(20.0, 3.5, 12.0),
        draw.suction(0.025),
        [
            Hose(bore=0.016, length=draw.between(2.0, 6.0)),
            draw.filter("coarse", 15, 8),
            draw.filter("fine", 15, 20),
            Hose(bore=0.016, length=3.0),
        ],
        outlets={"end": Outlet(height=draw.between(1.5, 3.5))},
    )


BASES = (trailer, one_filter, turning, twins, big_pump)


@dataclass(frozen=True)
class Planted:
    """One rig with one fault, and what was read on it."""

    kind: str
    place: str
    cost: float
    condition: float
    readings: tuple[Reading, ...]
    rig: Rig


def graded(bench: Workbench, fault: int, cost: float) -> np.ndarray | None:
    """Return grades at which one fault costs a share of the flow; None where it never costs that much."""
    low, high = 0.0, 1.0
    for _ in range(3):
        rows = np.zeros((33, len(bench.faults)))
        rows[:, fault] = np.linspace(low, high, len(rows))
        flow = bench.foretold(rows, bench.spots[:1])[:, 0]
        if low == 0.0:
            healthy = flow[0]
        enough = np.flatnonzero(~(flow > healthy * (1.0 - cost)))
        if not enough.size:
            return None
        low, high = rows[max(enough[0] - 1, 0), fault], rows[enough[0], fault]
    return rows[enough[:1]]


def read_with_noise(random: np.random.Generator, spot: Spot, value: float) -> Reading:
    spread = FLOW_NOISE * value if spot.kind == "flow" else NOISE[spot.kind]
    return Reading(
        kind=spot.kind, value=value + float(random.normal(0.0, spread)), uncertainty=spread, at=spot.at, side=spot.side
    )


def plant(seed: int) -> Planted:
    """Plant one fault in one varied rig, and read: bucket and watch, vacuum, before and after the filters, volts."""
    random = np.random.default_rng(seed)
    rig = BASES[seed // len(KINDS) % len(BASES)](Draw(random))
    bench = Workbench(rig, None, None)
    kind = KINDS[seed % len(KINDS)]
    faults = [place for place, fault in enumerate(bench.faults) if fault.kind == kind]
    fault = int(random.choice(faults))
    cost = float(random.uniform(0.15, 0.60))
    grades = graded(bench, fault, cost)
    assert grades is not None, f"seed {seed}: {kind} cannot cost {cost:.0%}"
    filters = [spot for spot in bench.spots if spot.kind == "pressure" and not spot.at.endswith(".pump")]
    spots = [spot for spot in bench.spots if (spot.kind in ("flow", "volts") and not (spot.kind == "flow" and spot.at))]
    spots += [spot for spot in bench.spots if spot.kind == "vacuum"] + [filters[0], filters[-1]]
    true = bench.foretold(grades, spots)[0]
    readings = tuple(read_with_noise(random, spot, float(value)) for spot, value in zip(spots, true, strict=True))
    condition = float(bench.faults[fault].value(grades[0, fault]))
    return Planted(kind, bench.faults[fault].place, cost, condition, readings, rig)


def places_named(answer: Diagnosis) -> list[tuple[tuple[str, str], ...]]:
    named = answer.suspects[: answer.named]
    return [tuple(zip(suspect.faults, suspect.places, strict=True)) for suspect in named]


@pytest.mark.slow
def test_names_what_was_planted() -> None:
    missed = []
    for seed in range(RIGS):
        planted = plant(seed)
        named = places_named(diagnose(planted.rig, planted.readings))
        if ((planted.kind, planted.place),) not in named:
            missed.append((seed, planted.kind, round(planted.cost, 2), named))
        told = {kind for ((kind, _),) in named}  # no tie but of filters in a row, or of a worn pump and an air leak
        assert len(told) == 1 or told == {"worn pump", "air leak"}, (seed, named)
    assert len(missed) <= 0.1 * RIGS, missed


@pytest.mark.slow
def test_finds_nothing_wrong_with_healthy_rigs() -> None:
    blamed = []
    for seed in range(1000, 1040):
        random = np.random.default_rng(seed)
        rig = BASES[seed % len(BASES)](Draw(random))
        bench = Workbench(rig, None, None)
        spots = [
            spot for spot in bench.spots if spot.kind in ("flow", "vacuum", "pressure", "volts") and spot.at != "near"
        ]
        true = bench.foretold(np.zeros((1, len(bench.faults))), spots)[0]
        readings = [read_with_noise(random, spot, float(value)) for spot, value in zip(spots, true, strict=True)]
        if diagnose(rig, readings).named:
            blamed.append(seed)
    assert len(blamed) <= 4, blamed


@pytest.mark.slow
def test_the_planted_condition_mostly_lies_in_its_range() -> None:
    inside = []
    for seed in [seed for seed in range(100) if KINDS[seed % len(KINDS)] in ("blocked strainer", "bad cable")][::2]:
        planted = plant(seed)
        answer = diagnose(planted.rig, planted.readings)
        row = next(each for each in answer.conditions if (each.fault, each.place) == (planted.kind, planted.place))
        assert row.told
        inside.append(row.low <= planted.condition <= row.high)
    assert 0.4 <= np.mean(inside) <= 0.95, inside  # one standard deviation: about two in three
