"""A pump that its pressure switch stops: the flow between cut-in and cut-out, and how much of the time it runs.

The switch acts on the gauge pressure at the pump's outlet. While it hunts, what is downstream is fed at a pressure
between cut-in and cut-out; so the rig downstream is solved with that pressure held at the outlet.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from hydrokit.laws.pump_curve import gain
from hydrokit.network import solve
from hydrokit.parts import Source
from hydrokit.rig import Line, Mode, Rig, owners

if TYPE_CHECKING:
    from hydrokit.rules.state import State

__all__ = ["Cycle", "cycling"]

_OUTLET = "pump-outlet"


@dataclass(frozen=True, slots=True)
class Cycle:
    """Flows in m³/s of what is downstream, at the two pressures of the switch; share of the time that the pump runs."""

    flow_at_cut_in: float
    flow_at_cut_out: float
    run_share: float


def _downstream_rig(state: State, index: int, row: int) -> tuple[Rig, str] | None:
    """Return the rig with everything up to the pump's outlet replaced by a source, and the name of its line."""
    rig = state.rig
    line_name = state.line_of(index)
    line = rig.lines[line_name]
    label = state.plan.elements[index].address.rpartition(".")[2]
    at = line.labels().index(label)
    named = tuple(replace(part, name=part.name or word) for part, word in zip(line.parts, line.labels(), strict=True))[
        at + 1 :
    ]
    if not named:
        return None
    lines = {**rig.lines, line_name: Line(start=_OUTLET, end=line.end, parts=named)}
    height = float(state.walk.height[row, state.outlet(index)])
    outlet = Source(surface=height, entrance_k=0.0)
    used = {end for each in lines.values() for end in (each.start, each.end)}
    mode = rig.mode(state.plan.mode)[1]
    pumps = tuple(address for address in mode.off if not address.startswith(f"lines.{line_name}."))
    kept = {
        group: {name: end for name, end in getattr(rig, group).items() if name in used}
        for group in ("sources", "tanks", "outlets", "joints")
    }
    kept["sources"][_OUTLET] = outlet
    groups: dict[str, Any] = kept
    return (
        replace(rig, lines=lines, modes={"": Mode(closed=mode.closed, off=pumps)}, origins={}, tolerances={}, **groups),
        line_name,
    )


def cycling(state: State, index: int, row: int) -> Cycle | None:
    """Return how a pump hunts in one variant; None where its cut-in is not stated or the pump ends its line."""
    element = state.plan.elements[index]
    cut_in, cut_out = state.of(element, "cut_in"), state.of(element, "cut_out")
    if cut_in is None or cut_out is None:
        return None
    found = _downstream_rig(state, index, row)
    if found is None:
        return None
    rig, line = found
    low, high = float(state.full(cut_in)[row]), float(state.full(cut_out)[row])
    pressures = np.array([low, 0.5 * (low + high), high])
    varied: dict[str, Any] = {
        address: np.ravel(value)[row] if np.ndim(value) else value
        for address, value in state.plan.values.changed.items()
        if _still_there(rig, address)
    }
    flow = solve(rig, variation={**varied, f"sources.{_OUTLET}.pressure": pressures}).flow(line)
    delivered = _pump_flow(state, index, row, float(pressures[1]))
    share = float(np.clip(flow[1] / delivered, 0.0, 1.0)) if delivered > 0.0 else 1.0
    return Cycle(float(flow[0]), float(flow[2]), share)


def _still_there(rig: Rig, address: str) -> bool:
    owner = address.rpartition(".")[0]
    return any(owner == other for other, _ in owners(rig))


def _pump_flow(state: State, index: int, row: int, outlet_pressure: float) -> float:
    """Return what the pump delivers against a pressure at its outlet, its inlet staying as solved, m³/s."""
    pumps = state.plan.pumps
    assert pumps is not None
    place = state.running.index(index)
    weight = float(state.full(state.conditions.weight)[row])
    inlet = float(state.walk.gauge_pressure[row, state.inlet(index)])
    wanted = (outlet_pressure - inlet) / weight
    scale = float(state.full(pumps.head_scale[:, place])[row])
    stretch = float(state.full(pumps.flow_scale[:, place])[row])
    flows = np.linspace(0.0, 2.0 * float(pumps.table.open_flow[place]), 2001)
    rise = gain(pumps.table, np.repeat(flows[:, None], len(pumps.line), axis=1))[0][:, place] * scale
    return float(np.interp(-wanted, -rise, flows)) * stretch
