"""What each running pump does: flow, pressures, what suction allows, and what it takes from the battery."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

import numpy as np

from hydrokit.answers import finite_or_none
from hydrokit.bounds import Dimension, Spec
from hydrokit.rules.allowed import allowed_flow
from hydrokit.rules.drawing import climb_of, fed_pumps, static_lift
from hydrokit.rules.dry_start import dry_limit, prime_time, pushed_against
from hydrokit.rules.suction import npsh_offered

if TYPE_CHECKING:
    from hydrokit.rules import State

__all__ = ["Duty", "duties_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Duty:
    """One running pump; None where it is not known, or where no open line brings it water."""

    place: str
    flow: Annotated[float, Spec(Dimension.FLOW, "through the full pipe")]
    allowed_flow: Annotated[float, Spec(Dimension.FLOW, "that suction allows; the same where it does not limit")]
    head: Annotated[float, Spec(Dimension.LENGTH, "added by the pump")]
    inlet_pressure: Annotated[float | None, Spec(Dimension.GAUGE_PRESSURE, "at its inlet")]
    outlet_pressure: Annotated[float | None, Spec(Dimension.GAUGE_PRESSURE, "at its outlet")]
    static_lift: Annotated[float | None, Spec(Dimension.LENGTH, "of the pump above the water it draws")]
    npsh_available: Annotated[float | None, Spec(Dimension.LENGTH, "at its inlet")]
    empty_climb: Annotated[
        float | None, Spec(Dimension.LENGTH, "up which an empty suction side is drawn; below 0 it fills by itself")
    ]
    dry_lift: Annotated[float | None, Spec(Dimension.LENGTH, "up which it draws an empty hose, here and today")]
    air_pushed_against: Annotated[
        float | None, Spec(Dimension.GAUGE_PRESSURE, "by water in the delivery and valves that want to be cracked")
    ]
    prime_time: Annotated[
        float | None,
        Spec(Dimension.TIME, "on air until water comes, its suction side empty and tight; none if it never does"),
    ]
    speed: Annotated[float | None, Spec(Dimension.FRACTION, "over that of its data sheet; None without a battery")]
    voltage: Annotated[float | None, Spec(Dimension.VOLTAGE, "at its motor")]
    current: Annotated[float | None, Spec(Dimension.CURRENT, "that it takes")]
    power: Annotated[
        float | None, Spec(Dimension.POWER, "out of the battery, loss in the cable included; else of its data sheet")
    ]
    energy_per_volume: Annotated[float | None, Spec(Dimension.ENERGY_PER_VOLUME, "of water delivered")]
    charge_per_volume: Annotated[float | None, Spec(Dimension.CHARGE_PER_VOLUME, "of water delivered")]


def _starting(state: State, index: int, row: int) -> dict[str, float | None]:
    """Return how a pump starts with an empty suction side."""
    climb, time = climb_of(state, index), prime_time(state, index)
    draws = climb is not None
    states = state.of(state.plan.elements[index], "dry_lift") is not None
    return {
        "empty_climb": float(climb[row]) if climb is not None else None,
        "dry_lift": float(dry_limit(state, index)[row]) if draws and states else None,
        "air_pushed_against": float(pushed_against(state, index)[row]) if draws else None,
        "prime_time": None if time is None else finite_or_none(time[row]),
    }


def _duty(state: State, index: int, row: int) -> Duty:
    element = state.plan.elements[index]
    flow = float(state.flow_at(index)[row])
    allowed, lift = allowed_flow(state, index), static_lift(state, index)
    place = state.on[index]
    current, power = finite_or_none(state.taken.current[row, place]), finite_or_none(state.taken.power[row, place])
    fed = index in fed_pumps(state)
    gauge = state.walk.gauge_pressure[row] if fed else np.full_like(state.walk.gauge_pressure[row], np.nan)
    npsh = npsh_offered(state, index)[row] if fed else np.nan
    return Duty(
        place=element.address,
        flow=flow,
        allowed_flow=float(allowed[row]),
        head=-float(state.walk.loss[row, index]),
        inlet_pressure=finite_or_none(gauge[state.inlet(index)]),
        outlet_pressure=finite_or_none(gauge[state.outlet(index)]),
        static_lift=None if lift is None else float(lift[row]),
        npsh_available=finite_or_none(npsh),
        **_starting(state, index, row),
        speed=float(state.speed_of(index)[row]) if getattr(state.pump_of(index), "battery", "") else None,
        voltage=finite_or_none(state.drawn.voltage[row, place]),
        current=current,
        power=power,
        energy_per_volume=None if power is None or flow <= 0.0 else power / flow,
        charge_per_volume=None if current is None or flow <= 0.0 else current / flow,
    )


def duties_of(state: State, row: int = 0) -> tuple[Duty, ...]:
    """Return the duty of every running pump in one variant."""
    return tuple(_duty(state, index, row) for index in state.running)
