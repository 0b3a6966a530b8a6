"""Ways on which nothing resists the water: their flow would have no limit, and between equal heads no size of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.errors import Mistake, NetworkError

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network.plan import Plan

__all__ = ["check_resisted"]

_SAME: Final = 1e-9
"""m; heads that differ by less are one: any flow at all would do between them."""
_LEAST: Final = 1e-6
"""s/m²; a line whose loss goes with its flow and is less, a thousandth of a millimetre for a cubic metre a second, resists
nothing."""


def check_resisted(plan: Plan) -> None:
    """Refuse a plan in which water could run from one end to another that is no higher without any loss.

    Raises
    ------
    NetworkError
        Naming the last line of such a way.
    """
    resisted = ((plan.losses.square_forward != 0.0) | (plan.losses.linear > _LEAST)).all(axis=0)
    resisted[plan.rubbing.line[(plan.rubbing.head_per_group > 0.0).all(axis=0)]] = True  # a hose of no length does not
    if plan.pumps is not None:
        resisted[plan.pumps.lines] = True
    if not resisted.all():
        open_lines = ((plan.ends.low < 0.0) | (plan.ends.high > 0.0)).any(axis=0)
        lines = np.flatnonzero(~resisted & open_lines).tolist()
        _search(plan, lines)
        _level(plan, lines)


def _search(plan: Plan, lines: list[int]) -> None:
    """Follow the highest head along lines without loss, from joint to joint, until it meets a lower one."""
    ends, layout = plan.ends, plan.layout
    joints, cracking = len(layout.joints), plan.losses.cracking
    reached: Array = np.full((plan.variants, joints + 1), -np.inf)
    forward = {*np.flatnonzero((ends.high > 0.0).any(axis=0)).tolist()}
    backward = {*np.flatnonzero((ends.low < 0.0).any(axis=0)).tolist()}
    there = [
        (line, layout.start[line], layout.end[line], ends.fixed_start, ends.fixed_end)
        for line in lines
        if line in forward
    ]
    back = [
        (line, layout.end[line], layout.start[line], ends.fixed_end, ends.fixed_start)
        for line in lines
        if line in backward
    ]
    for _ in range(joints + 1):
        for line, first, last, from_head, to_head in (*there, *back):
            head = (from_head[:, line] if first == joints else reached[:, first]) - cracking[:, line]
            if last == joints:
                _compare(plan, line, head, to_head[:, line])
            else:
                reached[:, last] = np.maximum(reached[:, last], head)


def _level(plan: Plan, lines: list[int]) -> None:
    """Refuse lines without loss that join two ends of one head."""
    ends, layout = plan.ends, plan.layout
    joints = len(layout.joints)
    group = {joint: joint for joint in range(joints)}
    heads: dict[int, list[Array]] = {}
    for line in lines:
        first, last = int(layout.start[line]), int(layout.end[line])
        fixed = [head[:, line] for at, head in ((first, ends.fixed_start), (last, ends.fixed_end)) if at == joints]
        inner = [group[at] for at in (first, last) if at != joints]
        own = inner[0] if inner else joints + 1 + line
        if len(inner) == 2:
            heads.setdefault(own, []).extend(heads.pop(inner[1], []) if inner[1] != own else [])
            group = {joint: own if at == inner[1] else at for joint, at in group.items()}
        there = heads.setdefault(own, [])
        there += fixed
        _compare_all(plan, line, there)


def _compare_all(plan: Plan, line: int, heads: list[Array]) -> None:
    for at, head in enumerate(heads):
        for other in heads[at + 1 :]:
            if np.any(np.abs(head - other) <= _SAME):
                raise _unresisted(plan, line)


def _compare(plan: Plan, line: int, higher: Array, lower: Array) -> None:
    if np.any(higher > lower + _SAME):
        raise _unresisted(plan, line)


def _unresisted(plan: Plan, line: int) -> NetworkError:
    name = plan.layout.lines[line]
    found = "next to nothing on its whole way that resists the water, which could run at any rate"
    return NetworkError([Mistake(f"lines.{name}.parts", found, "a hose, or a part or an end whose k is more than 0")])
