"""The demonstration rig through a season: each condition moves flow, time and battery as physics says, and closes.

No figure is expected to a digit here; directions are plain physics, and water, energy and charge are balanced anew.
"""

from __future__ import annotations

import pytest

from hydrokit import Check, Fill, check, demonstration, fill

FILTERS = [f"lines.intake.{name}.loading" for name in ("sediment-20", "sediment-5", "carbon", "membrane")]
PUMP = "lines.intake.lift-pump"


def loaded(share: float) -> dict[str, float]:
    return dict.fromkeys(FILTERS, share)


def closes(answer: Fill) -> None:
    """What the lines brought stands in the tanks or ran over; charge times its voltage is the energy taken."""
    brought = sum(line.volume for line in answer.lines if line.line in ("to-near", "to-far"))
    kept = sum(tank.end_volume for tank in answer.tanks)
    begun = sum(tank.start_level / 0.45 * tank.full_volume for tank in answer.tanks)
    assert brought == pytest.approx(kept - begun + answer.spilled, rel=1e-9)
    assert answer.imbalance < 1e-9
    (battery,) = answer.batteries
    assert battery.energy is not None
    assert battery.charge is not None
    assert 10.5 < battery.energy / battery.charge < 13.0  # volts of a twelve-volt battery under load
    assert answer.trust.mass_residual < 1e-9
    assert answer.trust.energy_residual < 1e-9


def balanced(answer: Check) -> None:
    """All that pumps and falling water give is lost or lifted, share by share."""
    assert sum(share.share for share in answer.head_shares) == pytest.approx(1.0, abs=1e-9)
    assert answer.trust.mass_residual < 1e-9
    assert answer.trust.energy_residual < 1e-9


@pytest.fixture(scope="module")
def new() -> Fill:
    return fill(demonstration())


def test_new_half_worn_and_end_of_life(new: Fill) -> None:
    half, worn = (fill(demonstration(), changed=loaded(share)) for share in (0.5, 1.0))
    assert new.first_flow > half.first_flow > worn.first_flow > 0.0
    assert new.full_after is not None
    assert half.full_after is not None
    assert worn.full_after is not None
    assert new.full_after < half.full_after < worn.full_after
    outlet = [check(demonstration(), changed=loaded(share)).duties[0].outlet_pressure for share in (0.0, 0.5, 1.0)]
    assert outlet == sorted(outlet)
    assert new.energy is not None
    assert half.energy is not None
    assert half.energy > new.energy
    assert worn.energy is None  # at the end of all four its switch hunts, and what that takes nobody states
    for answer in (new, half):
        closes(answer)


def test_cold_and_warm_water() -> None:
    cold, warm = (fill(demonstration(), changed={"site.water_temperature": 273.15 + t}) for t in (2.0, 25.0))
    assert cold.first_flow < warm.first_flow  # water at 2 °C is nearly twice as thick
    assert cold.full_after > warm.full_after  # type: ignore[operator]
    assert cold.energy > warm.energy  # type: ignore[operator]
    for answer in (cold, warm):
        closes(answer)


def test_sea_level_and_a_high_pass() -> None:
    low, high = (check(demonstration(), changed={"site.altitude": height}) for height in (0.0, 2500.0))
    assert low.duties[0].npsh_available - high.duties[0].npsh_available == pytest.approx(2.7, abs=0.1)  # 26.6 kPa less
    primes = {
        name: next(finding for finding in answer.findings if finding.rule == "pump primes")
        for name, answer in (("low", low), ("high", high))
    }
    assert primes["high"].limit < primes["low"].limit  # type: ignore[operator]
    assert high.full_pipe_flow == pytest.approx(low.full_pipe_flow, rel=1e-9)  # gauge pressures do not feel the air
    for answer in (low, high):
        balanced(answer)


def test_full_and_flat_battery() -> None:
    full, flat = (fill(demonstration(), changed={"batteries.main.charge": charge}) for charge in (1.0, 0.05))
    assert full.first_flow > flat.first_flow
    assert full.full_after < flat.full_after  # type: ignore[operator]
    speeds = [
        check(demonstration(), changed={"batteries.main.charge": charge}).duties[0].speed for charge in (1.0, 0.05)
    ]
    assert speeds[0] > speeds[1]  # type: ignore[operator]
    for answer in (full, flat):
        closes(answer)


def test_the_worst_of_everything_is_worse_than_each() -> None:
    worst = {**loaded(1.0), "site.water_temperature": 275.15, "site.altitude": 2500.0, "batteries.main.charge": 0.05}
    together = check(demonstration(), changed=worst)
    for address, value in worst.items():
        assert together.full_pipe_flow <= check(demonstration(), changed={address: value}).full_pipe_flow
    balanced(together)
