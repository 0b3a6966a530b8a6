"""The running pumps of a plan on whatever drives them: what each adds at a flow, the most that it passes, and its flow."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from hydrokit.laws.pump_curve import gain
from hydrokit.network.drives import sheet_points

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network.plan import Pumps

__all__ = ["driven_gains", "flow_limits", "flows_at", "line_limits"]


def driven_gains(pumps: Pumps, flow: Array) -> tuple[Array, Array]:
    """Return the head each running pump adds and its slope, shape (n, U), for its flow, shape (n, U)."""
    sheet = flow / pumps.flow_scale
    points = [(drive, sheet_points(drive, sheet[:, drive.place])) for drive in pumps.drives]
    rows = max(len(point.sheet_flow) for _, point in points)
    if rows > len(sheet):  # one flow asked of many variants
        sheet = np.repeat(sheet, rows, axis=0)
    for drive, point in points:
        sheet[:, drive.place] = point.sheet_flow
    rise, slope = gain(pumps.table, sheet)
    for drive, point in points:
        at = drive.place
        slope[:, at] *= point.sheet_slope
        if drive.kind == "rotodynamic":
            slope[:, at] = point.speed * (2.0 * point.speed_slope * rise[:, at] + point.speed * slope[:, at])
            rise[:, at] *= point.speed**2
    return rise * pumps.head_scale, np.minimum(slope, 0.0) * (pumps.head_scale / pumps.flow_scale)


def flow_limits(pumps: Pumps) -> Array:
    """Return the flow that each running pump never passes, shape (n, U), m³/s; 0 for one that cannot turn at all."""
    limits = pumps.table.flow_limit * pumps.flow_scale
    if not pumps.drives:
        return np.asarray(limits, np.float64)
    rows = max(len(pumps.flow_scale), *(len(drive.knots) for drive in pumps.drives))
    whole = np.array(np.broadcast_to(limits, (rows, len(pumps.line))))
    scale = np.broadcast_to(pumps.flow_scale, whole.shape)
    for drive in pumps.drives:
        if drive.kind == "displacement":
            at = drive.place
            end = np.where(np.isfinite(pumps.table.flow_limit), pumps.table.flow_limit, pumps.table.open_flow)[at]
            speed = drive.speed_at(end[None, :])
            limit = np.where(np.isfinite(pumps.table.flow_limit[at]), speed * end * scale[:, at], np.inf)
            whole[:, at] = np.where(speed > 0.0, limit, 0.0)
    return whole


def line_limits(pumps: Pumps | None, lines: int) -> Array:
    """Return the flow that the pumps of each line never pass, shape (n, L), m³/s; infinite where none bounds it."""
    if pumps is None:
        return np.full((1, lines), np.inf)
    each = flow_limits(pumps)
    limits = np.full((len(each), lines), np.inf)
    for place, line in enumerate(pumps.line.tolist()):
        limits[:, line] = np.minimum(limits[:, line], each[:, place])
    return limits


def flows_at(pumps: Pumps, sheet_flow: Array) -> Array:
    """Return the flow of each running pump at a flow of its data sheet, shape (n, U), both in m³/s."""
    flow = sheet_flow * pumps.flow_scale
    rows = max([len(flow), *(len(drive.knots) for drive in pumps.drives)])
    whole = np.array(np.broadcast_to(flow, (rows, flow.shape[1])))
    for drive in pumps.drives:
        sheet = np.broadcast_to(sheet_flow, whole.shape)[:, drive.place]
        finite = np.isfinite(sheet)
        whole[:, drive.place] *= np.where(finite, drive.speed_at(np.where(finite, sheet, 0.0)), 1.0)
    return whole
