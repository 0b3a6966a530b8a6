"""How often a pressure switch starts its pump, and the accumulator that would calm it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.answers import Verdict
from hydrokit.parts import Battery, Fitting, Outlet, Source, Tank, Valve
from hydrokit.rig import Line, Rig
from hydrokit.rules.cycling import cycling, given_at
from hydrokit.rules.starting import starting

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.parts import DiaphragmPump, Hose
    from hydrokit.rules import State

RULE, PUMP = "pump starts", "lines.down.pump"
LITRE, BAR, AIR = 1.0 / 60_000.0, 1e5, 101_325.0


@pytest.fixture
def tap(diaphragm: Callable[..., DiaphragmPump], hose: Callable[..., Hose]) -> Callable[..., Rig]:
    """Return the function that makes a pump with a tap behind it; with a throttle so narrow that it hunts."""

    def make(*, throttled: bool = False, **more: Any) -> Rig:
        narrow = (Fitting(bore=0.002, k=2.0),) if throttled else ()
        parts = (diaphragm(**{"height": 0.5, **more}), hose(bore=0.0125), *narrow, Valve(name="tap", bore=0.012))
        return Rig(
            sources={"pond": Source(surface=0.0)},
            outlets={"end": Outlet(height=1.0)},
            lines={"down": Line(start="pond", end="end", parts=parts)},
        )

    return make


def test_with_half_of_what_it_gives_drawn_it_starts_as_boyle_and_the_balance_say(
    tap: Callable[..., Rig], found: Any, state: Callable[..., State]
) -> None:
    rig = tap(accumulator=2e-3, precharge=1.7 * BAR)
    finding, here = found(rig)[RULE, PUMP], state(rig)
    given = (11.3 - 6.0 * 2.35 / 2.8) * LITRE  # of the straight curve, at 2.35 bar; the suction takes next to nothing
    stored = 2e-3 * (1.7 * BAR + AIR) * (1 / (1.9 * BAR + AIR) - 1 / (2.8 * BAR + AIR))
    assert finding.value == pytest.approx(stored / (given / 2.0), rel=0.03)
    found_here = starting(here, here.running[0])
    assert found_here.starts[0] == pytest.approx(given / (4.0 * stored), rel=0.03)  # the most there can be
    assert not found_here.hunting[0]


@pytest.mark.parametrize(("accumulator", "verdict"), [(20e-3, "holds"), (12.5e-3, "close"), (1e-3, "close")])
def test_the_larger_the_vessel_the_longer_it_runs(
    tap: Callable[..., Rig], found: Any, accumulator: float, verdict: str
) -> None:
    finding = found(tap(accumulator=accumulator))[RULE, PUMP]
    assert finding.verdict == verdict  # advice only: it never fails
    assert finding.limit == 60.0


def test_the_accumulator_that_calms_it_does(tap: Callable[..., Rig], found: Any, state: Callable[..., State]) -> None:
    here = state(tap())
    calm = float(starting(here, here.running[0]).calm[0])
    finding = found(tap(accumulator=calm))[RULE, PUMP]
    assert finding.value == pytest.approx(60.0, rel=1e-6)
    text = str(found(tap(accumulator=calm / 10.0))[RULE, PUMP].advice)
    assert f"An accumulator of {calm * 1e3:.3g} L" in text


@pytest.mark.parametrize("throttled", [False, True])
def test_without_a_stated_accumulator_it_is_not_known(tap: Callable[..., Rig], found: Any, throttled: bool) -> None:
    finding = found(tap(throttled=throttled))[RULE, PUMP]
    assert (finding.verdict, finding.value) == (Verdict.UNKNOWN, None)
    assert "its accumulator is not stated" in str(finding.reason)
    assert "or 0 for none" in str(finding.advice)
    assert str(finding.reason).startswith("While it hunts" if throttled else "With ")


def test_while_it_hunts_what_the_rig_takes_counts(tap: Callable[..., Rig], state: Callable[..., State]) -> None:
    here = state(tap(throttled=True, accumulator=1e-3))
    found_here, cycle = starting(here, here.running[0]), cycling(here, here.running[0])
    assert cycle is not None
    assert found_here.hunting[0]
    assert found_here.take[0] == pytest.approx(cycle.mean_flow[0], rel=1e-6)


@pytest.mark.parametrize(
    ("field", "values"), [("height", (0.5, 3.0)), ("outlet_bore", (0.0125, 0.004)), ("outlet_bore", (0.004, 0.0125))]
)
def test_every_variant_is_cut_at_its_own_pump(
    tap: Callable[..., Rig], state: Callable[..., State], field: str, values: tuple[float, float]
) -> None:
    rig, address = tap(throttled=True, outlet_bore=0.0125), f"{PUMP}.{field}"
    together = state(rig, None, {address: np.array(values)})
    both = cycling(together, together.running[0])
    assert both is not None
    assert not np.allclose(both.mean_flow[0], both.mean_flow[1], rtol=1e-5)
    for row, value in enumerate(values):
        alone = state(tap(throttled=True, **{"outlet_bore": 0.0125, field: value}))
        one = cycling(alone, alone.running[0])
        assert one is not None
        assert both.mean_flow[row] == pytest.approx(one.mean_flow[0], rel=1e-9)
        assert both.run_share[row] == pytest.approx(one.run_share[0], rel=1e-9)


def test_a_pump_cut_off_still_shares_its_battery_with_the_others(
    tap: Callable[..., Rig],
    state: Callable[..., State],
    hose: Callable[..., Hose],
    diaphragm: Callable[..., DiaphragmPump],
    swapped: Callable[..., Rig],
) -> None:
    wired: dict[str, Any] = {"battery": "main", "rated_voltage": 12.0, "currents": ((0.0, 8.0), (11.3 * LITRE, 4.0))}
    one = tap()
    other = Line(start="pond", end="far", parts=(diaphragm(), hose()))
    both = replace(
        one,
        lines={**one.lines, "across": other},
        outlets={**one.outlets, "far": Outlet(height=1.0)},
        batteries={"main": Battery(nominal_voltage=12.0, inner_resistance=0.2)},
    )
    rig = swapped(both, "pump", **wired)
    here = state(rig, None, {"batteries.main.inner_resistance": np.array([0.0, 0.2])})
    duty, pressure = here.solution.flow("down"), here.walk.gauge_pressure[:, here.outlet(here.running[0])]
    assert duty[0] > 1.02 * duty[1]
    assert given_at(here, here.running[0], pressure) == pytest.approx(duty, rel=1e-9)


def test_pumps_without_a_switch_or_a_tap_leave_the_next_to_be_judged(
    tap: Callable[..., Rig],
    found: Any,
    hose: Callable[..., Hose],
    diaphragm: Callable[..., DiaphragmPump],
) -> None:
    """None of them is on a battery: each is cut off from the others for itself."""
    one = tap(accumulator=2e-3)
    lines = {
        "plain": Line(start="pond", end="far", parts=(diaphragm(cut_in=None, cut_out=None), hose())),
        "steady": Line(start="pond", end="tank", parts=(diaphragm(), hose())),
    }
    tank = Tank(volume=0.06, floor=1.0, depth=0.4)
    rig = replace(
        one,
        lines={**lines, **one.lines},
        tanks={"tank": tank},
        outlets={"far": Outlet(height=1.0), **one.outlets},
    )
    findings = found(rig)
    assert [place for rule, place in findings if rule == RULE] == [PUMP]
    assert findings[RULE, PUMP].value == pytest.approx(found(one)[RULE, PUMP].value, rel=1e-9)


def test_without_cut_in_it_is_not_known(tap: Callable[..., Rig], found: Any) -> None:
    assert "cut_in of the pump" in str(found(tap(cut_in=None))[RULE, PUMP].reason)


def test_none_at_all_is_stated_as_nought(tap: Callable[..., Rig], found: Any) -> None:
    finding = found(tap(accumulator=0.0))[RULE, PUMP]
    assert finding.verdict is Verdict.CLOSE
    assert finding.value == pytest.approx(0.0, abs=0.01)


def test_a_pump_that_fills_a_tank_steadily_has_no_starts(pond_rig: Callable[..., Rig], found: Any) -> None:
    assert not any(rule == RULE for rule, _ in found(pond_rig()))
