r"""Tanks that are no box: the volume of a cylinder lying on its side, with its ends.

References
----------
.. [jones] Jones, D., Calculating tank volume, through ``fluids``: ends of horizontal tanks.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias, get_args

import numpy as np

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Mistakes, require, require_word
from hydrokit.errors import RangeError
from hydrokit.laws.elementwise import elementwise, plain

if TYPE_CHECKING:
    from hydrokit.bounds import Real

__all__ = ["End", "horizontal_tank_volume"]

End: TypeAlias = Literal["flat", "conical", "spherical", "elliptical"]


@as_annotated
def horizontal_tank_volume(*, bore: Real, length: Real, level: Real, ends: End = "flat", end_depth: Real = 0.0) -> Real:
    r"""Return the water in a cylindrical tank that lies on its side.

    .. math:: V = L \left[R^2 \arccos\frac{R - h}{R} - (R - h) \sqrt{2 R h - h^2}\right] + 2 V_e

    Parameters
    ----------
    bore : float or array, shape (n,)
        Inside diameter, 2 *R*. [m]
    length : float or array, shape (n,)
        Of the straight part, *L*. [m]
    level : float or array, shape (n,)
        Above the lowest line of the tank, *h*; at most the bore. [m]
    ends : {"flat", "conical", "spherical", "elliptical"}, default "flat"
        Shape of both ends, bulging outwards.
    end_depth : float or array, shape (n,), default 0
        How far each bulges; of a spherical end at most half the bore. Flat ends have none. [m]

    Returns
    -------
    float or array, shape (n,)
        [m^3]

    Raises
    ------
    RangeError
        If a value is outside what is possible, the level above the tank, a spherical end deeper than a hemisphere, or a
        flat end deep.
    InputError
        If the shape of the ends is not listed.

    Notes
    -----
    Source: [jones]_.

    Examples
    --------
    A drum of 0.4 m by 0.6 m, half full, in litres:

    >>> horizontal_tank_volume(bore=0.4, length=0.6, level=0.2) * 1e3
    37.7
    """
    require_word("ends", ends, get_args(End))
    require("bore", bore, 1e-6, 1e3, "m")
    require("length", length, 0.0, 1e4, "m")
    require("level", level, 0.0, 1e3, "m")
    require("end_depth", end_depth, 0.0, 1e3, "m")
    _require_shape(bore, level, ends, end_depth)
    radius = 0.5 * np.asarray(bore, np.float64)
    down = np.clip(1.0 - np.asarray(level) / radius, -1.0, 1.0)  # height of the axis over the water, in radii
    segment = radius**2 * (np.arccos(down) - down * np.sqrt(1.0 - down**2))
    straight = segment * length
    return plain(straight + 2.0 * np.asarray(_end_volume(bore, level, ends, end_depth)))


def _require_shape(bore: Real, level: Real, ends: End, end_depth: Real) -> None:
    mistakes = Mistakes()
    if (np.asarray(level) > np.asarray(bore) * (1.0 + 1e-12)).any():
        mistakes.add("level", "a level above the tank", "at most the bore")
    if ends == "flat" and np.any(np.asarray(end_depth) != 0.0):
        mistakes.add("end_depth", "a depth of flat ends", "0, or the shape of the ends")
    if ends == "spherical" and (np.asarray(end_depth) > np.asarray(bore) * (0.5 + 1e-12)).any():
        mistakes.add("end_depth", "more than half the bore", "at most a hemisphere")
    mistakes.settle(RangeError)


def _end_volume(bore: Real, level: Real, ends: End, end_depth: Real) -> Real:
    """Return the water in one end."""
    if ends == "flat":
        return 0.0
    from fluids.geometry import V_horiz_conical, V_horiz_ellipsoidal, V_horiz_spherical

    law = {"conical": V_horiz_conical, "spherical": V_horiz_spherical, "elliptical": V_horiz_ellipsoidal}[ends]

    def volume(across: float, high: float, deep: float) -> float:
        return float(law(D=across, L=0.0, a=deep, h=min(high, across), headonly=True)) if deep > 0.0 else 0.0

    return elementwise(volume, bore, level, end_depth)
