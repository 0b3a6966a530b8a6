r"""A hand pump as a curve: the least of stroke rate, force and what a person sustains.

References
----------
Fraenkel, P., Water lifting, FAO Irrigation and Drainage Paper 43, 1986: a person sustains some 50 to 75 W (from
memory).
"""

from __future__ import annotations

from itertools import pairwise
from typing import Final

import numpy as np

from hydrokit.arguments import as_annotated
from hydrokit.bounds import require

__all__ = ["hand_pump_points"]

_STEPS: Final = 20
"""Points along the stretch limited by power."""
_CORNER: Final = 1.004
"""A point this close to where force gives way to power, so that the smooth curve rounds the corner by 0.3 % at most."""


@as_annotated
def hand_pump_points(
    *,
    stroke_volume: float,
    stroke_time: float,
    greatest_pressure: float,
    person_power: float,
    pump_efficiency: float = 1.0,
) -> tuple[tuple[float, float], ...]:
    r"""Return points (flow, pressure rise) of a hand pump for :func:`hydrokit.laws.pump_curve.compile_curves`.

    .. math:: \Delta p = \min\left(p_{max},\; \eta P / Q\right), \quad Q \le V / t

    Parameters
    ----------
    stroke_volume : float
        Delivered per stroke. [m^3]
    stroke_time : float
        For one stroke at the quickest rate that is kept up. [s]
    greatest_pressure : float
        Pressure rise at the greatest force on the handle. [Pa]
    person_power : float
        What the person puts in and keeps up. [W]
    pump_efficiency : float, default 1
        Share of it that reaches the water; 1 takes ``person_power`` as that share already. [-]

    Returns
    -------
    tuple of (flow, pressure rise)
        Level at the greatest pressure, falling with constant power, upright at the quickest stroke.

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Flow is the mean over a stroke. Source of the three limits: common practice, no source.

    Examples
    --------
    0.4 L in 1.5 s at most, 3 bar at most, 60 W: 16 L/min up to 2.25 bar, then fewer strokes.

    >>> points = hand_pump_points(stroke_volume=0.4e-3, stroke_time=1.5, greatest_pressure=300e3, person_power=60.0)
    >>> points[-1][0] * 60e3, points[-2][1] / 1e5
    (16.0, 2.25)
    """
    require("stroke_volume", stroke_volume, 1e-9, 10.0, "m^3")
    require("stroke_time", stroke_time, 1e-2, 3600.0, "s")
    require("greatest_pressure", greatest_pressure, 1.0, 1e8, "Pa")
    require("person_power", person_power, 1e-3, 1e4, "W")
    require("pump_efficiency", pump_efficiency, 1e-3, 1.0)
    quickest = stroke_volume / stroke_time
    power = pump_efficiency * person_power
    by_force = power / greatest_pressure
    if by_force >= quickest:
        return ((0.0, greatest_pressure), (quickest, greatest_pressure), (quickest, 0.0))
    flows = [by_force, by_force * _CORNER, *np.geomspace(by_force, quickest, _STEPS + 1)[1:-1].tolist(), quickest]
    ordered = [flow for flow in sorted(flows) if flow <= quickest]
    spread = [flow for flow, following in pairwise(ordered) if following > flow * (1.0 + 1e-6)]
    falling = [(flow, power / flow) for flow in [*spread, quickest]]
    return ((0.0, greatest_pressure), *falling, (quickest, 0.0))
