"""The law of a line for one variant at a time: the same law as :mod:`hydrokit.network.loss`.

Friction is the function that ``fluids`` ships, compiled as it stands, and hydrokit's own arithmetic around it. Arrays are
those of :mod:`hydrokit.network.compiled.columns`.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from fluids.friction import Clamond

from hydrokit.laws.friction import LAMINAR_END, REST_REYNOLDS, TURBULENT_START, bridged_group, turbulent_group
from hydrokit.network.compiled.columns import (
    BACKWARD,
    BASE,
    BEGINS,
    CONSTANT,
    CRACKING,
    DRIVE,
    FACTOR,
    FIRST,
    FLOW_SCALE,
    FORWARD,
    HEAD_SCALE,
    KNOT,
    LINEAR,
    LOOP,
    LOSS,
    ORIGIN,
    PER_FLOW,
    PER_GROUP,
    PUMP_LINE,
    RATED,
    REST,
    RISE,
    ROTODYNAMIC,
    ROUGH,
    SECOND,
    SLOPE,
    SUPPLY,
    THIRD,
    WINDING,
    inlined,
    shared,
)
from hydrokit.network.tolerances import FLATTEST, LEAST_ROOT

__all__ = ["colebrook", "line_law"]

colebrook = inlined(Clamond)
_turbulent = inlined(turbulent_group)
_bridged = inlined(bridged_group)


@inlined
def _group(number: float, rough: float) -> tuple[float, float]:
    if number <= LAMINAR_END:
        return 64.0 * number, 64.0
    group, slope = _turbulent(number, rough, colebrook(number, rough))
    if number < TURBULENT_START:
        group, slope = _bridged(number, (number - LAMINAR_END) / (TURBULENT_START - LAMINAR_END), group, slope)
    return group, slope


@inlined
def _stated_group(number: float, factor: float) -> tuple[float, float]:
    if number > REST_REYNOLDS:
        return factor * number * number, factor * 2.0 * number
    return factor * number * REST_REYNOLDS, factor * REST_REYNOLDS


@inlined
def _rub(row: int, hoses: Any, hose_line: Any, work: Any, flow: int) -> None:
    for hose in range(hose_line.size):
        line = hose_line[hose]
        carried, per_flow = work[flow, line], hoses[row, hose, PER_FLOW]
        number, stated = abs(carried) * per_flow, hoses[row, hose, FACTOR]
        if np.isnan(stated):
            group, slope = _group(number, hoses[row, hose, ROUGH])
        else:
            group, slope = _stated_group(number, stated)
        per_group = hoses[row, hose, PER_GROUP]
        work[flow + LOSS, line] += group * per_group if carried >= 0.0 else -group * per_group
        work[flow + SLOPE, line] += slope * per_flow * per_group


@inlined
def _swept(
    row: int, pump: int, drive: int, pumps: Any, currents: Any, flow: float
) -> tuple[float, float, float, float]:
    """Return flow on the data sheet, its slope, speed and its slope, for a flow over the flow scale.

    See :mod:`hydrokit.network.drives` for the formulae.
    """
    piece = 0
    while piece + 1 < currents.shape[2] and flow >= currents[row, pump, piece + 1, KNOT]:
        piece += 1
    base, rise = currents[row, pump, piece, BASE], currents[row, pump, piece, RISE]
    supply, loop = pumps[row, pump, SUPPLY], pumps[row, pump, LOOP]
    winding, rated = pumps[row, pump, WINDING], pumps[row, pump, RATED]
    back, bend = rated - base * winding, rise * loop
    if drive == ROTODYNAMIC:
        linear, open_supply = bend * flow + back, supply + rise * winding * flow
        root = max(np.sqrt(max(linear**2 + 4.0 * base * loop * open_supply, 0.0)), LEAST_ROOT * supply)
        speed = 2.0 * open_supply / (linear + root)
        speed_slope = -rise * (loop * speed - winding) / root
        sheet = flow / speed
        return sheet, (1.0 - sheet * speed_slope) / speed, speed, speed_slope
    spare = supply - base * loop + rise * winding * flow
    root = max(np.sqrt(max(spare**2 - 4.0 * bend * back * flow, 0.0)), LEAST_ROOT * supply)
    if spare > 0.0:
        sheet = 2.0 * back * flow / (spare + root)
    else:
        sheet = (spare - root) / (2.0 * bend) if bend < 0.0 else flow
    return sheet, (rated - (base + rise * sheet) * winding) / root, 1.0, 0.0


@inlined
def _lift(row: int, pumps: Any, currents: Any, curves: Any, pump_index: Any, work: Any, flow: int) -> None:
    for pump in range(pump_index.shape[0]):
        line, drive = pump_index[pump, PUMP_LINE], pump_index[pump, DRIVE]
        if line < 0:  # its line is shut
            continue
        flow_scale, head_scale = pumps[row, pump, FLOW_SCALE], pumps[row, pump, HEAD_SCALE]
        sheet, sheet_slope, speed, speed_slope = work[flow, line] / flow_scale, 1.0, 1.0, 0.0
        if drive != 0:
            sheet, sheet_slope, speed, speed_slope = _swept(row, pump, drive, pumps, currents, sheet)
        piece = 0
        while piece + 1 < curves.shape[1] and sheet >= curves[pump, piece + 1, BEGINS]:
            piece += 1
        along = sheet - curves[pump, piece, ORIGIN]
        first, second, third = curves[pump, piece, FIRST], curves[pump, piece, SECOND], curves[pump, piece, THIRD]
        rise = ((third * along + second) * along + first) * along + curves[pump, piece, CONSTANT]
        fall = min((3.0 * third * along + 2.0 * second) * along + first, 0.0) * sheet_slope
        if drive == ROTODYNAMIC:
            fall = speed * (2.0 * speed_slope * rise + speed * fall)
            rise *= speed**2
        work[flow + LOSS, line] -= rise * head_scale
        work[flow + SLOPE, line] -= min(fall, 0.0) * (head_scale / flow_scale)


@shared
def line_law(
    row: int,
    lines: Any,
    hoses: Any,
    hose_line: Any,
    pumps: Any,
    currents: Any,
    curves: Any,
    pump_index: Any,
    work: Any,
    flow: int,
) -> None:
    """Write head lost along each line of one variant and its slope, at the flows in row ``flow`` of ``work``.

    They go into the two rows after it.
    """
    for line in range(work.shape[1]):
        carried, rest, linear = work[flow, line], lines[row, line, REST], lines[row, line, LINEAR]
        speed = abs(carried)
        square = lines[row, line, FORWARD] if carried >= 0.0 else lines[row, line, BACKWARD]
        work[flow + LOSS, line] = carried * (linear + square * max(speed, rest)) + lines[row, line, CRACKING]
        work[flow + SLOPE, line] = linear + square * (2.0 * speed if speed > rest else rest)
    _rub(row, hoses, hose_line, work, flow)
    _lift(row, pumps, currents, curves, pump_index, work, flow)
    for line in range(work.shape[1]):
        work[flow + SLOPE, line] = max(work[flow + SLOPE, line], FLATTEST)
