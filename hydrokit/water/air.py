"""Air at altitude: the U.S. Standard Atmosphere, 1976, from below sea level to the top of its lowest layer.

Altitude is geometric, metres above mean sea level; pressure is absolute. Weather moves the pressure at a
place by some 3 % either way, which the standard does not know.

References
----------
U.S. Standard Atmosphere, 1976, NOAA, NASA and USAF, Washington 1976: equations 18, 23, 33a and 42, tables 2 and 4.
"""

from __future__ import annotations

from typing import Final

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Real, require

__all__ = ["STANDARD_GRAVITY", "STANDARD_PRESSURE", "air_density", "air_pressure", "air_temperature"]

STANDARD_GRAVITY: Final = 9.80665
"""Standard acceleration of free fall, exact by definition. [m/s^2] Source: 3rd CGPM, 1901."""

STANDARD_PRESSURE: Final = 101_325.0
"""Standard atmosphere, exact by definition. [Pa] Source: 10th CGPM, 1954."""

LOWEST_ALTITUDE: Final = -500.0
"""Lower than any open water: the shore of the Dead Sea is near -430 m. [m]"""

HIGHEST_ALTITUDE: Final = 11_000.0
"""Inside the lowest layer, which ends at 11 019 m geometric. [m]"""

_EARTH_RADIUS: Final = 6_356_766.0  # m, the standard's effective radius
_SEA_LEVEL_TEMPERATURE: Final = 288.15  # K
_LAPSE_RATE: Final = 0.0065  # K per geopotential metre
_GAS_CONSTANT: Final = 8314.32 / 28.9644  # J/kg/K: the standard's own R* over molar mass, not today's R
_EXPONENT: Final = STANDARD_GRAVITY / (_GAS_CONSTANT * _LAPSE_RATE)


def _temperature(altitude: Real) -> Real:
    geopotential = _EARTH_RADIUS * altitude / (_EARTH_RADIUS + altitude)
    return _SEA_LEVEL_TEMPERATURE - _LAPSE_RATE * geopotential


def _pressure(temperature: Real) -> Real:
    pressure: Real = STANDARD_PRESSURE * (temperature / _SEA_LEVEL_TEMPERATURE) ** _EXPONENT
    return pressure


def _check(altitude: Real) -> None:
    require("altitude", altitude, LOWEST_ALTITUDE, HIGHEST_ALTITUDE, "m")


@as_annotated
def air_temperature(altitude: Real) -> Real:
    """Return the temperature of the standard atmosphere.

    Parameters
    ----------
    altitude : float or array, shape (n,)
        Geometric, above mean sea level; -500 to 11 000. [m]

    Returns
    -------
    float or array, shape (n,)
        Temperature. [K]

    Raises
    ------
    RangeError
        If an altitude is outside the lowest layer of the standard.

    Notes
    -----
    Source: U.S. Standard Atmosphere, 1976, equations 18 and 23.

    Examples
    --------
    >>> air_temperature(2000.0)
    275.154
    """
    _check(altitude)
    return _temperature(altitude)


@as_annotated
def air_pressure(altitude: Real) -> Real:
    """Return the absolute pressure of the standard atmosphere.

    Parameters
    ----------
    altitude : float or array, shape (n,)
        Geometric, above mean sea level; -500 to 11 000. [m]

    Returns
    -------
    float or array, shape (n,)
        Absolute pressure of the air on an open water surface. [Pa]

    Raises
    ------
    RangeError
        If an altitude is outside the lowest layer of the standard.

    Notes
    -----
    Source: U.S. Standard Atmosphere, 1976, equation 33a.

    Examples
    --------
    >>> air_pressure(2000.0)
    79501.4
    """
    _check(altitude)
    return _pressure(_temperature(altitude))


@as_annotated
def air_density(altitude: Real) -> Real:
    """Return the density of the standard atmosphere.

    Parameters
    ----------
    altitude : float or array, shape (n,)
        Geometric, above mean sea level; -500 to 11 000. [m]

    Returns
    -------
    float or array, shape (n,)
        Density of dry air. [kg/m^3]

    Raises
    ------
    RangeError
        If an altitude is outside the lowest layer of the standard.

    Notes
    -----
    Source: U.S. Standard Atmosphere, 1976, equation 42.

    Examples
    --------
    >>> air_density(2000.0)
    1.00655
    """
    _check(altitude)
    temperature = _temperature(altitude)
    return _pressure(temperature) / (_GAS_CONSTANT * temperature)
