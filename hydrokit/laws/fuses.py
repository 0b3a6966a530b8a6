"""What a cable may carry, and between which bounds its fuse must lie.

The fuse protects the cable: it must pass the running current with something in hand and blow before the cable is
overloaded. Where those two cross no fuse is right, and a larger cable is wanted. Local codes and a licensed electrician
decide; ambient heat, bundling and insulation all lower what a cable carries and are not counted here.

References
----------
.. [cable] Ratings of single PVC vehicle cable, not the thin-wall kind, in free air, as cable sellers print them (from
   memory).
.. [abyc] ABYC E-11, overcurrent protection (from memory); common practice.
.. [iso8820] ISO 8820-3, fuse-links with tabs (blade type): rated currents (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.arguments import as_annotated
from hydrokit.bounds import require
from hydrokit.laws.elementwise import plain

if TYPE_CHECKING:
    import numpy.typing as npt

    from hydrokit.bounds import Real

__all__ = ["BLADE_FUSES", "CABLE_RATINGS", "FUSE_MARGIN", "FuseBounds", "cable_rating", "fuse_bounds", "fuse_choice"]

FUSE_MARGIN: Final = 1.25
"""Least rating of a fuse over the running current. [-] Source: common practice; [abyc]_."""

CABLE_RATINGS: Final[dict[float, float]] = {
    0.65: 5.75,
    1.0: 8.75,
    1.5: 12.75,
    2.0: 17.5,
    2.5: 21.75,
    3.0: 27.5,
    4.5: 35.0,
    6.0: 42.0,
    7.0: 50.0,
    8.5: 60.0,
}
"""Continuous current by nominal cross-section. [mm²], [A] Source: [cable]_; codes may allow less."""

BLADE_FUSES: Final = (1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0)
"""Rated currents on sale. [A] Source: [iso8820]_."""


@as_annotated
def cable_rating(area: Real) -> Real:
    """Return the continuous current of a cable: that of the largest listed size it reaches.

    Parameters
    ----------
    area : float or array, shape (n,)
        Nominal cross-section of one conductor. [m^2]

    Returns
    -------
    float or array, shape (n,)
        Never read between sizes; NaN below the smallest listed. [A]

    Raises
    ------
    RangeError
        If the area is outside what is possible.

    Notes
    -----
    Source: [cable]_. Where the cable's own data sheet or a code says less, that counts.

    Examples
    --------
    >>> cable_rating(2.5e-6), cable_rating(4e-6), cable_rating(0.2e-6)
    (21.75, 27.5, nan)
    """
    require("area", area, 1e-10, 1.0, "m^2")
    sizes = (
        np.array(list(CABLE_RATINGS)) * 1e-6 * 0.995
    )  # so that a size stated in another unit, and rounded, still counts as that size
    carried = np.array([np.nan, *CABLE_RATINGS.values()])
    return plain(carried[np.searchsorted(sizes, np.asarray(area), side="right")])


@dataclass(frozen=True, slots=True)
class FuseBounds:
    """Between which ratings a fuse must lie.

    Parameters
    ----------
    least : float or array, shape (n,)
        So that it does not blow while the pump runs. [A]
    most : float or array, shape (n,)
        So that it blows before the cable burns. [A]
    possible : array of bool, shape (n,)
        False where the bounds cross: no fuse is right, the cable is too thin.
    """

    least: Real
    most: Real
    possible: npt.NDArray[np.bool_]


@as_annotated
def fuse_bounds(*, running_current: Real, rating: Real, margin: Real = FUSE_MARGIN) -> FuseBounds:
    """Return both bounds on a fuse: at least the running current with a margin, at most what the cable carries.

    Parameters
    ----------
    running_current : float or array, shape (n,)
        The greatest that the pump takes, near cut-out; of all loads together where they share the cable. [A]
    rating : float or array, shape (n,)
        What the cable carries; see :func:`cable_rating`. [A]
    margin : float or array, shape (n,), default 1.25
        [-]

    Returns
    -------
    FuseBounds
        Says where they cross.

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: common practice; [abyc]_. The fuse belongs within 0.18 m of the battery (the same source).

    Examples
    --------
    >>> fuse_bounds(running_current=8.0, rating=12.75)
    FuseBounds(least=10.0, most=12.75, possible=array(True))
    >>> fuse_bounds(running_current=12.0, rating=12.75)
    FuseBounds(least=15.0, most=12.75, possible=array(False))
    """
    require("running_current", running_current, 0.0, 1e5, "A")
    require("rating", rating, 0.0, 1e5, "A")
    require("margin", margin, 1.0, 10.0)
    least = np.asarray(running_current) * margin
    return FuseBounds(plain(least), plain(rating), np.asarray(least <= np.asarray(rating)))


@as_annotated
def fuse_choice(bounds: FuseBounds) -> Real:
    """Return the smallest blade fuse within the bounds.

    Parameters
    ----------
    bounds : FuseBounds
        From :func:`fuse_bounds`. [A]

    Returns
    -------
    float or array, shape (n,)
        NaN where there is none, so that none is suggested. [A]

    Notes
    -----
    Source: [iso8820]_.

    Examples
    --------
    >>> fuse_choice(fuse_bounds(running_current=7.0, rating=12.75))
    10.0
    >>> fuse_choice(fuse_bounds(running_current=9.0, rating=12.75))
    nan
    """
    rated = np.array([*BLADE_FUSES, np.nan])
    chosen = rated[np.searchsorted(rated[:-1], np.asarray(bounds.least))]
    return plain(np.where(chosen <= np.asarray(bounds.most), chosen, np.nan))
