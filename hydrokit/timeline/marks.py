"""Volumes at which something happens to a tank, and how long until the first of them is met."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network.ports import Index, Mask
    from hydrokit.timeline.state import Run

__all__ = ["Marks", "first_guess", "marks_of"]

_JUST_PAST: Final = 1.02
"""Where flows change with the levels, a first step aims this much too far, so that the mark lies inside it."""
_ONE_STEP: Final = 0.1
"""Share of a tank's volume to try in one step where no mark lies ahead."""


@dataclass(frozen=True, slots=True)
class Marks:
    """Volumes in columns (K): first each tank's goal, brim and lowest outlet, then ports to fall dry and to be covered.

    ``tank`` (K,) says whose each is; ``rising`` (n, K) whether it is met by filling; ``active`` whether it counts now.
    """

    tank: Index
    volume: Array
    rising: Mask
    active: Mask


def marks_of(now: Run) -> Marks:
    """Return every volume at which something happens, as things stand."""
    tanks, ports = len(now.storage.tanks), now.storage.ports
    own, filling = np.arange(tanks), np.ones_like(now.brimming)
    lowest = np.broadcast_to(now.storage.lowest, now.volume.shape)
    goal = np.where(now.there, np.nan, now.goal)
    coverable = ports.depth < now.storage.depth[:, ports.tank]
    covering = np.ones_like(now.exposed)
    return Marks(
        tank=np.concatenate([own, own, own, ports.tank, ports.tank]),
        volume=np.concatenate([goal, now.full, lowest, now.port_volume(), now.port_volume(film=True)], axis=1),
        rising=np.concatenate([goal > now.volume, filling, ~filling, ~covering, covering], axis=1),
        active=np.concatenate(
            [
                np.isfinite(goal),
                ~now.brimming,
                ~now.dry & np.isfinite(lowest),
                ~now.exposed & now.storage.upper,
                now.exposed & coverable,
            ],
            axis=1,
        ),
    )


def first_guess(now: Run) -> Array:
    """Return the step to try first, shape (n,), s: to whatever the present flows would reach first, or just past it."""
    marks = marks_of(now)
    net, full = now.net, now.full
    moves = np.abs(net) > now.ripple
    pace = np.where(moves, np.abs(net), 0.0)
    sense = np.where(marks.rising, 1.0, -1.0)
    way = np.where(marks.active, sense * (marks.volume - now.volume[:, marks.tank]), -1.0)
    ahead = (way > now.slack[:, marks.tank]) & (sense * net[:, marks.tank] > 0.0) & moves[:, marks.tank]
    wait = np.divide(way, pace[:, marks.tank], out=np.full(way.shape, np.inf), where=ahead)
    soonest = wait.min(axis=1, initial=np.inf)
    longest = np.divide(_ONE_STEP * full, pace, out=np.full(net.shape, np.inf), where=moves).min(axis=1, initial=np.inf)
    past = 1.0 if now.feels_no_level() else _JUST_PAST
    guess: Array = np.where(np.isfinite(soonest), past * soonest, longest)
    return guess
