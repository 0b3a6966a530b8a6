"""Where the head goes: the power that pumps and falling water give, shared out among lift and parts.

Head times flow is power per specific weight, so parts of branches that carry little count for little, and what goes in
equals what comes out: it is the energy balance of the whole rig.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Final

import numpy as np

from hydrokit.bounds import Dimension, Spec
from hydrokit.network import ENTRANCE, EXIT

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network import Solution

__all__ = ["LIFT", "HeadShare", "head_shares", "lost_power", "spent_power"]

LIFT: Final = "lift"
"""The place of the share that goes into height, and into pressure kept up at an outlet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadShare:
    """What one part costs: head at its own flow, and share of everything spent in the rig."""

    place: str
    kind: str
    head: Annotated[float, Spec(Dimension.LENGTH, "lost in it")]
    share: Annotated[float, Spec(Dimension.FRACTION, "of what is spent in the whole rig")]


def lost_power(solution: Solution) -> tuple[tuple[str, ...], Array]:
    """Return the places that cost head, and head times flow lost at each, m⁴/s, shape (n, places).

    A part's changes of bore count with the part, a line's entrance and exit by themselves.
    """
    plan, walk = solution.plan, solution.walk
    flow = solution.flows.flow[:, plan.element_line]
    power = walk.loss * flow
    if plan.pumps is not None:
        power[:, plan.pumps.element] = 0.0
    names = [
        f"{element.address} {element.kind}" if element.kind in (ENTRANCE, EXIT) else element.address
        for element in plan.elements
    ]
    places = tuple(dict.fromkeys(names))
    gathered = np.zeros((len(power), len(places)))
    for index, name in enumerate(names):
        gathered[:, places.index(name)] += power[:, index]
    return places, gathered


def _lift_power(solution: Solution) -> Array:
    """Return flow times the height, or pressure kept up, that it gains between the ends of the rig, m⁴/s."""
    ends, flow = solution.plan.ends, solution.flows.flow
    out = np.nan_to_num(np.broadcast_to(ends.fixed_end, flow.shape)) * flow
    into = np.nan_to_num(np.broadcast_to(ends.fixed_start, flow.shape)) * flow
    gained: Array = (out - into).sum(axis=1)
    return gained


def spent_power(solution: Solution) -> Array:
    """Return head times flow spent in the whole rig, on losses and on height gained, m⁴/s, shape (n,)."""
    _, power = lost_power(solution)
    spent: Array = power.sum(axis=1) + np.maximum(_lift_power(solution), 0.0)
    return spent


def head_shares(solution: Solution, row: int = 0) -> tuple[HeadShare, ...]:
    """Return what each part costs in one variant, largest first; nothing where nothing flows."""
    places, power = lost_power(solution)
    lift = float(_lift_power(solution)[row])
    spent = float(power[row].sum()) + max(lift, 0.0)
    if spent <= 0.0:
        return ()
    kinds: dict[str, str] = {}
    heads: dict[str, float] = {}
    for index, element in enumerate(solution.plan.elements):
        name = f"{element.address} {element.kind}" if element.kind in (ENTRANCE, EXIT) else element.address
        kinds[name] = element.part.kind if element.part is not None else kinds.get(name, element.kind)
        heads[name] = heads.get(name, 0.0) + float(solution.walk.loss[row, index])
    shares = [
        HeadShare(place=place, kind=kinds[place], head=heads[place], share=float(power[row, column]) / spent)
        for column, place in enumerate(places)
        if power[row, column] > 0.0
    ]
    if lift > 0.0:
        carried = float(np.abs(solution.flows.flow[row]).max())
        shares.append(HeadShare(place=LIFT, kind=LIFT, head=lift / carried, share=lift / spent))
    return tuple(sorted(shares, key=lambda share: -share.share))
