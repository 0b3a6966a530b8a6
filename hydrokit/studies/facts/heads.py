"""Where the head goes: the power that pumps and falling water give, shared out among lift and parts.

Head times flow is power per specific weight, so parts of branches that carry little count for little, and what goes in
equals what comes out: it is the energy balance of the whole rig.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Final

import numpy as np

from hydrokit.bounds import Dimension, Spec
from hydrokit.network import CHANGE_OF_BORE, ENTRANCE, EXIT

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network import Element, Solution

__all__ = ["LIFT", "HeadShare", "head_shares", "lift_power", "lost_power", "pump_power", "spent_power"]

LIFT: Final = "lift"
"""The place of the share that goes into height, and into pressure kept up at an outlet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadShare:
    """What one part costs: head at its own flow, and share of everything spent in the rig."""

    place: str
    kind: str
    head: Annotated[float, Spec(Dimension.LENGTH, "lost in it")]
    share: Annotated[float, Spec(Dimension.FRACTION, "of what is spent in the whole rig")]


def _place(element: Element) -> str:
    """Return where an element's loss is booked: changes of bore with their part, entrance and exit by themselves."""
    return f"{element.address} {element.kind}" if element.kind in (ENTRANCE, EXIT) else element.address


def lost_power(solution: Solution) -> tuple[tuple[str, ...], Array]:
    """Return the places that cost head, and head times flow lost at each, m⁴/s, shape (n, places).

    A part's changes of bore count with the part, a line's entrance and exit by themselves.
    """
    plan = solution.plan
    power = solution.walk.loss * solution.flows.flow[:, plan.element_line]
    if plan.pumps is not None:
        power[:, plan.pumps.element] = 0.0
    names = [_place(element) for element in plan.elements]
    places = tuple(dict.fromkeys(names))
    column = {place: number for number, place in enumerate(places)}
    gathered = np.zeros((len(power), len(places)))
    for index, (name, element) in enumerate(zip(names, plan.elements, strict=True)):
        if element.kind == CHANGE_OF_BORE:  # the narrower neighbour bears it, which may be another in each variant
            first = np.less(np.asarray(element.bore_before), np.asarray(element.bore))
            gathered[:, column[names[index - 1]]] += np.where(first, power[:, index], 0.0)
            gathered[:, column[names[index + 1]]] += np.where(first, 0.0, power[:, index])
        else:
            gathered[:, column[name]] += power[:, index]
    return places, gathered


def pump_power(solution: Solution) -> Array:
    """Return head times flow that the pumps give, m⁴/s, shape (n,); less than 0 where water is forced back through one."""
    plan = solution.plan
    given = np.zeros(solution.variants)
    if plan.pumps is not None:
        flow = solution.flows.flow[:, plan.pumps.line]
        given = -(solution.walk.loss[:, plan.pumps.element] * flow).sum(axis=1)
    return np.asarray(given, np.float64)


def lift_power(solution: Solution) -> Array:
    """Return flow times the height, or pressure kept up, that it gains between the ends of the rig, m⁴/s, shape (n,).

    Less than 0 where water falls. What is taken out at a joint leaves with the head there.
    """
    ends, flow = solution.plan.ends, solution.flows.flow
    out = np.nan_to_num(np.broadcast_to(ends.fixed_end, flow.shape)) * flow
    into = np.nan_to_num(np.broadcast_to(ends.fixed_start, flow.shape)) * flow
    taken = np.nan_to_num(solution.flows.head) * ends.demand
    return np.asarray((out - into).sum(axis=1) + taken.sum(axis=1), np.float64)


def spent_power(solution: Solution) -> Array:
    """Return head times flow spent in the whole rig, on losses and on height gained, m⁴/s, shape (n,)."""
    _, power = lost_power(solution)
    spent: Array = power.sum(axis=1) + np.maximum(lift_power(solution), 0.0)
    return spent


def _throughput(solution: Solution, row: int) -> float:
    """Return the flow that comes out of the sources and tanks that give any, and is put in at joints, m³/s."""
    rig, given = solution.plan.rig, dict.fromkeys(solution.plan.rig.ends(), 0.0)
    for line, flow in zip(rig.lines.values(), solution.flows.flow[row].tolist(), strict=True):
        given[line.start] += flow
        given[line.end] -= flow
    return sum(max(flow, 0.0) for flow in given.values())


def head_shares(solution: Solution, row: int = 0) -> tuple[HeadShare, ...]:
    """Return what each part costs in one variant, largest first; nothing where nothing flows."""
    places, power = lost_power(solution)
    spent, lift = float(spent_power(solution)[row]), float(lift_power(solution)[row])
    if spent <= 0.0:
        return ()
    kinds: dict[str, str] = {}
    carried: dict[str, float] = {}
    for element, line in zip(solution.plan.elements, solution.plan.element_line.tolist(), strict=True):
        place = _place(element)
        kinds[place] = element.part.kind if element.part is not None else kinds.get(place, element.kind)
        carried[place] = abs(float(solution.flows.flow[row, line]))
    shares = [
        HeadShare(place=place, kind=kinds[place], head=float(lost) / carried[place], share=float(lost) / spent)
        for place, lost in zip(places, power[row], strict=True)
        if lost > 0.0
    ]
    if lift > 0.0:
        shares.append(HeadShare(place=LIFT, kind=LIFT, head=lift / _throughput(solution, row), share=lift / spent))
    return tuple(sorted(shares, key=lambda share: -share.share))
