r"""Suction: how high a pump may stand above the water, dry and wet, and what is left at its inlet.

Three limits, never mixed: the *dry lift*, up which a pump draws water into an empty hose; the *wet lift*, which a full
hose holds at a flow; and the net positive suction head (NPSH) that the pump requires against what the rig offers.

Pressures are absolute unless a name ends in ``_gauge``; vacuum is air pressure less absolute pressure, above 0 below
the air. Heads are metres of the liquid. Lift is the height of the pump's inlet above the water, negative when flooded.

References
----------
.. [white] White, F. M., Fluid Mechanics, 7th ed., 2011, ch. 11, net positive suction head.
.. [hi961] ANSI/HI 9.6.1, Rotodynamic pumps: guideline for NPSH margin (secondary, from memory).
.. [hirec] Hydraulic Institute, reciprocating pump standard, acceleration head (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Mistakes, require
from hydrokit.laws.elementwise import bore_area, plain
from hydrokit.water import STANDARD_GRAVITY, STANDARD_PRESSURE

if TYPE_CHECKING:
    from hydrokit.bounds import Real

__all__ = [
    "DISSOLVED_GAS_MARGIN",
    "NPSH_MARGIN",
    "NPSH_MARGIN_RATIO",
    "RATING_VAPOUR_PRESSURE",
    "SuctionBudget",
    "acceleration_head",
    "barometric_limit",
    "dry_lift_limit",
    "gas_margin",
    "hose_volume",
    "inlet_pressure",
    "npsh_available",
    "npsh_from_gauge",
    "npsh_wanted",
    "suction_budget",
    "time_to_prime",
    "wet_lift_limit",
]

DISSOLVED_GAS_MARGIN: Final = 20e3
"""Pressure above vapour pressure below which air comes out of raw water fast enough to break a column. [Pa]

