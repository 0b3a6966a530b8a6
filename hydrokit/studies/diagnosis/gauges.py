"""What gauges on a rig would read, in every variant of a solved plan, and where there is something to read.

A pump that suction or its switch holds back gives less pressure than its curve at that flow: what it takes from the
battery goes by the pressure that it really gives. Where its switch makes it hunt, readings are those of the mean flow.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.network.batteries import rated_voltage, stated_currents
from hydrokit.network.loss import pump_gains
from hydrokit.network.slip import swept, tight_gains
from hydrokit.network.supplies import drawn
from hydrokit.parts import PoweredPump
from hydrokit.parts.barriers import Barrier
from hydrokit.rules.cycling import hunts, relieved
from hydrokit.rules.drawing import fed_pumps, static_lift, suction_of
from hydrokit.studies.facts.usable import usable

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.bounds import Array
    from hydrokit.network.supplies import Drawn
    from hydrokit.rules import State

__all__ = ["Bench", "Spot", "element_of", "spots_of"]

_HALVINGS: Final = 45
_LESS: Final = 1e-6
"""Share of what a pump's curve has by which it gives less before it counts as held back."""
_PLAIN_TO_SEE: Final = 0.02
"""Share of air at which about two people in three would swear to bubbles; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Spot:
    """Where something can be read: a kind of gauge, the address of the part or the name of the end, and its side."""

    kind: str
    at: str = ""
    side: str = ""


def element_of(state: State, address: str) -> int:
    """Return the index of the element that a part is."""
    return next(
        index
        for index, element in enumerate(state.plan.elements)
        if element.address == address and element.part is not None
    )


def _powered(state: State) -> list[int]:
    """Return the element indices of the fed pumps that have a motor."""
    return [pump for pump in fed_pumps(state) if isinstance(state.pump_of(pump), PoweredPump)]


def _electrical(state: State, pump: int) -> list[str]:
    """Return the kinds of readings of volts and amps that can be foretold for a pump."""
    part, address = state.pump_of(pump), state.plan.elements[pump].address
    assert isinstance(part, PoweredPump)
    known = bool(stated_currents(part)[2])
    if part.battery:
        return ["volts", "battery_volts", "amps"] if known else []
    rated = rated_voltage(state.rig, state.plan.values, address, part)
    return ["volts"] if rated is not None else []


def _barriers(state: State) -> list[Spot]:
    """Return before the first and after each of the barriers of every line that carries water."""
    spots: list[Spot] = []
    last = -2
    for index, element in state.elements(Barrier):
        if state.stands_still(state.flow_at(index)).all():
            continue
        if index != last + 1:  # what is after one barrier is before the next
            spots.append(Spot("pressure", element.address, "before"))
        spots.append(Spot("pressure", element.address, "after"))
        last = index
    return spots


def spots_of(state: State) -> tuple[Spot, ...]:
    """Return everything that can be read on a rig and foretold of it."""
    gain = [
        name for name, flow in state.deliveries.items() if (flow > 0.0).any() and not state.stands_still(flow).all()
    ]
    spots = [Spot("flow"), *(Spot("flow", name) for name in gain if len(gain) > 1)]
    for pump in fed_pumps(state):
        address = state.plan.elements[pump].address
        spots += [Spot("vacuum", address), Spot("pressure", address, "after")]
        if pump in _powered(state):
            spots += [Spot("dead_head", address)] if suction_of(state, pump).ends else []
            spots += [Spot(kind, address) for kind in _electrical(state, pump)]
            spots.append(Spot("bubbles", address))
    return (*spots, *_barriers(state))


class Bench:
    """A solved rig with gauges on it.

    Parameters
    ----------
    state : State
        Of the full pipe; the pumps are then held back as suction and switches hold them.
    """

    def __init__(self, state: State) -> None:
        self.full = state
        self.state = usable(state)
        self._drawn: Drawn | None = None

    def read(self, spots: Sequence[Spot]) -> Array:
        """Return what is read at some spots, shape (n, spots), SI; NaN where there is nothing to read."""
        columns = [np.broadcast_to(getattr(self, f"_{spot.kind}")(spot), (self.state.variants,)) for spot in spots]
        return np.stack(columns, axis=1) if columns else np.empty((self.state.variants, 0))

    @property
    def hunting(self) -> Array:
        """Where the switch of some pump makes it hunt, shape (n,)."""
        found = [hunts(self.full, pump) for pump in self.full.running]
        return np.asarray(np.any(found, axis=0) if found else np.zeros(self.full.variants, np.bool_))

    def _flow(self, spot: Spot) -> Array:
        return self.state.deliveries[spot.at] if spot.at else self.state.delivered

    def _vacuum(self, spot: Spot) -> Array:
        return -self._gauge_pressure(self.state.inlet(element_of(self.state, spot.at)))

    def _pressure(self, spot: Spot) -> Array:
        index = element_of(self.state, spot.at)
        return self._gauge_pressure(self.state.outlet(index) if spot.side == "after" else self.state.inlet(index))

    def _gauge_pressure(self, station: int) -> Array:
        pressure: Array = self.state.walk.gauge_pressure[:, station]
        return pressure

    def _dead_head(self, spot: Spot) -> Array:
        """Return the pressure at a pump's outlet while nothing flows, or that at which its switch stops it."""
        state = self.full
        pump = element_of(state, spot.at)
        lift = static_lift(state, pump)
        assert lift is not None
        pressure = state.weight * (state.shut_off_head(pump) - lift)
        cut_out = state.of(state.plan.elements[pump], "cut_out")
        return np.asarray(pressure if cut_out is None else np.minimum(pressure, cut_out), np.float64)

    def _bubbles(self, spot: Spot) -> Array:
        state = self.full
        pump = element_of(state, spot.at)
        air = state.full(state.of(state.plan.elements[pump], "air"))
        torn = self.state.flow_at(pump) < state.flow_at(pump) * (1.0 - _LESS)
        torn &= ~(hunts(state, pump) | relieved(state, pump))
        return np.where(torn, 1.0, -np.expm1(-air / _PLAIN_TO_SEE))

    def _volts(self, spot: Spot) -> Any:
        state = self.state
        pump = element_of(state, spot.at)
        part = state.pump_of(pump)
        assert isinstance(part, PoweredPump)
        if part.battery:
            return self._electric().voltage[:, state.on[pump]]
        speed = state.of(state.plan.elements[pump], "speed")
        return speed * rated_voltage(state.rig, state.plan.values, spot.at, part)

    def _battery_volts(self, spot: Spot) -> Array:
        return self._electric().battery_voltage[:, self.state.on[element_of(self.state, spot.at)]]

    def _amps(self, spot: Spot) -> Array:
        return self._electric().current[:, self.state.on[element_of(self.state, spot.at)]]

    def _electric(self) -> Drawn:
        if self._drawn is None:
            self._drawn = drawn(self.state.pumps, self._as_if(), beyond=True)
        return self._drawn

    def _as_if(self) -> Array:
        """Return the flows at which the pumps, not held back, would give the pressure that they give, shape (n, U)."""
        pumps, state = self.state.pumps, self.state
        flow = state.solution.flows.flow[:, pumps.line]
        gives = -state.walk.loss[:, pumps.element]
        curve = pump_gains(pumps, flow)[0]
        held = curve - gives > _LESS * np.abs(curve)
        if not held.any():
            return flow
        low = swept(pumps, flow)
        high = np.maximum(2.0 * low, pumps.table.open_flow * pumps.flow_scale)
        for _ in range(_HALVINGS):
            middle = 0.5 * (low + high)
            more = tight_gains(pumps, middle)[0] > gives
            low, high = np.where(more, middle, low), np.where(more, high, middle)
        back = 0.0 if pumps.slip is None else pumps.slip * gives
        return np.where(held, low - back, flow)
