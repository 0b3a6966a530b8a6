"""What the rules look at: one solved plan, its walk, and who is up- and downstream of whom. Arrays have shape (n,)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from hydrokit.laws.pump_curve import gain
from hydrokit.parts import Joint, Outlet, Pump, Source, Tank

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.network import Element, Plan, Solution
    from hydrokit.network.values import Conditions
    from hydrokit.network.walk import Walk
    from hydrokit.rig import Rig

__all__ = ["State"]

_STANDSTILL = 1e-9
"""m³/s; less than a drop a minute is called standing still."""


@dataclass(frozen=True)
class State:
    """One solved rig in one mode, in every variant."""

    solution: Solution

    @property
    def plan(self) -> Plan:
        """The plan that was solved."""
        return self.solution.plan

    @property
    def rig(self) -> Rig:
        """The rig as stated."""
        return self.plan.rig

    @property
    def walk(self) -> Walk:
        """Head, pressures and velocity at every station."""
        return self.solution.walk

    @property
    def conditions(self) -> Conditions:
        """The liquid and the air."""
        return self.plan.conditions

    @property
    def variants(self) -> int:
        """How many variants there are."""
        return self.solution.variants

    def full(self, value: Any) -> Array:
        """Return a float or an array as one value for each variant."""
        return np.broadcast_to(np.asarray(value, np.float64), (self.variants,))

    def of(self, element: Element, field: str) -> Any:
        """Return a field of an element's part, as varied."""
        return self.plan.values.of(element.address, element.part, field)

    def elements(self, *kinds: type) -> Iterator[tuple[int, Element]]:
        """Yield index and element of every part of the given classes, in lines that are open."""
        for index, element in enumerate(self.plan.elements):
            if isinstance(element.part, kinds) and not self.closed[self.plan.element_line[index]]:
                yield index, element

    def line_of(self, index: int) -> str:
        """Return the name of the line in which an element stands."""
        return self.plan.layout.lines[int(self.plan.element_line[index])]

    def flow_at(self, index: int) -> Array:
        """Return the flow through an element."""
        return self.solution.flows.flow[:, self.plan.element_line[index]]

    @cached_property
    def closed(self) -> list[bool]:
        """Whether each line is shut in this mode, in every variant, whatever the heads."""
        ends = self.plan.ends
        return [bool(shut) for shut in ((ends.low == 0.0) & (ends.high == 0.0)).all(axis=0)]

    @cached_property
    def running(self) -> list[int]:
        """Element indices of the pumps that run."""
        return [] if self.plan.pumps is None else [int(index) for index in self.plan.pumps.element]

    @cached_property
    def deliveries(self) -> dict[str, Array]:
        """Flow into each tank and outlet that an open line leads to, m³/s."""
        found: dict[str, Array] = {}
        ends = self.rig.ends()
        for number, (name, line) in enumerate(self.rig.lines.items()):
            if isinstance(ends[line.end], (Tank, Outlet)) and not self.closed[number]:
                found[line.end] = found.get(line.end, np.zeros(self.variants)) + self.solution.flow(name)
        return found

    @cached_property
    def delivered(self) -> Array:
        """Sum of what arrives in all tanks and outlets, m³/s."""
        return np.asarray(sum(self.deliveries.values(), np.zeros(self.variants)), np.float64)

    def stands_still(self, flow: Array) -> Any:
        """Return True where a flow is none."""
        return np.abs(flow) <= _STANDSTILL

    def inlet(self, index: int) -> int:
        """Return the station before an element."""
        return int(self.walk.before[index])

    def outlet(self, index: int) -> int:
        """Return the station after an element."""
        return int(self.walk.after[index])

    def line_elements(self, line: int) -> list[int]:
        """Return the indices of a line's elements in order."""
        return [int(index) for index in np.flatnonzero(self.plan.element_line == line)]

    def upstream(self, index: int) -> list[int]:
        """Return the elements before one, back to a source, tank or fork, the nearest first."""
        found: list[int] = []
        line = int(self.plan.element_line[index])
        own = [other for other in self.line_elements(line) if other < index]
        while True:
            found += reversed(own)
            feeders = self._feeders(line)
            if len(feeders) != 1:
                return found
            line = feeders[0]
            own = self.line_elements(line)

    def _feeders(self, line: int) -> list[int]:
        """Return the open lines that bring water to the joint where a line starts; none if it starts elsewhere."""
        start = int(self.plan.layout.start[line])
        if start == len(self.plan.layout.joints):
            return []
        return [
            other
            for other, end in enumerate(self.plan.layout.end.tolist())
            if end == start and other != line and not self.closed[other]
        ]

    def suction_start(self, index: int) -> tuple[str, Any] | None:
        """Return name and end of the open water or tank that a pump draws from; None where several feed it."""
        first = ([*self.upstream(index), index])[-2 if self.upstream(index) else -1]
        line = int(self.plan.element_line[first])
        name = list(self.rig.lines.values())[line].start
        end = self.rig.ends()[name]
        return (name, end) if isinstance(end, (Source, Tank)) else None

    def surface_of(self, name: str, end: Any) -> Array:
        """Return the height of the water in a source or tank, m."""
        if isinstance(end, Source):
            return self.full(self.plan.values.of(f"sources.{name}", end, "surface"))
        tank: Any = end
        floor = self.plan.values.of(f"tanks.{name}", tank, "floor")
        level = self.plan.values.of(f"tanks.{name}", tank, "level")
        depth = self.plan.values.of(f"tanks.{name}", tank, "depth")
        return self.full(floor + (0.5 * depth if level is None else level))

    def shut_off_head(self, place: int) -> Array:
        """Return the head a running pump (by place in the plan's pumps) adds when nothing flows, m."""
        pumps = self.plan.pumps
        assert pumps is not None
        rise, _ = gain(pumps.table, np.zeros((1, len(pumps.line))))
        return self.full((rise * pumps.head_scale)[:, place])

    def is_joint(self, name: str) -> bool:
        """Whether an end is a mere joint."""
        return isinstance(self.rig.ends()[name], Joint)

    def pump_of(self, index: int) -> Pump:
        """Return the pump that an element is."""
        part = self.plan.elements[index].part
        assert isinstance(part, Pump)
        return part
