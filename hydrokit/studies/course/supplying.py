"""What batteries give and how long they last: at one moment, and over a fill."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any

import numpy as np

from hydrokit.bounds import Dimension, Spec
from hydrokit.laws.battery import cold_share, fills_sustained, peukert_share

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.network import Plan
    from hydrokit.parts import Battery
    from hydrokit.rules import State
    from hydrokit.studies.course.passed import Metering
    from hydrokit.timeline import Course

__all__ = ["BatteryUse", "Charged", "batteries_in_use", "charged_by"]

_DAY = 86_400.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BatteryUse:
    """One battery while pumps draw from it; None where it is not known.

    ``run_time`` and ``volume`` last until the usable share is gone; ``share_of_time`` is how much of the day its input
    keeps its pumps running, above 1 where it more than keeps up, below 0 where other loads alone run it down.
    """

    name: str
    charge: Annotated[float, Spec(Dimension.FRACTION, "that is in it")]
    open_voltage: Annotated[float, Spec(Dimension.VOLTAGE, "at rest")]
    voltage: Annotated[float | None, Spec(Dimension.VOLTAGE, "at its terminals")]
    current: Annotated[float | None, Spec(Dimension.CURRENT, "that all running pumps draw")]
    power: Annotated[float | None, Spec(Dimension.POWER, "that all running pumps draw")]
    usable_charge: Annotated[float | None, Spec(Dimension.CHARGE, "left at this current")]
    run_time: Annotated[float | None, Spec(Dimension.TIME, "at this current")]
    power_in: Annotated[float | None, Spec(Dimension.POWER, "from sun or alternator, mean over day and night")]
    share_of_time: Annotated[float | None, Spec(Dimension.NUMBER, "that the input keeps its pumps running")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Charged:
    """What one battery gave over a fill; None where it is not known.

    ``lasts`` is whether its charge stays at or above what must be left in it, ``least_charge``, to the end.
    """

    name: str
    start_charge: Annotated[float, Spec(Dimension.FRACTION, "that is in it at the start")]
    charge: Annotated[float | None, Spec(Dimension.CHARGE, "drawn from it")]
    energy: Annotated[float | None, Spec(Dimension.ENERGY, "drawn from it, loss in the cable included")]
    end_charge: Annotated[
        float | None, Spec(Dimension.FRACTION, "that is in it at the end, 0 where it is empty before")
    ]
    least_charge: Annotated[float | None, Spec(Dimension.FRACTION, "that must be left in it")]
    lasts: bool | None
    fills_per_charge: Annotated[float | None, Spec(Dimension.NUMBER, "from full, within its usable share")]
    fills_per_day: Annotated[float | None, Spec(Dimension.NUMBER, "that its input keeps up")]


def _read(plan: Plan, name: str, field: str, row: int = 0) -> Any:
    """Return a value of a battery in one variant; None where it is left out."""
    value = plan.values.of(f"batteries.{name}", plan.rig.batteries[name], field)
    return None if value is None else float(np.broadcast_to(value, (plan.variants,))[row])


def _usable(plan: Plan, name: str, row: int = 0) -> float | None:
    stated = _read(plan, name, "usable", row)
    return plan.rig.batteries[name].usable_share if stated is None else float(stated)


def _yielded(plan: Plan, name: str, current: float, row: int = 0) -> float | None:
    """Return the whole charge that a full battery yields at a current, C; None where its capacity is not stated."""
    battery: Battery = plan.rig.batteries[name]
    capacity = _read(plan, name, "capacity", row)
    if capacity is None:
        return None
    stated, temperature = _read(plan, name, "peukert_exponent", row), _read(plan, name, "temperature", row)
    share: Any = 1.0
    if current > 0.0:
        share = peukert_share(
            capacity=capacity,
            rating_time=_read(plan, name, "rating_time", row),
            current=current,
            exponent=battery.exponent if stated is None else stated,
        )
    cold: Any = 1.0 if temperature is None else cold_share(temperature=temperature, cold_loss=battery.cold_loss)
    return float(capacity * share * cold)


def _sustained(plan: Plan, name: str, energy: float, row: int = 0) -> float | None:
    """Return how often in a second the input of a battery makes up for an energy, J; None where it has none stated."""
    power_in = _read(plan, name, "power_in", row)
    if power_in is None or energy <= 0.0:
        return None
    rate = fills_sustained(
        power_in=power_in,
        energy=energy,
        charge_efficiency=_read(plan, name, "charge_efficiency", row),
        other_power=_read(plan, name, "other_power", row),
    )
    return float(rate)


def _drivers(state: State) -> dict[str, list[int]]:
    """Return the places of the running pumps of each battery among the plan's pumps."""
    found: dict[str, list[int]] = {}
    for drive in state.pumps.drives if state.plan.pumps is not None else ():
        for place, name in zip(drive.place.tolist(), drive.batteries, strict=True):
            if int(state.pumps.element[place]) in state.running:
                found.setdefault(name, []).append(place)
    return found


