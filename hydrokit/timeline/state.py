"""Where a course of filling or emptying stands, variant by variant."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import numpy.typing as npt

from hydrokit.timeline.step import Situation, inflow_now

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network.storage import Storage

__all__ = ["BARE_FILM", "Mask", "Run", "begin"]

BARE_FILM: Final = 1e-3
"""m; an outlet counts as bare when the water stands this little above it, for the last of it takes for ever."""
_COVERED_AGAIN: Final = 2.0
"""Films of water above a bare outlet at which it gives water again."""

Mask = npt.NDArray[np.bool_]
Index = npt.NDArray[np.intp]


@dataclass(slots=True)
class Run:
    """Variants (n) still being followed: ``rows`` says which; tanks T, lines L.

    ``brimming`` tanks (n, T) are full and spill; ``bare`` lines (n, L) start at an outlet above the water; ``turn``
    (n,) is the place in the order of filling; ``seconds`` (n,) the next step to try; ``guess`` all flows of the last
    solve, storage lines included, to start the next from.
    """

    storage: Storage
    rows: Index
    order: tuple[int, ...]
    goal: Array
    volume: Array
    time: Array
    seconds: Array
    flow: Array
    inflow: Array
    guess: Array
    brimming: Mask
    bare: Mask
    turn: Index

    def take(self, kept: Index) -> Run:
        """Return the state of some of the variants."""
        shared: dict[str, Any] = {"storage": self.storage.take(kept), "order": self.order}
        own = {item.name: getattr(self, item.name)[kept] for item in fields(self) if item.name not in shared}
        return Run(**shared, **own)

    def full(self) -> Array:
        """Return each tank's volume when full, shape (n, T), m³."""
        return np.broadcast_to(self.storage.area * self.storage.depth, self.volume.shape)

    def tank_of_line(self) -> Index:
        """Return the tank that each line starts from, shape (L,); 0 where it starts elsewhere."""
        return np.asarray((self.storage.into < 0.0).argmax(axis=1), np.intp)

    def bare_volume(self, films: float = 1.0) -> Array:
        """Return the volume (n, L) in the tank that each line starts from at which its outlet is bare; else -inf."""
        tank = self.tank_of_line()
        starts = (self.storage.into < 0.0).any(axis=1)
        area = np.broadcast_to(self.storage.area, self.volume.shape)[:, tank]
        shape = (len(self.volume), self.storage.lines)
        level = np.broadcast_to(self.storage.outlet, shape) + films * BARE_FILM
        return np.where(starts & np.isfinite(level), level * area, -np.inf)

    def situation(self) -> Situation:
        """Return which lines carry nothing, being bare or not yet in turn, and which tanks brim."""
        shut = self.bare.copy()
        fills = self.storage.into > 0.0
        for place, tank in enumerate(self.order):
            shut |= (self.turn[:, None] != place) & fills[:, tank]
        return Situation(shut, self.brimming)

    def refresh(self) -> None:
        """Take flows afresh after something opened or shut; a brimming tank that loses water brims no more."""
        covered = self.volume[:, self.tank_of_line()] > self.bare_volume(_COVERED_AGAIN)
        self.bare &= ~covered
        for _ in range(len(self.storage.tanks) + 1):
            self.guess, self.inflow = inflow_now(self.storage, self.situation(), self.volume, self.guess)
            losing = self.brimming & (self.inflow < 0.0)
            if not losing.any():
                break
            self.brimming &= ~losing
        self.flow = self.guess[:, : self.storage.lines]

    def plan_step(self, time_limit: float) -> None:
        """Set the next step to try: just past whatever the present flows would reach first."""
        room = np.where(self.inflow > 0.0, self.full() - self.volume, np.inf)
        ahead = np.where((self.goal - self.volume) * self.inflow > 0.0, np.abs(self.goal - self.volume), np.inf)
        tank = self.tank_of_line()
        left = np.where(self.inflow[:, tank] < 0.0, self.volume[:, tank] - self.bare_volume(), np.inf)
        left = np.where((left > 0.0) & ~self.bare, left, np.inf)
        pace = np.abs(self.inflow)
        soonest = np.minimum(
            _quotient(np.minimum(room, ahead), pace).min(axis=1, initial=np.inf),
            _quotient(left, pace[:, tank]).min(axis=1, initial=np.inf),
        )
        largest = _quotient(0.1 * self.full(), pace).min(axis=1, initial=np.inf)
        seconds = np.where(np.isfinite(soonest), 1.02 * soonest, largest)
        self.seconds = np.clip(seconds, 1e-6, np.maximum(time_limit - self.time, 1e-6))


def _quotient(amount: Array, pace: Array) -> Array:
    wait: Array = np.divide(amount, pace, out=np.full(np.shape(amount), np.inf), where=(pace > 0.0) & (amount > 0.0))
    return wait


def begin(storage: Storage, goal: Array, order: tuple[int, ...]) -> Run:
    """Return the state at the start of a course."""
    count, tanks = storage.plan.variants, len(storage.tanks)
    shape = (count, tanks)
    volume = np.array(np.broadcast_to(storage.start_level * storage.area, shape))
    full = np.broadcast_to(storage.area * storage.depth, shape)
    guess = np.array(np.broadcast_to(storage.plan.ends.nominal, (count, len(storage.plan.layout.lines))))
    now = Run(
        storage=storage,
        rows=np.arange(count),
        order=order,
        goal=np.array(np.broadcast_to(goal, shape)),
        volume=volume,
        time=np.zeros(count),
        seconds=np.zeros(count),
        flow=guess[:, : storage.lines],
        inflow=np.zeros(shape),
        guess=guess,
        brimming=volume >= full * (1.0 - 1e-10),
        bare=np.zeros((count, storage.lines), np.bool_),
        turn=np.zeros(count, np.intp),
    )
    now.bare = now.volume[:, now.tank_of_line()] <= now.bare_volume()
    return now
