r"""Electricity of a pump: copper cable, the voltage left at the motor, and the speed that this gives.

Length of cable is always **one way**, from battery to motor; the current goes out and comes back, so that drop and
resistance of the loop count it twice. Cross-sections are those of one conductor. Direct current throughout.

References
----------
.. [iec60228] IEC 60228, Conductors of insulated cables, greatest resistance at 20 °C, plain copper (1.5, 4 and 10 mm²
   as quoted on technical pages; the other sizes from memory).
.. [nbs100] National Bureau of Standards, Copper wire tables, Handbook 100, 1966: annealed copper at 20 °C.
.. [abyc] ABYC E-11, AC and DC electrical systems on boats: least cross-section for a drop (from memory).
.. [sae] SAE J1128 and J378, low-voltage cable for vehicles and boats: least conductor areas (from memory).
.. [mohan] Mohan, N., Undeland, T. M. and Robbins, W. P., Power Electronics, 3rd ed., 2003, ch. 13, permanent-magnet
   motors: back voltage in proportion to speed, current in proportion to torque (from memory).

Local codes and a licensed electrician decide what may be installed; these are sums, not permission.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal, TypeAlias, get_args

import numpy as np

from hydrokit.arguments import as_annotated
from hydrokit.bounds import require, require_word
from hydrokit.laws.elementwise import plain

if TYPE_CHECKING:
    from collections.abc import Collection

    from hydrokit.bounds import Array, Real

__all__ = [
    "ANNEALED_COPPER",
    "BOAT_COPPER",
    "COPPER_COEFFICIENT",
    "IEC_RESISTANCE",
    "VEHICLE_GAUGES",
    "PumpAction",
    "Stranding",
    "area_for_drop",
    "constant_power_voltage",
    "copper_factor",
    "loaded_speed_ratio",
    "loop_resistance",
    "next_size",
    "resistance_per_length",
    "speed_ratio",
]

ANNEALED_COPPER: Final = 1.7241e-8
"""Resistivity of annealed copper at 20 °C, 100 % IACS: 10.371 ohm circular mil per foot. [ohm m] Source: [nbs100]_."""

COPPER_COEFFICIENT: Final = 0.00393
"""Rise of resistance over that at 20 °C. [1/K] Source: [nbs100]_."""

BOAT_COPPER: Final = 10.75 * (np.pi / 4.0 * 25.4e-6**2) / 0.3048
"""Resistivity in the boat cable rule, 10.75 ohm circular mil per foot, 3.7 % above [nbs100]_. [ohm m] Source: [abyc]_."""

Stranding: TypeAlias = Literal["solid", "class 2", "class 5"]
PumpAction: TypeAlias = Literal["displacement", "rotodynamic"]

IEC_RESISTANCE: Final[dict[str, dict[float, float]]] = {
    "class 2": {
        0.5: 36.0,
        0.75: 24.5,
        1.0: 18.1,
        1.5: 12.1,
        2.5: 7.41,
        4.0: 4.61,
        6.0: 3.08,
        10.0: 1.83,
        16.0: 1.15,
        25.0: 0.727,
        35.0: 0.524,
        50.0: 0.387,
        70.0: 0.268,
        95.0: 0.193,
        120.0: 0.153,
    },
    "class 5": {
        0.5: 39.0,
        0.75: 26.0,
        1.0: 19.5,
        1.5: 13.3,
        2.5: 7.98,
        4.0: 4.95,
        6.0: 3.30,
        10.0: 1.91,
        16.0: 1.21,
        25.0: 0.780,
        35.0: 0.554,
        50.0: 0.386,
        70.0: 0.272,
        95.0: 0.206,
        120.0: 0.161,
    },
}
"""Greatest resistance at 20 °C by cross-section, plain copper. [mm²], [ohm/km] Source: [iec60228]_."""

VEHICLE_GAUGES: Final[dict[int, float]] = {
    gauge: mils * np.pi / 4.0 * 25.4e-6**2
    for gauge, mils in {18: 1537, 16: 2336, 14: 3702, 12: 5833, 10: 9343, 8: 14810, 6: 24538}.items()
}
"""Least copper in boat and vehicle cable of a gauge, about 10 % under the gauge itself. [m²] Source: [sae]_."""


def _require_cable(current: Real, length: Real) -> None:
    require("current", current, 0.0, 1e5, "A")
    require("length", length, 0.0, 1e5, "m")


def _require_voltage(name: str, voltage: Real) -> None:
    require(name, voltage, 1e-3, 1e5, "V")


@as_annotated
def copper_factor(temperature: Real) -> Real:
    r"""Return how much more copper resists than at 20 °C, :math:`1 + \alpha (T - 293.15)`.

    Parameters
    ----------
    temperature : float or array, shape (n,)
        Of the conductor, which a load warms above its surroundings. [K]

    Returns
    -------
    float or array, shape (n,)
        [-]

    Raises
    ------
    RangeError
        If it is colder than -50 °C or hotter than 200 °C, where copper is no longer linear.

    Notes
    -----
    Source: [nbs100]_. The table of [iec60228]_ rounds the coefficient to 0.004.

    Examples
    --------
    >>> copper_factor(323.15)
    1.118
    """
    require("temperature", temperature, 223.15, 473.15, "K")
    return plain(1.0 + COPPER_COEFFICIENT * (np.asarray(temperature) - 293.15))


def _excess(area: Array, stranding: str) -> Array:
    """Return a class's table over bare copper of the nominal area; between sizes in proportion to their logarithm."""
    table = IEC_RESISTANCE[stranding]
    sizes = np.array(list(table)) * 1e-6
    require("area", area, float(sizes[0]) * 0.999, float(sizes[-1]) * 1.001, "m^2")
    ratios = np.array(list(table.values())) * 1e-3 * sizes / ANNEALED_COPPER
    return np.asarray(np.interp(np.log(area), np.log(sizes), ratios), np.float64)


