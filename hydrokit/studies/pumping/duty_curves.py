"""A pump's curve against the curves of its rig, filters new and used up, with the flow at which suction gives way."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, Final, Literal

import numpy as np

from hydrokit.answers import finite_or_none
from hydrokit.bounds import Dimension, Spec
from hydrokit.network import solve
from hydrokit.parts import Filter
from hydrokit.rules import State
from hydrokit.rules.allowed import allows
from hydrokit.rules.drawing import fed_pumps
from hydrokit.studies.pumping.swaps import cut_open
from hydrokit.studies.pumping.systems import LEAST, may_reach, pump_heads

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from hydrokit.bounds import Array

__all__ = ["DutyCurve", "SystemCurve", "duty_curves"]

_STEPS: Final = 33
_LOOKED_AT: Final = 48
"""Flows looked at together while that is sought at which suction gives way."""
_ROUNDS: Final = 4

Filters = Literal["as they are", "new", "used up"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SystemCurve:
    """Head that the rig asks of a pump at each flow of its curve, and where it then works; None where it cannot pass the flow."""

    filters: Filters
    heads: Annotated[tuple[float | None, ...], Spec(Dimension.LENGTH, "that the rig asks for at each flow")]
    flow: Annotated[float, Spec(Dimension.FLOW, "through the pump, pipe full")]
    head: Annotated[float, Spec(Dimension.LENGTH, "added by the pump then")]


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyCurve:
    """One running pump against its rig. For plotting.

    Parameters
    ----------
    place : str
        Address of the pump.
    flows, heads : tuple
        The pump's own curve, driven as it is; None where it delivers no such flow.
    systems : tuple of SystemCurve
        The rig as it stands first; then with filters new, where they are not, and used up, where any states its end drop.
    suction_limit : float or None
        Largest flow that suction allows; None where it allows all of these flows, or where no open line brings water.
    fed : bool
        Whether an open line brings the pump water.
    """

    place: str
    flows: Annotated[tuple[float, ...], Spec(Dimension.FLOW, "through the pump, rising")]
    heads: Annotated[tuple[float | None, ...], Spec(Dimension.LENGTH, "that the pump adds at each flow")]
    systems: tuple[SystemCurve, ...]
    suction_limit: Annotated[float | None, Spec(Dimension.FLOW, "largest that suction allows")]
    fed: bool


def _settings(state: State) -> dict[Filters, dict[str, float]]:
    """Return the loading of each filter that can show any, in each setting worth a curve."""
    loaded = {
        f"{element.address}.loading": float(np.ravel(state.of(element, "loading"))[0])
        for _, element in state.elements(Filter)
        if getattr(element.part, "end_drop", None) is not None
    }
    settings: dict[Filters, dict[str, float]] = {"as they are": loaded}
    if any(loaded.values()):
        settings["new"] = dict.fromkeys(loaded, 0.0)
    if any(loading != 1.0 for loading in loaded.values()):
        settings["used up"] = dict.fromkeys(loaded, 1.0)
    return settings


def _columns(settings: Mapping[Filters, Mapping[str, float]], each: int) -> dict[str, Array]:
    """Return an array for every address, each setting repeated."""
    rows = list(settings.values())
    return {address: np.repeat([row[address] for row in rows], each) for address in rows[0]}


def _top(state: State, index: int, duties: list[float]) -> float:
    """Return the flow up to which curves are drawn, m³/s: to the pump's open flow where the rig passes any flow."""
    reach = may_reach(state, duties)
    alone = len(state.running) == 1 and not np.any(state.plan.ends.demand)
    freely = state.pumps.table.open_flow[state.on[index]]
    return max(reach, float(state.flow_at_sheet(index, freely)[0])) if alone else reach


def _suction_limit(state: State, place: str, changed: Mapping[str, float], top: float) -> float | None:
    """Return the largest flow that suction allows, m³/s; None where it allows ``top``."""
    altitude: Any = state.plan.values.of("site", state.rig.site, "altitude")
    alike = {"site.altitude": np.full(_LOOKED_AT, float(np.ravel(altitude)[0]))}
    many = State(solve(state.rig, state.plan.mode, {**changed, **alike}))
    pump = next(index for index in many.running if many.plan.elements[index].address == place)
    low, high = 0.0, top
    for _ in range(_ROUNDS):
        flows = np.linspace(low, high, _LOOKED_AT + 1)[1:]
        good = allows(many, pump, flows)
        if good.all():
            return None if high == top else high
        first = int(np.argmin(good))
        low, high = (low if first == 0 else float(flows[first - 1])), float(flows[first])
    return low


def _curve(state: State, index: int, changed: Mapping[str, float]) -> DutyCurve | None:
    settings, place, mode = _settings(state), state.plan.elements[index].address, state.plan.mode
    worked = State(solve(state.rig, mode, {**changed, **_columns(settings, 1)}))
    flow, head = worked.flow_at(index), -worked.walk.loss[:, index]
    if len(flow) < len(settings):  # nothing differs between them
        flow, head = np.repeat(flow, len(settings)), np.repeat(head, len(settings))
    top = _top(state, index, flow.tolist())
    if top <= 0.0:
        return None
    duties = flow[(flow > LEAST * top) & (flow <= top)]
    flows = np.unique(np.concatenate([np.linspace(LEAST * top, top, _STEPS), duties]))
    cut = cut_open(state.rig, mode, place, {**changed, **_columns(settings, len(flows))})
    solution = solve(cut.rig, None, cut.variation(np.tile(flows, len(settings))))
    asked = (solution.head(cut.after) - solution.head(cut.before)).reshape(len(settings), -1)
    fed = index in fed_pumps(state)
    return DutyCurve(
        place=place,
        flows=tuple(flows.tolist()),
        heads=tuple(map(finite_or_none, pump_heads(state, place, flows))),
        systems=tuple(
            SystemCurve(
                filters=filters,
                heads=tuple(map(finite_or_none, asked[row])),
                flow=float(flow[row]),
                head=float(head[row]),
            )
            for row, filters in enumerate(settings)
        ),
        suction_limit=_suction_limit(state, place, changed, top) if fed else None,
        fed=fed,
    )


def duty_curves(state: State, changed: Mapping[str, float], of: Sequence[int] | None = None) -> tuple[DutyCurve, ...]:
    """Return the curves of running pumps in a solved rig of one variant.

    Parameters
    ----------
    state : State
        One variant.
    changed : mapping of address to float
        What stood in front of the rig's own values, SI.
    of : sequence of int, optional
        Element indices of the pumps; all that run where none are named.
    """
    found = [_curve(state, index, changed) for index in (state.running if of is None else of)]
    return tuple(curve for curve in found if curve is not None)
