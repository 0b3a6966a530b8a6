r"""Friction in straight hose and pipe (Darcy-Weisbach).

Darcy's friction factor throughout, never Fanning's. Laminar below Re 2000 and Colebrook above Re 4000, exactly as
``fluids`` gives them; between the two, where no source publishes a dependable value, the two are blended so that
value and slope are continuous and the loss always rises with flow.

The solver works with the group :math:`f\,Re^2`, which fixes the loss of a hose of given bore,

.. math:: h = f \frac{L}{D} \frac{v^2}{2g} = f Re^2 \; \frac{\nu^2 L}{2 g D^3}

and, unlike *f*, stays finite and rises monotonically from rest.

References
----------
.. [colebrook] Colebrook, C. F., Turbulent flow in pipes, J. Inst. Civil Engineers 11 (1939), 133-156.
.. [clamond] Clamond, D., Efficient resolution of the Colebrook equation, Ind. Eng. Chem. Res. 48 (2009), 3665-3671;
   the solution that ``fluids`` takes by default.
.. [white] White, F. M., Fluid Mechanics, 7th ed., 2011, ch. 6.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.arguments import as_annotated
from hydrokit.bounds import require
from hydrokit.water import STANDARD_GRAVITY

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.bounds import Array, Real

__all__ = [
    "LAMINAR_END",
    "REST_REYNOLDS",
    "TURBULENT_START",
    "bridged_group",
    "fixed_group",
    "friction_factor",
    "friction_group",
    "head_loss",
    "reynolds",
    "turbulent_group",
    "velocity",
]

LAMINAR_END: Final = 2000.0
TURBULENT_START: Final = 4000.0
REST_REYNOLDS: Final = 10.0
"""Below this a loss that goes with the square of flow goes on in proportion to flow, so that rest has a slope."""

_FEW: Final = 40
"""Numbers up to which ``fluids`` itself, one after the other, is as quick as arrays are."""
_HALF_LOG: Final = 0.5 * np.log(10.0)
_COLEBROOK_SLOPE: Final = 2.51 * 2.0 / np.log(10.0)


@cache
def _colebrook() -> Callable[[float, float], float]:
    from fluids.friction import Clamond

    solve: Callable[[float, float], float] = Clamond
    return solve


def _one_by_one(reynolds: Array, relative_roughness: Array) -> Array:
    """Return the factor as ``fluids`` gives it, to the last digit."""
    solve = _colebrook()
    pairs = zip(reynolds.ravel().tolist(), relative_roughness.ravel().tolist(), strict=True)
    values = np.fromiter((solve(re, rough) for re, rough in pairs), dtype=np.float64, count=reynolds.size)
    return values.reshape(reynolds.shape)


def _all_at_once(reynolds: Array, relative_roughness: Array) -> Array:
    """Return the factor by the same two iterations, ten times as fast; it may differ in the last digits [clamond]_."""
    wall = relative_roughness * reynolds * (np.log(10.0) / 18.574)
    smooth = np.log(reynolds) + np.log(np.log(10.0) / 5.02)
    root = smooth - 0.2
    for _ in range(2):
        inner = wall + root
        error = (np.log(inner) + root - smooth) / (1.0 + inner)
        root -= (1.0 + inner + 0.5 * error) * error * inner / (1.0 + inner + error * (1.0 + error / 3.0))
    factor: Array = (_HALF_LOG / root) ** 2
    return factor


def friction_group(reynolds: Array, relative_roughness: Array) -> tuple[Array, Array]:
    r"""Return :math:`f Re^2` and its slope against Re; the kernel below :func:`friction_factor`.

    Parameters
    ----------
    reynolds, relative_roughness : array, same shape
        Not checked; ``reynolds`` at least 0.

    Returns
    -------
    group, slope : array
        The slope comes from differentiating Colebrook's equation, not from differences.
    """
    turbulent_re = np.maximum(reynolds, LAMINAR_END)
    turbulent_factor = _one_by_one if reynolds.size <= _FEW else _all_at_once
    turbulent, turbulent_slope = turbulent_group(
        turbulent_re, relative_roughness, turbulent_factor(turbulent_re, relative_roughness)
    )
    part = np.minimum(np.maximum((reynolds - LAMINAR_END) / (TURBULENT_START - LAMINAR_END), 0.0), 1.0)
    return bridged_group(reynolds, part, turbulent, turbulent_slope)


def turbulent_group(reynolds: Any, relative_roughness: Any, factor: Any) -> tuple[Any, Any]:
    r"""Return :math:`f Re^2` and its slope where Colebrook's factor holds.

    Plain arithmetic on floats or arrays, so that it can be compiled as it stands, like the next function.
    """
    turbulent = factor * reynolds * reynolds
    argument = relative_roughness * (1.0 / 3.7) + 2.51 / (reynolds * np.sqrt(factor))
    return turbulent, 2.0 * turbulent / (reynolds + _COLEBROOK_SLOPE / argument)


def bridged_group(reynolds: Any, part: Any, turbulent: Any, turbulent_slope: Any) -> tuple[Any, Any]:
    r"""Return :math:`f Re^2` and its slope a part (0 to 1) of the way from laminar to turbulent flow."""
    share = part * part * (3.0 - 2.0 * part)
    share_slope = 6.0 / (TURBULENT_START - LAMINAR_END) * part * (1.0 - part)
    laminar = 64.0 * reynolds
    excess = turbulent - laminar
    group = laminar + share * excess
    slope = 64.0 + share * (turbulent_slope - 64.0) + share_slope * excess
    return group, slope


def fixed_group(reynolds: Array, factor: Array) -> tuple[Array, Array]:
    r"""Return :math:`f Re^2` and its slope for a stated friction factor; linear below :data:`REST_REYNOLDS`."""
    held = np.maximum(reynolds, REST_REYNOLDS)
    return factor * reynolds * held, factor * np.where(reynolds > REST_REYNOLDS, 2.0 * reynolds, REST_REYNOLDS)


@as_annotated
def friction_factor(*, reynolds: Real, relative_roughness: Real = 0.0) -> Real:
    r"""Return Darcy's friction factor.

    .. math:: \frac{1}{\sqrt f} = -2 \log_{10}\left(\frac{\epsilon/D}{3.7} + \frac{2.51}{Re \sqrt f}\right)

    above Re 4000, :math:`64/Re` below Re 2000, a smooth bridge between.

    Parameters
    ----------
    reynolds : float or array, shape (n,)
        From 1e-12: at rest the factor has no value. [-]
    relative_roughness : float or array, shape (n,), default 0
        Height of roughness over bore. [-]

    Returns
    -------
    float or array, shape (n,)
        Darcy's friction factor. [-]

    Raises
    ------
    RangeError
        If the Reynolds number is not 1e-12 to 1e12 or the relative roughness not 0 to 0.1.

    Notes
    -----
    Source: [colebrook]_ through ``fluids`` [clamond]_; the bridge is our own choice.

    Examples
    --------
    A smooth 19 mm hose at 8 L/min, and a wall of relative roughness 0.001 at Re 1e6:

    >>> friction_factor(reynolds=6860.0)
    0.0342
    >>> friction_factor(reynolds=1e6, relative_roughness=0.001)
    0.0199
    """
    require("reynolds", reynolds, 1e-12, 1e12)
    require("relative_roughness", relative_roughness, 0.0, 0.1)
    re, rough = np.broadcast_arrays(np.asarray(reynolds, np.float64), np.asarray(relative_roughness, np.float64))
    group, _ = friction_group(re, rough)
    above = re >= TURBULENT_START
    factor = np.where(
        above, _one_by_one(np.maximum(re, LAMINAR_END), rough), np.where(re <= LAMINAR_END, 64.0, group / re) / re
    )
    return factor if factor.ndim else float(factor)


@as_annotated
def velocity(*, flow: Real, bore: Real) -> Real:
    r"""Return the mean velocity :math:`v = 4Q / \pi D^2`.

    Parameters
    ----------
    flow : float or array, shape (n,)
        Of either sign. [m^3/s]
    bore : float or array, shape (n,)
        Inside diameter. [m]

    Returns
    -------
    float or array, shape (n,)
        With the sign of the flow. [m/s]

    Raises
    ------
    RangeError
        If the flow is beyond 1e6 m³/s either way, or the bore not 1 µm to 100 m.

    Notes
    -----
    Source: definition.

    Examples
    --------
    >>> velocity(flow=8.0 / 60_000, bore=0.0125)
    1.09
    """
    require("flow", flow, -1e6, 1e6, "m^3/s")
    require("bore", bore, 1e-6, 100.0, "m")
    return 4.0 * flow / (np.pi * bore**2)


@as_annotated
def reynolds(*, flow: Real, bore: Real, kinematic_viscosity: Real) -> Real:
    r"""Return the Reynolds number :math:`4 |Q| / \pi D \nu` of flow in a full round bore.

    Parameters
    ----------
    flow : float or array, shape (n,)
        Of either sign. [m^3/s]
    bore : float or array, shape (n,)
        Inside diameter. [m]
    kinematic_viscosity : float or array, shape (n,)
        Dynamic viscosity over density. [m^2/s]

    Returns
    -------
    float or array, shape (n,)
        [-]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [white]_, ch. 6.

    Examples
    --------
    >>> reynolds(flow=8.0 / 60_000, bore=0.019, kinematic_viscosity=1.3065e-6)
    6839.
    """
    require("flow", flow, -1e6, 1e6, "m^3/s")
    require("bore", bore, 1e-6, 100.0, "m")
    require("kinematic_viscosity", kinematic_viscosity, 1e-9, 10.0, "m^2/s")
    amount: Any = abs(flow)
    number: Real = 4.0 * amount / (np.pi * bore * kinematic_viscosity)
    return number


@as_annotated
def head_loss(*, flow: Real, bore: Real, length: Real, kinematic_viscosity: Real, roughness: Real = 0.0) -> Real:
    r"""Return the friction head of a straight hose or pipe, :math:`h = f (L/D) v^2/2g`.

    Parameters
    ----------
    flow : float or array, shape (n,)
        Positive or negative; the loss takes its sign. [m^3/s]
    bore : float or array, shape (n,)
        Inside diameter. [m]
    length : float or array, shape (n,)
        Along the hose. [m]
    kinematic_viscosity : float or array, shape (n,)
        Dynamic viscosity over density. [m^2/s]
    roughness : float or array, shape (n,), default 0
        Height of wall roughness. [m]

    Returns
    -------
    float or array, shape (n,)
        Head lost, in metres of the liquid that flows. [m]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [white]_, ch. 6 (Darcy and Weisbach).

    Examples
    --------
    Ten metres of smooth 12.5 mm hose at 8 L/min, water at 10 °C (14.4 kPa):

    >>> head_loss(flow=8.0 / 60_000, bore=0.0125, length=10.0, kinematic_viscosity=1.3065e-6)
    1.472
    """
    require("length", length, 0.0, 1e7, "m")
    require("roughness", roughness, 0.0, 1.0, "m")
    number = reynolds(flow=flow, bore=bore, kinematic_viscosity=kinematic_viscosity)
    re, rough = np.broadcast_arrays(np.asarray(number, np.float64), np.asarray(roughness / bore, np.float64))
    require("roughness / bore", rough, 0.0, 0.1)
    group, _ = friction_group(re, rough)
    loss = np.sign(flow) * group * kinematic_viscosity**2 * length / (2.0 * STANDARD_GRAVITY * bore**3)
    return loss if np.ndim(loss) else float(loss)
