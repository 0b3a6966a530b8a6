"""Which unit the trade would use for a value of a given size, in each system.

A ladder lists rungs of (below what size in SI, unit), smallest first; the first unit named is for zero. The sizes at
which the unit changes are our own choice, the units themselves common practice.
"""

from __future__ import annotations

from math import inf
from typing import Final, NamedTuple

from hydrokit.bounds import Dimension

__all__ = ["SYSTEMS", "ladder"]

SYSTEMS: Final = ("metric", "US", "imperial")


class _Ladder(NamedTuple):
    zero: str
    rungs: tuple[tuple[float, str], ...]


def _one(unit: str) -> _Ladder:
    return _Ladder(unit, ((inf, unit),))


def _steps(zero: str, *rungs: tuple[float, str]) -> _Ladder:
    return _Ladder(zero, rungs)


_ALIKE: Final[dict[Dimension, _Ladder]] = {
    Dimension.NUMBER: _one(""),
    Dimension.FRACTION: _one("%"),
    Dimension.ANGLE: _one("°"),
    Dimension.WIRE_AREA: _one("mm²"),
    Dimension.TIME: _steps("s", (0.1, "ms"), (120.0, "s"), (7200.0, "min"), (259_200.0, "h"), (inf, "d")),
    Dimension.ROTATION: _one("rpm"),
    Dimension.VOLTAGE: _steps("V", (0.1, "mV"), (inf, "V")),
    Dimension.CURRENT: _steps("A", (0.1, "mA"), (inf, "A")),
    Dimension.RESISTANCE: _steps("Ω", (1.0, "mΩ"), (1000.0, "Ω"), (inf, "kΩ")),
    Dimension.POWER: _steps("W", (0.1, "mW"), (1000.0, "W"), (inf, "kW")),
    Dimension.ENERGY: _steps("Wh", (3600.0, "J"), (36e6, "Wh"), (inf, "kWh")),
    Dimension.CHARGE: _steps("Ah", (360.0, "mAh"), (inf, "Ah")),
    Dimension.TURBIDITY: _one("NTU"),
    Dimension.CONCENTRATION: _steps("mg/L", (1e-5, "µg/L"), (10.0, "mg/L"), (inf, "g/L")),
    Dimension.DOSE: _one("mJ/cm²"),
}
_METRIC: Final[dict[Dimension, _Ladder]] = {
    Dimension.LENGTH: _steps("m", (1e-4, "µm"), (0.2, "mm"), (inf, "m")),
    Dimension.AREA: _steps("cm²", (1e-4, "mm²"), (0.1, "cm²"), (inf, "m²")),
    Dimension.VOLUME: _steps("L", (1e-4, "mL"), (100.0, "L"), (inf, "m³")),
    Dimension.FLOW: _steps("L/min", (0.1 / 60_000, "mL/min"), (0.1, "L/min"), (inf, "m³/s")),
    Dimension.FLOW_COEFFICIENT: _one("Kv"),
    Dimension.VELOCITY: _one("m/s"),
    Dimension.MASS: _steps("kg", (1.0, "g"), (inf, "kg")),
    Dimension.MASS_PER_LENGTH: _steps("kg/m", (1.0, "g/m"), (inf, "kg/m")),
    Dimension.DENSITY: _one("kg/m³"),
    Dimension.VISCOSITY: _steps("mPa s", (1.0, "mPa s"), (inf, "Pa s")),
    Dimension.PRESSURE_DROP: _steps("kPa", (1000.0, "Pa"), (1e5, "kPa"), (inf, "bar")),
    Dimension.GAUGE_PRESSURE: _steps("bar", (1000.0, "Pa"), (1e5, "kPa"), (inf, "bar")),
    Dimension.ABSOLUTE_PRESSURE: _steps("kPa", (1e6, "kPa"), (inf, "bar")),
    Dimension.VACUUM: _one("kPa"),
    Dimension.TEMPERATURE: _one("°C"),
    Dimension.TEMPERATURE_DIFFERENCE: _one("K"),
    Dimension.ENERGY_PER_VOLUME: _one("Wh/L"),
    Dimension.CHARGE_PER_VOLUME: _one("mAh/L"),
    Dimension.FORCE: _steps("N", (10_000.0, "N"), (inf, "kN")),
}
_FEET: Final[dict[Dimension, _Ladder]] = {
    Dimension.LENGTH: _steps("ft", (1e-4, "µm"), (0.3048, "in"), (inf, "ft")),
    Dimension.AREA: _steps("in²", (0.1, "in²"), (inf, "ft²")),
    Dimension.VELOCITY: _one("ft/s"),
    Dimension.PRESSURE_DROP: _one("psi"),
    Dimension.GAUGE_PRESSURE: _one("psi"),
    Dimension.ABSOLUTE_PRESSURE: _one("psi"),
    Dimension.VACUUM: _one("inHg"),
}
_LADDERS: Final[dict[str, dict[Dimension, _Ladder]]] = {
    "metric": _ALIKE | _METRIC,
    "US": _ALIKE
    | _METRIC
    | _FEET
    | {
        Dimension.VOLUME: _one("US gal"),
        Dimension.FLOW: _one("US gpm"),
        Dimension.FLOW_COEFFICIENT: _one("Cv"),
        Dimension.MASS: _one("lb"),
        Dimension.MASS_PER_LENGTH: _one("lb/ft"),
        Dimension.DENSITY: _one("lb/ft³"),
        Dimension.VISCOSITY: _one("cP"),
        Dimension.TEMPERATURE: _one("°F"),
        Dimension.ENERGY_PER_VOLUME: _one("Wh/US gal"),
        Dimension.CHARGE_PER_VOLUME: _one("mAh/US gal"),
        Dimension.TEMPERATURE_DIFFERENCE: _one("°F"),
        Dimension.FORCE: _one("lbf"),
    },
    "imperial": _ALIKE
    | _METRIC
    | _FEET
    | {
        Dimension.VOLUME: _one("imperial gal"),
        Dimension.FLOW: _one("imperial gpm"),
        Dimension.ENERGY_PER_VOLUME: _one("Wh/imperial gal"),
        Dimension.CHARGE_PER_VOLUME: _one("mAh/imperial gal"),
    },
}


def ladder(value: float, dimension: Dimension, system: str) -> str:
    """Return the name of the unit that suits the size of an SI value; the system must be one of ``SYSTEMS``."""
    zero, rungs = _LADDERS[system][dimension]
    if value == 0.0:
        return zero
    size = abs(value)
    return next(unit for below, unit in rungs if size < below or below == inf)
