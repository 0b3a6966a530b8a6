"""The pump's curve and the system's: what a pump adds at each flow, and what the rig asks for it to pass."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Final

import numpy as np

from hydrokit.answers import finite_or_none
from hydrokit.bounds import Dimension, Spec
from hydrokit.network import solve
from hydrokit.network.driven import flow_limits
from hydrokit.network.loss import pump_gains
from hydrokit.studies.pumping.swaps import cut_open

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hydrokit.bounds import Array
    from hydrokit.rig import Rig
    from hydrokit.rules import State

__all__ = ["LEAST", "PumpCurve", "curves_of", "may_reach", "pump_heads"]

_STEPS: Final = 25
LEAST: Final = 1e-6
"""First flow of a curve as a share of the last: none at all would leave shut valves between the pump and the rig."""
_BEYOND: Final = 1.25


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpCurve:
    """Head added by the pump and head the rig asks for, flow by flow; they meet at the duty. For plotting.

    None where the pump delivers no such flow, or the rig cannot pass it.
    """

    flows: Annotated[tuple[float, ...], Spec(Dimension.FLOW, "through the pump, rising")]
    pump_heads: Annotated[tuple[float | None, ...], Spec(Dimension.LENGTH, "that the pump adds at each flow")]
    system_heads: Annotated[tuple[float | None, ...], Spec(Dimension.LENGTH, "that the rig asks for at each flow")]


def may_reach(state: State, duties: list[float]) -> float:
    """Return the flow up to which curves are worth drawing, m³/s.

    With one pump and no demand at a joint the rig passes any flow; else only what some pump was found to push through
    is sure to be possible.
    """
    alone = len(state.running) == 1 and not np.any(state.plan.ends.demand)
    top = max(duties)
    if top <= 0.0 and alone:
        index = state.running[0]
        return float(state.flow_at_sheet(index, state.pumps.table.data_high[state.on[index]])[0])
    return top * _BEYOND if alone else top


def pump_heads(state: State, place: str, flows: Array) -> Array:
    """Return the head that a pump adds, m; NaN where it delivers no such flow."""
    pumps = state.pumps
    column = next(at for index, at in state.on.items() if state.plan.elements[index].address == place)
    through = np.zeros((len(flows), len(pumps.line)))
    through[:, column] = flows
    heads = pump_gains(pumps, through)[0][:, column]
    possible = (heads >= 0.0) & (flows <= float(flow_limits(pumps)[0, column]))
    return np.where(possible, heads, np.nan)


def _system_heads(rig: Rig, mode: str, place: str, changed: Mapping[str, float], flows: Array) -> Array:
    cut = cut_open(rig, mode, place, changed)
    solution = solve(cut.rig, None, cut.variation(flows))
    return solution.head(cut.after) - solution.head(cut.before)


def curves_of(state: State, place: str, changed: Mapping[str, float], top: float) -> PumpCurve:
    """Return both curves of a pump in a solved rig, from almost nothing to a flow ``top``, the duty among them.

    Parameters
    ----------
    state : State
        The rig with the pump in it, one variant.
    place : str
        Address of the pump.
    changed : mapping of address to float
        What stood in front of the rig's own values.
    top : float
        [m^3/s]
    """
    index = next(index for index in state.running if state.plan.elements[index].address == place)
    duty = float(state.flow_at(index)[0])
    steps = np.linspace(LEAST * top, top, _STEPS)
    flows = np.unique(np.append(steps, duty)) if LEAST * top < duty <= top else steps
    heads, asked = pump_heads(state, place, flows), _system_heads(state.rig, state.plan.mode, place, changed, flows)
    return PumpCurve(
        flows=tuple(flows.tolist()),
        pump_heads=tuple(map(finite_or_none, heads)),
        system_heads=tuple(map(finite_or_none, asked)),
    )
