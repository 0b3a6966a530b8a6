r"""A battery: how long it lasts, how many fills it gives, and what must flow in to keep up.

Charge is in coulombs, 3600 to the ampere hour; energy in joules.

References
----------
.. [peukert] Peukert, W., Über die Abhängigkeit der Kapacität von der Entladestromstärke bei Bleiakkumulatoren,
   Elektrotechnische Zeitschrift 20 (1897): capacity falls with current (from memory).

Usable shares, exponents and the loss in the cold are common practice and from memory; the maker's sheet counts.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

import numpy as np

from hydrokit.arguments import as_annotated
from hydrokit.bounds import require
from hydrokit.laws.elementwise import plain

if TYPE_CHECKING:
    from hydrokit.bounds import Real

__all__ = [
    "CHEMISTRIES",
    "Chemistry",
    "Habits",
    "cold_share",
    "fills_per_charge",
    "fills_sustained",
    "peukert_share",
    "run_time",
]

Chemistry: TypeAlias = Literal["flooded lead-acid", "AGM lead-acid", "lithium iron phosphate"]


@dataclass(frozen=True, slots=True)
class Habits:
    """What is usual for a kind of battery.

    Parameters
    ----------
    usable : float
        Share of its charge that may be used without shortening its life. [-]
    exponent : float
        Peukert's, in the middle of its usual range. [-]
    cold_loss : float
        Share of its charge lost for each kelvin below 25 °C. [1/K]
    coldest_charge : float
        Below this temperature it must not be charged; 0 where there is no such limit. [K]
    """

    usable: float
    exponent: float
    cold_loss: float
    coldest_charge: float


CHEMISTRIES: Final[dict[Chemistry, Habits]] = {
    "flooded lead-acid": Habits(usable=0.5, exponent=1.4, cold_loss=0.01, coldest_charge=0.0),
    "AGM lead-acid": Habits(usable=0.5, exponent=1.18, cold_loss=0.01, coldest_charge=0.0),
    "lithium iron phosphate": Habits(usable=0.8, exponent=1.03, cold_loss=0.0, coldest_charge=273.15),
}
"""Usual figures by kind: exponents 1.2 to 1.6, 1.1 to 1.25 and 1.0 to 1.05. Source: common practice, no source.

