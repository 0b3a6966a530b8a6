"""Raw water kept from treated, in the layouts met in practice."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.answers import Verdict
from hydrokit.files import demonstration
from hydrokit.parts import Lamp, NonReturnValve, Outlet, Source, Tank
from hydrokit.rig import Line, Mode, Rig
from hydrokit.rules import margins

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.parts import CentrifugalPump, DiaphragmPump, Filter, Hose

    Rigs = Callable[..., Rig]

ROUND, BACK = "no way round the barrier", "no way back"
LITRE = 1.0 / 60_000.0


def tank(**more: Any) -> Tank:
    return Tank(**{"volume": 0.06, "floor": 1.0, "depth": 0.4, **more})


@pytest.fixture
def filled(diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose], membrane: Callable[..., Filter]) -> Rigs:
    """Return the function that builds pond, pump, membrane, tank."""

    def build(*after: Any, inlet: str = "top", pump: Any = None, **more: Any) -> Rig:
        given: dict[str, Any] = {
            "sources": {"pond": Source(surface=0.0)},
            "tanks": {"t": tank(inlet=inlet)},
            "lines": {
                "intake": Line(start="pond", end="j", parts=(hose(), replace(pump or diaphragm(), height=0.5))),
                "fine": Line(start="j", end="t", parts=(hose(), *(after or (membrane(),)))),
            },
        }
        return Rig(**{**given, **more})

    return build


def judged(found: Any, rig: Rig, mode: str | None = None) -> dict[tuple[str, str], str]:
    return {key: finding.verdict.value for key, finding in found(rig, mode).items() if key[0] in {ROUND, BACK}}


def test_water_that_passes_a_membrane_is_kept_apart(filled: Rigs, found: Any) -> None:
    assert judged(found, filled()) == {(ROUND, "tanks.t"): "holds", (BACK, "lines.fine"): "holds"}


def test_a_lamp_is_a_barrier_too(filled: Rigs, found: Any) -> None:
    lamp = Lamp(points=((8.0 * LITRE, 5e3),), points_temperature=293.15, rated_flow=15.0 * LITRE)
    assert judged(found, filled(lamp))[ROUND, "tanks.t"] == "holds"


@pytest.mark.parametrize("medium", ["sediment", "carbon"])
def test_sediment_and_carbon_alone_treat_nothing(
    filled: Rigs, membrane: Callable[..., Filter], found: Any, medium: str
) -> None:
    finding = found(filled(membrane(medium=medium)))[ROUND, "tanks.t"]
    assert finding.verdict is Verdict.UNKNOWN
    assert str(finding.reason) == (
        "No membrane, ceramic or lamp stands in its way: nothing tells raw water from treated."
    )


def test_a_line_round_the_barrier_lets_raw_water_in(filled: Rigs, hose: Callable[..., Hose], found: Any) -> None:
    rig = filled()
    by_pass = {**rig.lines, "round": Line(start="j", end="t", parts=(hose(),))}
    finding = found(replace(rig, lines=by_pass))[ROUND, "tanks.t"]
    assert finding.verdict is Verdict.FAILS
    assert str(finding.reason) == "Raw water can reach tank t round the barrier."
    assert "close it with a valve" in str(finding.advice)


def test_a_way_round_that_is_shut_in_a_mode_is_no_way_in_it(
    filled: Rigs, hose: Callable[..., Hose], found: Any
) -> None:
    rig = filled()
    by_pass = {**rig.lines, "round": Line(start="j", end="t", parts=(hose(),))}
    modes = {"fill": Mode(closed=("lines.round",)), "flush": Mode()}
    rig = replace(rig, lines=by_pass, modes=modes)
    assert judged(found, rig, "fill")[ROUND, "tanks.t"] == "holds"
    assert judged(found, rig, "flush")[ROUND, "tanks.t"] == "fails"


@pytest.mark.parametrize(
    ("inlet", "valve", "verdict"), [("top", False, "holds"), ("bottom", False, "fails"), ("bottom", True, "holds")]
)
def test_treated_water_runs_back_where_nothing_stops_it(
    filled: Rigs, centrifugal: Callable[..., CentrifugalPump], membrane: Callable[..., Filter], found: Any,
    inlet: str, valve: bool, verdict: str,
) -> None:  # fmt: skip
    after = (membrane(), *((NonReturnValve(bore=0.019),) if valve else ()))
    finding = found(filled(*after, inlet=inlet, pump=centrifugal()))[BACK, "lines.fine"]
    assert finding.verdict == verdict
    if verdict == "fails":
        assert str(finding.reason) == (
            "Nothing in line fine stops water from running back from the treated side to the raw."
        )


@pytest.mark.parametrize(
    ("inlet", "overflow", "below"),
    [(1.5, {}, 0.0), (1.4, {}, 0.0), (1.3, {}, 0.1), (1.3, {"overflow_bore": 0.025, "overflow_height": 1.25}, 0.0),
     (1.3, {"overflow_bore": 0.025, "overflow_height": 1.35}, 0.05), (1.3, {"overflow_bore": 0.0, "overflow_height": 1.25}, 0.1)],
)  # fmt: skip
@pytest.mark.parametrize("valve", [False, True])
def test_an_inlet_under_the_water_of_a_full_tank_is_a_way_back(
    filled: Rigs, centrifugal: Callable[..., CentrifugalPump], membrane: Callable[..., Filter], found: Any,
    inlet: float, overflow: dict[str, float], below: float, valve: bool,
) -> None:  # fmt: skip
    after = (membrane(), *((NonReturnValve(bore=0.019),) if valve else ()))
    rig = filled(*after, pump=centrifugal(), tanks={"t": tank(inlet_height=inlet, **overflow)})
    finding = found(rig)[BACK, "lines.fine"]
    assert (finding.verdict is Verdict.FAILS) is (below > 0.0 and not valve)
    if finding.verdict is Verdict.FAILS:
        told = {0.1: "100 mm", 0.05: "50 mm"}[below]
        assert f"The inlet of line fine lies {told} under the water of tank t when that is full" in str(finding.reason)
        assert "twice its bore" in str(finding.advice)


def test_a_drowned_inlet_is_judged_in_every_variant_for_itself(
    filled: Rigs, centrifugal: Callable[..., CentrifugalPump], state: Callable[..., Any]
) -> None:
    rig = filled(pump=centrifugal(), tanks={"t": tank(inlet_height=1.4)})
    both = margins(state(rig, None, {"tanks.t.inlet_height": np.array([1.3, 1.4])}))[BACK, "lines.fine"]
    assert both.tolist() == [-1.0, 1.0]


def test_a_line_from_the_clean_tank_to_the_raw_side_is_a_way_back(
    filled: Rigs, hose: Callable[..., Hose], found: Any
) -> None:
    rig = filled()
    rinse = Line(start="t", end="j", parts=(NonReturnValve(bore=0.019), hose()))
    assert judged(found, replace(rig, lines={**rig.lines, "rinse": rinse}))[BACK, "lines.rinse"] == "fails"


def test_water_that_is_already_fit_to_drink_needs_no_barrier(
    filled: Rigs, hose: Callable[..., Hose], found: Any
) -> None:
    line = Line(start="main", end="t", parts=(hose(),))
    rig = Rig(
        sources={"main": Source(surface=0.0, pressure=3e5, treated=True)}, tanks={"t": tank()}, lines={"in": line}
    )
    assert judged(found, rig) == {(ROUND, "tanks.t"): "holds"}


def test_raw_water_joined_to_water_fit_to_drink_is_a_way_round(
    filled: Rigs, hose: Callable[..., Hose], found: Any
) -> None:
    rig = Rig(
        sources={"main": Source(surface=0.0, pressure=3e5, treated=True), "pond": Source(surface=2.0)},
        tanks={"t": tank()},
        lines={
            "in": Line(start="main", end="j", parts=(hose(),)),
            "raw": Line(start="pond", end="j", parts=(hose(),)),
            "out": Line(start="j", end="t", parts=(hose(),)),
        },
    )
    assert judged(found, rig)[ROUND, "tanks.t"] == "fails"


def test_the_second_of_a_pair_that_level_out_holds_what_the_first_does(
    filled: Rigs, hose: Callable[..., Hose], found: Any
) -> None:
    rig = filled()
    lines = {
        **rig.lines,
        "balance": Line(start="twin", end="t", parts=(hose(),)),  # drawn the other way round
        "draw": Line(start="twin", end="tap", parts=(hose(),)),
    }
    tanks = {"t": tank(inlet="bottom"), "twin": tank()}
    modes = {"fill": Mode(closed=("lines.draw",)), "draw": Mode(closed=("lines.intake", "lines.fine"))}
    rig = replace(rig, tanks=tanks, outlets={"tap": Outlet(height=0.5)}, lines=lines, modes=modes)
    assert judged(found, rig, "fill")[ROUND, "tanks.twin"] == "holds"
    assert judged(found, rig, "draw")[ROUND, "outlets.tap"] == "holds"


@pytest.fixture
def quarantine(
    diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose], membrane: Callable[..., Filter]
) -> Rig:
    """A raw tank, treated in batch into a clean one, drawn from at a tap."""
    return Rig(
        sources={"pond": Source(surface=0.0)},
        tanks={"raw": tank(), "clean": tank()},
        outlets={"tap": Outlet(height=0.9)},
        lines={
            "intake": Line(start="pond", end="raw", parts=(hose(), replace(diaphragm("lift"), height=0.5))),
            "batch": Line(
                start="raw", end="clean", parts=(hose(), replace(diaphragm("press"), height=0.9), membrane())
            ),
            "draw": Line(start="clean", end="tap", parts=(hose(),)),
        },
        modes={
            "fill": Mode(closed=("lines.batch", "lines.draw"), off=("lines.batch.press",)),
            "treat": Mode(closed=("lines.intake", "lines.draw"), off=("lines.intake.lift",)),
            "draw": Mode(closed=("lines.intake", "lines.batch"), off=("lines.intake.lift", "lines.batch.press")),
        },
    )


def test_a_tank_holds_what_other_modes_have_put_into_it(quarantine: Rig, found: Any) -> None:
    assert judged(found, quarantine, "fill") == {}  # raw water into a raw tank
    assert judged(found, quarantine, "treat") == {(ROUND, "tanks.clean"): "holds", (BACK, "lines.batch"): "holds"}
    assert judged(found, quarantine, "draw") == {(ROUND, "tanks.clean"): "holds", (ROUND, "outlets.tap"): "holds"}


def test_a_tap_that_draws_from_the_raw_tank_as_well_is_told(
    quarantine: Rig, hose: Callable[..., Hose], found: Any
) -> None:
    lines = {**quarantine.lines, "cross": Line(start="raw", end="mid", parts=(hose(),))}
    lines["draw"] = replace(quarantine.lines["draw"], end="mid")
    lines["out"] = Line(start="mid", end="tap", parts=(hose(),))
    assert judged(found, replace(quarantine, lines=lines), "draw")[ROUND, "outlets.tap"] == "fails"


@pytest.mark.parametrize("mode", ["filling", "tap"])
def test_the_demonstration_rig_keeps_them_apart(found: Any, mode: str) -> None:
    verdicts = judged(found, demonstration(), mode)
    assert set(verdicts.values()) == {"holds"}
    assert (ROUND, "tanks.near") in verdicts
