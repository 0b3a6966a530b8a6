"""What happens between the ends of a step: volumes as cubics, flows as parabolas, and where they meet a mark."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.timeline.method import ENDS

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.bounds import Array
    from hydrokit.network.ports import Mask

__all__ = ["crossing", "fading", "hermite", "hermite_rate", "parabola"]

_HALVINGS: Final = 40
_MIDDLE: Final = ENDS[2]

Cubic = tuple["Array", "Array", "Array", "Array"]
"""Volumes at both ends of a step, then what they change per step there."""
Parabola = tuple["Array", "Array", "Array"]
"""Flows at the start of a step, its third stage and its end."""


def hermite(share: Array, cubic: Cubic) -> Array:
    """Return a volume at a share of a step."""
    before, after, rate, last_rate = cubic
    bend = 3.0 * (after - before) - 2.0 * rate - last_rate
    twist = rate + last_rate - 2.0 * (after - before)
    volume: Array = before + share * (rate + share * (bend + share * twist))
    return volume


def hermite_rate(share: Array, cubic: Cubic) -> Array:
    """Return the change per step of a volume at a share of it."""
    before, after, rate, last_rate = cubic
    bend = 3.0 * (after - before) - 2.0 * rate - last_rate
    twist = rate + last_rate - 2.0 * (after - before)
    change: Array = rate + share * (2.0 * bend + share * 3.0 * twist)
    return change


def parabola(share: Array, flows: Parabola) -> Array:
    """Return a flow at a share of a step."""
    first, middle, last = flows
    slope = (middle - first) / _MIDDLE
    bend = (last - middle) / (1.0 - _MIDDLE) - slope
    flow: Array = first + share * (slope + (share - _MIDDLE) * bend)
    return flow


def _first(beyond: Callable[[Array], Mask], like: Array) -> Array:
    """Return the share of a step from which on something holds that holds at its end, by halving."""
    low, high = np.zeros(like.shape), np.ones(like.shape)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        holds = beyond(middle)
        low, high = np.where(holds, low, middle), np.where(holds, middle, high)
    return high


def crossing(mark: Array, sense: Array, cubic: Cubic) -> Array:
    """Return the share of a step at which a volume is beyond a mark; ``sense`` is 1 for filling, -1 for emptying."""
    return _first(lambda share: np.asarray(sense * (hermite(share, cubic) - mark) >= 0.0), mark)


def fading(mark: Array, flows: Parabola) -> Array:
    """Return the share of a step at which a flow has fallen to a mark."""
    return _first(lambda share: np.asarray(parabola(share, flows) <= mark), mark)
