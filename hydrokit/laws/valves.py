r"""Losses of valves: K by pattern, and what a stated flow coefficient means as K.

K is the loss in velocity heads of the stated bore. A valve whose seat is narrower than its bore is a contraction, the
valve and an expansion, all brought to the bore. Flow coefficients are flows in m³/s here as everywhere: Kv at a drop of
1 bar, Cv at a drop of 1 psi, both of water of 15 °C. The trade's 4 Kv is 4 m³/h, so 4/3600; its 4 Cv is 4 US gal/min.

References
----------
.. [crane] Crane Co., Flow of Fluids through Valves, Fittings, and Pipe, Technical Paper No. 410, 2009, appendix A; the
   length ratios as carried in ``fluids.fittings``.
.. [iec] IEC 60534-2-1:2011, Industrial-process control valves, sizing equations, incompressible flow.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal, TypeAlias

import numpy as np

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Mistakes, require
from hydrokit.errors import RangeError
from hydrokit.laws.elementwise import bore_area, plain
from hydrokit.laws.fittings import contraction_k, crane_friction, expansion_k, ratio_of, require_bore

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hydrokit.bounds import Real

__all__ = [
    "FOOT_VALVE_RATIOS",
    "KV_DENSITY",
    "KV_DROP",
    "NON_RETURN_RATIOS",
    "VALVE_RATIOS",
    "FootValvePattern",
    "NonReturnPattern",
    "ValvePattern",
    "choked_drop",
    "cv_from_kv",
    "equivalent_length",
    "foot_valve_k",
    "k_from_equivalent_length",
    "k_from_kv",
    "kv_from_k",
    "non_return_k",
    "required_kv",
    "valve_k",
]

ValvePattern: TypeAlias = Literal["ball", "gate", "globe", "angle", "butterfly", "plug", "diaphragm"]
NonReturnPattern: TypeAlias = Literal["spring", "swing", "lift", "tilting"]
FootValvePattern: TypeAlias = Literal["poppet", "hinged"]

VALVE_RATIOS: Final[Mapping[str, float]] = {
    "ball": 3.0,
    "gate": 8.0,
    "globe": 340.0,
    "angle": 150.0,
    "butterfly": 45.0,
    "plug": 18.0,
    "diaphragm": 149.0,
}
"""Equivalent length in bores, wide open; butterfly up to 0.2 m, plug straight through, diaphragm with weir. [crane]_"""
NON_RETURN_RATIOS: Final[Mapping[str, float]] = {"spring": 420.0, "swing": 100.0, "lift": 600.0, "tilting": 40.0}
"""Equivalent length in bores, wide open. [crane]_, except spring: taken as Crane's in-line poppet, our own choice."""
FOOT_VALVE_RATIOS: Final[Mapping[str, float]] = {"poppet": 420.0, "hinged": 75.0}
"""Equivalent length in bores, clean strainer included. [crane]_"""

KV_DROP: Final = 1e5
"""Pressure drop at which Kv is stated. [Pa] Source: [iec]_."""
KV_DENSITY: Final = 999.1
"""Density of water of 15 °C, for which Kv is stated. [kg/m^3] Source: [iec]_."""
_CV_DROP: Final = 6894.757293168361  # Pa, 1 psi by the definitions of pound, inch and standard gravity

_SEATED_IN_LINE: Final = frozenset({"ball", "gate", "plug"})
_SEATED_ACROSS: Final = frozenset({"globe", "angle", "lift"})


def _require_seat(seat: Real, bore: Real, pattern: str, seated: frozenset[str]) -> None:
    require_bore("seat", seat)
    mistakes = Mistakes()
    if pattern not in seated:
        mistakes.add("seat", "a seat bore", f"none for {pattern}; seats are known for {', '.join(sorted(seated))}")
    if (np.asarray(seat) > np.asarray(bore)).any():
        mistakes.add("seat", "a seat wider than the bore", "at most the bore")
    mistakes.settle(RangeError)


