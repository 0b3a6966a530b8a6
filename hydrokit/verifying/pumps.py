"""The gain of one pump at one flow: data sheet, speed, wear, air drawn in and motor, by nested root-finding."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from hydrokit.laws.hand_pump import hand_pump_points
from hydrokit.parts import CentrifugalPump, DiaphragmPump, HandPump, PoweredPump
from hydrokit.verifying.curves import SheetCurve, sheet_curve
from hydrokit.verifying.motors import Motor, motor_of

if TYPE_CHECKING:
    from hydrokit.parts import Pump
    from hydrokit.rig import Rig

__all__ = ["PumpLaw", "pump_law", "still_square"]

_LEAST_WEAR: Final = 1e-5  # less is taken for none


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpLaw:
    """One running pump.

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

    def _turning(self, swept: float) -> tuple[float, float]:
        return (swept / self.pace, 1.0) if self.motor is None else self.motor.turning(swept / self.pace)

    def tight(self, swept: float) -> float:
        """Return the head gained at a flow swept, m."""
        sheet, speed = self._turning(swept)
        squared = speed**2 if self.motor is not None and self.motor.kind == "rotodynamic" else 1.0
        return self.curve.gain(sheet) * squared * self.rise

    @property
    def limit(self) -> float:
        """Flow never swept whatever the head, m³/s; 0 where the motor cannot turn."""
        if self.motor is None or self.motor.kind != "displacement":
            return self.curve.limit * self.pace
        end = min(self.curve.limit, self.curve.open_flow)
        speed = self.motor.ratio(end)
        if speed <= 0.0:
            return 0.0
        return math.inf if math.isinf(self.curve.limit) else speed * end * self.pace

    def _swept(self, flow: float) -> float:
        """Return the flow that a worn pump sweeps to pass a flow."""
        from scipy.optimize import brentq

        most = self.limit
        if self.slip == 0.0 or (most < math.inf and flow >= most - self.slip * self.tight(most)):
            return flow if self.slip == 0.0 else most

        def short(swept: float) -> float:
            return swept - self.slip * self.tight(swept) - flow

        low, high = sorted((flow, flow + self.slip * self.tight(flow)))
        high = min(high, most)
        if short(low) >= 0.0 or short(high) <= 0.0:  # rounding at either end
            return low if short(low) >= 0.0 else high
        return float(brentq(short, low, high, xtol=1e-20, rtol=1e-15))

    def gain(self, flow: float) -> float:
        """Return the head gained at the flow through the pump, m."""
        if self.slip == 0.0:
            return self.tight(flow)
        swept = self._swept(flow)
        return (swept - flow) / self.slip if swept >= self.limit else self.tight(swept)

    def current(self, flow: float) -> float:
        """Return the current drawn at the flow through the pump, A; 0 without a motor on a battery."""
        if self.motor is None:
            return 0.0
        return self.motor.drawn(*self._turning(self._swept(flow)))

    def starved(self, flow: float) -> bool:
        """Return whether its driver finds no voltage at which it could run at the flow through the pump."""
        return self.motor is not None and self.motor.starved(self._turning(self._swept(flow))[0])


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
