r"""Vents and overflows: what pressure a filling tank sees on its walls.

A vent passes the air that the water displaces, at the flow of the fill. Water at the same flow through the
same bore takes hundreds of times the pressure, and behind a blocked vent the walls bear all that the pump can make.
Pressures are gauge, at the top of the tank, above 0 where the walls are pushed out.

References
----------
.. [white] White, F. M., Fluid Mechanics, 7th ed., 2011, ch. 6: pipe with entrance and exit; air is taken as
   incompressible, good below a tenth of the air's pressure.
.. [tank] Safe pressure on flat-sided plastic tanks, 3 to 5 kPa unless the maker says more (from memory).

Never connect a pump to a closed tank. A vent is no overflow: an overflow needs an opening of its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.arguments import as_annotated
from hydrokit.bounds import require
from hydrokit.laws.elementwise import plain
from hydrokit.laws.fittings import require_bore
from hydrokit.laws.friction import head_loss, velocity
from hydrokit.laws.openings import jet_flow, weir_flow
from hydrokit.water import STANDARD_GRAVITY

if TYPE_CHECKING:
    from hydrokit.bounds import Real

__all__ = [
    "AIR_VISCOSITY",
    "FLAT_WALL_LIMIT",
    "VentPressures",
    "overflow_head",
    "pipe_overflow_head",
    "standpipe_head",
    "vent_drop",
    "vent_pressures",
    "wall_force",
]

AIR_VISCOSITY: Final = 1.8e-5
"""Of air near 15 °C, at any pressure. [Pa s] Source: U.S. Standard Atmosphere, 1976 (1.79e-5), rounded, from memory."""

FLAT_WALL_LIMIT: Final = 3e3
"""Gauge pressure that a flat-sided plastic tank is taken to stand where its maker says nothing. [Pa] Source: [tank]_."""

_ENDS: Final = 1.5
"""K of a sharp entrance and of the exit together. [-] Source: [white]_."""


@as_annotated
def vent_drop(*, flow: Real, bore: Real, length: Real, density: Real, viscosity: Real, k: Real = _ENDS) -> Real:
    r"""Return the pressure that drives a flow through a vent or any short pipe.

    .. math:: \Delta p = \left(f \frac{L}{D} + K\right) \frac{\rho v^2}{2}

    Parameters
    ----------
    flow : float or array, shape (n,)
        Of air or water, whichever the vent carries; the drop takes its sign. [m^3/s]
    bore, length : float or array, shape (n,)
        Of the vent; smooth. [m]
    density, viscosity : float or array, shape (n,)
        Of what it carries. [kg/m^3], [Pa s]
    k : float or array, shape (n,), default 1.5
        Of entrance and exit; add what a mesh or elbow costs. [-]

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
    Source: [white]_.

    Examples
    --------
    8 L/min through 1.5 m of 6 mm, air and then water, in kPa:

    >>> vent = {"flow": 8.0 / 60e3, "bore": 0.006, "length": 1.5}
    >>> vent_drop(**vent, density=1.2, viscosity=AIR_VISCOSITY) / 1e3
    0.13
    >>> vent_drop(**vent, density=999.7, viscosity=1.306e-3) / 1e3
    87.
    """
    require("density", density, 1e-3, 3e4, "kg/m^3")
    require("viscosity", viscosity, 1e-7, 1e3, "Pa s")
    require("k", k, 0.0, 1e6)
    along = head_loss(flow=flow, bore=bore, length=length, kinematic_viscosity=plain(np.asarray(viscosity) / density))
    speed = np.asarray(velocity(flow=flow, bore=bore))
    ends = np.asarray(k) * speed * np.abs(speed) / 2.0
    return plain(np.asarray(density) * (STANDARD_GRAVITY * np.asarray(along) + ends))


@dataclass(frozen=True, slots=True)
class VentPressures:
    """Gauge pressure under the lid of a filling tank, in three cases.

    Parameters
    ----------
    air : float or array, shape (n,)
        The vent open and dry. [Pa]
    water : float or array, shape (n,)
        The tank full, the fill still running, the water leaving through the vent. [Pa]
    blocked : float or array, shape (n,)
        The vent shut by ice, a kink, a nest or a cap: all that the pump can make. [Pa]
    """

    air: Real
    water: Real
    blocked: Real


@as_annotated
def vent_pressures(
    *,
    flow: Real,
    bore: Real,
    length: Real,
    rise: Real,
    shut_off_gauge: Real,
    air_density: Real,
    density: Real,
    viscosity: Real,
) -> VentPressures:
    """Return what a tank's lid sees while it is filled: vent carrying air, carrying water, blocked.

    Parameters
    ----------
    flow : float or array, shape (n,)
        Of the fill, at its greatest. [m^3/s]
    bore, length : float or array, shape (n,)
        Of the vent. [m]
    rise : float or array, shape (n,)
        Of the vent's highest point above the lid, which water must climb. [m]
    shut_off_gauge : float or array, shape (n,)
        Gauge pressure that the inlet reaches at no flow: the pump's cut-out or shut-off less the height to the lid. [Pa]
    air_density : float or array, shape (n,)
        [kg/m^3]
    density, viscosity : float or array, shape (n,)
        Of the water. [kg/m^3], [Pa s]

    Returns
    -------
    VentPressures
        A vent that sags full of water adds the depth of the sag as head before any air passes.

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [white]_. The flow is taken as unchanged by the pressure in the tank, which overstates that pressure; so no
    case is ever more than the blocked one.

    Examples
    --------
    8 L/min into a tank with 1.5 m of 10 mm vent that rises 0.3 m, the pump cutting out at 2.8 bar; in kPa:

    >>> seen = vent_pressures(flow=8.0 / 60e3, bore=0.010, length=1.5, rise=0.3, shut_off_gauge=270e3,
    ...                       air_density=1.2, density=999.7, viscosity=1.306e-3)
    >>> seen.air / 1e3, seen.water / 1e3, seen.blocked / 1e3
    (0.02, 11.3, 270.0)
    """
    require("flow", flow, 0.0, 1e3, "m^3/s")
    require("rise", rise, 0.0, 1e3, "m")
    require("shut_off_gauge", shut_off_gauge, 0.0, 1e9, "Pa")
    require("air_density", air_density, 1e-3, 3e4, "kg/m^3")
    air = vent_drop(flow=flow, bore=bore, length=length, density=air_density, viscosity=AIR_VISCOSITY)
    drop = np.asarray(vent_drop(flow=flow, bore=bore, length=length, density=density, viscosity=viscosity))
    climbed = drop + np.asarray(density) * STANDARD_GRAVITY * rise
    most = np.asarray(shut_off_gauge, np.float64)
    return VentPressures(plain(np.minimum(air, most)), plain(np.minimum(climbed, most)), plain(most))


@as_annotated
def wall_force(*, pressure_gauge: Real, area: Real) -> Real:
    """Return the force on a flat wall: gauge pressure times area.

    Parameters
    ----------
    pressure_gauge : float or array, shape (n,)
        Under the lid or on the wall. [Pa]
    area : float or array, shape (n,)
        Of the wall. [m^2]

    Returns
    -------
    float or array, shape (n,)
        9.8 N is the weight of 1 kg. [N]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: definition of pressure.

    Examples
    --------
    1 kPa on 0.4 by 0.5 m:

    >>> wall_force(pressure_gauge=1e3, area=0.2)
    200.0
    """
    require("pressure_gauge", pressure_gauge, -2e5, 1e9, "Pa")
    require("area", area, 0.0, 1e6, "m^2")
    return plain(np.asarray(pressure_gauge) * area)


@as_annotated
def standpipe_head(*, flow: Real, bore: Real) -> Real:
    """Return how high water stands above the rim of an upright overflow pipe.

    Parameters
    ----------
    flow : float or array, shape (n,)
        0 or above. [m^3/s]
    bore : float or array, shape (n,)
        Of the pipe. [m]

    Returns
    -------
    float or array, shape (n,)
        What the rim takes as a weir or, if that is more, what the drowned mouth takes. [m]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    The rim is a weir, the drowned mouth a sharp hole; a pipe that runs full below passes more, which is not counted on.
    The pipe and hose below must carry the flow too: see :func:`pipe_overflow_head`. Source: [white]_, ch. 6 and 10.

    Examples
    --------
    >>> standpipe_head(flow=11.3 / 60e3, bore=0.025) * 1e3
    20.
    """
    require("flow", flow, 0.0, 1e3, "m^3/s")
    require_bore("bore", bore)
    wanted = np.asarray(flow, np.float64)
    along_rim = np.asarray(weir_flow(head=1.0, width=plain(np.pi * np.asarray(bore))))  # of 1 m of head
    mouth = np.asarray(jet_flow(head=1.0, bore=bore))
    return plain(np.maximum((wanted / along_rim) ** (2.0 / 3.0), (wanted / mouth) ** 2))


@as_annotated
def pipe_overflow_head(*, flow: Real, bore: Real, length: Real, kinematic_viscosity: Real, k: Real = _ENDS) -> Real:
    r"""Return the head that an overflow pipe running full takes, :math:`(f L / D + K) \, v^2 / 2 g`.

    Parameters
    ----------
    flow : float or array, shape (n,)
        0 or above. [m^3/s]
    bore, length : float or array, shape (n,)
        Of the pipe; smooth. [m]
    kinematic_viscosity : float or array, shape (n,)
        [m^2/s]
    k : float or array, shape (n,), default 1.5
        Entrance and exit; add elbows and mesh. [-]

    Returns
    -------
    float or array, shape (n,)
        Water level above the outlet end of the pipe. [m]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [white]_.

    Examples
    --------
    11 L/min, 1 m of 16 mm, water at 10 °C:

    >>> pipe_overflow_head(flow=11.0 / 60e3, bore=0.016, length=1.0, kinematic_viscosity=1.306e-6)
    0.144
    """
    require("flow", flow, 0.0, 1e3, "m^3/s")
    require("k", k, 0.0, 1e6)
    speed = np.asarray(velocity(flow=flow, bore=bore))
    along = head_loss(flow=flow, bore=bore, length=length, kinematic_viscosity=kinematic_viscosity)
    return plain(np.asarray(along) + np.asarray(k) * speed**2 / (2.0 * STANDARD_GRAVITY))


@as_annotated
def overflow_head(*, flow: Real, bore: Real, length: Real, kinematic_viscosity: Real, fall: Real = 0.0) -> Real:
    """Return how high water stands above an overflow's mouth: what the mouth takes, or the pipe below less its fall.

    Parameters
    ----------
    flow : float or array, shape (n,)
        All of the fill, 0 or above. [m^3/s]
    bore, length : float or array, shape (n,)
        Of the overflow pipe. [m]
    kinematic_viscosity : float or array, shape (n,)
        [m^2/s]
    fall : float or array, shape (n,), default 0
        From its mouth to its lower end. [m]

    Returns
    -------
    float or array, shape (n,)
        The lid must be higher than this above the mouth, or it is pushed up. [m]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Each of :func:`standpipe_head` and :func:`pipe_overflow_head`, whichever asks for more. An insect mesh costs more than
    its open area says and is not counted. Source: [white]_, ch. 6 and 10.

    Examples
    --------
    >>> overflow_head(flow=11.0 / 60e3, bore=0.019, length=1.0, kinematic_viscosity=1.306e-6)
    0.067
    """
    require("fall", fall, 0.0, 1e3, "m")
    pipe = pipe_overflow_head(flow=flow, bore=bore, length=length, kinematic_viscosity=kinematic_viscosity)
    return plain(np.maximum(standpipe_head(flow=flow, bore=bore), np.asarray(pipe) - np.asarray(fall)))
