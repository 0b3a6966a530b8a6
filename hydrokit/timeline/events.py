"""What happens within a step, and when: marks that a tank's water passes, a full tank that spills no more.

Between the ends of a step a volume is taken as the cubic that has the volumes and net inflows found there. A step that
goes too far beyond a mark is cut to where that cubic meets it, and taken again.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.timeline.marks import marks_of

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network.ports import Mask
    from hydrokit.timeline.marks import Marks
    from hydrokit.timeline.state import Run
    from hydrokit.timeline.step import Step

__all__ = ["Events", "events_of", "hermite"]

_HALVINGS: Final = 40
_NEAR_BALANCE: Final = 1e-6
"""Share of what passes a full tank within which its net inflow has just turned."""
_NEAR_FAINT: Final = 1e-3
"""Share by which an inflow may be past the one that counts as faint."""


@dataclass(frozen=True, slots=True)
class Events:
    """What has happened by the end of a step, and the share of the step at which to end it where it goes too far.

    ``goal``, ``brim``, ``bare`` and ``ebb`` (n, T): a tank has reached its goal, its brim, its lowest outlet, or spills
    no more; ``dip`` and ``cover`` (n, P): a port has come out of the water, or under it.
    """

    goal: Mask
    brim: Mask
    bare: Mask
    ebb: Mask
    dip: Mask
    cover: Mask
    late: Mask
    share: Array

    @property
    def happened(self) -> Mask:
        """Variants (n,) in which anything has happened."""
        kinds = (self.goal, self.brim, self.bare, self.ebb, self.dip, self.cover)
        any_of_them: Mask = np.logical_or.reduce([kind.any(axis=1) for kind in kinds])
        return any_of_them


def hermite(share: Array, before: Array, after: Array, rate: Array, last_rate: Array) -> Array:
    """Return a volume at a share of a step, from volumes and changes per step at its two ends."""
    change = after - before
    curve: Array = before + share * (
        rate + share * (3.0 * change - 2.0 * rate - last_rate + share * (rate + last_rate - 2.0 * change))
    )
    return curve


def _where(marks: Marks, now: Run, taken: Step, crossed: Mask) -> Array:
    """Return the share of the step at which the first of some marks is met, shape (n,)."""
    share = np.ones(len(crossed))
    rows, places = np.nonzero(crossed)
    if rows.size == 0:
        return share
    tank = marks.tank[places]
    seconds = now.seconds[rows]
    curve = (
        now.volume[rows, tank], taken.volume[rows, tank], seconds * now.net[rows, tank], seconds * taken.inflow[rows, tank],
    )  # fmt: skip
    sense = np.where(marks.rising[rows, places], 1.0, -1.0)
    mark, slack = marks.volume[rows, places], now.slack[rows, tank]
    inside = sense * (curve[0] - mark) >= -slack
    mark = np.where(inside, mark + sense * slack, mark)
    low, high = np.zeros(len(rows)), np.ones(len(rows))
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        beyond = sense * (hermite(middle, *curve) - mark) >= 0.0
        low, high = np.where(beyond, low, middle), np.where(beyond, middle, high)
    np.minimum.at(share, rows, high)
    return share


def _turned(now: Run, taken: Step, faint: Array) -> tuple[Mask, Mask, Mask, Array]:
    """Return tanks that spill no more, tanks whose inflow has grown faint, which steps go too far, and where to end."""
    begins, ends = now.inflow, taken.inflow
    near = _NEAR_BALANCE * now.passing
    ebb = now.brimming & (ends < -now.ripple)
    limit = np.where(np.isnan(faint), 0.0, faint) * now.most
    dwindled = ~now.there & (limit > 0.0) & (ends < limit)
    late = (ebb & (ends < -near)) | (dwindled & (begins > limit) & (ends < limit * (1.0 - _NEAR_FAINT)))
    aim = np.where(ebb, -0.5 * near, limit * (1.0 - 0.5 * _NEAR_FAINT))
    fall = np.where(late, begins - ends, 1.0)
    share = np.where(late, np.clip((begins - aim) / fall, 0.0, 1.0), 1.0)
    return ebb, dwindled, np.asarray(late.any(axis=1)), share.min(axis=1, initial=1.0)


def events_of(now: Run, taken: Step, faint: Array) -> Events:
    """Return what a step brings; ``faint`` (T,) is the share of its largest inflow at which a tank counts as full."""
    marks, tanks, ports = marks_of(now), len(now.storage.tanks), len(now.storage.ports.line)
    after = np.where(now.brimming, now.volume, taken.volume)[:, marks.tank]
    before, slack = now.volume[:, marks.tank], now.slack[:, marks.tank]
    sense = np.where(marks.rising, 1.0, -1.0)
    reach, past = sense * (before - marks.volume), sense * (after - marks.volume)
    crossed = marks.active & (past >= -slack) & ((reach < -slack) | (past > 2.0 * slack))
    overshot = crossed & (past > 2.0 * slack)
    ebb, dwindled, late, share = _turned(now, taken, faint)
    goal, brim, bare = (crossed[:, tanks * kind : tanks * (kind + 1)] for kind in range(3))
    return Events(
        goal=goal | dwindled,
        brim=brim,
        bare=bare,
        ebb=ebb,
        dip=crossed[:, 3 * tanks : 3 * tanks + ports],
        cover=crossed[:, 3 * tanks + ports :],
        late=late | overshot.any(axis=1),
        share=np.minimum(share, _where(marks, now, taken, overshot)),
    )
