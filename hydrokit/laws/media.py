r"""Filter media: drop against flow from datasheet points, and what loading adds to it.

The drop of a medium is a viscous term and an inertial one,

.. math:: \Delta p = a\,\mu\,Q + b\,\rho\,Q^2, \qquad a, b \ge 0,

so that cold water, which is more viscous, takes a greater drop, as it does in truth. Solids that a medium has caught add
to its viscous term. Its loading is the share of what they add at the end drop: 0 when new, 1 when it is to be changed.

References
----------
.. [ergun] Ergun, S., Fluid flow through packed columns, Chem. Eng. Progress 48 (1952), 89-94: the two terms.
.. [hermia] Hermia, J., Constant pressure blocking filtration laws, Trans. IChemE 60 (1982), 183-187.
.. [hlavacek] Hlavacek, M. and Bouchet, F., Constant flowrate blocking laws and an example of their application to
   dead-end microfiltration of protein solutions, J. Membrane Sci. 82 (1993), 285-295.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal, TypeAlias, cast, get_args

import numpy as np

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Mistakes, pairs_of_numbers, require, require_word

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.bounds import Array, Real

__all__ = [
    "BlockingLaw",
    "DropFit",
    "fit_drop",
    "loading_of_solids",
    "loading_resistance",
    "medium_drop",
    "solids_of_loading",
]

BlockingLaw: TypeAlias = Literal["cake", "intermediate", "standard"]

_EXAMPLE: Final = "[(8.3e-5, 4000.0), (2.5e-4, 18000.0)]"
_SAME_FLOW: Final = 1e-6
"""Flows that differ by less than this fraction say nothing about how the drop is divided between the two terms."""


def _require_liquid(viscosity: Real, density: Real) -> None:
    require("viscosity", viscosity, 1e-7, 1e3, "Pa*s")
    require("density", density, 1e-3, 3e4, "kg/m^3")


@dataclass(frozen=True, slots=True)
class DropFit:
    r"""A medium's coefficients, fitted to its datasheet.

    Parameters
    ----------
    viscous : float
        *a* in :math:`a \mu Q`. [1/m^3]
    inertial : float
        *b* in :math:`b \rho Q^2`. [1/m^4]
    misfit : float
        Greatest difference between fit and datasheet, as a fraction of the stated drop. [-]
    one_flow : bool
        True where all points stand at one flow, so that the whole drop was taken as viscous.
    """

    viscous: float
    inertial: float
    misfit: float
    one_flow: bool


@as_annotated
def fit_drop(*, points: Sequence[tuple[float, float]], viscosity: float, density: float) -> DropFit:
    r"""Fit a viscous and an inertial term, neither below 0, to datasheet points by least squares.

    .. math:: \min_{a, b \ge 0} \sum_i \left(\frac{a \mu Q_i + b \rho Q_i^2}{\Delta p_i} - 1\right)^2

    Parameters
    ----------
    points : sequence of (flow, drop)
        Of the new element: one or more, both above 0. [m^3/s], [Pa]
    viscosity, density : float
        Of the water of the datasheet, at its temperature. [Pa*s], [kg/m^3]

    Returns
    -------
    DropFit
        Points at one flow only cannot say how the drop divides between the two terms. It is then taken as viscous:
        fine media come near to that, and in cold water and below the stated flow it gives the greater drop.

    Raises
    ------
    RangeError
        If viscosity or density is outside what is possible, or a point is no pair of numbers.
    InputError
        Listing every point that is not above 0.

    Notes
    -----
    Differences are taken relative to each stated drop: datasheets print all their drops to about the same number of
    figures, and unweighted squares would leave the small flows, where rigs run, to chance. A point at rest (0, 0)
    says nothing and is passed over. With two unknowns the bounded minimum needs no iteration: it is the free one, or
    the better of the two with one term alone. The two terms: [ergun]_. Source of the weighting: our own choice.

    Examples
    --------
    4 kPa at 5 L/min, 18 kPa at 15 L/min, water at 20 °C:

    >>> fit = fit_drop(points=[(5.0 / 60e3, 4e3), (15.0 / 60e3, 18e3)], viscosity=1.0016e-3, density=998.2)
    >>> medium_drop(fit, flow=10.0 / 60e3, viscosity=1.0016e-3, density=998.2)
    10000.
    """
    _require_liquid(viscosity, density)
    flow, drop = _stated(points)
    viscous_part, inertial_part = viscosity * flow / drop, density * flow**2 / drop
    one_flow = bool(np.ptp(flow) <= _SAME_FLOW * flow.max())
    if one_flow:
        viscous, inertial = _one_term(viscous_part), 0.0
    else:
        viscous, inertial = _two_terms(viscous_part, inertial_part)
    misfit = float(np.abs(viscous * viscous_part + inertial * inertial_part - 1.0).max())
    return DropFit(viscous, inertial, misfit, one_flow)


def _stated(points: Sequence[tuple[float, float]]) -> tuple[Array, Array]:
    mistakes = Mistakes()
    table = pairs_of_numbers("points", points)
    kept = table[(table != 0.0).any(axis=1)]
    if not len(kept):
        mistakes.add("points", "no point above 0", "at least one point (flow, drop)", _EXAMPLE)
    for flow, drop in kept:
        if not (0.0 < flow < np.inf and 0.0 < drop < np.inf):
            mistakes.add("points", f"({flow:g}, {drop:g})", "flow and drop both above 0", _EXAMPLE)
    mistakes.settle()
    return kept[:, 0], kept[:, 1]


def _one_term(part: Array) -> float:
    return float(part.sum() / (part @ part))


def _two_terms(first: Array, second: Array) -> tuple[float, float]:
    """Return the least squares solution of ``a first + b second = 1`` with neither below 0."""
    across = second - first * (first @ second / (first @ first))  # what the second says beyond the first
    b = float(across.sum() / (across @ across))
    a = float((first @ (1.0 - b * second)) / (first @ first))
    if a >= 0.0 and b >= 0.0:
        return a, b
    alone_first, alone_second = _one_term(first), _one_term(second)
    misfit_first = float(np.sum((alone_first * first - 1.0) ** 2))
    misfit_second = float(np.sum((alone_second * second - 1.0) ** 2))
    return (alone_first, 0.0) if misfit_first <= misfit_second else (0.0, alone_second)


@as_annotated
def medium_drop(
    fit: DropFit, *, flow: Real, viscosity: Real, density: Real, loading: Real = 0.0, loading_viscous: Real = 0.0
) -> Real:
    r"""Return the pressure drop of a medium.

    .. math:: \Delta p = (a + \text{loading}\,c)\,\mu\,Q + b\,\rho\,Q|Q|

    Parameters
    ----------
    fit : DropFit
        From :func:`fit_drop`.
    flow : float or array, shape (n,)
        The drop takes its sign. [m^3/s]
    viscosity, density : float or array, shape (n,)
        Of the water that flows. [Pa*s], [kg/m^3]
    loading : float or array, shape (n,), default 0
        0 new, 1 at the end drop. [-]
    loading_viscous : float or array, shape (n,), default 0
        *c*, from :func:`loading_resistance`. [1/m^3]

    Returns
    -------
    float or array, shape (n,)
        [Pa]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [ergun]_ for the two terms.

    Examples
    --------
    The same flow through the same element, in water at 20 °C and at 5 °C:

    >>> fit = DropFit(viscous=8e10, inertial=0.0, misfit=0.0, one_flow=True)
    >>> medium_drop(fit, flow=1e-4, viscosity=1.0016e-3, density=998.2)
    8013.
    >>> medium_drop(fit, flow=1e-4, viscosity=1.5182e-3, density=1000.0)
    12146.
    """
    require("flow", flow, -1e6, 1e6, "m^3/s")
    _require_liquid(viscosity, density)
    require("loading", loading, 0.0, 100.0)
    require("loading_viscous", loading_viscous, 0.0, 1e30, "1/m^3")
    linear = (fit.viscous + loading * loading_viscous) * viscosity
    drop: Real = (linear + fit.inertial * density * cast("Real", abs(flow))) * flow
    return drop


@as_annotated
def loading_resistance(fit: DropFit, *, end_flow: float, end_drop: float, viscosity: float, density: float) -> float:
    r"""Return what full loading adds to the viscous coefficient, *c*.

    .. math:: (a + c)\,\mu\,Q_e + b\,\rho\,Q_e^2 = \Delta p_e

    Parameters
    ----------
    fit : DropFit
        Of the new element.
    end_flow, end_drop : float
        Flow and drop at which the element is changed. [m^3/s], [Pa]
    viscosity, density : float
        Of the water for which they are stated. [Pa*s], [kg/m^3]

    Returns
    -------
    float
        [1/m^3]

    Raises
    ------
    RangeError
        If a value is outside what is possible.
    InputError
        If the end drop is less than that of the new element at the same flow.

    Notes
    -----
    The cake or the filled pores are taken as viscous: flow through them is slow and the passages fine.
    Source: our own derivation from the two stated drops.

    Examples
    --------
    >>> fit = DropFit(viscous=5e10, inertial=0.0, misfit=0.0, one_flow=True)
    >>> loading_resistance(fit, end_flow=1e-4, end_drop=70e3, viscosity=1e-3, density=1000.0)
    650000000000.0
    """
    require("end_flow", end_flow, 1e-15, 1e6, "m^3/s")
    require("end_drop", end_drop, 0.0, 1e10, "Pa")
    clean = medium_drop(fit, flow=end_flow, viscosity=viscosity, density=density)
    if end_drop < clean:
        mistakes = Mistakes()
        mistakes.add("end_drop", f"{end_drop:g} Pa", f"at least the drop of the new element there, {clean:g} Pa")
        mistakes.settle()
    return float((end_drop - clean) / (viscosity * end_flow))


@as_annotated
def loading_of_solids(*, solids_share: Real, end_ratio: Real, law: BlockingLaw) -> Real:
    r"""Return the loading of an element that has caught a share of the solids it holds at its end drop.

    With *m* the share and *r* the resistance at the end over that when new, the resistance over that when new is

    .. math::

        \text{cake: } 1 + (r - 1)\,m, \qquad \text{intermediate: } r^m, \qquad
        \text{standard: } \left[1 - \left(1 - r^{-1/2}\right) m\right]^{-2}

    and the loading is how far it has gone from 1 to *r*.

    Parameters
    ----------
    solids_share : float or array, shape (n,)
        Caught mass over that at the end drop, 0 to 1. [-]
    end_ratio : float or array, shape (n,)
        Viscous resistance at the end over that when new, at least 1: :math:`(a + c)/a`. [-]
    law : {"cake", "intermediate", "standard"}
        Cake on the surface of a pleated element or membrane; pores blocked one by one, or narrowed, within a depth
        element. They differ by a factor of two or more at half life; where the kind is not known, take the band.

    Returns
    -------
    float or array, shape (n,)
        0 when new, 1 at the end. [-]

    Raises
    ------
    RangeError
        If a value is outside what is possible.
    InputError
        If the law is none of the three.

    Notes
    -----
    Source: the blocking laws of [hermia]_ in their form for a steady flow, [hlavacek]_, scaled to meet at the end.

    Examples
    --------
    Half the solids, an element that ends at ten times its first resistance:

    >>> [loading_of_solids(solids_share=0.5, end_ratio=10.0, law=law) for law in ("cake", "intermediate", "standard")]
    [0.5, 0.240, 0.146]
    """
    require("solids_share", solids_share, 0.0, 1.0)
    share, growth = _of_law(solids_share, end_ratio, law)
    if law == "cake":
        loading = share.copy()
    elif law == "intermediate":
        loading = np.expm1(share * np.log1p(growth)) / growth
    else:
        narrowed = -np.expm1(-0.5 * np.log1p(growth)) * share
        loading = narrowed * (2.0 - narrowed) / (1.0 - narrowed) ** 2 / growth
    return loading if loading.ndim else float(loading)


@as_annotated
def solids_of_loading(*, loading: Real, end_ratio: Real, law: BlockingLaw) -> Real:
    r"""Return the share of the solids it holds at its end drop that an element of a loading has caught.

    .. math::

        \text{cake: } m = l, \qquad \text{intermediate: } m = \frac{\ln R}{\ln r}, \qquad
        \text{standard: } m = \frac{1 - R^{-1/2}}{1 - r^{-1/2}}, \qquad R = 1 + (r - 1)\,l

    Parameters
    ----------
    loading : float or array, shape (n,)
        *l*, 0 when new, 1 at the end. [-]
    end_ratio : float or array, shape (n,)
        *r*, as :func:`loading_of_solids`. [-]
    law : {"cake", "intermediate", "standard"}
        As :func:`loading_of_solids`, whose inverse this is.

    Returns
    -------
    float or array, shape (n,)
        [-]

    Raises
    ------
    RangeError
        If a value is outside what is possible.
    InputError
        If the law is none of the three.

    Notes
    -----
    Source: [hermia]_, [hlavacek]_, solved for the solids.

    Examples
    --------
    >>> solids_of_loading(loading=0.240, end_ratio=10.0, law="intermediate")
    0.50
    """
    require("loading", loading, 0.0, 1.0)
    far, growth = _of_law(loading, end_ratio, law)
    if law == "cake":
        share = far.copy()
    elif law == "intermediate":
        share = np.log1p(growth * far) / np.log1p(growth)
    else:
        share = np.expm1(-0.5 * np.log1p(growth * far)) / np.expm1(-0.5 * np.log1p(growth))
    return share if share.ndim else float(share)


def _of_law(value: Real, end_ratio: Real, law: BlockingLaw) -> tuple[Array, Array]:
    """Return a value and the growth of the resistance, of one shape; refuses a law that is none."""
    require("end_ratio", end_ratio, 1.0, 1e9)
    require_word("law", law, get_args(BlockingLaw))
    one, ratio = np.broadcast_arrays(np.asarray(value, np.float64), np.asarray(end_ratio, np.float64))
    return one, np.maximum(ratio - 1.0, 1e-9)  # without growth every law is in proportion: no division by 0
