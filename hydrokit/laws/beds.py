r"""Beds of grains and growing cakes: drop, velocity, voidage, filtration time.

Velocity is superficial: flow over the whole cross-section of the bed.

References
----------
.. [ergun] Ergun, S., Fluid flow through packed columns, Chem. Eng. Progress 48 (1952), 89-94.
.. [denevers] de Nevers, N., Fluid Mechanics for Chemical Engineers, ch. 11.
.. [geankoplis] Geankoplis, C. J., Transport Processes and Unit Operations, sections 3.1 and 14.2.
.. [ruth] Ruth, B. F., Studies in filtration III, Ind. Eng. Chem. 27 (1935), 708-723.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, cast

from hydrokit.arguments import as_annotated
from hydrokit.bounds import require

if TYPE_CHECKING:
    from hydrokit.bounds import Real

__all__ = [
    "BED_INERTIAL",
    "BED_VISCOUS",
    "bed_coefficients",
    "bed_drop",
    "bed_reynolds",
    "bed_velocity",
    "bed_voidage",
    "cake_rate",
    "cake_time",
    "specific_surface",
]

BED_VISCOUS: Final = 150.0
"""Constant of the viscous term (the Carman-Kozeny part). [-] Source: Ergun 1952."""
BED_INERTIAL: Final = 1.75
"""Constant of the inertial term (Burke-Plummer). [-] Source: Ergun 1952."""


def _require_grains(particle: Real, voidage: Real) -> None:
    require("particle", particle, 1e-9, 10.0, "m")
    require("voidage", voidage, 1e-3, 0.999)


@as_annotated
def bed_voidage(*, bed_density: Real, solid_density: Real) -> Real:
    r"""Return the share of a bed that is empty, :math:`\epsilon = 1 - \rho_{bed} / \rho_{solid}`.

    Parameters
    ----------
    bed_density : float or array, shape (n,)
        Dry mass over whole volume. [kg/m^3]
    solid_density : float or array, shape (n,)
        Of the grains. [kg/m^3]

    Returns
    -------
    float or array, shape (n,)
        [-]

    Raises
    ------
    RangeError
        If a density is outside what is possible or the bed is denser than its grains.

    Notes
    -----
    Source: definition.

    Examples
    --------
    >>> bed_voidage(bed_density=500.0, solid_density=900.0)
    0.444
    """
    require("solid_density", solid_density, 1.0, 3e4, "kg/m^3")
    require("bed_density", bed_density, 0.0, 3e4, "kg/m^3")
    require("bed_density / solid_density", bed_density / solid_density, 0.0, 1.0)
    return 1.0 - bed_density / solid_density


@as_annotated
def specific_surface(*, particle: Real, voidage: Real) -> Real:
    r"""Return the surface of the grains in a unit of bed volume, :math:`6 (1 - \epsilon) / D_p`.

    Parameters
    ----------
    particle : float or array, shape (n,)
        Diameter of the grains. [m]
    voidage : float or array, shape (n,)
        Share of the bed that is empty. [-]

    Returns
    -------
    float or array, shape (n,)
        Surface over volume. [m^2/m^3]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [geankoplis]_, section 3.1.

    Examples
    --------
    >>> specific_surface(particle=1e-3, voidage=0.4)
    3600.0
    """
    _require_grains(particle, voidage)
    return 6.0 * (1.0 - voidage) / particle


@as_annotated
def bed_reynolds(*, velocity: Real, particle: Real, voidage: Real, density: Real, viscosity: Real) -> Real:
    r"""Return the Reynolds number of a bed, :math:`D_p v \rho / \mu (1 - \epsilon)`.

    Parameters
    ----------
    velocity : float or array, shape (n,)
        Superficial: flow over the whole area of the bed. [m/s]
    particle : float or array, shape (n,)
        Diameter of the grains. [m]
    voidage : float or array, shape (n,)
        Share of the bed that is empty. [-]
    density : float or array, shape (n,)
        Of the liquid. [kg/m^3]
    viscosity : float or array, shape (n,)
        Dynamic. [Pa*s]

    Returns
    -------
    float or array, shape (n,)
        Below about 10 the viscous term rules, above about 1000 the inertial one. [-]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [ergun]_.

    Examples
    --------
    >>> bed_reynolds(velocity=2e-3, particle=1e-3, voidage=0.4, density=1000.0, viscosity=1e-3)
    3.33
    """
    require("velocity", velocity, -1e4, 1e4, "m/s")
    _require_grains(particle, voidage)
    require("density", density, 1e-6, 3e4, "kg/m^3")
    require("viscosity", viscosity, 1e-7, 1e3, "Pa*s")
    return particle * cast("Real", abs(velocity)) * density / (viscosity * (1.0 - voidage))


@as_annotated
def bed_coefficients(*, depth: Real, area: Real, particle: Real, voidage: Real) -> tuple[Real, Real]:
    r"""Return a bed's viscous and inertial coefficients, as :func:`hydrokit.laws.media.fit_drop` gives them.

    .. math:: a = 150 \frac{(1 - \epsilon)^2}{\epsilon^3 D_p^2} \frac{L}{A}, \qquad
        b = 1.75 \frac{1 - \epsilon}{\epsilon^3 D_p} \frac{L}{A^2}

    Parameters
    ----------
    depth : float or array, shape (n,)
        Along the flow. [m]
    area : float or array, shape (n,)
        Whole cross-section. [m^2]
    particle : float or array, shape (n,)
        Diameter of the grains. [m]
    voidage : float or array, shape (n,)
        Empty share. [-]

    Returns
    -------
    a, b : float or array, shape (n,)
        [1/m^3], [1/m^4]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [ergun]_. Round grains of one size, far from walls; angular carbon costs more.

    Examples
    --------
    >>> bed_coefficients(depth=0.2, area=0.01, particle=1e-3, voidage=0.4)
    (16875000000.0, 32812500.0)
    """
    require("depth", depth, 0.0, 1e4, "m")
    require("area", area, 1e-12, 1e6, "m^2")
    _require_grains(particle, voidage)
    solid, cubed = 1.0 - voidage, voidage**3
    viscous = BED_VISCOUS * solid**2 / (cubed * particle**2) * depth / area
    inertial = BED_INERTIAL * solid / (cubed * particle) * depth / area**2
    return viscous, inertial


@as_annotated
def bed_drop(*, velocity: Real, depth: Real, particle: Real, voidage: Real, density: Real, viscosity: Real) -> Real:
    r"""Return the pressure drop through a bed of grains (Ergun).

    .. math:: \Delta p = L \left[150 \frac{(1 - \epsilon)^2 \mu v}{\epsilon^3 D_p^2}
        + 1.75 \frac{(1 - \epsilon) \rho v |v|}{\epsilon^3 D_p}\right]

    Parameters
    ----------
    velocity : float or array, shape (n,)
        Superficial: flow over the whole area of the bed. [m/s]
    depth : float or array, shape (n,)
        Of the bed. [m]
    particle : float or array, shape (n,)
        Diameter of the grains. [m]
    voidage : float or array, shape (n,)
        Share of the bed that is empty. [-]
    density : float or array, shape (n,)
        Of the liquid. [kg/m^3]
    viscosity : float or array, shape (n,)
        Dynamic. [Pa*s]

    Returns
    -------
    float or array, shape (n,)
        With the sign of the velocity. [Pa]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [ergun]_. For a gas take the density at the mean pressure in the bed.

    Examples
    --------
    >>> bed_drop(velocity=2e-3, depth=0.2, particle=1e-3, voidage=0.4, density=1000.0, viscosity=1e-3)
    350.6
    """
    require("velocity", velocity, -1e4, 1e4, "m/s")
    require("density", density, 1e-6, 3e4, "kg/m^3")
    require("viscosity", viscosity, 1e-7, 1e3, "Pa*s")
    viscous, inertial = bed_coefficients(depth=depth, area=1.0, particle=particle, voidage=voidage)
    return (viscous * viscosity + inertial * density * cast("Real", abs(velocity))) * velocity


@as_annotated
def bed_velocity(*, pressure_drop: Real, depth: Real, particle: Real, voidage: Real, viscosity: Real) -> Real:
    r"""Return the superficial velocity of slow flow through a bed (Carman-Kozeny with the constant 150).

    .. math:: v = \frac{\Delta p}{L} \frac{\epsilon^3 D_p^2}{150\,\mu\,(1 - \epsilon)^2}

    Parameters
    ----------
    pressure_drop : float or array, shape (n,)
        Across the bed. [Pa]
    depth : float or array, shape (n,)
        Of the bed. [m]
    particle : float or array, shape (n,)
        Diameter of the grains. [m]
    voidage : float or array, shape (n,)
        Share of the bed that is empty. [-]
    viscosity : float or array, shape (n,)
        Dynamic. [Pa*s]

    Returns
    -------
    float or array, shape (n,)
        Superficial. [m/s]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [denevers]_, ch. 11 (Blake-Kozeny). Leaves the inertial term out: see that :func:`bed_reynolds` is below 10.

    Examples
    --------
    >>> bed_velocity(pressure_drop=337.5, depth=0.2, particle=1e-3, voidage=0.4, viscosity=1e-3)
    0.002
    """
    require("pressure_drop", pressure_drop, -1e10, 1e10, "Pa")
    require("depth", depth, 1e-9, 1e4, "m")
    require("viscosity", viscosity, 1e-7, 1e3, "Pa*s")
    viscous, _ = bed_coefficients(depth=depth, area=1.0, particle=particle, voidage=voidage)
    return pressure_drop / (viscous * viscosity)


def _require_cake(slope: Real, intercept: Real, volume: Real) -> None:
    require("slope", slope, 0.0, 1e30, "s/m^6")
    require("intercept", intercept, 1e-30, 1e30, "s/m^3")
    require("volume", volume, 0.0, 1e9, "m^3")


@as_annotated
def cake_time(*, slope: Real, intercept: Real, volume: Real) -> Real:
    r"""Return the time in which a volume passes a growing cake at a steady pressure (Ruth).

    .. math:: t = \tfrac12 K_p V^2 + B V, \qquad K_p = \frac{\mu\,\alpha\,c_s}{A^2\,\Delta p},\quad
        B = \frac{\mu\,R_m}{A\,\Delta p}

    Parameters
    ----------
    slope : float or array, shape (n,)
        :math:`K_p`, the cake's part. [s/m^6]
    intercept : float or array, shape (n,)
        *B*, the clean medium's part; above 0. [s/m^3]
    volume : float or array, shape (n,)
        Filtrate since the medium was new. [m^3]

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
    Source: [ruth]_; [geankoplis]_, section 14.2. For a cake that is not squeezed tighter as the pressure acts.

    Examples
    --------
    >>> cake_time(slope=4e6, intercept=2e4, volume=0.1)
    22000.0
    """
    _require_cake(slope, intercept, volume)
    return 0.5 * slope * volume**2 + intercept * volume


@as_annotated
def cake_rate(*, slope: Real, intercept: Real, volume: Real) -> Real:
    r"""Return the flow through a growing cake at a steady pressure, :math:`dV/dt = 1 / (K_p V + B)`.

    Parameters
    ----------
    slope : float or array, shape (n,)
        *K*, of time over volume against volume. [s/m^6]
    intercept : float or array, shape (n,)
        *B*, from the medium alone. [s/m^3]
    volume : float or array, shape (n,)
        Filtered so far. [m^3]

    Returns
    -------
    float or array, shape (n,)
        Flow. [m^3/s]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [ruth]_, as :func:`cake_time`.

    Examples
    --------
    >>> cake_rate(slope=4e6, intercept=2e4, volume=0.1) * 60e3
    0.143
    """
    _require_cake(slope, intercept, volume)
    return 1.0 / (slope * volume + intercept)
