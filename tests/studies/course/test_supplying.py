"""Batteries over a season: full and flat, cold and warm; what a fill takes; balances of energy and charge.

The balances are closed against sums made here from the answers' own voltages and currents, and against a fixed-step
integration of a fill that knows nothing of the meter.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.files import demonstration, hand_check
from hydrokit.laws.electricity import loop_resistance
from hydrokit.network import solve
from hydrokit.parts import Battery
from hydrokit.rules import State
from hydrokit.studies import check, envelope
from hydrokit.studies.filling import fill

if TYPE_CHECKING:
    from hydrokit.studies.filling import Fill

PUMP = "lines.intake.lift-pump"
AH, WH = 3600.0, 3600.0
FULL, FLAT = {"batteries.main.charge": 1.0}, {"batteries.main.charge": 0.5}
COLD, WARM = {"site.water_temperature": 275.15}, {"site.water_temperature": 298.15}


def _number(value: float | None) -> float:
    assert value is not None
    return value


@pytest.mark.parametrize("water", [COLD, WARM], ids=["2 °C", "25 °C"])
def test_a_flat_battery_pumps_slower_and_draws_less(water: dict[str, float]) -> None:
    full, flat = (check(demonstration(), changed={**water, **charge}) for charge in (FULL, FLAT))
    one, other = full.duties[0], flat.duties[0]
    assert flat.flow < full.flow
    for name in ("voltage", "speed", "power"):
        assert _number(getattr(other, name)) < _number(getattr(one, name))
    assert flat.batteries[0].open_voltage < full.batteries[0].open_voltage


@pytest.mark.parametrize("charge", [FULL, FLAT], ids=["full", "flat"])
def test_cold_water_asks_for_more_pressure_current_and_energy(charge: dict[str, float]) -> None:
    cold, warm = (check(demonstration(), changed={**water, **charge}) for water in (COLD, WARM))
    one, other = cold.duties[0], warm.duties[0]
    assert cold.flow < warm.flow
    assert _number(one.outlet_pressure) > _number(other.outlet_pressure)
    assert _number(one.current) > _number(other.current)  # a displacement pump's current goes with its pressure
    assert _number(one.energy_per_volume) > _number(other.energy_per_volume)


@pytest.mark.parametrize("charge", [FULL, FLAT], ids=["full", "flat"])
@pytest.mark.parametrize("water", [COLD, WARM], ids=["2 °C", "25 °C"])
def test_energy_and_charge_close(water: dict[str, float], charge: dict[str, float]) -> None:
    answer = check(demonstration(), changed={**water, **charge})
    duty, (use,) = answer.duties[0], answer.batteries
    current = _number(duty.current)
    cable = loop_resistance(area=4e-6, length=3.4, joints=20e-3)
    motor, inside = _number(duty.voltage) * current, current**2 * 12e-3
    out = use.open_voltage * current
    assert out == pytest.approx(motor + current**2 * cable + inside, rel=1e-12)  # nothing is lost that is not named
    assert _number(duty.power) == pytest.approx(motor + current**2 * cable, rel=1e-12)
    assert _number(use.power) == pytest.approx(_number(duty.power), rel=1e-12)
    water_power = duty.flow * duty.head * answer.surroundings.density * 9.80665
    assert 0.1 < water_power / motor < 0.6  # of a small diaphragm pump: never more than goes in
    assert _number(duty.energy_per_volume) * duty.flow == pytest.approx(_number(duty.power), rel=1e-12)
    assert _number(duty.charge_per_volume) * duty.flow == pytest.approx(current, rel=1e-12)
    assert _number(use.usable_charge) == pytest.approx(_number(use.run_time) * current, rel=1e-12)
    assert answer.trust.mass_residual <= 1e-9
    assert answer.trust.energy_residual <= 1e-9


def _integrated(steps: int = 400) -> tuple[float, float]:
    """Return charge and energy of the demonstration's fill by fixed steps of a second method: the midpoint rule.

    Both tanks fill from the top through air gaps, so flow and current do not depend on their levels; the flow splits
    until one is full and spills.
    """
    rig = demonstration()
    solution = solve(rig)
    near, far = (float(solution.flow(line)[0]) for line in ("to-near", "to-far"))
    until = 0.06 / min(near, far)
    state = State(solution)
    current, power = float(state.taken.current[0, 0]), float(state.taken.power[0, 0])
    seconds = np.full(steps, until / steps)
    return float((seconds * current).sum()), float((seconds * power).sum())


@pytest.fixture(scope="module")
def filled() -> Fill:
    return fill(demonstration())


def test_a_fill_takes_what_a_second_integration_says(filled: Fill) -> None:
    (battery,) = filled.batteries
    charge, energy = _integrated()
    assert _number(battery.charge) == pytest.approx(charge, rel=1e-6)
    assert _number(battery.energy) == pytest.approx(energy, rel=1e-6)
    assert filled.energy == pytest.approx(battery.energy, rel=1e-12)


def test_fills_of_a_charge_and_of_a_day(filled: Fill) -> None:
    (battery,) = filled.batteries
    mean = _number(battery.charge) / filled.followed_for
    whole = 75 * AH * min(1.0, (75 * AH / (mean * 72_000.0)) ** (1.18 - 1.0))  # Peukert, AGM, 20 h
    assert battery.fills_per_charge == pytest.approx(whole * 0.5 / _number(battery.charge), rel=1e-12)
    assert battery.end_charge == pytest.approx(0.82 - _number(battery.charge) / whole, rel=1e-12)
    assert battery.fills_per_day == pytest.approx(9.0 * 0.8 * 86_400.0 / _number(battery.energy), rel=1e-12)


def test_the_charge_at_both_ends_says_whether_it_lasts(filled: Fill) -> None:
    (battery,) = filled.batteries
    assert (battery.start_charge, battery.least_charge, battery.lasts) == (0.82, 0.5, True)  # half of AGM may be used
    (flat,) = fill(demonstration(), changed=FLAT).batteries
    assert (flat.start_charge, flat.lasts) == (0.5, False)
    assert 0.0 < _number(flat.end_charge) < 0.5
    (empty,) = fill(demonstration(), changed={"batteries.main.charge": 0.001}).batteries
    assert (empty.end_charge, empty.lasts) == (0.0, False)
    (unknown,) = fill(_with(capacity=None)).batteries
    assert (unknown.start_charge, unknown.end_charge, unknown.lasts) == (0.82, None, None)


def test_a_flat_battery_fills_slower_and_a_fuller_one_more_often(filled: Fill) -> None:
    flat = fill(demonstration(), changed=FLAT)
    assert _number(flat.full_after) > _number(filled.full_after)


def _with(**changes: Any) -> Any:
    rig = demonstration()
    return replace(rig, batteries={"main": replace(rig.batteries["main"], **changes)})


def test_cold_takes_charge_from_lead_and_not_from_what_states_none() -> None:
    mild, cold = (check(_with(temperature=at)).batteries[0] for at in (298.15, 278.15))
    assert _number(cold.usable_charge) == pytest.approx(0.8 * _number(mild.usable_charge), rel=1e-12)  # 1 % a kelvin
    bare = _with(chemistry=None, usable=0.5, peukert_exponent=1.0, temperature=278.15)
    use = check(bare).batteries[0]
    assert _number(use.usable_charge) == pytest.approx(75 * AH * (0.82 - 0.5), rel=1e-12)


@pytest.mark.parametrize("left_out", ["capacity", "chemistry"])
def test_what_is_not_stated_of_a_battery_is_not_invented(left_out: str) -> None:
    answer = check(_with(**{left_out: None}))
    assert answer.batteries[0].run_time is None
    assert answer.batteries[0].current is not None
    assert fill(_with(**{left_out: None})).batteries[0].fills_per_charge is None


def test_without_an_input_nothing_is_said_of_days() -> None:
    assert fill(_with(power_in=None)).batteries[0].fills_per_day is None
    assert check(_with(power_in=None)).batteries[0].share_of_time is None


def test_other_loads_can_run_a_battery_down() -> None:
    share = check(_with(power_in=2.0, other_power=5.0)).batteries[0].share_of_time
    assert share is not None
    assert share < 0.0


def test_a_rig_without_batteries_has_none_in_use() -> None:
    assert check(hand_check()).batteries == ()
    assert fill(hand_check()).batteries == ()
    assert check(hand_check()).duties[0].voltage is None


def test_energy_without_a_battery_goes_by_the_data_sheet() -> None:
    rig = demonstration()
    bare = replace(
        rig,
        lines={
            name: replace(
                line,
                parts=tuple(replace(part, battery="") if hasattr(part, "battery") else part for part in line.parts),
            )
            for name, line in rig.lines.items()
        },
    )
    duty = check(bare).duties[0]
    amps = np.interp(duty.flow * 60_000.0, [5.3, 11.3], [7.6, 4.2])
    assert duty.current == pytest.approx(amps, rel=1e-12)
    assert duty.power == pytest.approx(12.0 * amps, rel=1e-12)
    assert duty.speed is None


def test_current_that_is_not_known_is_named_as_assumed() -> None:
    rig = demonstration()
    line = rig.lines["intake"]
    parts = tuple(replace(part, currents=None) if part.name == "lift-pump" else part for part in line.parts)
    answer = check(replace(rig, lines={**rig.lines, "intake": replace(line, parts=parts)}))
    assert answer.batteries[0].current is None
    assert any("takes no current: none is stated" in text for text in answer.trust.assumed)
    assert f"voltage drop at {PUMP}" in answer.trust.unknown


def test_the_envelope_varies_the_battery() -> None:
    answer = envelope(demonstration(), loadings=(0.0,))
    assert answer.varied[-1] == "battery"
    assert sorted({corner.charge for corner in answer.corners}) == pytest.approx([0.55, 1.0])  # half may be used
    for full, low in zip(answer.corners[::2], answer.corners[1::2], strict=True):
        assert (full.settings[-1], low.settings[-1]) == ("full", "low")
        assert low.flow < full.flow
    stated = envelope(demonstration(), loadings=(0.0,), charges=(0.6, 0.9))
    assert sorted({corner.charge for corner in stated.corners}) == [0.6, 0.9]


def test_the_envelope_says_why_a_battery_is_not_varied() -> None:
    answer = envelope(_with(empty_voltage=None))
    assert "battery" not in answer.varied
    assert "battery: its voltage when full and when empty is not stated" in answer.not_varied
    assert not any("battery" in text for text in envelope(hand_check()).not_varied)


def test_full_voltage_below_empty_is_refused() -> None:
    with pytest.raises(ValueError, match="empty_voltage"):
        Battery(nominal_voltage=12.0, full_voltage=11.0, empty_voltage=12.0)
