"""A motor on a battery: how fast its pump turns and what it draws, by root-finding on Ohm's law, one flow at a time.

Back voltage goes with speed, current with torque: at the data sheet's flow *q* a displacement pump takes the stated current
whatever its speed, a rotodynamic one that current times the square of its speed. An electronic driver of constant power
keeps the speed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.laws.electricity import loop_resistance
from hydrokit.verifying.roots import root_between

if TYPE_CHECKING:
    from hydrokit.parts import Battery, PoweredPump
    from hydrokit.verifying.curves import SheetCurve
    from hydrokit.verifying.walls import Law

__all__ = ["Motor", "motor_of", "voltage_at_rest"]

_SAMPLES: Final = 65  # along the curve, where an efficiency stands for the current
_SLOWEST: Final = 1e-12  # of the fastest speed that is looked at


def voltage_at_rest(battery: Battery) -> float:
    """Return the voltage of a battery that nothing draws on, V."""
    full, empty = battery.voltage_when_full, battery.voltage_when_empty
    return empty + (full - empty) * battery.charge


@dataclass(frozen=True, kw_only=True)
class Motor:
    """One pump's motor.

    Parameters
    ----------
    kind : {"displacement", "rotodynamic", "constant power"}
        How the pump answers to speed.
    supply, rated : float
        Voltage it is fed with, and that of the data sheet. [V]
    resistance, winding : float
        Of all between the supply and the motor's own voltage, winding included; and of the winding. [ohm]
    current : callable
        Stated current against the data sheet's flow, at the stated speed. [A]
    last : float
        Data sheet's flow beyond which the current no longer changes. [m^3/s]
    """

    kind: str
    supply: float
    rated: float
    resistance: float
    winding: float
    current: Law
    last: float

    def fed(self, supply: float, resistance: float) -> Motor:
        """Return the same motor on another supply, of which ``resistance`` is no longer part of its own loop."""
        return replace(self, supply=supply, resistance=self.resistance - resistance)

    def ratio(self, sheet: float) -> float:
        """Return the speed of a displacement pump's motor, over that stated, at a flow of the data sheet."""
        amps = self.current(sheet)
        return (self.supply - amps * self.resistance) / (self.rated - amps * self.winding)

    @cached_property
    def still(self) -> float:
        """Least flow of the data sheet at which a displacement pump's motor turns, m³/s; infinite where it never does."""
        if self.ratio(0.0) > 0.0:
            return 0.0
        if self.ratio(self.last) <= 0.0:
            return math.inf
        return root_between(self.ratio, 0.0, self.last)

    def spinning(self, flow: float) -> float:
        """Return the speed at which a rotodynamic pump passes a flow, both counted at the stated speed."""

        def spare(speed: float) -> float:
            amps = self.current(flow / speed)
            return speed * (self.rated - amps * self.winding) + amps * speed**2 * self.resistance - self.supply

        fastest = self.supply / self.rated
        while spare(fastest) < 0.0:
            fastest *= 1.5
        return root_between(spare, _SLOWEST * fastest, fastest, xtol=1e-18, rtol=1e-15)

    def drawn(self, sheet: float, speed: float) -> float:
        """Return the current drawn at a flow of the data sheet and a speed, A.

        A driver of constant power that gets less than it takes is held to the most that its loop brings; see ``starved``.
        """
        amps = self.current(sheet)
        if self.kind != "constant power":
            return amps * (speed**2 if self.kind == "rotodynamic" else 1.0)
        power = max(amps * self.rated, 0.0)
        inside = max(self.supply**2 - 4.0 * self.resistance * power, 0.0)
        return min(power, self._most_power()) / (0.5 * (self.supply + math.sqrt(inside)))

    def _most_power(self) -> float:
        return self.supply**2 / (4.0 * self.resistance) if self.resistance > 0.0 else math.inf

    def starved(self, sheet: float) -> bool:
        """Return whether a driver of constant power finds no voltage at which it could run: a brown-out."""
        return self.kind == "constant power" and self.current(sheet) * self.rated > self._most_power()


def _current(part: PoweredPump, curve: SheetCurve, rated: float, weight: float) -> tuple[Law, float]:
    """Return the stated current against the data sheet's flow, and the last flow at which it changes."""
    flows: Any
    found: Any
    if part.currents is not None:
        flows, found = np.array(sorted(part.currents), np.float64).T
    elif part.powers is not None:
        flows, found = np.array(sorted(part.powers), np.float64).T
        found = found / rated
    elif part.efficiency is not None:
        flows = np.linspace(0.0, curve.open_flow, _SAMPLES)
        gains = [curve.gain(float(flow)) * (1.0 if part.heads is None else weight) for flow in flows]
        found = np.maximum(gains * flows, 0.0) / (part.efficiency * rated)
    else:
        return (lambda _flow: 0.0), 0.0
    power = (0 if part.displacement else 2) + (0 if part.driver == "motor" else 1)
    found = found * part.speed**power
    return (lambda flow: float(np.interp(flow, flows, found))), float(flows[-1])


def motor_of(part: PoweredPump, battery: Battery, curve: SheetCurve, weight: float) -> Motor:
    """Return the motor of a pump as if it were alone on its battery; specific weight in Pa/m."""
    rated = battery.nominal_voltage if part.rated_voltage is None else part.rated_voltage
    cable = part.contact_resistance
    if part.cable_area is not None and part.cable_length is not None:
        cable = float(
            loop_resistance(
                area=part.cable_area,
                length=part.cable_length,
                temperature=part.cable_temperature,
                stranding=part.cable_stranding,
                joints=part.contact_resistance,
            )
        )
    kind = part.driver if part.driver != "motor" else "displacement" if part.displacement else "rotodynamic"
    winding = 0.0 if part.winding_resistance is None or kind == "constant power" else part.winding_resistance
    current, last = _current(part, curve, rated, weight)
    return Motor(
        kind=kind,
        supply=voltage_at_rest(battery),
        rated=rated,
        resistance=battery.inner_resistance + cable + winding,
        winding=winding,
        current=current,
        last=last,
    )