def _in_line(open_k: Real, seat: Real, bore: Real, inlet_angle: Real, outlet_angle: Real) -> Real:
    cones = contraction_k(small=seat, large=bore, angle=inlet_angle) + expansion_k(
        small=seat, large=bore, angle=outlet_angle
    )
    return plain((open_k + cones) * (np.asarray(bore) / seat) ** 4)


def _across(open_k: Real, seat: Real, bore: Real) -> Real:
    beta = np.asarray(seat) / bore
    changes = contraction_k(small=seat, large=bore) + expansion_k(small=seat, large=bore)
    return plain((open_k + beta * changes) / beta**4)


@as_annotated
def valve_k(
    *,
    bore: Real,
    pattern: ValvePattern = "ball",
    seat: Real | None = None,
    inlet_angle: Real = np.pi,
    outlet_angle: Real = np.pi,
) -> Real:
    r"""Return K of a hand valve, wide open.

    .. math:: K = \frac{n f_T + K_{in} + K_{out}}{\beta^4}, \quad
        K = \frac{n f_T + \beta (0.5 (1 - \beta^2) + (1 - \beta^2)^2)}{\beta^4} \;\text{(globe, angle)}

    Parameters
    ----------
    bore : float or array, shape (n,)
        Inside diameter of the pipe it stands in. [m]
    pattern : {"ball", "gate", "globe", "angle", "butterfly", "plug", "diaphragm"}, default "ball"
        How it is built.
    seat : float or array, shape (n,), optional
        Narrowest bore inside; not given: as wide as the bore. [m]
    inlet_angle, outlet_angle : float or array, shape (n,), default pi
        Whole angles of the cones to and from the seat of a ball, gate or plug valve; pi is sudden. [rad]

    Returns
    -------
    float or array, shape (n,)
        On the velocity in the bore. [-]

    Raises
    ------
    RangeError
        If a bore is impossible, the seat wider than the bore, or the pattern has no seat.
    InputError
        If the pattern is not listed.

    Notes
    -----
    Source: [crane]_, appendix A, formulae 5 to 7. ``fluids`` 1.3 has :math:`0.5 (1 - \beta)^2` for globe and angle
    valves where it has :math:`0.5 (1 - \beta^2)` for lift check valves; the latter, Crane's formula 7 (from memory) and
    the greater loss, is used for all three.

    Examples
    --------
    >>> valve_k(bore=0.019), valve_k(bore=0.019, seat=0.0127)
    (0.0729, 3.28)
    """
    ratio: Real = ratio_of("pattern", pattern, VALVE_RATIOS)
    if pattern == "butterfly":
        ratio = _butterfly_ratio(bore)
    open_k = plain(ratio * crane_friction(bore))
    if seat is None:
        return open_k
    _require_seat(seat, bore, pattern, _SEATED_IN_LINE | _SEATED_ACROSS)
    for name, angle in (("inlet_angle", inlet_angle), ("outlet_angle", outlet_angle)):
        require(name, angle, 0.0, np.pi, "rad")
    if pattern in _SEATED_ACROSS:
        return _across(open_k, seat, bore)
    return _in_line(open_k, seat, bore, inlet_angle, outlet_angle)


def _butterfly_ratio(bore: Real) -> Real:
    return plain(np.select([np.asarray(bore) <= 0.2286, np.asarray(bore) <= 0.381], [45.0, 35.0], 25.0))


@as_annotated
def non_return_k(*, bore: Real, pattern: NonReturnPattern = "spring", seat: Real | None = None) -> Real:
    """Return K of a non-return valve held wide open by the flow.

    Parameters
    ----------
    bore : float or array, shape (n,)
        Inside diameter of the pipe it stands in. [m]
    pattern : {"spring", "swing", "lift", "tilting"}, default "spring"
        How it is built; lift is the globe pattern, tilting opens by 5 degrees short of level.
    seat : float or array, shape (n,), optional
        Narrowest bore of a lift valve; not given: as wide as the bore. [m]

    Returns
    -------
    float or array, shape (n,)
        On the velocity in the bore. The pressure that a spring needs to open is not included. [-]

    Raises
    ------
    RangeError
        If a bore is impossible, the seat wider than the bore, or the pattern has no seat.
    InputError
        If the pattern is not listed.

    Notes
    -----
    Source: [crane]_, appendix A. Crane lists no spring-loaded valve: K is that of the poppet foot valve, strainer
    included, which is on the safe side; take the seller's Kv where there is one.

    Examples
    --------
    >>> non_return_k(bore=0.019, pattern="swing")
    2.43
    """
    open_k = ratio_of("pattern", pattern, NON_RETURN_RATIOS) * crane_friction(bore)
    if seat is None:
        return open_k
    _require_seat(seat, bore, pattern, _SEATED_ACROSS & NON_RETURN_RATIOS.keys())
    return _across(open_k, seat, bore)