def _open_voltage(state: State, place: int, row: int) -> float:
    for drive in state.pumps.drives:
        at = np.flatnonzero(drive.place == place)
        if at.size:
            return float(np.broadcast_to(drive.open_voltage, (state.variants, len(drive.place)))[row, at[0]])
    raise AssertionError("every place was found in a drive")


def _in_use(state: State, name: str, places: Sequence[int], row: int) -> BatteryUse:
    plan = state.plan
    current = float(state.taken.current[row, places].sum())
    power = float(state.taken.power[row, places].sum())
    known = np.isfinite(current)
    usable, charge = _usable(plan, name, row), _read(plan, name, "charge", row)
    whole = _yielded(plan, name, current, row) if known else None
    left = None if whole is None or usable is None else whole * max(charge - (1.0 - usable), 0.0)
    return BatteryUse(
        name=name,
        charge=charge,
        open_voltage=_open_voltage(state, places[0], row),
        voltage=float(state.drawn.battery_voltage[row, places[0]]) if known else None,
        current=current if known else None,
        power=power if known else None,
        usable_charge=left,
        run_time=left / current if left is not None and current > 0.0 else None,
        power_in=_read(plan, name, "power_in", row),
        share_of_time=_sustained(plan, name, power, row) if known else None,
    )


def batteries_in_use(state: State, row: int = 0) -> tuple[BatteryUse, ...]:
    """Return every battery from which running pumps draw, in one variant."""
    return tuple(_in_use(state, name, places, row) for name, places in _drivers(state).items())


def _charged(plan: Plan, name: str, *, charge: float | None, energy: float | None, time: float) -> Charged:
    """Return what a battery gave over a fill.

    Parameters
    ----------
    plan : Plan
        What was followed; its first variant.
    name : str
        Of the battery.
    charge, energy : float or None
        Drawn by its pumps; None where it is not known. [C], [J]
    time : float
        For which they ran. [s]
    """
    whole, usable = None, _usable(plan, name)
    if charge is not None and time > 0.0:
        whole = _yielded(plan, name, charge / time)
    start = _read(plan, name, "charge")
    fills = end = None
    if whole is not None and charge is not None and charge > 0.0:
        end = max(start - charge / whole, 0.0)
        fills = None if usable is None else whole * usable / charge
    daily = None if energy is None else _sustained(plan, name, energy)
    return Charged(
        name=name,
        start_charge=start,
        charge=charge,
        energy=energy,
        end_charge=end,
        least_charge=None if usable is None else 1.0 - usable,
        lasts=None if end is None or usable is None else end >= 1.0 - usable,
        fills_per_charge=fills,
        fills_per_day=None if daily is None else daily * _DAY,
    )


def charged_by(plan: Plan, metering: Metering, course: Course) -> tuple[Charged, ...]:
    """Return what each battery gave that drives a running pump."""
    count = len(metering.batteries)
    energy, charge = course.metered[0, :count], course.metered[0, count:]
    found = []
    for name in dict.fromkeys(each for each in metering.batteries if each):
        own = np.array([each == name for each in metering.batteries])
        drawn, given = float(charge[own].sum()), float(energy[own].sum())
        known = bool(np.isfinite(drawn))
        found.append(
            _charged(
                plan,
                name,
                charge=drawn if known else None,
                energy=given if known else None,
                time=float(course.time[0]),
            )
        )
    return tuple(found)
