r"""Surge: the pressure that stopping water adds when a tap, solenoid or float valve shuts.

A change of velocity runs through the line as a wave at the speed *a* and comes back after :math:`2 L / a`. Whatever shuts
within that time stops the water as if at once. Rises are over the pressure before, and the wave swings as far below it.

References
----------
.. [wylie] Wylie, E. B. and Streeter, V. L., Fluid Transients, 1978, ch. 1: wave speed of Korteweg, rise of Joukowsky
   (from memory).
.. [daugherty] Daugherty, R. L. and Franzini, J. B., Fluid Mechanics with Engineering Applications, sec. 13: slow
   closing in proportion to (2 L/a) / t, the rule of Michaud.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal, TypeAlias

import numpy as np

from hydrokit.arguments import as_annotated
from hydrokit.bounds import require, require_word
from hydrokit.laws.elementwise import plain

if TYPE_CHECKING:
    from hydrokit.bounds import Real

__all__ = [
    "WALL_WAVE_SPEEDS",
    "Wall",
    "closing_rise",
    "full_rise_length",
    "instant_rise",
    "liquid_wave_speed",
    "return_time",
    "wall_wave_speed",
    "wave_speed",
]

Wall: TypeAlias = Literal["soft plastic", "cross-linked polyethylene", "metal"]

WALL_WAVE_SPEEDS: Final[dict[Wall, float]] = {
    "soft plastic": 300.0,
    "cross-linked polyethylene": 450.0,
    "metal": 1300.0,
}
"""Wave speed in water by kind of wall, of metal the upper end of 1100 to 1300. [m/s] Source: common practice, no source."""


def _require_liquid(bulk_modulus: Real, density: Real) -> None:
    require("bulk_modulus", bulk_modulus, 1e3, 1e12, "Pa")
    require("density", density, 1e-3, 3e4, "kg/m^3")


def _require_wave(wave_speed: Real) -> None:
    require("wave_speed", wave_speed, 1e-3, 1e4, "m/s")


@as_annotated
def liquid_wave_speed(*, bulk_modulus: Real, density: Real) -> Real:
    r"""Return the wave speed between walls that do not give, the speed of sound :math:`\sqrt{K / \rho}`.

    Parameters
    ----------
    bulk_modulus : float or array, shape (n,)
        Of the liquid. [Pa]
    density : float or array, shape (n,)
        Of the liquid. [kg/m^3]

    Returns
    -------
    float or array, shape (n,)
        Air bubbles slow it greatly and are not counted. [m/s]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [wylie]_, ch. 1.

    Examples
    --------
    >>> liquid_wave_speed(bulk_modulus=2.2e9, density=998.0)
    1485.
    """
    _require_liquid(bulk_modulus, density)
    return plain(np.sqrt(np.asarray(bulk_modulus, np.float64) / density))


@as_annotated
def wave_speed(
    *, bulk_modulus: Real, density: Real, bore: Real, wall: Real, wall_modulus: Real, restraint: Real = 1.0
) -> Real:
    r"""Return the wave speed in a thin-walled pipe or hose.

    .. math:: a = \sqrt{\frac{K / \rho}{1 + c \, \frac{K D}{E e}}}

    Parameters
    ----------
    bulk_modulus, density : float or array, shape (n,)
        *K* and :math:`\rho` of the liquid. [Pa], [kg/m^3]
    bore, wall : float or array, shape (n,)
        *D*, and the thickness *e*. [m]
    wall_modulus : float or array, shape (n,)
        *E*, Young's modulus of the wall for a quick load. [Pa]
    restraint : float or array, shape (n,), default 1
        *c*: 1 for a pipe free to lengthen, :math:`1 - \nu^2` for one held along its length. [-]

    Returns
    -------
    float or array, shape (n,)
        [m/s]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [wylie]_. The wall is taken as thin: where the bore is less than some 25 times the wall, a thick wall is
    stiffer than this says and the true wave a little faster.

    Examples
    --------
    PVC hose of 12.5 mm bore and 3 mm wall, 50 MPa:

    >>> wave_speed(bulk_modulus=2.1e9, density=999.7, bore=0.0125, wall=0.003, wall_modulus=50e6)
    109.
    """
    _require_liquid(bulk_modulus, density)
    require("bore", bore, 1e-5, 100.0, "m")
    require("wall", wall, 1e-6, 10.0, "m")
    require("wall_modulus", wall_modulus, 1e3, 1e13, "Pa")
    require("restraint", restraint, 0.1, 2.0)
    give = np.asarray(restraint) * bulk_modulus * np.asarray(bore) / (np.asarray(wall_modulus) * wall)
    return plain(liquid_wave_speed(bulk_modulus=bulk_modulus, density=density) / np.sqrt(1.0 + give))


@as_annotated
def wall_wave_speed(wall: Wall) -> float:
    """Return the usual wave speed in water by kind of wall, where no wall data are at hand.

    Parameters
    ----------
    wall : str
        Kind of wall, one of :data:`WALL_WAVE_SPEEDS`.

    Returns
    -------
    float
        [m/s]

    Raises
    ------
    InputError
        If the kind is not listed in :data:`WALL_WAVE_SPEEDS`.

    Notes
    -----
    Source: common practice, no source. Fabric in a hose stiffens it; soft bare hose may be far slower.

    Examples
    --------
    >>> wall_wave_speed("soft plastic")
    300.0
    """
    require_word("wall", wall, WALL_WAVE_SPEEDS)
    return WALL_WAVE_SPEEDS[wall]


@as_annotated
def instant_rise(*, density: Real, wave_speed: Real, velocity_change: Real) -> Real:
    r"""Return the rise when the velocity falls at once, :math:`\Delta p = \rho \, a \, \Delta v`.

    Parameters
    ----------
    density : float or array, shape (n,)
        [kg/m^3]
    wave_speed : float or array, shape (n,)
        [m/s]
    velocity_change : float or array, shape (n,)
        Velocity before less velocity after; all of it where the valve shuts tight. [m/s]

    Returns
    -------
    float or array, shape (n,)
        Over the pressure before; below 0 where the velocity rises. [Pa]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: Joukowsky, [wylie]_. Without friction. The wave comes back as far below the pressure before; where that would
    be under vapour pressure the column parts, and its closing again may rise higher than this.

    Examples
    --------
    1.1 m/s stopped in a soft hose:

    >>> instant_rise(density=999.7, wave_speed=300.0, velocity_change=1.1) / 1e5
    3.30
    """
    require("density", density, 1e-3, 3e4, "kg/m^3")
    _require_wave(wave_speed)
    require("velocity_change", velocity_change, -1e3, 1e3, "m/s")
    return plain(np.asarray(density) * wave_speed * np.asarray(velocity_change))


@as_annotated
def return_time(*, length: Real, wave_speed: Real) -> Real:
    """Return the time for the wave to the far end and back, :math:`2 L / a`.

    Parameters
    ----------
    length : float or array, shape (n,)
        To the nearest open water or vessel behind the valve: a tank, or an accumulator. [m]
    wave_speed : float or array, shape (n,)
        In the line. [m/s]

    Returns
    -------
    float or array, shape (n,)
        [s]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [wylie]_, ch. 1.

    Examples
    --------
    >>> return_time(length=6.0, wave_speed=300.0)
    0.04
    """
    require("length", length, 0.0, 1e7, "m")
    _require_wave(wave_speed)
    return plain(2.0 * np.asarray(length) / np.asarray(wave_speed))


@as_annotated
def closing_rise(*, density: Real, wave_speed: Real, velocity_change: Real, length: Real, closing_time: Real) -> Real:
    r"""Estimate the rise when a valve shuts in a stated time.

    .. math:: \Delta p = \rho \, a \, \Delta v \, \min\left(1, \frac{2 L / a}{t}\right)

    Parameters
    ----------
    density, wave_speed, velocity_change : float or array, shape (n,)
        As :func:`instant_rise`. [kg/m^3], [m/s], [m/s]
    length : float or array, shape (n,)
        From the valve to open water or a vessel. [m]
    closing_time : float or array, shape (n,)
        0 shuts at once. [s]

    Returns
    -------
    float or array, shape (n,)
        At the valve. Up to 2 L / a that of :func:`instant_rise`, beyond it :math:`2 \rho L \Delta v / t`. [Pa]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [daugherty]_; beyond 2 L / a an estimate, as the flow is taken to fall evenly, which few valves do: most of
    the stop falls into the last part of the turn. Show :func:`instant_rise` beside it.

    Examples
    --------
    A solenoid that takes 0.1 s, 6 m of soft hose:

    >>> closing_rise(density=999.7, wave_speed=300.0, velocity_change=1.1, length=6.0, closing_time=0.1) / 1e5
    1.32
    """
    require("closing_time", closing_time, 0.0, 1e6, "s")
    rise = np.asarray(instant_rise(density=density, wave_speed=wave_speed, velocity_change=velocity_change))
    back = np.asarray(return_time(length=length, wave_speed=wave_speed))
    time = np.asarray(closing_time, np.float64)
    return plain(rise * np.where(time > back, back / np.where(time > back, time, 1.0), 1.0))


@as_annotated
def full_rise_length(*, length: Real, wave_speed: Real, closing_time: Real) -> Real:
    r"""Return how much of a line, from the valve on, feels the full rise, :math:`\max(L - a t / 2, 0)`.

    Parameters
    ----------
    length : float or array, shape (n,)
        Of the line. [m]
    wave_speed : float or array, shape (n,)
        In the line. [m/s]
    closing_time : float or array, shape (n,)
        Of the valve. [s]

    Returns
    -------
    float or array, shape (n,)
        [m]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [wylie]_.

    Examples
    --------
    >>> full_rise_length(length=6.0, wave_speed=300.0, closing_time=0.02)
    3.0
    """
    require("length", length, 0.0, 1e7, "m")
    _require_wave(wave_speed)
    require("closing_time", closing_time, 0.0, 1e6, "s")
    reached = np.asarray(length, np.float64) - np.asarray(wave_speed) * np.asarray(closing_time) / 2.0
    return plain(np.maximum(reached, 0.0))
