"""Volumes at which something happens to a tank, and how long until the first of them is met."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network.ports import Index, Mask
    from hydrokit.timeline.state import Run

__all__ = ["Marks", "first_guess", "marks_of", "soonest", "to_mark"]

_JUST_PAST: Final = 1.02
"""Where flows change with the levels, a step aims this much too far, so that the mark lies inside it."""
_A_LITTLE: Final = 1e-3
_HARDLY: Final = 1e-6
"""Rate at which inflows change, over that at which tanks fill, below which they count as constant."""
_ONE_STEP: Final = 0.1
"""Share of a tank's volume to try in one step where no mark lies ahead."""
_ONE_SMALL_STEP: Final = 0.02
"""The same while an outlet that passes on what arrives may at any moment carry no more of it."""


@dataclass(frozen=True, slots=True)
class Marks:
    """Volumes in columns (K).

    First each tank's goal, brim and lowest outlet, then ports to fall dry and ports to be covered, then float valves to
    begin to move and to be shut. ``tank`` (K,) says whose each is; ``rising`` (n, K) whether it is met by filling; ``active`` whether it counts now.
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
    covering, floats = np.ones_like(now.exposed), now.storage.floats
    both = np.concatenate([floats.tank, floats.tank])
    level = np.concatenate([floats.shut_level - floats.band, floats.shut_level], axis=1)
    turns = np.broadcast_to(level * now.storage.area[:, both], (len(now.volume), len(both)))
    return Marks(
        tank=np.concatenate([own, own, own, ports.tank, ports.tank, floats.tank, floats.tank]),
        volume=np.concatenate([goal, now.full, lowest, now.port_volume(), now.port_volume(film=True), turns], axis=1),
        rising=np.concatenate(
            [goal > now.volume, filling, ~filling, ~covering, covering, turns > now.volume[:, both]], axis=1
        ),
        active=np.concatenate(
            [
                np.isfinite(goal),
                ~now.brimming,
                ~now.dry & np.isfinite(lowest),
                ~now.exposed & now.storage.upper,
                now.exposed & coverable,
                np.abs(turns - now.volume[:, both]) > 2.0 * now.slack[:, both],
            ],
            axis=1,
        ),
    )


def soonest(now: Run) -> Array:
    """Return when the first mark is met if the present flows go on, shape (n,), s from now; infinite where none is."""
    marks = marks_of(now)
    net = now.net
    moves = np.abs(net) > now.ripple
    sense = np.where(marks.rising, 1.0, -1.0)
    way = np.where(marks.active, sense * (marks.volume - now.volume[:, marks.tank]), -1.0)
    ahead = (way > now.slack[:, marks.tank]) & (sense * net[:, marks.tank] > 0.0) & moves[:, marks.tank]
    wait = np.divide(way, np.abs(net[:, marks.tank]), out=np.full(way.shape, np.inf), where=ahead)
    first: Array = wait.min(axis=1, initial=np.inf)
    return first


def to_mark(wait: Array, *, steady: Mask) -> Array:
    """Return the longest step to try, shape (n,), s: right to the mark where inflows are steady, else just past it."""
    return wait * np.where(steady, 1.0, _JUST_PAST)


def first_guess(now: Run, tolerance: float) -> Array:
    """Return the step to try first, shape (n,), s: to what is reached first, or as far as inflows hardly change.

    ``tolerance`` is the error allowed in a step, as a share of the tank's volume.
    """
    wait = soonest(now)
    if now.feels_no_level():
        return wait
    pace = np.where(np.abs(now.net) > now.ripple, np.abs(now.net), 0.0)
    longest = np.divide(_ONE_STEP * now.full, pace, out=np.full(pace.shape, np.inf), where=pace > 0.0)
    lasts = _steady_for(now, tolerance)
    most = longest.min(axis=1, initial=np.inf)
    guess = np.where(np.isfinite(wait), to_mark(wait, steady=np.isinf(lasts)), most)
    guess = np.minimum(guess, np.where(now.passes_on(), _ONE_SMALL_STEP / _ONE_STEP * most, np.inf))
    return np.minimum(guess, lasts)


def _steady_for(now: Run, tolerance: float) -> Array:
    """Return for how long inflows change so little that a step may err by no more than is allowed, shape (n,), s.

    They are looked at again after a thousandth of a tank has moved: a rate of change k makes a step of h err by about
    (k h)^3 / 100 of what would flow in 1 / k.
    """
    net, full = now.net, now.full
    fastest = (np.abs(net) / full).max(axis=1, initial=0.0)
    moment = np.divide(_A_LITTLE, fastest, out=np.zeros_like(fastest), where=fastest > 0.0)
    later = np.clip(now.volume + moment[:, None] * net, 0.0, full)
    change = np.abs(now.inflow_at(later) - now.inflow).max(axis=1, initial=0.0)
    flow = np.abs(net).max(axis=1, initial=0.0)
    per_time = np.divide(change, flow * moment, out=np.zeros_like(flow), where=(flow > 0.0) & (moment > 0.0))
    allowed = np.divide(100.0 * tolerance * per_time, fastest, out=np.ones_like(flow), where=fastest > 0.0)
    lasts: Array = np.divide(
        np.cbrt(allowed), per_time, out=np.full_like(flow, np.inf), where=per_time > _HARDLY * fastest
    )
    return lasts
