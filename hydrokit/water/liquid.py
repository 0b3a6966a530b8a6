"""What the liquid is like at a temperature: density, viscosity, vapour pressure, speed of sound, heat capacity.

From 0 °C to boiling at one atmosphere the values come from a fit that CoolProp itself generates; another pressure asks
CoolProp. Pressure barely matters to a liquid (0.05 % of density at 10 bar), so one atmosphere serves the whole rig.
Vapour pressure is absolute.

References
----------
IAPWS R6-95(2018) and R12-08, by way of ``hydrokit.water.reference``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.polynomial import chebyshev

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Array, Mistakes, Real, require
from hydrokit.errors import RangeError
from hydrokit.water.fit_data import BOILING, COEFFICIENTS, COLDEST, HOT_COEFFICIENTS, WARMEST

__all__ = ["Liquid", "water", "water_at"]

_TABLE: Final = np.array(COEFFICIENTS).T  # (degree + 1, property)
_HOT_TABLE: Final = np.array(HOT_COEFFICIENTS).T
_HOTTEST: Final = 473.15  # K, beyond any rig; the equation of state goes further
_TRIPLE_PRESSURE: Final = 611.6547710078944  # Pa, IAPWS-95: below it there is no liquid
_HOTTEST_BOILS_BELOW: Final = 2e6  # Pa; at 473.15 K water boils at 1.55 MPa, so no need to look higher
_HIGHEST_PRESSURE: Final = 200e6  # Pa
_OPTIONAL: Final = frozenset({"speed_of_sound", "heat_capacity"})


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Liquid:
    """The properties of one liquid, or of the same liquid in many variants.

    Parameters
    ----------
    density : float or array, shape (n,) or (n, 1)
        Mass per volume. [kg/m^3]
    viscosity : float or array, shape (n,) or (n, 1)
        Dynamic viscosity. [Pa s]
    vapour_pressure : float or array, shape (n,) or (n, 1)
        Absolute. [Pa]
    speed_of_sound : float or array or None, shape (n,) or (n, 1)
        In the open liquid; None where it is not stated. [m/s]
    heat_capacity : float or array or None, shape (n,) or (n, 1)
        Isobaric, per mass; None where it is not stated. [J/kg/K]

    Raises
    ------
    RangeError
        Listing every property outside what a liquid can be.

    Examples
    --------
    Sea water in winter, stated rather than computed:

    >>> brine = Liquid(density=1026.0, viscosity=1.6e-3, vapour_pressure=800.0)
    >>> brine.kinematic_viscosity
    1.559e-06
    """

    density: Real
    viscosity: Real
    vapour_pressure: Real
    speed_of_sound: Real | None = None
    heat_capacity: Real | None = None

    def __post_init__(self) -> None:
        mistakes = Mistakes()
        stated: tuple[tuple[str, Any, float, float, str], ...] = (
            ("density", self.density, 1.0, 25e3, "kg/m^3"),
            ("viscosity", self.viscosity, 1e-6, 1e4, "Pa s"),
            ("vapour_pressure", self.vapour_pressure, 0.0, 100e6, "Pa"),
            ("speed_of_sound", self.speed_of_sound, 10.0, 10e3, "m/s"),
            ("heat_capacity", self.heat_capacity, 100.0, 20e3, "J/kg/K"),
        )
        for name, value, low, high, unit in stated:
            if value is None and name in _OPTIONAL:
                continue
            if isinstance(value, list | tuple):
                mistakes.add(name, f"a {type(value).__name__}", "a number or a numpy array")
                continue
            try:
                require(name, value, low, high, unit)
            except RangeError as error:
                mistakes.extend(error)
        mistakes.settle(RangeError)

    @property
    def kinematic_viscosity(self) -> Real:
        """Viscosity over density, in m^2/s."""
        return self.viscosity / self.density

    @property
    def bulk_modulus(self) -> Real | None:
        """Density times the square of the speed of sound, in Pa; None where that is not stated."""
        return None if self.speed_of_sound is None else self.density * self.speed_of_sound**2


def _from_fit(temperature: Array, low: float, high: float, table: Array) -> Array:
    spots = (2.0 * temperature - (low + high)) / (high - low)
    rows = np.asarray(chebyshev.chebval(spots, table), np.float64)
    rows[1:3] = np.exp(rows[1:3])  # viscosity and vapour pressure are fitted as logarithms
    return rows


def _liquid(rows: Array) -> Liquid:
    density, viscosity, vapour_pressure, speed_of_sound, heat_capacity = (
        rows.tolist() if rows.ndim == 1 else rows  # a float in gives a float out
    )
    return Liquid(
        density=density,
        viscosity=viscosity,
        vapour_pressure=vapour_pressure,
        speed_of_sound=speed_of_sound,
        heat_capacity=heat_capacity,
    )


@as_annotated
def water(temperature: Real) -> Liquid:
    """Return fresh water at one atmosphere.

    Parameters
    ----------
    temperature : float or array, shape (n,) or (n, 1)
        From freezing, 273.15, to boiling, 373.12. [K]

    Returns
    -------
    Liquid
        Properties of the shape of ``temperature``.

    Raises
    ------
    RangeError
        If a temperature is below freezing or above boiling.

    Notes
    -----
    At exactly 0 °C the values are those of water not yet frozen. Air-free water; air dissolved in it makes
    it lighter by some 3 parts in a million. Source: IAPWS R6-95(2018) and R12-08.

    Examples
    --------
    >>> spring = water(273.15 + 9.0)
    >>> spring.density, spring.viscosity, spring.vapour_pressure
    (999.784, 0.00134438, 1148.29)
    """
    require("temperature", temperature, COLDEST, BOILING, "K")
    kelvin = np.asarray(temperature, dtype=np.float64)
    rows = _from_fit(kelvin, COLDEST, WARMEST, _TABLE)
    hot = kelvin > WARMEST
    if hot.any():
        rows[:, hot] = _from_fit(kelvin[hot], WARMEST, BOILING, _HOT_TABLE)
    return _liquid(rows)


@as_annotated
def water_at(temperature: Real, pressure: Real) -> Liquid:
    """Return fresh water at any pressure, by CoolProp itself.

    Parameters
    ----------
    temperature : float or array, shape (n,)
        From freezing, 273.15, to boiling at the pressure, 473.15 at most. [K]
    pressure : float or array, shape (n,)
        Absolute; 611.7 to 2e8. [Pa]

    Returns
    -------
    Liquid
        Properties of the common shape of both arguments.

    Raises
    ------
    RangeError
        If the water would be ice or steam.

    Notes
    -----
    Source: IAPWS R6-95(2018) and R12-08, computed by CoolProp.

    Examples
    --------
    >>> water_at(303.15, 2e5).density
    995.69
    """
    require("temperature", temperature, COLDEST, _HOTTEST, "K")
    require("pressure", pressure, _TRIPLE_PRESSURE, _HIGHEST_PRESSURE, "Pa")
    from hydrokit.water.reference import boiling_temperature, reference_properties

    kelvin, pascal = np.broadcast_arrays(
        np.asarray(temperature, dtype=np.float64), np.asarray(pressure, dtype=np.float64)
    )
    flat, pressures = kelvin.ravel(), pascal.ravel()
    boiling = boiling_temperature(np.minimum(pressures, _HOTTEST_BOILS_BELOW))
    mistakes = Mistakes()
    for hot in np.flatnonzero(flat > boiling)[:1]:
        limit = f"at most {boiling[hot]:.6g} K, where water boils at {pressures[hot]:.6g} Pa"
        mistakes.add("temperature", f"{flat[hot]:.6g} K", limit)
    mistakes.settle(RangeError)
    return _liquid(reference_properties(flat, pressures).reshape(5, *kelvin.shape))