@as_annotated
def foot_valve_k(*, bore: Real, pattern: FootValvePattern = "hinged", blockage: Real = 0.0) -> Real:
    """Return K of a foot valve with its strainer, held wide open by the flow.

    Parameters
    ----------
    bore : float or array, shape (n,)
        Inside diameter of the suction hose. [m]
    pattern : {"poppet", "hinged"}, default "hinged"
        How it is built.
    blockage : float or array, shape (n,), default 0
        Share of the strainer's openings that is blocked; 0 to 0.999. [-]

    Returns
    -------
    float or array, shape (n,)
        On the velocity in the bore. [-]

    Raises
    ------
    RangeError
        If the bore is impossible or the blockage outside.
    InputError
        If the pattern is not listed.

    Notes
    -----
    Source: [crane]_, appendix A. Blockage as in :func:`hydrokit.laws.fittings.strainer_k`, on the whole K, because Crane
    does not tell the strainer's share.

    Examples
    --------
    >>> foot_valve_k(bore=0.019), foot_valve_k(bore=0.019, pattern="poppet")
    (1.82, 10.2)
    """
    require("blockage", blockage, 0.0, 0.999)
    return ratio_of("pattern", pattern, FOOT_VALVE_RATIOS) * crane_friction(bore) / (1.0 - blockage) ** 2


def _require_coefficient(name: str, value: Real) -> None:
    require(name, value, 1e-12, 1e4, "m^3/s")


@as_annotated
def k_from_kv(*, kv: Real, bore: Real) -> Real:
    r"""Return the K that a flow coefficient means on a bore.

    .. math:: K = \frac{2 \, \Delta p_0 A^2}{\rho_0 K_v^2}

    Parameters
    ----------
    kv : float or array, shape (n,)
        Flow of water at 1 bar. [m^3/s]
    bore : float or array, shape (n,)
        Any; K then belongs to the velocity in it. [m]

    Returns
    -------
    float or array, shape (n,)
        On the velocity in the bore. [-]

    Raises
    ------
    RangeError
        If the coefficient or the bore is impossible.

    Notes
    -----
    Source: definition of Kv, [iec]_.

    Examples
    --------
    A valve of 4 m³/h in a 19 mm hose:

    >>> k_from_kv(kv=4.0 / 3600.0, bore=0.019)
    13.03
    """
    _require_coefficient("kv", kv)
    require_bore("bore", bore)
    return 2.0 * KV_DROP / KV_DENSITY * (bore_area(bore) / kv) ** 2


@as_annotated
def kv_from_k(*, k: Real, bore: Real) -> Real:
    """Return the flow coefficient of a part of known K, the inverse of :func:`k_from_kv`.

    Parameters
    ----------
    k : float or array, shape (n,)
        On the velocity in the bore; above 0. [-]
    bore : float or array, shape (n,)
        Inside diameter. [m]

    Returns
    -------
    float or array, shape (n,)
        Flow of water at 1 bar. [m^3/s]

    Raises
    ------
    RangeError
        If K is not above 0 or the bore impossible.

    Notes
    -----
    Source: definition of Kv, [iec]_.

    Examples
    --------
    >>> kv_from_k(k=13.03, bore=0.019) * 3600.0
    4.00
    """
    require("k", k, 1e-12, 1e12)
    require_bore("bore", bore)
    return plain(bore_area(bore) * np.sqrt(2.0 * KV_DROP / (KV_DENSITY * np.asarray(k))))


