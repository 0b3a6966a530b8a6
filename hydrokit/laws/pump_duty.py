r"""What a pump does at its duty: power, efficiency, heating, similarity, and figures read off a datasheet.

Pressure rise is between inlet and outlet of the pump, total, in pascals. Power is in watts, rotation in rad/s. Figures
stated against flow are read between their points and nowhere else.

References
----------
.. [white] White, F. M., Fluid Mechanics, 7th ed., 2011, ch. 11.
.. [cengel] Cengel, Y. A. and Cimbala, J. M., Fluid Mechanics: Fundamentals and Applications, ch. 5 and 14.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

import numpy as np
import numpy.typing as npt

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Mistakes, pairs_of_numbers, require, require_word
from hydrokit.laws.pump_curve import compile_curves, gain
from hydrokit.water import STANDARD_GRAVITY

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.bounds import Array, Real

__all__ = [
    "BestPoint",
    "Duty",
    "affinity_duty",
    "best_efficiency",
    "dead_head_heating",
    "efficiency",
    "electrical_power",
    "flow_of_power",
    "hydraulic_power",
    "npsh_required",
    "read_off",
    "rise_of_head",
    "shaft_power",
    "temperature_rise",
    "torque_power",
]

_GRID: Final = 1001
"""Flows tried between the ends of the data when the best is looked for: a thousandth of the range."""


def _require_flow(flow: Real) -> None:
    require("flow", flow, -1e6, 1e6, "m^3/s")


def _require_rise(pressure_rise: Real) -> None:
    require("pressure_rise", pressure_rise, -1e10, 1e10, "Pa")


def _require_share(name: str, share: Real) -> None:
    require(name, share, 1e-6, 1.0)


@as_annotated
def rise_of_head(*, head: Real, density: Real) -> Real:
    r"""Return the pressure rise that a head of liquid stands for, :math:`\rho g H`.

    Parameters
    ----------
    head : float or array, shape (n,)
        Of the liquid. [m]
    density : float or array, shape (n,)
        Of the liquid. [kg/m^3]

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
    Source: hydrostatics, any textbook.

    Examples
    --------
    >>> rise_of_head(head=10.2, density=1000.0)
    100028.
    """
    require("head", head, -1e6, 1e6, "m")
    require("density", density, 1e-3, 3e4, "kg/m^3")
    return density * STANDARD_GRAVITY * head


@as_annotated
def hydraulic_power(*, flow: Real, pressure_rise: Real) -> Real:
    r"""Return the power that reaches the water, :math:`P = Q\,\Delta p`.

    Parameters
    ----------
    flow : float or array, shape (n,)
        [m^3/s]
    pressure_rise : float or array, shape (n,)
        Across the pump; see :func:`rise_of_head`. [Pa]

    Returns
    -------
    float or array, shape (n,)
        [W]

    Raises
    ------
    RangeError
        If a value is not finite.

    Notes
    -----
    Source: [white]_, ch. 11, water horsepower.

    Examples
    --------
    8 L/min against 1.6 bar:

    >>> hydraulic_power(flow=8.0 / 60e3, pressure_rise=160e3)
    21.3
    """
    _require_flow(flow)
    _require_rise(pressure_rise)
    return flow * pressure_rise


@as_annotated
def efficiency(*, flow: Real, pressure_rise: Real, power: Real) -> Real:
    """Return hydraulic power over the power that was put in.

    Parameters
    ----------
    flow, pressure_rise : float or array, shape (n,)
        At the duty. [m^3/s], [Pa]
    power : float or array, shape (n,)
        Shaft power for the efficiency of the pump, electrical power for that of the set, wire to water. [W]

    Returns
    -------
    float or array, shape (n,)
        Above 1 only if the stated figures contradict each other; nothing is held back. [-]

    Raises
    ------
    RangeError
        If a value is not finite or the power not above 0.

    Notes
    -----
    Source: [white]_, ch. 11, efficiency of the pump.

    Examples
    --------
    >>> efficiency(flow=8.0 / 60e3, pressure_rise=160e3, power=84.0)
    0.254
    """
    require("power", power, 1e-9, 1e12, "W")
    return hydraulic_power(flow=flow, pressure_rise=pressure_rise) / power


@as_annotated
def shaft_power(*, flow: Real, pressure_rise: Real, pump_efficiency: Real) -> Real:
    """Return the power the shaft must bring: hydraulic power over the pump's efficiency.

    Parameters
    ----------
    flow : float or array, shape (n,)
        Through the pump. [m^3/s]
    pressure_rise : float or array, shape (n,)
        From inlet to outlet. [Pa]
    pump_efficiency : float or array, shape (n,)
        A fraction of 1. [-]

    Returns
    -------
    float or array, shape (n,)
        [W]

    Raises
    ------
    RangeError
        If a value is not finite or the efficiency not in (0, 1].

    Notes
    -----
    Source: [white]_, ch. 11.

    Examples
    --------
    >>> shaft_power(flow=0.044, pressure_rise=1.28e6, pump_efficiency=0.707)
    79660.
    """
    _require_share("pump_efficiency", pump_efficiency)
    return hydraulic_power(flow=flow, pressure_rise=pressure_rise) / pump_efficiency


@as_annotated
def electrical_power(*, shaft_power: Real, motor_efficiency: Real, drive_efficiency: Real = 1.0) -> Real:
    """Return the power drawn from the supply by motor and drive.

    Parameters
    ----------
    shaft_power : float or array, shape (n,)
        At the pump. [W]
    motor_efficiency : float or array, shape (n,)
        Of the motor, a fraction of 1. [-]
    drive_efficiency : float or array, shape (n,), default 1
        Of what drives it, a fraction of 1. [-]

    Returns
    -------
    float or array, shape (n,)
        [W]

    Raises
    ------
    RangeError
        If a value is not finite or an efficiency not in (0, 1].

    Notes
    -----
    Source: definition of efficiency, [white]_, ch. 11.

    Examples
    --------
    >>> electrical_power(shaft_power=42.0, motor_efficiency=0.6)
    70.0
    """
    require("shaft_power", shaft_power, -1e12, 1e12, "W")
    _require_share("motor_efficiency", motor_efficiency)
    _require_share("drive_efficiency", drive_efficiency)
    return shaft_power / (motor_efficiency * drive_efficiency)


@as_annotated
def torque_power(*, torque: Real, speed: Real) -> Real:
    r"""Return the power of a turning shaft, :math:`P = T \omega`.

    Parameters
    ----------
    torque : float or array, shape (n,)
        Of the shaft. [N*m]
    speed : float or array, shape (n,)
        Of rotation. [rad/s]

    Returns
    -------
    float or array, shape (n,)
        [W]

    Raises
    ------
    RangeError
        If a value is not finite.

    Notes
    -----
    Source: definition of mechanical power.

    Examples
    --------
    >>> torque_power(torque=0.5, speed=157.0)
    78.5
    """
    require("torque", torque, -1e9, 1e9, "N*m")
    require("speed", speed, -1e6, 1e6, "rad/s")
    return torque * speed


@as_annotated
def flow_of_power(*, shaft_power: Real, pump_efficiency: Real, pressure_rise: Real) -> Real:
    """Return the flow that a shaft power sustains against a pressure rise.

    Parameters
    ----------
    shaft_power : float or array, shape (n,)
        At the pump. [W]
    pump_efficiency : float or array, shape (n,)
        A fraction of 1. [-]
    pressure_rise : float or array, shape (n,)
        Above 0. [Pa]

    Returns
    -------
    float or array, shape (n,)
        [m^3/s]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: definition of efficiency, [white]_, ch. 11.

    Examples
    --------
    >>> flow_of_power(shaft_power=42.0, pump_efficiency=0.5, pressure_rise=160e3) * 60e3
    7.88
    """
    require("shaft_power", shaft_power, 0.0, 1e12, "W")
    _require_share("pump_efficiency", pump_efficiency)
    require("pressure_rise", pressure_rise, 1e-6, 1e10, "Pa")
    return shaft_power * pump_efficiency / pressure_rise


@as_annotated
def temperature_rise(*, pressure_rise: Real, pump_efficiency: Real, density: Real, heat_capacity: Real) -> Real:
    r"""Return how much warmer the water leaves the pump, its inefficiency all going into the water.

    .. math:: \Delta T = \frac{\Delta p}{\rho c}\left(\frac1\eta - 1\right)

    Parameters
    ----------
    pressure_rise : float or array, shape (n,)
        From inlet to outlet. [Pa]
    pump_efficiency : float or array, shape (n,)
        A fraction of 1. [-]
    density : float or array, shape (n,)
        Of the liquid. [kg/m^3]
    heat_capacity : float or array, shape (n,)
        Of the water. [J/kg/K]

    Returns
    -------
    float or array, shape (n,)
        [K]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [cengel]_, ch. 5, energy balance of a pump. For water that stands still see :func:`dead_head_heating`.

    Examples
    --------
    >>> temperature_rise(pressure_rise=160e3, pump_efficiency=0.3, density=998.0, heat_capacity=4182.0)
    0.089
    """
    _require_rise(pressure_rise)
    _require_share("pump_efficiency", pump_efficiency)
    require("density", density, 1e-3, 3e4, "kg/m^3")
    require("heat_capacity", heat_capacity, 100.0, 2e4, "J/kg/K")
    return pressure_rise / (density * heat_capacity) * (1.0 / pump_efficiency - 1.0)


@as_annotated
def dead_head_heating(*, power: Real, water_mass: Real, heat_capacity: Real) -> Real:
    """Return how fast water shut in a running pump warms, none of the heat escaping.

    Parameters
    ----------
    power : float or array, shape (n,)
        Taken up by the pump. [W]
    water_mass : float or array, shape (n,)
        Of the water in it. [kg]
    heat_capacity : float or array, shape (n,)
        Of the water. [J/kg/K]

    Returns
    -------
    float or array, shape (n,)
        Rise in a second. [K/s]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    In truth the casing takes part of the heat, so this is the fastest that it can be. Source: energy balance, [cengel]_, ch. 5.

    Examples
    --------
    40 W in a cupful, kelvin per minute:

    >>> dead_head_heating(power=40.0, water_mass=0.2, heat_capacity=4182.0) * 60.0
    2.87
    """
    require("power", power, 0.0, 1e9, "W")
    require("water_mass", water_mass, 1e-6, 1e6, "kg")
    require("heat_capacity", heat_capacity, 100.0, 2e4, "J/kg/K")
    return power / (water_mass * heat_capacity)


@dataclass(frozen=True, slots=True)
class Duty:
    """Flow, head and power of one duty; head in metres or pressure rise in pascals, whichever was given."""

    flow: Real
    head: Real
    power: Real


@as_annotated
def affinity_duty(
    duty: Duty,
    *,
    speed_ratio: Real = 1.0,
    diameter_ratio: Real = 1.0,
    impeller: Literal["trimmed", "similar"] = "trimmed",
) -> Duty:
    r"""Return the duty that corresponds to a given one at another speed or impeller diameter of a rotodynamic pump.

    .. math:: Q \propto n D^m,\quad H \propto n^2 D^2,\quad P \propto n^3 D^{m+2}

    Parameters
    ----------
    duty : Duty
        The known duty.
    speed_ratio, diameter_ratio : float or array, shape (n,)
        New over old. [-]
    impeller : {"trimmed", "similar"}
        Trimmed: the same casing, the impeller turned down, m = 1. Similar: the whole pump scaled, m = 3.

    Returns
    -------
    Duty
        At equal efficiency.

    Raises
    ------
    RangeError
        If a ratio is not between 0.001 and 1000.
    InputError
        If ``impeller`` is neither word.

    Notes
    -----
    Source: [white]_, section 11.5, for speed and similar pumps; the exponents for a trimmed impeller are common
    practice (handbooks differ, from memory), good for a cut of a tenth or so. Efficiency is taken as unchanged.

    Examples
    --------
    >>> affinity_duty(Duty(flow=10.0, head=20.0, power=50.0), speed_ratio=0.9)
    Duty(flow=9.0, head=16.2, power=36.45)
    """
    require("speed_ratio", speed_ratio, 1e-3, 1e3)
    require("diameter_ratio", diameter_ratio, 1e-3, 1e3)
    require_word("impeller", impeller, ("trimmed", "similar"))
    flow_ratio = speed_ratio * diameter_ratio ** (1 if impeller == "trimmed" else 3)
    head_ratio = (speed_ratio * diameter_ratio) ** 2
    return Duty(duty.flow * flow_ratio, duty.head * head_ratio, duty.power * flow_ratio * head_ratio)


@as_annotated
def read_off(*, points: Sequence[tuple[float, float]], flow: Real) -> tuple[Real, bool | npt.NDArray[np.bool_]]:
    """Read a figure stated against flow (power, current, NPSH required), by straight lines between the points.

    Parameters
    ----------
    points : sequence of (flow, figure)
        From the datasheet, in any order; one or more.
    flow : float or array, shape (n,)
        [m^3/s]

    Returns
    -------
    figure : float or array, shape (n,)
        In the unit of the points; NaN outside them. A figure stated once, for one flow, is given for every flow, since
        nothing better is known.
    inside : bool or array of bool, shape (n,)
        True where the flow lies within the points; elsewhere the figure is NaN or, stated once, an assumption.

    Raises
    ------
    RangeError
        If a flow is not finite.
    InputError
        If there is no point, one is no pair of finite numbers, or two share a flow.

    Notes
    -----
    Source: straight lines between stated points, common practice, no source.

    Examples
    --------
    >>> amps = [(0.0, 7.0), (1e-4, 5.0), (2e-4, 4.0)]
    >>> read_off(points=amps, flow=0.5e-4)
    (6.0, True)
    >>> read_off(points=amps, flow=3e-4)
    (nan, False)
    """
    _require_flow(flow)
    stated, figures = _stated("points", points)
    inside = (np.asarray(flow) >= stated[0]) & (np.asarray(flow) <= stated[-1])
    value = np.interp(flow, stated, figures)
    if stated.size > 1:
        value = np.where(inside, value, np.nan)
    return (value, inside) if np.ndim(flow) else (float(value), bool(inside))


def _stated(name: str, points: Sequence[tuple[float, float]]) -> tuple[Array, Array]:
    pairs = pairs_of_numbers(name, points)
    table = pairs[np.argsort(pairs[:, 0])]
    mistakes = Mistakes()
    if not len(table):
        mistakes.add(name, "no point", "at least one point (flow, figure)")
    elif not np.isfinite(table).all():
        mistakes.add(name, "a number missing", "finite numbers")
    elif (np.diff(table[:, 0]) <= 0.0).any():
        twice = float(table[int(np.argmin(np.diff(table[:, 0]))), 0])
        mistakes.add(name, f"two points at flow {twice:g} m^3/s", "one point for each flow")
    mistakes.settle()
    return table[:, 0], table[:, 1]


@as_annotated
def npsh_required(
    *, points: Sequence[tuple[float, float]], flow: Real, speed_ratio: Real = 1.0
) -> tuple[Real, bool | npt.NDArray[np.bool_]]:
    r"""Return the net positive suction head a pump requires, and whether its datasheet reaches to this flow.

    .. math:: \mathrm{NPSH}_R(Q, s) = s^2\, \mathrm{NPSH}_R(Q/s)

    Parameters
    ----------
    points : sequence of (flow, head)
        From the datasheet. [m^3/s], [m]
    flow : float or array, shape (n,)
        [m^3/s]
    speed_ratio : float or array, shape (n,), default 1
        Speed over that of the datasheet; 1 for a displacement pump. [-]

    Returns
    -------
    head, inside
        As :func:`read_off`: NaN outside the points, never extrapolated. [m]

    Raises
    ------
    RangeError, InputError
        As :func:`read_off`; also if the ratio is not between 0.001 and 100.

    Notes
    -----
    The similarity rule is common practice, from memory; good near the best point and not far from rated speed.

    Examples
    --------
    >>> npsh_required(points=[(0.0, 1.0), (1e-3, 2.0)], flow=0.5e-3)
    (1.5, True)
    """
    require("speed_ratio", speed_ratio, 1e-3, 100.0)
    head, inside = read_off(points=points, flow=flow / speed_ratio)
    return head * speed_ratio**2, inside


@dataclass(frozen=True, slots=True)
class BestPoint:
    """The duty of best efficiency within the data.

    Parameters
    ----------
    flow : float
        [m^3/s]
    efficiency : float
        Of the pump if shaft power was stated, of the set if electrical. [-]
    at_edge : bool
        True if the best lies at an end of the data, so that the true best may lie beyond.
    """

    flow: float
    efficiency: float
    at_edge: bool


@as_annotated
def best_efficiency(*, points: Sequence[tuple[float, float]], powers: Sequence[tuple[float, float]]) -> BestPoint:
    """Return the best efficiency point, where both the curve and the power are stated.

    Parameters
    ----------
    points : sequence of (flow, pressure rise)
        [m^3/s], [Pa]
    powers : sequence of (flow, power)
        Two points or more. [m^3/s], [W]

    Returns
    -------
    BestPoint
        Flow to a thousandth of the range common to both.

    Raises
    ------
    InputError
        If either is no curve, a power is not above 0 or the two share no range of flow.

    Notes
    -----
    Source: definition of efficiency, [white]_, ch. 11.

    Examples
    --------
    >>> best_efficiency(points=[(0.0, 100e3), (0.001, 0.0)], powers=[(0.0, 50.0), (0.001, 50.0)])
    BestPoint(flow=0.0005, efficiency=0.5, at_edge=False)
    """
    table = compile_curves([points], places=["points"])
    stated, figures = _stated("powers", powers)
    low, high = max(stated[0], table.data_low[0]), min(stated[-1], table.data_high[0])
    mistakes = Mistakes()
    if figures.min() <= 0.0:
        mistakes.add("powers", f"{figures.min():g} W", "power above 0")
    if not low < high:
        mistakes.add("powers", f"flows {stated[0]:g} to {stated[-1]:g} m^3/s", "flows that overlap those of the curve")
    mistakes.settle()
    flow = np.linspace(low, high, _GRID)
    share = flow * gain(table, flow[:, None])[0][:, 0] / np.interp(flow, stated, figures)
    best = int(np.argmax(share))
    return BestPoint(float(flow[best]), float(share[best]), best in (0, _GRID - 1))