@as_annotated
def resistance_per_length(*, area: Real, temperature: Real = 293.15, stranding: Stranding = "class 5") -> Real:
    r"""Return the resistance of a metre of one copper conductor, :math:`c \rho_{20} [1 + \alpha (T - 293.15)] / A`.

    Parameters
    ----------
    area : float or array, shape (n,)
        Cross-section of one conductor; of classes 2 and 5 the nominal one, 0.5 to 120 mm². [m^2]
    temperature : float or array, shape (n,), default 293.15
        Of the conductor. [K]
    stranding : {"solid", "class 2", "class 5"}, default "class 5"
        "solid" is bare copper of just that area, as tables of gauges print it. Class 2 is stranded, class 5 flexible: the
        greatest resistance that the standard lets a cable of that nominal size have.

    Returns
    -------
    float or array, shape (n,)
        One conductor, one way. [ohm/m]

    Raises
    ------
    RangeError
        If area or temperature is outside what is possible or listed.
    InputError
        If the stranding is none of the three.

    Notes
    -----
    Sources: [nbs100]_ for solid copper; [iec60228]_ for the classes, exact at its sizes. Between them *c*, by which
    the standard exceeds bare copper (1.04 to 1.16), is interpolated: our own choice, for cable sold by gauge.

    Examples
    --------
    Milliohms in a metre of 2.5 mm² flexible cable, at 20 °C and hot:

    >>> resistance_per_length(area=2.5e-6) * 1e3, resistance_per_length(area=2.5e-6, temperature=323.15) * 1e3
    (7.98, 8.92)
    """
    require("area", area, 1e-10, 1.0, "m^2")
    require_word("stranding", stranding, get_args(Stranding))
    section = np.asarray(area, np.float64)
    excess = np.ones_like(section) if stranding == "solid" else _excess(section, stranding)
    return plain(excess * ANNEALED_COPPER * np.asarray(copper_factor(temperature)) / section)


@as_annotated
def loop_resistance(
    *, area: Real, length: Real, temperature: Real = 293.15, stranding: Stranding = "class 5", joints: Real = 0.0
) -> Real:
    r"""Return the resistance from battery to motor and back, :math:`2 L r + R_j`.

    Parameters
    ----------
    area : float or array, shape (n,)
        Of one conductor; both alike. [m^2]
    length : float or array, shape (n,)
        **One way**. [m]
    temperature : float or array, shape (n,), default 293.15
        Of the conductor. [K]
    stranding : {"solid", "class 2", "class 5"}, default "class 5"
        As :func:`resistance_per_length`.
    joints : float or array, shape (n,), default 0
        Switch, fuse, plugs and the battery itself, together. [ohm]

    Returns
    -------
    float or array, shape (n,)
        [ohm]

    Raises
    ------
    RangeError, InputError
        As :func:`resistance_per_length`.

    Notes
    -----
    Source: [iec60228]_, as :func:`resistance_per_length`.

    Examples
    --------
    >>> loop_resistance(area=2.5e-6, length=8.0)
    0.1277
    """
    require("length", length, 0.0, 1e5, "m")
    require("joints", joints, 0.0, 1e3, "ohm")
    each = resistance_per_length(area=area, temperature=temperature, stranding=stranding)
    return plain(2.0 * np.asarray(length) * each + joints)


