"""What happens within a step, and when: marks that a tank's water passes, a full tank that spills no more.

Between the ends of a step a volume is taken as the cubic that has the volumes and net inflows found there. A step that
goes too far beyond a mark is cut to where that cubic meets it, and taken again; but what flows beyond a mark need not
be what flows before it, as where a brim runs over, so the straight line from the start has a say as well.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.timeline.curve import crossing, fading, hermite_rate
from hydrokit.timeline.marks import marks_of

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network.ports import Mask
    from hydrokit.timeline.marks import Marks
    from hydrokit.timeline.state import Run
    from hydrokit.timeline.step import Step

__all__ = ["Events", "events_of", "inflow_when_close"]

_NEAR_BALANCE: Final = 1e-6
"""Share of the largest flow within which the net inflow of a full tank has just turned."""
_NEAR_FAINT: Final = 0.02
"""Share by which an inflow may be past the one that counts as faint."""


@dataclass(frozen=True, slots=True)
class Events:
    """What has happened by the end of a step, and the share of the step at which to end it where it goes too far.

    ``goal``, ``brim``, ``bare`` and ``ebb`` (n, T): a tank has reached its goal, its brim, its lowest outlet, or spills
    no more; ``ended`` (n, T) is the share of the step at which it reached its goal; ``dip`` and ``cover`` (n, P): a port has come out of the water, or under it; ``kink``
    (n, 2 V): a float valve has begun to move, or is shut.
    """

    goal: Mask
    ended: Array
    brim: Mask
    bare: Mask
    ebb: Mask
    dip: Mask
    cover: Mask
    kink: Mask
    late: Mask
    share: Array

    @property
    def happened(self) -> Mask:
        """Variants (n,) in which anything has happened."""
        kinds = (self.goal, self.brim, self.bare, self.ebb, self.dip, self.cover, self.kink)
        any_of_them: Mask = np.logical_or.reduce([kind.any(axis=1) for kind in kinds])
        return any_of_them


def _first_met(marks: Marks, now: Run, taken: Step, crossed: Mask, *, again: bool) -> Array:
    """Return the share of the step at which the first of some marks is met, shape (n,).

    By the cubic or the straight line, whichever is later; where the step had been cut already, whichever is earlier.
    """
    share = np.ones(len(crossed))
    rows, places = np.nonzero(crossed)
    if rows.size == 0:
        return share
    tank, seconds = marks.tank[places], now.seconds[rows]
    begins, rate = now.volume[rows, tank], seconds * now.net[rows, tank]
    cubic = (begins, taken.volume[rows, tank], rate, seconds * taken.inflow[rows, tank])
    sense = np.where(marks.rising[rows, places], 1.0, -1.0)
    mark, slack = marks.volume[rows, places], now.slack[rows, tank]
    inside = sense * (begins - mark) >= -slack
    aim = np.where(inside, mark + sense * (np.maximum(sense * (begins - mark), 0.0) + slack), mark)
    bent = crossing(aim, sense, cubic)
    straight = np.divide(aim - begins, rate, out=np.ones_like(rate), where=sense * rate > 0.0)
    straight = np.where((straight > 0.0) & (straight < 1.0), straight, bent)
    np.minimum.at(share, rows, np.minimum(bent, straight) if again else np.maximum(bent, straight))
    return share


def inflow_when_close(now: Run, taken: Step) -> tuple[Mask, Array]:
    """Return which tanks (n, T) have come close to their goal in a step, and their net inflow at that moment."""
    mark = now.nearly * now.goal
    came = ~now.close & (now.volume < mark) & (taken.volume >= mark)
    if not came.any():
        return came, now.most
    lasting = now.seconds[:, None]
    cubic = (now.volume, taken.volume, lasting * now.net, lasting * taken.inflow)
    share = crossing(np.where(came, mark, np.inf), np.ones(mark.shape), cubic)
    return came, hermite_rate(share, cubic) / lasting


@dataclass(frozen=True, slots=True)
class _Turned:
    """Tanks (n, T) whose inflow has turned or grown faint, and when: ``ended`` is the share at which it grew faint."""

    ebb: Mask
    faint: Mask
    ended: Array
    late: Mask
    share: Array


def _turned(now: Run, taken: Step) -> _Turned:
    into = now.storage.into
    begins, ends = now.inflow, taken.inflow
    near = _NEAR_BALANCE * now.largest
    ebb = now.brimming & (ends < -now.ripple)
    limit = now.enough * now.most
    faint = now.faint(ends)
    ended, share = np.ones(begins.shape), np.ones(begins.shape)
    if not (ebb.any() or faint.any()):
        return _Turned(ebb, faint, ended, np.zeros(len(ebb), np.bool_), share[:, 0])
    inflows = (begins, taken.flows[2] @ into, ends)
    ended = np.where(faint, fading(limit, inflows), 1.0)
    far = ebb & (ends < -near)
    faded = faint & (ends < limit * (1.0 - _NEAR_FAINT))
    aim = np.where(far, -0.5 * near, limit * (1.0 - 0.5 * _NEAR_FAINT))
    share = np.where(far | faded, fading(aim, inflows), 1.0)
    return _Turned(ebb, faint, ended, np.asarray((far | faded).any(axis=1)), share.min(axis=1))


def events_of(now: Run, taken: Step, *, again: bool = False) -> Events:
    """Return what a step brings; ``again`` says that it had been cut already."""
    marks, tanks, ports = marks_of(now), len(now.storage.tanks), len(now.storage.ports.line)
    after = np.where(now.brimming, now.volume, taken.volume)[:, marks.tank]
    before, slack = now.volume[:, marks.tank], now.slack[:, marks.tank]
    sense = np.where(marks.rising, 1.0, -1.0)
    reach, past = sense * (before - marks.volume), sense * (after - marks.volume)
    leaves_from = np.maximum(reach, 0.0)  # within the slack beyond a mark, where it has not been met yet
    leaves = (reach >= -slack) & (reach <= 2.0 * slack) & (past > leaves_from + 0.5 * slack)
    crossed = marks.active & (leaves | ((reach < -slack) & (past >= -slack)))
    overshot = crossed & (past > leaves_from + 2.0 * slack)
    turned = _turned(now, taken)
    goal, brim, bare = (crossed[:, tanks * kind : tanks * (kind + 1)] for kind in range(3))
    return Events(
        goal=goal | turned.faint,
        ended=turned.ended,
        brim=brim,
        bare=bare,
        ebb=turned.ebb,
        dip=crossed[:, 3 * tanks : 3 * tanks + ports],
        cover=crossed[:, 3 * tanks + ports : 3 * tanks + 2 * ports],
        kink=crossed[:, 3 * tanks + 2 * ports :],
        late=turned.late | overshot.any(axis=1),
        share=np.minimum(turned.share, _first_met(marks, now, taken, overshot, again=again)),
    )
