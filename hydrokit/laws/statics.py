r"""Weight: total and centre of gravity, load on two supports, and water that shifts in its tank.

Positions run along one axis from a datum that the caller picks, positive towards the rear of a trailer, for instance. A slope is the tangent of the angle, rise over run. Loads are given as masses, as axle
plates and weighbridges state them.

References
----------
Moments about a support, and hydrostatics of water at rest under a level surface: any textbook of statics.

.. [lamb] Lamb, H., Hydrodynamics, 6th ed., 1932, sec. 257 and 258: standing waves in a rectangular tank (from memory).

Every plate counts: payload, axle, tyre, hitch and nose. Weigh the rig; local road law decides.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Mistakes, require
from hydrokit.errors import RangeError
from hydrokit.laws.elementwise import plain
from hydrokit.water import STANDARD_GRAVITY

if TYPE_CHECKING:
    from hydrokit.bounds import Array, Real

__all__ = [
    "Balance",
    "SupportLoads",
    "TiltedWater",
    "balance",
    "centre_from_loads",
    "level_difference",
    "slosh_period",
    "support_loads",
    "tilted_water",
]


def _require_place(name: str, place: Real) -> None:
    require(name, place, -1e4, 1e4, "m")


def _require_slope(slope: Real) -> None:
    require("slope", slope, -2.0, 2.0)


def _require_apart(first: Real, second: Real) -> Array:
    """Return how far the second support is from the first."""
    _require_place("first", first)
    _require_place("second", second)
    apart = np.asarray(np.asarray(second, np.float64) - np.asarray(first))
    if (apart == 0.0).any():
        mistakes = Mistakes()
        mistakes.add("second", "a support where the first is", "two supports apart from each other")
        mistakes.settle(RangeError)
    return apart


@dataclass(frozen=True, slots=True)
class Balance:
    """Total mass and where it acts.

    Parameters
    ----------
    mass : float or array, shape (n,)
        [kg]
    centre : float or array, shape (n,)
        Of gravity, along the axis of the positions. [m]
    """

    mass: Real
    centre: Real


@as_annotated
def balance(*, masses: Array, positions: Array) -> Balance:
    r"""Return the total mass and its centre, :math:`\bar x = \sum m_i x_i / \sum m_i`.

    Parameters
    ----------
    masses : array, shape (n, parts) or (parts,)
        0 or above, together above 0. [kg]
    positions : array, shape (n, parts) or (parts,)
        Of each part's own centre, along one axis; call once for each axis. [m]

    Returns
    -------
    Balance
        Summed over the last axis.

    Raises
    ------
    RangeError
        If a value is outside what is possible, or all masses are 0.

    Notes
    -----
    Source: moments, any textbook of statics.

    Examples
    --------
    A frame of 180 kg and two tanks of 65 kg:

    >>> balance(masses=np.array([180.0, 65.0, 65.0]), positions=np.array([2.9, 2.6, 3.5]))
    Balance(mass=310.0, centre=2.963)
    """
    require("masses", masses, 0.0, 1e13, "kg")
    require("positions", positions, -1e4, 1e4, "m")
    each = np.asarray(masses, np.float64)
    mass = each.sum(axis=-1)
    require("masses together", mass, 1e-9, 1e15, "kg")
    return Balance(plain(mass), plain((each * np.asarray(positions)).sum(axis=-1) / mass))


@dataclass(frozen=True, slots=True)
class SupportLoads:
    """What two supports carry.

    Parameters
    ----------
    first, second : float or array, shape (n,)
        As masses; below 0 the support is lifted and must be held down. [kg]
    """

    first: Real
    second: Real


@as_annotated
def support_loads(
    *, mass: Real, centre: Real, first: Real, second: Real, height: Real = 0.0, slope: Real = 0.0
) -> SupportLoads:
    r"""Return the load on two axles, or on axle and hitch.

    .. math::

        R_2 = \frac{m}{\sqrt{1 + s^2}} \, \frac{\bar x - s\,h - x_1}{x_2 - x_1}, \qquad
        R_1 = \frac{m}{\sqrt{1 + s^2}} - R_2

    Parameters
    ----------
    mass, centre : float or array, shape (n,)
        From :func:`balance`; the centre along the ground. [kg], [m]
    first, second : float or array, shape (n,)
        Where the supports stand: hitch and axle, or front and rear axle. [m]
    height : float or array, shape (n,), default 0
        Of the centre above the line through both supports. [m]
    slope : float or array, shape (n,), default 0
        Of the ground, upwards in the direction of positive positions, so that load moves to the lower support. [-]

    Returns
    -------
    SupportLoads
        Square to the ground; on level ground together the mass.

    Raises
    ------
    RangeError
        If a value is outside what is possible or both supports stand in one place.

    Notes
    -----
    At rest, the brakes or wheels holding the pull along the slope at ground level. Springs, braking and the road add to it.
    Source: moments about a support, any textbook of statics.

    Examples
    --------
    Hitch at 0, axle at 3 m, centre 0.2 m before the axle:

    >>> support_loads(mass=620.0, centre=2.8, first=0.0, second=3.0)
    SupportLoads(first=41.3, second=578.7)
    """
    require("mass", mass, 0.0, 1e15, "kg")
    _require_place("centre", centre)
    _require_place("height", height)
    _require_slope(slope)
    apart = _require_apart(first, second)
    incline = np.asarray(slope, np.float64)
    pressing = np.asarray(mass) / np.hypot(1.0, incline)
    onward = (np.asarray(centre) - incline * height - np.asarray(first)) / apart
    return SupportLoads(plain(pressing * (1.0 - onward)), plain(pressing * onward))


@as_annotated
def centre_from_loads(*, first_load: Real, second_load: Real, first: Real, second: Real) -> Real:
    r"""Return the centre of gravity from two weighed loads, the inverse of :func:`support_loads` on level ground.

    .. math:: \bar x = x_1 + (x_2 - x_1) \frac{R_2}{R_1 + R_2}

    Parameters
    ----------
    first_load, second_load : float or array, shape (n,)
        As weighed, or as shares. [kg]
    first, second : float or array, shape (n,)
        Where the supports stand. [m]

    Returns
    -------
    float or array, shape (n,)
        [m]

    Raises
    ------
    RangeError
        If a value is outside what is possible or both supports stand in one place.

    Notes
    -----
    Source: moments about a support, any textbook of statics.

    Examples
    --------
    >>> centre_from_loads(first_load=41.3, second_load=578.7, first=0.0, second=3.0)
    2.80
    """
    require("first_load", first_load, -1e9, 1e9, "kg")
    require("second_load", second_load, -1e9, 1e9, "kg")
    apart = _require_apart(first, second)
    together = np.asarray(first_load, np.float64) + np.asarray(second_load)
    require("first_load + second_load", together, 1e-9, 1e10, "kg")
    return plain(np.asarray(first) + apart * np.asarray(second_load) / together)


@as_annotated
def level_difference(*, distance: Real, slope: Real) -> Real:
    """Return how much higher the water stands against its own tank at the low end than at the high end.

    Parameters
    ----------
    distance : float or array, shape (n,)
        Along the slope, between two points of one level surface: two tanks joined by a cross-link, or the ends
        of one tank. [m]
    slope : float or array, shape (n,)
        Rise over run. [-]

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
    Source: hydrostatics, any textbook.

    Examples
    --------
    Two tanks 0.9 m apart on 3 degrees of slope, in millimetres:

    >>> level_difference(distance=0.9, slope=np.tan(np.radians(3.0))) * 1e3
    47.
    """
    require("distance", distance, 0.0, 1e4, "m")
    _require_slope(slope)
    return plain(np.abs(np.asarray(slope, np.float64)) * distance)


@dataclass(frozen=True, slots=True)
class TiltedWater:
    """How water lies in a box that stands on a slope.

    Parameters
    ----------
    low_depth, high_depth : float or array, shape (n,)
        Along the wall at the low end and at the high end; 0 where the floor is bare. [m]
    shift : float or array, shape (n,)
        How far its centre has moved towards the low end. [m]
    bare_length : float or array, shape (n,)
        Of the floor at the high end that is dry: an outlet there draws air. [m]
    """

    low_depth: Real
    high_depth: Real
    shift: Real
    bare_length: Real


@as_annotated
def tilted_water(*, length: Real, depth: Real, level: Real, slope: Real) -> TiltedWater:
    r"""Return how water lies in a closed box-shaped tank on a slope.

    The surface is level, so against the tank it falls by the slope over the length. With the mean level *h*, the depth of
    the tank *H* and the length *L*, it may touch all walls, leave floor bare, touch the lid, or both; the area
    :math:`h L` is kept.

    Parameters
    ----------
    length : float or array, shape (n,)
        Of the tank inside, along the slope. [m]
    depth : float or array, shape (n,)
        Of the tank inside, from floor to lid. [m]
    level : float or array, shape (n,)
        Of its water when the tank stands level; at most the depth. [m]
    slope : float or array, shape (n,)
        Rise over run. [-]

    Returns
    -------
    TiltedWater
        All four parts along the tank's own floor and walls.

    Raises
    ------
    RangeError
        If a value is outside what is possible or the level above the lid.

    Notes
    -----
    Source: geometry; for a slight slope the shift is :math:`s L^2 / 12 h`. It is the free surface that moves the centre:
    a full tank shifts nothing, a nearly empty one half its length.

    Examples
    --------
    0.6 m long, 0.4 m deep, a quarter full, on a slope of 1 in 10:

    >>> tilted_water(length=0.6, depth=0.4, level=0.1, slope=0.1)
    TiltedWater(low_depth=0.130, high_depth=0.070, shift=0.030, bare_length=0.0)
    """
    require("length", length, 1e-6, 1e4, "m")
    require("depth", depth, 1e-6, 1e4, "m")
    require("level", level, 0.0, 1e4, "m")
    _require_slope(slope)
    if (np.asarray(level) > np.asarray(depth) * (1.0 + 1e-12)).any():
        mistakes = Mistakes()
        mistakes.add("level", "a level above the lid", "at most the depth of the tank")
        mistakes.settle(RangeError)
    return _tilted(*np.broadcast_arrays(*(np.asarray(value, np.float64) for value in (length, depth, level, slope))))


def _tilted(length: Array, depth: Array, level: Array, slope: Array) -> TiltedWater:
    fall = np.maximum(np.abs(slope), 1e-12)  # level ground is the limit of a slight slope
    drop = fall * length
    air = np.maximum(depth - level, 0.0)
    wedge = np.sqrt(2.0 * drop * level)  # height of the triangle where floor is bare and the lid is not touched
    open_wedge = np.sqrt(2.0 * drop * air)  # of the air's triangle where the lid is touched and no floor is bare
    bare, lid = level < 0.5 * drop, air < 0.5 * drop
    lid = np.where(bare, wedge > depth, lid)
    bare = np.where(lid, open_wedge > depth, bare)
    surface = np.select(  # height of the surface at the low end, through the lid if need be
        [bare & lid, bare, lid],
        [level * drop / depth + 0.5 * depth, wedge, depth + drop - open_wedge],
        level + 0.5 * drop,
    )
    full = np.clip((surface - depth) / fall, 0.0, length)  # from the low end, filled to the lid
    wet = np.clip(surface / fall, 0.0, length)
    low, high = np.minimum(surface, depth), np.maximum(surface - drop, 0.0)
    moment = 0.5 * depth * full**2 + 0.5 * surface * (wet**2 - full**2) - fall * (wet**3 - full**3) / 3.0
    area = level * length
    shift = np.where(area > 0.0, 0.5 * length - moment / np.where(area > 0.0, area, 1.0), 0.0)
    return TiltedWater(plain(low), plain(high), plain(shift), plain(length - wet))


@as_annotated
def slosh_period(*, length: Real, level: Real) -> Real:
    r"""Return the period of the first slosh of a rectangular tank, end to end.

    .. math:: T = \frac{2 \pi}{\sqrt{\frac{\pi g}{L} \tanh \frac{\pi h}{L}}}

    Parameters
    ----------
    length : float or array, shape (n,)
        Of free surface in the direction of the slosh, between walls or baffles. [m]
    level : float or array, shape (n,)
        Depth of the water, above 0. [m]

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
    Source: [lamb]_, small waves. Near a trailer's own sway period, about 1 s (common practice, no source), each feeds the
    other; travel full or empty, or fit baffles.

    Examples
    --------
    >>> slosh_period(length=0.6, level=0.2)
    0.992
    """
    require("length", length, 1e-6, 1e4, "m")
    require("level", level, 1e-6, 1e4, "m")
    number = np.pi / np.asarray(length, np.float64)
    return plain(2.0 * np.pi / np.sqrt(number * STANDARD_GRAVITY * np.tanh(number * np.asarray(level))))
