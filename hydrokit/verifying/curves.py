"""A pump's data sheet as a curve through its points, by the monotone cubic of ``scipy``, one flow at a time."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.verifying.roots import root_between

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.verifying.walls import Law

__all__ = ["SheetCurve", "sheet_curve"]

_SAME_FLOW: Final = 1e-9  # of the largest: points closer than this stand above each other


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetCurve:
    """Gain against flow as the data sheet has it, in the unit of its points.

    Parameters
    ----------
    gain : callable
        Gain at a flow, m³/s; falling.
    shut_off, greatest : float
        Gain at no flow, and the greatest that is stated.
    open_flow, limit : float
        Flow at no gain, and the flow never passed whatever the gain; infinite where the curve does not end upright. [m^3/s]
    """

    gain: Law
    shut_off: float
    greatest: float
    open_flow: float
    limit: float


def _outline(points: Sequence[tuple[float, float]]) -> tuple[list[float], list[float], bool]:
    """Return flows and gains in order, gains never rising, and whether the curve ends upright."""
    table = sorted(points, key=lambda point: (point[0], -point[1]))
    most = table[-1][0]
    inside = [point for point in table if point[0] < most * (1.0 - _SAME_FLOW)]
    last = [point for point in table if point[0] >= most * (1.0 - _SAME_FLOW)]
    corner = (last[0][0], max(gain for _, gain in last))
    flows, gains = [list(each) for each in zip(*inside, corner, strict=True)]
    for place in reversed(range(len(gains) - 1)):
        gains[place] = max(gains[place], gains[place + 1])
    return flows, gains, len(last) > 1


def sheet_curve(points: Sequence[tuple[float, float]]) -> SheetCurve:
    """Return the curve through points (flow, gain).

    Before the first point and for flow forced backward it goes straight on, backward steepened by a square; beyond the last
    point it bends down as the data do on the whole.
    """
    flows, gains, upright = _outline(points)
    inside, first_slope, last_slope = _through(flows, gains)
    shut_off = gains[0] - first_slope * flows[0]
    bend = (shut_off - (0.0 if upright else gains[-1])) / flows[-1] ** 2
    open_flow = flows[-1]
    if gains[-1] <= 0.0:
        open_flow = _crossing(inside, flows, gains)
    elif not upright:
        open_flow += float(np.roots([-bend, last_slope, gains[-1]]).real.max())

    def gain(flow: float) -> float:
        if flow < 0.0:
            return shut_off + first_slope * flow + shut_off * (flow / open_flow) ** 2
        if flow < flows[0]:
            return shut_off + first_slope * flow
        if flow <= flows[-1]:
            return float(inside(flow))
        beyond = flow - flows[-1]
        return gains[-1] + last_slope * beyond - bend * beyond**2

    return SheetCurve(
        gain=gain,
        shut_off=shut_off,
        greatest=max(gain for _, gain in points),
        open_flow=open_flow,
        limit=flows[-1] if upright else math.inf,
    )


def _through(flows: Sequence[float], gains: Sequence[float]) -> tuple[Any, float, float]:
    """Return the cubic through the points, and its slopes at the first and at the last."""
    from scipy.interpolate import PchipInterpolator

    if len(flows) == 1:
        return (lambda _flow: gains[0]), 0.0, 0.0
    cubic = PchipInterpolator(flows, gains)
    slope = cubic.derivative()
    return cubic, float(slope(flows[0])), float(slope(flows[-1]))


def _crossing(inside: Any, flows: Sequence[float], gains: Sequence[float]) -> float:
    first = next(place for place, gain in enumerate(gains) if gain <= 0.0)
    if gains[first] == 0.0:
        return flows[first]
    return root_between(inside, flows[first - 1], flows[first])
