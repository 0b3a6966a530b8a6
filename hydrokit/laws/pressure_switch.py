r"""A pressure switch and its accumulator: what the vessel yields, how often the pump starts.

A switch acts on the gauge pressure at the pump's outlet and has hysteresis: the pump starts at ``cut_in`` and stops at
``cut_out``. Without an accumulator the number of starts is not known and none is computed.

References
----------
Boyle's law for the air cushion, taken as isothermal; the balance of one cycle is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Mistakes, require
from hydrokit.errors import RangeError

if TYPE_CHECKING:
    from hydrokit.bounds import Real

__all__ = ["SwitchCycle", "accumulator_drawdown", "switch_cycle"]


@as_annotated
def accumulator_drawdown(
    *, volume: Real, precharge_gauge: Real, cut_in_gauge: Real, cut_out_gauge: Real, air_pressure: Real
) -> Real:
    r"""Return the water an accumulator yields between cut-out and cut-in.

    .. math:: V = V_0 \left[\min\left(1, \frac{p_0}{p_{in}}\right) - \min\left(1, \frac{p_0}{p_{out}}\right)\right]

    with absolute pressures: gauge plus that of the air at the site.

    Parameters
    ----------
    volume : float or array, shape (n,)
        Of the vessel, all air. [m^3]
    precharge_gauge : float or array, shape (n,)
        Gauge pressure of its air when it holds no water. [Pa]
    cut_in_gauge, cut_out_gauge : float or array, shape (n,)
        Gauge pressures of the switch. [Pa]
    air_pressure : float or array, shape (n,)
        Absolute pressure of the air at the site. [Pa]

    Returns
    -------
    float or array, shape (n,)
        0 where the precharge is at cut-out or above: the vessel never takes water. [m^3]

    Raises
    ------
    RangeError
        If a value is outside what is possible or cut-in is not below cut-out.

    Notes
    -----
    Source: Boyle's law, for a slow change, the air at one temperature. A quick one yields about a third less, because the
    air cools as it expands: :math:`r^{1/1.4} - 1` in place of :math:`r - 1`, where *r* is the absolute cut-out pressure
    over the absolute cut-in pressure.

    Examples
    --------
    A one-litre vessel between 1.9 and 2.8 bar, precharged 0.14 bar below cut-in:

    >>> accumulator_drawdown(volume=1e-3, precharge_gauge=176e3, cut_in_gauge=190e3, cut_out_gauge=280e3,
    ...                      air_pressure=101_325.0) * 1e3
    0.225
    """
    require("volume", volume, 0.0, 1e3, "m^3")
    require("air_pressure", air_pressure, 1e3, 2e5, "Pa")
    for name, pressure in (
        ("precharge_gauge", precharge_gauge),
        ("cut_in_gauge", cut_in_gauge),
        ("cut_out_gauge", cut_out_gauge),
    ):
        require(name, pressure, 0.0, 1e8, "Pa")
    if np.any(np.asarray(cut_in_gauge) >= cut_out_gauge):
        mistakes = Mistakes()
        mistakes.add("cut_in_gauge", "a pressure at or above cut-out", "less than cut_out_gauge")
        mistakes.settle(RangeError)
    empty = precharge_gauge + air_pressure
    at_cut_in = np.minimum(1.0, empty / (cut_in_gauge + air_pressure))
    at_cut_out = np.minimum(1.0, empty / (cut_out_gauge + air_pressure))
    yielded = volume * (at_cut_in - at_cut_out)
    return yielded if np.ndim(yielded) else float(yielded)


@dataclass(frozen=True, slots=True)
class SwitchCycle:
    """One cycle of a pump between cut-in and cut-out.

    Parameters
    ----------
    run_time, rest_time : float or array, shape (n,)
        Infinite where the pump never stops, or never starts again. [s]
    starts_rate : float or array, shape (n,)
        Starts in a second; 0 where it does not cycle. [1/s]
    run_share : float or array, shape (n,)
        Part of the time that the pump runs. [-]
    """

    run_time: Real
    rest_time: Real
    starts_rate: Real
    run_share: Real


@as_annotated
def switch_cycle(*, drawdown: Real, pump_flow: Real, take: Real) -> SwitchCycle:
    r"""Return how a pump with an accumulator cycles while less is taken than it delivers.

    .. math:: t = \frac{V}{Q_p - Q_t} + \frac{V}{Q_t}

    Parameters
    ----------
    drawdown : float or array, shape (n,)
        Water stored between cut-in and cut-out, above 0. [m^3]
    pump_flow : float or array, shape (n,)
        Mean delivery between cut-in and cut-out, above 0. [m^3/s]
    take : float or array, shape (n,)
        Flow taken at the tap, 0 or above. [m^3/s]

    Returns
    -------
    SwitchCycle
        Starts are most frequent at half the pump's flow, :math:`Q_p / 4V`.

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: balance of water over one cycle, both flows taken as constant.

    Examples
    --------
    A quarter of a litre, 8 L/min from the pump, 2 L/min from the tap:

    >>> cycle = switch_cycle(drawdown=0.25e-3, pump_flow=8.0 / 60e3, take=2.0 / 60e3)
    >>> cycle.run_time, cycle.rest_time, cycle.starts_rate * 60.0, cycle.run_share
    (2.5, 7.5, 6.0, 0.25)
    """
    require("drawdown", drawdown, 1e-12, 1e3, "m^3")
    require("pump_flow", pump_flow, 1e-12, 1e3, "m^3/s")
    require("take", take, 0.0, 1e3, "m^3/s")
    stored, pumped, taken = (np.asarray(value, np.float64) for value in (drawdown, pump_flow, take))
    with np.errstate(divide="ignore"):
        run = np.where(taken < pumped, stored / np.maximum(pumped - taken, 0.0), np.inf)
        rest = np.where(taken > 0.0, stored / taken, np.inf)
    starts = 1.0 / (run + rest)
    share = np.minimum(taken / pumped, 1.0)
    if share.ndim or starts.ndim:
        return SwitchCycle(run, rest, starts, share)
    return SwitchCycle(float(run), float(rest), float(starts), float(share))
