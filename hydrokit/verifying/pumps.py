"""The gain of one pump at one flow: data sheet, speed, wear, air drawn in and motor, by nested root-finding."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Final

from hydrokit.laws.hand_pump import hand_pump_points
from hydrokit.parts import CentrifugalPump, DiaphragmPump, HandPump, PoweredPump
from hydrokit.verifying.curves import SheetCurve, sheet_curve
from hydrokit.verifying.motors import Motor, motor_of
from hydrokit.verifying.roots import root_between

if TYPE_CHECKING:
    from hydrokit.parts import Pump
    from hydrokit.rig import Rig

__all__ = ["PumpLaw", "pump_law", "still_square"]

_LEAST_WEAR: Final = 1e-5  # less is taken for none


@dataclass(frozen=True, kw_only=True)
class PumpLaw:
    """One running pump.

    What a displacement pump passes and what it adds both follow from the flow of its data sheet, which is what is sought; a
    rotodynamic pump's speed is sought instead.

    Parameters
    ----------
    curve : SheetCurve
    rise : float
        Head for each unit of the sheet's gain. [m per unit]
    pace : float
        Flow for each unit of the sheet's flow. [-]
    slip : float
        Flow that leaks back inside for each metre of head. [m^2/s]
    motor : Motor or None
        None where no battery drives it.
    battery : str
        Its name; empty where there is none.
    """

    curve: SheetCurve
    rise: float
    pace: float
    slip: float = 0.0
    motor: Motor | None = None
    battery: str = ""

    @cached_property
    def _kind(self) -> str:
        return "" if self.motor is None else self.motor.kind

    def _speed(self, sheet: float) -> float:
        """Return the speed at a flow of the data sheet, of all but a rotodynamic pump."""
        return self.motor.ratio(sheet) if self.motor is not None and self._kind == "displacement" else 1.0

    def _through(self, sheet: float) -> float:
        """Return the flow through the pump at a flow of its data sheet, of all but a rotodynamic pump."""
        return self._speed(sheet) * sheet * self.pace - self.slip * self.curve.gain(sheet) * self.rise

    @cached_property
    def limit(self) -> float:
        """Flow never swept whatever the head, m³/s; 0 where the motor cannot turn."""
        if self._kind != "displacement":
            return self.curve.limit * self.pace
        end = min(self.curve.limit, self.curve.open_flow)
        speed = self._speed(end)
        if speed <= 0.0:
            return 0.0
        return math.inf if math.isinf(self.curve.limit) else speed * end * self.pace

    def _sheet(self, flow: float) -> float:
        """Return the flow of the data sheet at which the pump passes a flow; of all but a rotodynamic pump."""
        if self._kind != "displacement" and self.slip == 0.0:
            return flow / self.pace
        low = self.motor.still if self.motor is not None and self._kind == "displacement" else 0.0
        if math.isinf(low) or self._through(low) >= flow:
            return 0.0 if math.isinf(low) else low
        far = min(self.curve.limit, max(2.0 * low, self.curve.open_flow))
        while self._through(far) < flow:
            if far == self.curve.limit:
                return far
            far = min(self.curve.limit, 2.0 * far)
        return root_between(lambda sheet: self._through(sheet) - flow, low, far)

    def gain(self, flow: float) -> float:
        """Return the head gained at the flow through the pump, m."""
        if self.motor is not None and self._kind == "rotodynamic":
            speed = self.motor.spinning(flow / self.pace)
            return self.curve.gain(flow / self.pace / speed) * speed**2 * self.rise
        sheet = self._sheet(flow)
        if self.slip > 0.0 and sheet >= self.curve.limit:  # what it does not pass leaks back
            return (self.limit - flow) / self.slip
        return self.curve.gain(sheet) * self.rise

    def _turning(self, flow: float) -> tuple[float, float]:
        """Return the flow of the data sheet and the speed at the flow through the pump."""
        if self.motor is not None and self._kind == "rotodynamic":
            speed = self.motor.spinning(flow / self.pace)
            return flow / self.pace / speed, speed
        sheet = self._sheet(flow)
        return sheet, self._speed(sheet)

    def current(self, flow: float) -> float:
        """Return the current drawn at the flow through the pump, A; 0 without a motor on a battery."""
        return 0.0 if self.motor is None else self.motor.drawn(*self._turning(flow))

    def starved(self, flow: float) -> bool:
        """Return whether its driver finds no voltage at which it could run at the flow through the pump."""
        return self.motor is not None and self.motor.starved(self._turning(flow)[0])


def _points(part: Pump) -> tuple[tuple[float, float], ...]:
    if isinstance(part, HandPump):
        return hand_pump_points(
            stroke_volume=part.stroke_volume,
            stroke_time=part.stroke_time,
            greatest_pressure=part.greatest_pressure,
            person_power=part.person_power,
        )
    assert isinstance(part, PoweredPump)
    return part.curve


def _unit(part: Pump, weight: float) -> float:
    """Return metres of head for each unit of a curve's gain."""
    return 1.0 if isinstance(part, PoweredPump) and part.heads is not None else 1.0 / weight


def still_square(part: CentrifugalPump, weight: float) -> float:
    """Return head per flow squared, s²/m⁵, through an impeller that stands still."""
    curve = sheet_curve(part.curve)
    return curve.shut_off / curve.open_flow**2 * _unit(part, weight)


def pump_law(rig: Rig, part: Pump, weight: float) -> PumpLaw:
    """Return the law of a running pump, alone on its battery if it has one; specific weight in Pa/m."""
    curve, rise = sheet_curve(_points(part)), _unit(part, weight)
    if not isinstance(part, PoweredPump):
        return PumpLaw(curve=curve, rise=rise, pace=1.0)
    wet, slip, pace = 1.0 - part.air, 0.0, part.speed * (1.0 - part.air)
    if isinstance(part, CentrifugalPump):
        left = 1.0 - part.wear
        rise, pace = rise * part.speed**2 * left * wet, pace * left
    elif isinstance(part, DiaphragmPump) and part.wear >= _LEAST_WEAR:
        slip = part.wear * wet * curve.open_flow / max(curve.greatest, 1e-9) / rise
    motor = motor_of(part, rig.batteries[part.battery], curve, weight) if part.battery else None
    return PumpLaw(curve=curve, rise=rise, pace=pace, slip=slip, motor=motor, battery=part.battery)