The loss in the cold is from memory; 0 means that no figure is at hand, not that there is no loss.
"""


@as_annotated
def peukert_share(*, capacity: Real, rating_time: Real, current: Real, exponent: Real) -> Real:
    r"""Return the share of its rated charge that a battery yields at a steady current.

    .. math:: \frac{I t}{C} = \min\left[1, \left(\frac{C}{I H}\right)^{k - 1}\right]

    Parameters
    ----------
    capacity : float or array, shape (n,)
        Rated charge. [C]
    rating_time : float or array, shape (n,)
        *H*, in which it was drawn when rated; 20 h is usual. [s]
    current : float or array, shape (n,)
        Above 0. [A]
    exponent : float or array, shape (n,)
        *k*, 1 to 2; see :data:`CHEMISTRIES`. [-]

    Returns
    -------
    float or array, shape (n,)
        Not above 1: a smaller current than the rated one is credited with the rated charge and no more. [-]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [peukert]_, :math:`t = H (C / I H)^k`. Steady current; a pump that rests lets the battery recover some.

    Examples
    --------
    100 Ah at the 20 hour rate, drawn at 8 A:

    >>> peukert_share(capacity=100 * 3600.0, rating_time=20 * 3600.0, current=8.0, exponent=1.4)
    0.829
    """
    require("capacity", capacity, 1e-3, 1e10, "C")
    require("rating_time", rating_time, 1.0, 1e8, "s")
    require("current", current, 1e-9, 1e6, "A")
    require("exponent", exponent, 1.0, 2.0)
    relative = np.asarray(capacity, np.float64) / (np.asarray(current, np.float64) * rating_time)
    return plain(np.minimum(relative ** (np.asarray(exponent) - 1.0), 1.0))


@as_annotated
def run_time(*, capacity: Real, rating_time: Real, current: Real, exponent: Real, usable: Real = 1.0) -> Real:
    """Return how long a battery keeps up a steady current.

    Parameters
    ----------
    capacity : float or array, shape (n,)
        Rated charge. [C]
    rating_time : float or array, shape (n,)
        In which it was drawn when rated. [s]
    current : float or array, shape (n,)
        Mean current. [A]
    exponent : float or array, shape (n,)
        Peukert's. [-]
    usable : float or array, shape (n,), default 1
        Share of the charge that is to be used. [-]

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
    Source: [peukert]_, as :func:`peukert_share`.

    Examples
    --------
    In hours, half of the charge used:

    >>> run_time(capacity=360e3, rating_time=72e3, current=8.0, exponent=1.4, usable=0.5) / 3600.0
    5.18
    """
    share = peukert_share(capacity=capacity, rating_time=rating_time, current=current, exponent=exponent)
    require("usable", usable, 0.0, 1.0)
    return plain(np.asarray(capacity) * share * usable / np.asarray(current))


@as_annotated
def cold_share(*, temperature: Real, cold_loss: Real) -> Real:
    """Return the share of its charge that a battery still yields in the cold.

    Parameters
    ----------
    temperature : float or array, shape (n,)
        Of the battery. [K]
    cold_loss : float or array, shape (n,)
        Share lost for each kelvin below 25 °C, see :data:`CHEMISTRIES`. [1/K]

    Returns
    -------
    float or array, shape (n,)
        Never above 1 nor below 0. [-]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    About 1 % a kelvin for lead-acid: from memory.

    Examples
    --------
    >>> cold_share(temperature=275.15, cold_loss=0.01)
    0.77
    """
    require("temperature", temperature, 200.0, 400.0, "K")
    require("cold_loss", cold_loss, 0.0, 1.0, "1/K")
    below = np.maximum(298.15 - np.asarray(temperature), 0.0)
    return plain(np.maximum(1.0 - below * cold_loss, 0.0))


@as_annotated
def fills_per_charge(*, capacity: Real, usable: Real, charge: Real) -> Real:
    """Return how many fills a full battery gives.

    Parameters
    ----------
    capacity : float or array, shape (n,)
        Rated charge, already reduced for current and cold (:func:`peukert_share`, :func:`cold_share`). [C]
    usable : float or array, shape (n,)
        Share of it that is to be used. [-]
    charge : float or array, shape (n,)
        That one fill takes. [C]

    Returns
    -------
    float or array, shape (n,)
        Not rounded. [-]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: balance of charge.

    Examples
    --------
    >>> fills_per_charge(capacity=100 * 3600.0, usable=0.5, charge=1.6 * 3600.0)
    31.25
    """
    require("capacity", capacity, 0.0, 1e10, "C")
    require("usable", usable, 0.0, 1.0)
    require("charge", charge, 1e-9, 1e10, "C")
    return plain(np.asarray(capacity) * usable / np.asarray(charge))


@as_annotated
def fills_sustained(*, power_in: Real, energy: Real, charge_efficiency: Real, other_power: Real = 0.0) -> Real:
    r"""Return how many fills in a second a steady input keeps up, :math:`(\eta P_{in} - P_o) / E`; times 86 400 a day.

    Parameters
    ----------
    power_in : float or array, shape (n,)
        Average over day and night, from sun or alternator. [W]
    energy : float or array, shape (n,)
        That one fill takes. [J]
    charge_efficiency : float or array, shape (n,)
        Share of what goes in that comes out again. [-]
    other_power : float or array, shape (n,), default 0
        Average of all other loads. [W]

    Returns
    -------
    float or array, shape (n,)
        Below 0 the battery runs down without a single fill. [1/s]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: balance of energy.

    Examples
    --------
    10 W on average, 0.8 of it stored, 20 Wh to a fill:

    >>> fills_sustained(power_in=10.0, energy=20 * 3600.0, charge_efficiency=0.8) * 86400
    9.6
    """
    require("power_in", power_in, 0.0, 1e7, "W")
    require("energy", energy, 1e-6, 1e12, "J")
    require("charge_efficiency", charge_efficiency, 0.0, 1.0)
    require("other_power", other_power, 0.0, 1e7, "W")
    return plain((np.asarray(power_in) * charge_efficiency - other_power) / np.asarray(energy))
