"""How far each tank can be drawn down: to the lowest height from which its water still finds a way to an outlet.

A tank that empties through another, as through a balance line, comes down no further than that one does; by gravity none
comes down below the mouth that its water leaves by.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from hydrokit.parts import Outlet, Pump, Tank

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.studies.course.tanks import Tanks

__all__ = ["drained_volumes"]


def _first(value: Any) -> float:
    return float(np.ravel(value)[0])


class _Ways:
    """The heights down to which water drains from each end, from what is known of the ends that lines lead to."""

    def __init__(self, tanks: Tanks) -> None:
        self.tanks, self.plan = tanks, tanks.plan
        self.ends = self.plan.rig.ends()
        self.down = dict.fromkeys(self.ends, np.inf)
        for name, demand in zip(self.plan.layout.joints, np.ravel(self.plan.ends.demand[0]), strict=True):
            if demand > 0.0:
                self.down[name] = -np.inf
        ports, storage = tanks.storage.ports, tanks.storage
        heights = (storage.floor[:1, ports.tank] + ports.depth[:1])[0]
        self.port = {
            (int(line), bool(ends)): float(height)
            for line, ends, height in zip(ports.line, ports.ends, heights, strict=True)
        }
        self.pumped = {
            int(line)
            for line, element in zip(self.plan.element_line, self.plan.elements, strict=True)
            if isinstance(element.part, Pump)
        }

    def beyond(self, number: int, name: str) -> float:
        """Return the height down to which water drains that goes into an end by a line."""
        end = self.ends[name]
        if isinstance(end, Outlet):
            return _first(self.plan.values.of(f"outlets.{name}", end, "height"))
        if isinstance(end, Tank) and end.inlet == "top" and np.isfinite(self.down[name]):
            return self.port[number, True]
        return self.down[name]

    def through(self) -> Iterator[tuple[str, float]]:
        """Yield, for every line and way that water may take, the end it leaves and how far down that brings it."""
        low, high = self.plan.ends.low[0], self.plan.ends.high[0]
        for number, line in enumerate(self.plan.rig.lines.values()):
            if high[number] <= 0.0 and low[number] >= 0.0:
                continue
            reach = self.beyond(number, line.end)
            if number in self.pumped and reach < np.inf:
                reach = -np.inf
            if high[number] > 0.0:
                yield line.start, max(self.port.get((number, False), -np.inf), reach)
            if low[number] < 0.0:
                yield line.end, max(self.port.get((number, True), -np.inf), self.down[line.start])

    def settle(self) -> None:
        """Work out every height; each round carries them one line further."""
        for _ in self.ends:
            for name, height in list(self.through()):
                self.down[name] = min(self.down[name], height)


def drained_volumes(tanks: Tanks) -> Array:
    """Return the volume that no outlet can draw from each tank of a plan of one variant, (1, T); NaN where none can any."""
    ways = _Ways(tanks)
    ways.settle()
    storage = tanks.storage
    height = np.array([[ways.down[name] for name in tanks.names]])
    level = np.clip(height - storage.floor[:1], 0.0, storage.depth[:1])
    return np.where(np.isfinite(height), level * storage.area[:1], np.nan)