@as_annotated
def area_for_drop(
    *, current: Real, length: Real, voltage: Real, drop_fraction: Real, resistivity: Real = BOAT_COPPER
) -> Real:
    r"""Return the least cross-section that holds the drop to a share of the voltage.

    .. math:: A = \frac{\rho \, I \, 2L}{x V}

    Parameters
    ----------
    current : float or array, shape (n,)
        [A]
    length : float or array, shape (n,)
        **One way**; the rule's own length is there and back, twice this. [m]
    voltage : float or array, shape (n,)
        Of the system, such as 12. [V]
    drop_fraction : float or array, shape (n,)
        Share of it that may be lost: 0.03 for what matters, 0.10 for other things ([abyc]_, from memory). [-]
    resistivity : float or array, shape (n,)
        That of the boat cable rule unless stated. [ohm m]

    Returns
    -------
    float or array, shape (n,)
        True copper area of one conductor; choose the next larger size, see :func:`next_size`. [m^2]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [abyc]_, in its own units CM = K I L / E with K = 10.75, circular mils and feet there and back.

    Examples
    --------
    10 A, 3.2 m one way, 12 V, 3 %; in mm²:

    >>> area_for_drop(current=10.0, length=3.2, voltage=12.0, drop_fraction=0.03) * 1e6
    3.18
    """
    _require_cable(current, length)
    _require_voltage("voltage", voltage)
    require("drop_fraction", drop_fraction, 1e-6, 1.0)
    require("resistivity", resistivity, 1e-9, 1e-5, "ohm m")
    return plain(2.0 * np.asarray(length) * current * resistivity / (np.asarray(drop_fraction) * voltage))


@as_annotated
def next_size(*, area: Real, sizes: Collection[float]) -> Real:
    """Return the smallest of the sizes that is at least the area.

    Parameters
    ----------
    area : float or array, shape (n,)
        At least wanted. [m^2]
    sizes : collection of float
        That there are. [m^2]

    Returns
    -------
    float or array, shape (n,)
        NaN where none is so large. [m^2]

    Raises
    ------
    RangeError
        If the area is outside what is possible.

    Notes
    -----
    Source: arithmetic; the sizes have theirs.

    Examples
    --------
    >>> next_size(area=3.18e-6, sizes=[1.5e-6, 2.5e-6, 4e-6]) * 1e6
    4.0
    >>> next_size(area=3.18e-6, sizes=VEHICLE_GAUGES.values()) == VEHICLE_GAUGES[10]
    True
    """
    require("area", area, 0.0, 1.0, "m^2")
    rising = np.array([*sorted(sizes), np.nan])
    return plain(rising[np.searchsorted(rising[:-1] * (1.0 + 1e-12), np.asarray(area))])


@as_annotated
def constant_power_voltage(*, supply_voltage: Real, power: Real, resistance: Real) -> Real:
    r"""Return the voltage at a driver that takes the same power whatever its voltage.

    .. math:: V = \frac{V_s + \sqrt{V_s^2 - 4 R P}}{2}

    Parameters
    ----------
    supply_voltage : float or array, shape (n,)
        [V]
    power : float or array, shape (n,)
        That the driver takes. [W]
    resistance : float or array, shape (n,)
        Of the loop. [ohm]

    Returns
    -------
    float or array, shape (n,)
        The higher of two voltages, the one that a driver starting up from full voltage keeps; NaN where the cable cannot
        bring that power at all, a brown-out: it brings :math:`V_s^2 / 4 R` at most. [V]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: Ohm's and Joule's laws, solved for the voltage. Never below half the supply.

    Examples
    --------
    >>> constant_power_voltage(supply_voltage=12.6, power=90.0, resistance=0.128)
    11.61
    >>> constant_power_voltage(supply_voltage=12.6, power=90.0, resistance=0.5)
    nan
    """
    _require_voltage("supply_voltage", supply_voltage)
    require("power", power, 0.0, 1e7, "W")
    require("resistance", resistance, 0.0, 1e6, "ohm")
    supply = np.asarray(supply_voltage, np.float64)
    inside = supply**2 - 4.0 * np.asarray(resistance) * power
    return plain(np.where(inside >= 0.0, 0.5 * (supply + np.sqrt(np.maximum(inside, 0.0))), np.nan))


def _require_motor(rated_voltage: Real, rated_current: Real, winding_resistance: Real) -> Array:
    """Return the rated back voltage, which must be above 0."""
    _require_voltage("rated_voltage", rated_voltage)
    require("rated_current", rated_current, 0.0, 1e5, "A")
    require("winding_resistance", winding_resistance, 0.0, 1e4, "ohm")
    back = np.asarray(rated_voltage, np.float64) - np.asarray(rated_current) * winding_resistance
    require("rated_voltage - rated_current * winding_resistance", back, 1e-3, 1e5, "V")
    return back


