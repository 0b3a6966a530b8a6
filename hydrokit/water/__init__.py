"""The liquid and the air above it: density, viscosity, vapour pressure; air pressure at altitude.

Importing this room loads neither CoolProp nor fluids.
"""

from __future__ import annotations

from hydrokit.water.air import (
    STANDARD_GRAVITY,
    STANDARD_PRESSURE,
    air_density,
    air_pressure,
    air_temperature,
)
from hydrokit.water.liquid import Liquid, water, water_at

__all__ = [
    "STANDARD_GRAVITY",
    "STANDARD_PRESSURE",
    "Liquid",
    "air_density",
    "air_pressure",
    "air_temperature",
    "water",
    "water_at",
]