@as_annotated
def cv_from_kv(kv: Real) -> Real:
    """Return the Cv of a valve of known Kv.

    Parameters
    ----------
    kv : float or array, shape (n,)
        Flow of water at 1 bar. [m^3/s]

    Returns
    -------
    float or array, shape (n,)
        Flow of water at 1 psi. [m^3/s]

    Raises
    ------
    RangeError
        If the coefficient is impossible.

    Notes
    -----
    Source: definitions of both, [iec]_.

    Examples
    --------
    A Kv of 1 m³/h is a Cv of 1.156 US gal/min:

    >>> cv_from_kv(1.0 / 3600.0) * 60.0 / 3.785411784e-3
    1.156
    """
    _require_coefficient("kv", kv)
    return kv * float(np.sqrt(_CV_DROP / KV_DROP))


def _reducers_k(valve_bore: Real, inlet_bore: Real, outlet_bore: Real) -> Real:
    into, out = (np.asarray(valve_bore) / bore for bore in (inlet_bore, outlet_bore))
    losses = 0.5 * (1.0 - into**2) ** 2 + (1.0 - out**2) ** 2
    return plain(losses + (1.0 - into**4) - (1.0 - out**4))  # the last two: velocity heads, equal if the pipes are


def _require_reducers(valve_bore: Real, inlet_bore: Real, outlet_bore: Real) -> None:
    require_bore("valve_bore", valve_bore)
    require_bore("inlet_bore", inlet_bore)
    require_bore("outlet_bore", outlet_bore)


@as_annotated
def required_kv(
    *,
    flow: Real,
    pressure_drop: Real,
    density: Real = KV_DENSITY,
    valve_bore: Real | None = None,
    inlet_bore: Real | None = None,
    outlet_bore: Real | None = None,
) -> Real:
    r"""Return the Kv that passes a flow at a drop: turbulent and not choked.

    .. math:: K_v = \frac{Q}{F_P} \sqrt{\frac{\rho}{\rho_0} \frac{\Delta p_0}{\Delta p}}

    Parameters
    ----------
    flow : float or array, shape (n,)
        Wanted. [m^3/s]
    pressure_drop : float or array, shape (n,)
        From pipe to pipe; above 0. [Pa]
    density : float or array, shape (n,), default 999.1
        Of the liquid. [kg/m^3]
    valve_bore, inlet_bore, outlet_bore : float or array, shape (n,), optional
        All three where the valve is narrower than its pipes; the piping factor then counts. [m]

    Returns
    -------
    float or array, shape (n,)
        Flow of water at 1 bar. [m^3/s]

    Raises
    ------
    RangeError
        If a value is impossible, only some bores are given, or the reducers alone take more than the drop.

    Notes
    -----
    Source: [iec]_, equation for incompressible flow, solved in closed form for Kv with the piping factor. Compare the
    drop with :func:`choked_drop`.

    Examples
    --------
    >>> required_kv(flow=0.1, pressure_drop=460e3, density=965.4) * 3600.0
    165.
    """
    require("flow", flow, 1e-12, 1e4, "m^3/s")
    require("pressure_drop", pressure_drop, 1e-3, 1e9, "Pa")
    require("density", density, 1.0, 25e3, "kg/m^3")
    assembly = plain(np.asarray(flow) * np.sqrt(np.asarray(density) / KV_DENSITY * KV_DROP / pressure_drop))
    mistakes = Mistakes()
    if valve_bore is None and inlet_bore is None and outlet_bore is None:
        return assembly
    if valve_bore is None or inlet_bore is None or outlet_bore is None:
        mistakes.add("valve_bore, inlet_bore, outlet_bore", "only some of them", "all three or none")
        raise RangeError(mistakes.found)
    _require_reducers(valve_bore, inlet_bore, outlet_bore)
    left = k_from_kv(kv=assembly, bore=valve_bore) - _reducers_k(valve_bore, inlet_bore, outlet_bore)
    if (np.asarray(left) <= 0.0).any():
        mistakes.add("pressure_drop", "less than the reducers take", "a wider valve, a higher drop or less flow")
        mistakes.settle(RangeError)
    return kv_from_k(k=left, bore=valve_bore)