About 2 m of water, as siphons are laid. Source: common practice, no source.
"""

NPSH_MARGIN_RATIO: Final = 1.2
"""NPSH available over required that is aimed at. [-] Source: [hi961]_, 1.1 to 1.5 for water, secondary."""

NPSH_MARGIN: Final = 1.0
"""NPSH available less required that is aimed at, if that is more. [m] Source: [hi961]_, 1 to 1.5 m, secondary."""

RATING_VAPOUR_PRESSURE: Final = 2339.0
"""Of water at 20 °C, at which dry lifts are taken to be stated. [Pa] Source: IAPWS; the temperature is our assumption."""

_CHAMBER_FACTORS: Final[dict[int, float]] = {1: 0.4, 2: 0.2, 3: 0.066, 5: 0.04, 7: 0.028}


def _require_water(air_pressure: Real, vapour_pressure: Real, density: Real, name: str = "air_pressure") -> None:
    require(name, air_pressure, 1e3, 1e8, "Pa")
    require("vapour_pressure", vapour_pressure, 0.0, 1e7, "Pa")
    require("density", density, 1.0, 3e4, "kg/m^3")


def _require_head(name: str, head: Real, low: float = -1e5) -> None:
    require(name, head, low, 1e5, "m")


def _head(pressure: Real, density: Real) -> Real:
    return pressure / (density * STANDARD_GRAVITY)


@as_annotated
def gas_margin(*, air_pressure: Real, vapour_pressure: Real) -> Real:
    """Return the pressure above vapour pressure that keeps air in the water: 20 kPa, but never more than half of what there is.

    Parameters
    ----------
    air_pressure, vapour_pressure : float or array, shape (n,)
        Absolute. [Pa]

    Returns
    -------
    float or array, shape (n,)
        0 where water boils in the open. [Pa]

    Raises
    ------
    RangeError
        If a pressure is below 0 or above 1 GPa.

    Notes
    -----
    Source: common practice, no source. Hot water at a great height, which holds little air, would else fail in an open cup.

    Examples
    --------
    >>> gas_margin(air_pressure=101325.0, vapour_pressure=1228.0)
    20000.0
    """
    require("air_pressure", air_pressure, 0.0, 1e9, "Pa")
    require("vapour_pressure", vapour_pressure, 0.0, 1e9, "Pa")
    half = 0.5 * (np.asarray(air_pressure) - np.asarray(vapour_pressure))
    return plain(np.clip(half, 0.0, DISSOLVED_GAS_MARGIN))


@as_annotated
def barometric_limit(*, air_pressure: Real, density: Real, vapour_pressure: Real = 0.0) -> Real:
    r"""Return the height of the column that the air can hold up, :math:`(p_a - p_v) / \rho g`.

    Parameters
    ----------
    air_pressure : float or array, shape (n,)
        Absolute pressure on the open water. [Pa]
    density : float or array, shape (n,)
        [kg/m^3]
    vapour_pressure : float or array, shape (n,), default 0
        Absolute; 0 gives the height of the air's own pressure. [Pa]

    Returns
    -------
    float or array, shape (n,)
        No pump can draw water higher. [m]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: hydrostatics.

    Examples
    --------
    >>> barometric_limit(air_pressure=101_325.0, density=998.2, vapour_pressure=2_339.0)
    10.11
    """
    _require_water(air_pressure, vapour_pressure, density)
    return _head(air_pressure - vapour_pressure, density)


@as_annotated
def npsh_available(
    *, surface_pressure: Real, vapour_pressure: Real, density: Real, lift: Real, friction_head: Real
) -> Real:
    r"""Return the net positive suction head that a rig offers its pump.

    .. math:: \mathrm{NPSH}_A = \frac{p_s - p_v}{\rho g} - z - h_f

    Parameters
    ----------
    surface_pressure : float or array, shape (n,)
        Absolute pressure on the water drawn from; that of the air if it is open. [Pa]
    vapour_pressure : float or array, shape (n,)
        Absolute, at the temperature of the water. [Pa]
    density : float or array, shape (n,)
        [kg/m^3]
    lift : float or array, shape (n,)
        Pump above the water; negative if flooded. [m]
    friction_head : float or array, shape (n,)
        Loss in strainer, foot valve and suction hose; no velocity head. [m]

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
    Source: [white]_. The velocity head at the inlet is part of NPSH, so it does not appear.

    Examples
    --------
    2 m above open water at 10 °C:

    >>> npsh_available(surface_pressure=99_900.0, vapour_pressure=1_228.0, density=999.7, lift=2.0, friction_head=0.2)
    7.86
    """
    _require_water(surface_pressure, vapour_pressure, density, "surface_pressure")
    _require_head("lift", lift)
    _require_head("friction_head", friction_head, 0.0)
    return _head(surface_pressure - vapour_pressure, density) - lift - friction_head


@as_annotated
def inlet_pressure(
    *, surface_pressure: Real, density: Real, lift: Real, friction_head: Real = 0.0, velocity: Real = 0.0
) -> Real:
    r"""Return the absolute pressure at the pump's inlet, :math:`p_s - \rho g (z + h_f) - \rho v^2 / 2`.

    Parameters
    ----------
    surface_pressure : float or array, shape (n,)
        Absolute pressure on the water drawn from. [Pa]
    density : float or array, shape (n,)
        [kg/m^3]
    lift : float or array, shape (n,)
        Pump above the water; negative if flooded. [m]
    friction_head : float or array, shape (n,), default 0
        Loss on the way. [m]
    velocity : float or array, shape (n,), default 0
        In the bore where the pressure is wanted. [m/s]

    Returns
    -------
    float or array, shape (n,)
        Below vapour pressure it means that this flow cannot be. [Pa]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: Bernoulli's equation with loss.

    Examples
    --------
    >>> inlet_pressure(surface_pressure=99_900.0, density=999.7, lift=2.0, friction_head=0.1, velocity=0.47)
    79202.
    """
    _require_water(surface_pressure, 0.0, density, "surface_pressure")
    _require_head("lift", lift)
    _require_head("friction_head", friction_head, 0.0)
    require("velocity", velocity, -1e4, 1e4, "m/s")
    return surface_pressure - density * (STANDARD_GRAVITY * (lift + friction_head) + 0.5 * velocity**2)


@as_annotated
def npsh_from_gauge(
    *,
    gauge_pressure: Real,
    air_pressure: Real,
    vapour_pressure: Real,
    density: Real,
    velocity: Real,
    gauge_height: Real = 0.0,
) -> Real:
    r"""Return the NPSH available as measured by a gauge at the pump's inlet.

    .. math:: \mathrm{NPSH}_A = \frac{p_g + p_a - p_v}{\rho g} + \frac{v^2}{2g} + z_g

    Parameters
    ----------
    gauge_pressure : float or array, shape (n,)
        Read at the inlet; negative for a vacuum. [Pa]
    air_pressure, vapour_pressure : float or array, shape (n,)
        Absolute. [Pa]
    density : float or array, shape (n,)
        [kg/m^3]
    velocity : float or array, shape (n,)
        In the bore that the gauge taps. [m/s]
    gauge_height : float or array, shape (n,), default 0
        Of the gauge above the pump's inlet, its tube full of water. [m]

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
    Source: [white]_, definition of NPSH.

    Examples
    --------
    >>> npsh_from_gauge(gauge_pressure=-21e3, air_pressure=99_900.0, vapour_pressure=1_228.0, density=999.7,
    ...                 velocity=0.47)
    7.93
    """
    require("gauge_pressure", gauge_pressure, -1e8, 1e8, "Pa")
    _require_water(air_pressure, vapour_pressure, density)
    require("velocity", velocity, -1e4, 1e4, "m/s")
    _require_head("gauge_height", gauge_height)
    velocity_head = velocity**2 / (2.0 * STANDARD_GRAVITY)
    return _head(gauge_pressure + air_pressure - vapour_pressure, density) + velocity_head + gauge_height


@as_annotated
def npsh_wanted(*, npsh_required: Real, ratio: Real = NPSH_MARGIN_RATIO, margin: Real = NPSH_MARGIN) -> Real:
    """Return the NPSH a rig should offer: required times a ratio, or plus a margin, whichever is more.

    Parameters
    ----------
    npsh_required : float or array, shape (n,)
        From the data sheet, at this flow. [m]
    ratio : float or array, shape (n,), default 1.2
        Times which it is to be offered. [-]
    margin : float or array, shape (n,), default 1
        That is to be left over, if that is more. [m]

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
    Source: [hi961]_, secondary; the newest edition makes the margin depend on flow.

    Examples
    --------
    >>> npsh_wanted(npsh_required=2.0), npsh_wanted(npsh_required=8.0)
    (3.0, 9.6)
    """
    _require_head("npsh_required", npsh_required, 0.0)
    require("ratio", ratio, 1.0, 10.0)
    _require_head("margin", margin, 0.0)
    wanted = np.maximum(npsh_required * ratio, npsh_required + margin)
    return wanted if np.ndim(wanted) else float(wanted)


@as_annotated
def wet_lift_limit(
    *,
    air_pressure: Real,
    vapour_pressure: Real,
    density: Real,
    friction_head: Real,
    npsh_required: Real,
    margin: Real = 0.5,
) -> Real:
    r"""Return the greatest height at which a primed pump holds its water.

    .. math:: z = \frac{p_a - p_v}{\rho g} - h_f - \mathrm{NPSH}_R - m

    Parameters
    ----------
    air_pressure : float or array, shape (n,)
        Absolute pressure on the open water; about 11 % less at 1000 m. [Pa]
    vapour_pressure : float or array, shape (n,)
        At the temperature of the water. [Pa]
    density : float or array, shape (n,)
        Density of the water. [kg/m^3]
    friction_head : float or array, shape (n,)
        Loss in strainer, foot valve and suction hose at this flow. [m]
    npsh_required : float or array, shape (n,)
        From the pump's data sheet, at this flow. [m]
    margin : float or array, shape (n,), default 0.5
        Head kept in hand. [m]

    Returns
    -------
    float or array, shape (n,)
        Height of the pump above the water; negative means below it. [m]

    Raises
    ------
    RangeError
        If any value is outside what is possible.

    Notes
    -----
    Steady flow, hose full; says nothing about priming. Source: [white]_, ch. 11, net positive suction head, solved for
    height. The margin is our own choice.

    Examples
    --------
    Sea level, water at 20 °C, a small centrifugal pump:

    >>> wet_lift_limit(air_pressure=101_325.0, vapour_pressure=2_339.0,
    ...                density=998.2, friction_head=0.8, npsh_required=2.5)
    6.31
    """
    _require_head("friction_head", friction_head, 0.0)
    _require_head("npsh_required", npsh_required, 0.0)
    _require_head("margin", margin)
    barometric_head = barometric_limit(air_pressure=air_pressure, density=density, vapour_pressure=vapour_pressure)
    return barometric_head - friction_head - npsh_required - margin


@as_annotated
def dry_lift_limit(
    *,
    dry_lift: Real,
    air_pressure: Real,
    vapour_pressure: Real,
    density: Real,
    speed_ratio: Real = 1.0,
    back_pressure_gauge: Real = 0.0,
    rating_air_pressure: Real = STANDARD_PRESSURE,
    rating_vapour_pressure: Real = RATING_VAPOUR_PRESSURE,
) -> Real:
    r"""Return the height up which a pump draws water into an empty hose, here and today.

    .. math:: z = \min\left(z_r \, s \, \frac{p_a - p_v}{p_{a,r} - p_{v,r}},\; \frac{p_a - p_v}{\rho g}\right), \qquad
        z_b = z - \frac{p_b}{\rho g} \, \frac{p_a - \rho g z}{p_a}

    Parameters
    ----------
    dry_lift : float or array, shape (n,)
        As stated for the pump at its rated speed. [m]
    air_pressure, vapour_pressure : float or array, shape (n,)
        Absolute, here. [Pa]
    density : float or array, shape (n,)
        [kg/m^3]
    speed_ratio : float or array, shape (n,), default 1
        Speed over that of the datasheet. [-]
    back_pressure_gauge : float or array, shape (n,), default 0
        What the air must be pushed out against: water standing in the delivery, cracking pressure of a valve. [Pa]
    rating_air_pressure, rating_vapour_pressure : float or array, shape (n,)
        Absolute, where the lift was stated; sea level and 20 °C unless the maker says otherwise. [Pa]

    Returns
    -------
    float or array, shape (n,)
        Negative where the pump cannot push the air out even with the water level with it. [m]

    Raises
    ------
    RangeError
        If a value is outside what is possible, or the water would boil in the air of the rating.

    Notes
    -----
    In proportion to air pressure, because a pump that runs on air is limited by the ratio to which it compresses; in
    proportion to speed by common practice, no source. With the compression ratio fixed, air that leaves against a back
    pressure leaves that much more pressure behind at the inlet: our own reasoning from the same ratio.

    Examples
    --------
    A lift of 2.4 m stated at sea level, at 2000 m on a tired battery:

    >>> dry_lift_limit(dry_lift=2.4, air_pressure=79_501.0, vapour_pressure=1_228.0, density=999.7, speed_ratio=0.9)
    1.71
    """
    _require_head("dry_lift", dry_lift, 0.0)
    require("speed_ratio", speed_ratio, 1e-3, 100.0)
    require("back_pressure_gauge", back_pressure_gauge, 0.0, 1e8, "Pa")
    require("rating_vapour_pressure", rating_vapour_pressure, 0.0, 1e7, "Pa")
    _require_water(rating_air_pressure, rating_vapour_pressure, density, "rating_air_pressure")
    at_rating = rating_air_pressure - rating_vapour_pressure
    require("rating_air_pressure - rating_vapour_pressure", at_rating, 1.0, 1e8, "Pa")
    highest = barometric_limit(air_pressure=air_pressure, density=density, vapour_pressure=vapour_pressure)
    share = (air_pressure - vapour_pressure) / at_rating
    lift = np.minimum(dry_lift * speed_ratio * share, highest)
    left_behind = 1.0 - density * STANDARD_GRAVITY * lift / air_pressure
    lift = lift - _head(back_pressure_gauge, density) * left_behind
    return lift if np.ndim(lift) else float(lift)


@dataclass(frozen=True, slots=True)
class SuctionBudget:
    """Where the head of the air goes on the suction side; each line in metres of the liquid.

    Parameters
    ----------
    air_head : float or array, shape (n,)
        What the air gives.
    vapour_head : float or array, shape (n,)
        What must stay so that the water does not boil.
    lift : float or array, shape (n,)
        Spent on height; negative if flooded.
    friction_head : float or array, shape (n,)
        Spent on strainer, foot valve and hose.
    npsh_available : float or array, shape (n,)
        What is left for the pump.
    npsh_required : float or array, shape (n,), or None
        What the pump takes; None where no datasheet says.
    margin : float or array, shape (n,), or None
        What is then left over; None where the requirement is unknown.
    """

    air_head: Real
    vapour_head: Real
    lift: Real
    friction_head: Real
    npsh_available: Real
    npsh_required: Real | None
    margin: Real | None


@as_annotated
def suction_budget(
    *,
    air_pressure: Real,
    vapour_pressure: Real,
    density: Real,
    lift: Real,
    friction_head: Real,
    npsh_required: Real | None = None,
) -> SuctionBudget:
    """Return the budget of the suction side, line by line.

    Parameters
    ----------
    air_pressure : float or array, shape (n,)
        On the open water. [Pa]
    vapour_pressure : float or array, shape (n,)
        At the temperature of the water. [Pa]
    density : float or array, shape (n,)
        Of the liquid. [kg/m^3]
    lift : float or array, shape (n,)
        Of the pump's inlet above the water. [m]
    friction_head : float or array, shape (n,)
        Loss in strainer, valve and hose. [m]
    npsh_required : float or array, shape (n,), optional
        From the data sheet, at this flow. [m]

    Returns
    -------
    SuctionBudget
        Each line a head. [m]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [white]_, ch. 11.

    Examples
    --------
    >>> budget = suction_budget(air_pressure=99_900.0, vapour_pressure=1_228.0, density=999.7, lift=2.0,
    ...                         friction_head=0.2, npsh_required=3.0)
    >>> budget.air_head, budget.vapour_head, budget.npsh_available, budget.margin
    (10.19, 0.13, 7.86, 4.86)
    """
    _require_water(air_pressure, vapour_pressure, density)
    available = npsh_available(
        surface_pressure=air_pressure,
        vapour_pressure=vapour_pressure,
        density=density,
        lift=lift,
        friction_head=friction_head,
    )
    if npsh_required is not None:
        _require_head("npsh_required", npsh_required, 0.0)
    return SuctionBudget(
        air_head=_head(air_pressure, density),
        vapour_head=_head(vapour_pressure, density),
        lift=lift,
        friction_head=friction_head,
        npsh_available=available,
        npsh_required=npsh_required,
        margin=None if npsh_required is None else available - npsh_required,
    )


@as_annotated
def acceleration_head(*, length: Real, velocity: Real, speed: Real, chambers: int, liquid_factor: Real = 1.4) -> Real:
    r"""Return the head that the pulses of a reciprocating pump cost in a stiff suction pipe; a warning, not a loss.

    .. math:: h_a = \frac{L\,v\,N\,C}{K\,g}

    Parameters
    ----------
    length : float or array, shape (n,)
        Of the suction pipe; the formula is meant for less than about 15 m. [m]
    velocity : float or array, shape (n,)
        Mean, in that pipe. [m/s]
    speed : float or array, shape (n,)
        Of the crank or wobble plate; the formula's *N* is this in revolutions per minute. [rad/s]
    chambers : {1, 2, 3, 5, 7}
        Single-acting chambers; *C* is 0.4, 0.2, 0.066, 0.04, 0.028.
    liquid_factor : float or array, shape (n,), default 1.4
        *K*: 1.4 for water, more for liquids that give. [-]

    Returns
    -------
    float or array, shape (n,)
        [m]

    Raises
    ------
    RangeError
        If a value is outside what is possible.
    InputError
        If there is no factor for that number of chambers.

    Notes
    -----
    Source: [hirec]_. A soft hose absorbs the pulses: at the speed of a small diaphragm pump the formula demands more
    head than the air has, and yet such pumps run. So warn by it, and never subtract it.

    Examples
    --------
    Three chambers at 2000 rpm, 6 m of 19 mm hose at 8 L/min:

    >>> acceleration_head(length=6.0, velocity=0.47, speed=209.4, chambers=3)
    27.1
    """
    require("length", length, 0.0, 1e5, "m")
    require("velocity", velocity, 0.0, 1e3, "m/s")
    require("speed", speed, 0.0, 1e5, "rad/s")
    require("liquid_factor", liquid_factor, 0.1, 10.0)
    if chambers not in _CHAMBER_FACTORS:
        mistakes = Mistakes()
        mistakes.add("chambers", f"{chambers}", f"one of {', '.join(map(str, _CHAMBER_FACTORS))}")
        mistakes.settle()
    per_minute = speed * 60.0 / (2.0 * np.pi)
    return length * velocity * per_minute * _CHAMBER_FACTORS[chambers] / (liquid_factor * STANDARD_GRAVITY)


@as_annotated
def hose_volume(*, bore: Real, length: Real) -> Real:
    r"""Return the volume inside a hose, :math:`\pi D^2 L / 4`.

    Parameters
    ----------
    bore : float or array, shape (n,)
        Inside diameter. [m]
    length : float or array, shape (n,)
        Along the hose. [m]

    Returns
    -------
    float or array, shape (n,)
        [m^3]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: geometry.

    Examples
    --------
    >>> hose_volume(bore=0.019, length=6.0) * 1e3
    1.70
    """
    require("bore", bore, 0.0, 100.0, "m")
    require("length", length, 0.0, 1e7, "m")
    return bore_area(bore) * length


@as_annotated
def time_to_prime(
    *, air_volume: Real, displacement: Real, lift: Real, dry_lift: Real, air_pressure: Real, density: Real
) -> Real:
    r"""Return how long a pump runs on air before water reaches it.

    With :math:`\beta = \rho g z / p_a`, :math:`\lambda = z / z_d` and the water at the part :math:`\zeta` of the lift,
    the air in the hose is at :math:`p_a (1 - \beta \zeta)`, fills :math:`V (1 - \zeta)`, and is drawn off at its own
    pressure at the rate :math:`S (1 - \lambda \zeta)`:

    .. math:: t = \frac{V}{S} \int_0^1 \frac{2 - \frac{1 - \beta}{1 - \beta \zeta}}{1 - \lambda \zeta} d\zeta
        = \frac{V}{S} \left[ -\frac{2 \ln(1 - \lambda)}{\lambda}
        - \frac{1 - \beta}{\beta - \lambda} \ln \frac{1 - \lambda}{1 - \beta} \right]

    Parameters
    ----------
    air_volume : float or array, shape (n,)
        Inside the suction hose and pump above the water; see :func:`hose_volume`. [m^3]
    displacement : float or array, shape (n,)
        Air that the pump sweeps at no vacuum; its open flow, for want of better. [m^3/s]
    lift : float or array, shape (n,)
        Pump above the water, 0 or above. [m]
    dry_lift : float or array, shape (n,)
        Of the pump, here and today; see :func:`dry_lift_limit`. [m]
    air_pressure : float or array, shape (n,)
        Absolute. [Pa]
    density : float or array, shape (n,)
        [kg/m^3]

    Returns
    -------
    float or array, shape (n,)
        Infinite where the lift is not below the dry lift: it never primes. [s]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Balance of isothermal air, water quasi-static, hose of one bore rising evenly; delivery falls in proportion to
    vacuum, to nothing at the dry lift. A bigger bore is slower. Source: our own derivation, from a balance of the air
    in the hose.

    Examples
    --------
    6 m of 19 mm hose, 2 m of lift, a pump of 11.3 L/min open that can draw 3 m:

    >>> time_to_prime(air_volume=1.7e-3, displacement=11.3 / 60e3, lift=2.0, dry_lift=3.0,
    ...               air_pressure=99_900.0, density=999.7)
    16.2
    """
    require("air_volume", air_volume, 0.0, 1e6, "m^3")
    require("displacement", displacement, 1e-12, 1e6, "m^3/s")
    _require_head("lift", lift, 0.0)
    require("dry_lift", dry_lift, 1e-6, 1e5, "m")
    _require_water(air_pressure, 0.0, density)
    least = 1e-6 * np.minimum(dry_lift, _head(air_pressure, density))
    height = np.maximum(lift, least)  # at no lift the formula is 0 / 0: a millionth of the way gives its limit
    spent = height / dry_lift
    thinned = height / _head(air_pressure, density)
    primes = (spent < 1.0) & (thinned < 1.0)
    spent, thinned = np.where(primes, spent, 0.5), np.where(primes, thinned, 0.25)
    spent = np.where(np.abs(thinned - spent) < 1e-9, thinned - 1e-9, spent)  # where both are equal it is 0 / 0 too
    gap = thinned - spent
    logs = np.log1p(-spent) - np.log1p(-thinned)
    strokes = -2.0 * np.log1p(-spent) / spent - (1.0 - thinned) * logs / gap
    time = np.where(primes, air_volume / displacement * strokes, np.inf)
    return time if time.ndim else float(time)