@as_annotated
def speed_ratio(
    *, voltage: Real, current: Real, rated_voltage: Real, rated_current: Real, winding_resistance: Real = 0.0
) -> Real:
    r"""Return the speed of a motor over that of its pump's datasheet.

    .. math:: s = \frac{V - I R_w}{V_r - I_r R_w}

    Parameters
    ----------
    voltage, current : float or array, shape (n,)
        At the motor, here. [V], [A]
    rated_voltage, rated_current : float or array, shape (n,)
        For which the datasheet's curve holds, at the same point of it. [V], [A]
    winding_resistance : float or array, shape (n,), default 0
        Of the motor, hot; 0 where it is not known, which leaves :math:`V / V_r`. [ohm]

    Returns
    -------
    float or array, shape (n,)
        Not above 0 where the motor would stall. [-]

    Raises
    ------
    RangeError
        If a value is outside what is possible, or the rated current would drop the whole rated voltage.

    Notes
    -----
    Source: [mohan]_. A datasheet's curve, taken at rated voltage, already holds the motor's own droop.

    Examples
    --------
    >>> speed_ratio(voltage=11.0, current=6.0, rated_voltage=12.0, rated_current=6.0)
    0.917
    >>> speed_ratio(voltage=11.0, current=6.0, rated_voltage=12.0, rated_current=6.0, winding_resistance=0.4)
    0.896
    """
    require("voltage", voltage, -1e5, 1e5, "V")
    require("current", current, 0.0, 1e5, "A")
    back = _require_motor(rated_voltage, rated_current, winding_resistance)
    return plain((np.asarray(voltage) - np.asarray(current) * winding_resistance) / back)


@as_annotated
def loaded_speed_ratio(
    *,
    supply_voltage: Real,
    resistance: Real,
    rated_voltage: Real,
    rated_current: Real,
    action: PumpAction,
    winding_resistance: Real = 0.0,
) -> Real:
    r"""Return the speed ratio with supply, cable and motor eliminated, point by point of a datasheet.

    With *I* the datasheet's current at the point, the current here is *I* for a displacement pump at the same pressure
    and :math:`I s^2` for a rotodynamic pump at the similar point, so that

    .. math::

        \text{displacement: } s = \frac{V_s - I (R + R_w)}{V_r - I R_w}, \qquad
        \text{rotodynamic: } I (R + R_w)\, s^2 + (V_r - I R_w)\, s - V_s = 0

    Parameters
    ----------
    supply_voltage : float or array, shape (n,)
        At the battery. [V]
    resistance : float or array, shape (n,)
        Of the loop of cable. [ohm]
    rated_voltage, rated_current : float or array, shape (n,)
        Of the datasheet, the current that of the point. [V], [A]
    action : {"displacement", "rotodynamic"}
        Which of the two laws: a diaphragm pump, or a centrifugal one.
    winding_resistance : float or array, shape (n,), default 0
        Of the motor; 0 where it is not known. [ohm]

    Returns
    -------
    float or array, shape (n,)
        The datasheet's point (Q, p) becomes (s Q, p) for a displacement pump, (s Q, s² p) for a rotodynamic one; not
        above 0 where a displacement pump stalls. [-]

    Raises
    ------
    RangeError
        If a value is outside what is possible.
    InputError
        If the action is neither of the two.

    Notes
    -----
    Source: [mohan]_ for the motor, similarity for the pump; friction of the bearings is left in the current.

    Examples
    --------
    6 A at 12 V on the datasheet, through 0.128 ohm from a battery at 12 V:

    >>> duty = {"supply_voltage": 12.0, "resistance": 0.128, "rated_voltage": 12.0, "rated_current": 6.0}
    >>> loaded_speed_ratio(**duty, action="displacement"), loaded_speed_ratio(**duty, action="rotodynamic")
    (0.936, 0.943)
    """
    _require_voltage("supply_voltage", supply_voltage)
    require("resistance", resistance, 0.0, 1e6, "ohm")
    require_word("action", action, get_args(PumpAction))
    back = _require_motor(rated_voltage, rated_current, winding_resistance)
    supply = np.asarray(supply_voltage, np.float64)
    lost = np.asarray(rated_current, np.float64) * (np.asarray(resistance) + winding_resistance)
    if action == "displacement":
        return plain((supply - lost) / back)
    return plain(2.0 * supply / (back + np.sqrt(back**2 + 4.0 * lost * supply)))  # the root above 0, no cancellation