@as_annotated
def choked_drop(
    *, inlet_pressure: Real, vapour_pressure: Real, recovery: Real = 0.9, critical_pressure: Real = 22.064e6
) -> Real:
    r"""Return the drop above which more drop brings no more flow, because the water flashes in the valve.

    .. math:: \Delta p = F_L^2 \left(p_1 - (0.96 - 0.28 \sqrt{p_v / p_c}) \, p_v\right)

    Parameters
    ----------
    inlet_pressure : float or array, shape (n,)
        Absolute. [Pa]
    vapour_pressure : float or array, shape (n,)
        At the temperature of the water. [Pa]
    recovery : float or array, shape (n,), default 0.9
        Liquid pressure recovery factor from the valve's data sheet; 0.9 suits a globe valve, 0.6 a ball valve. [-]
    critical_pressure : float or array, shape (n,), default 22.064e6
        Of the liquid; the default is water's. [Pa]

    Returns
    -------
    float or array, shape (n,)
        Pressure drop from pipe to pipe; below 0 where the water boils already before the valve. [Pa]

    Raises
    ------
    RangeError
        If a value is impossible.

    Notes
    -----
    Source: [iec]_, choked flow of liquids, valve as wide as its pipe.

    Examples
    --------
    >>> choked_drop(inlet_pressure=680e3, vapour_pressure=70.1e3)
    497e3
    """
    require("inlet_pressure", inlet_pressure, 1.0, 1e9, "Pa")
    require("vapour_pressure", vapour_pressure, 0.0, 22.064e6, "Pa")
    require("recovery", recovery, 0.01, 1.0)
    require("critical_pressure", critical_pressure, 1e5, 1e9, "Pa")
    ratio = 0.96 - 0.28 * np.sqrt(np.asarray(vapour_pressure) / critical_pressure)
    return plain(np.asarray(recovery) ** 2 * (np.asarray(inlet_pressure) - ratio * vapour_pressure))


@as_annotated
def equivalent_length(*, k: Real, bore: Real, friction_factor: Real) -> Real:
    """Return the length of pipe that loses as much as a part.

    Parameters
    ----------
    k : float or array, shape (n,)
        On the velocity in the bore. [-]
    bore : float or array, shape (n,)
        Inside diameter. [m]
    friction_factor : float or array, shape (n,)
        Darcy's; :func:`hydrokit.laws.fittings.crane_friction` for Crane's equivalent length. [-]

    Returns
    -------
    float or array, shape (n,)
        Length. [m]

    Raises
    ------
    RangeError
        If K is not finite, the bore impossible or the friction factor not 1e-4 to 100.

    Notes
    -----
    K = f L/D. Source: [crane]_, chapter 2.

    Examples
    --------
    >>> equivalent_length(k=3.6, bore=0.154, friction_factor=0.015)
    37.0
    """
    require("k", k, -1e12, 1e12)
    require_bore("bore", bore)
    require("friction_factor", friction_factor, 1e-4, 100.0)
    return k * bore / friction_factor


@as_annotated
def k_from_equivalent_length(*, length: Real, bore: Real, friction_factor: Real) -> Real:
    """Return the K of a part whose equivalent length is stated, the inverse of :func:`equivalent_length`.

    Parameters
    ----------
    length : float or array, shape (n,)
        Equivalent length. [m]
    bore : float or array, shape (n,)
        Inside diameter. [m]
    friction_factor : float or array, shape (n,)
        Darcy's. [-]

    Returns
    -------
    float or array, shape (n,)
        On the velocity in the bore. [-]

    Raises
    ------
    RangeError
        If the length is negative, the bore impossible or the friction factor not 1e-4 to 100.

    Notes
    -----
    K = f L/D. Source: [crane]_, chapter 2.

    Examples
    --------
    >>> k_from_equivalent_length(length=30 * 0.0779, bore=0.0779, friction_factor=0.017)
    0.51
    """
    require("length", length, 0.0, 1e9, "m")
    require_bore("bore", bore)
    require("friction_factor", friction_factor, 1e-4, 100.0)
    return friction_factor * length / bore
