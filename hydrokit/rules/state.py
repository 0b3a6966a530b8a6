"""What the rules look at: one solved plan, its walk, and what is open, running and delivered. Arrays have shape (n,).

What takes more working out stands in files of its own, above this one: the side that a pump draws from, heads at rest, what
the water is credited with. Several rules ask for it; ``made_once`` has each state keep it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property, wraps
from typing import TYPE_CHECKING, Any, Final, TypeVar

import numpy as np

from hydrokit.network.driven import flows_at
from hydrokit.network.ends import tank_level
from hydrokit.network.loss import pump_gains
from hydrokit.network.supplies import drawn, taken
from hydrokit.parts import CentrifugalPump, Outlet, PoweredPump, Pump, Source, Tank
from hydrokit.rules.naming import named
from hydrokit.rules.ways import Way, blocked_by, elements_by_line, levelled, reached, ways_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from hydrokit.bounds import Array
    from hydrokit.network import Element, Plan, Solution
    from hydrokit.network.plan import Pumps
    from hydrokit.network.supplies import Drawn, Taken
    from hydrokit.network.values import Conditions
    from hydrokit.network.walk import Walk
    from hydrokit.rig import Mode, Rig

__all__ = ["State", "made_once"]

Made = TypeVar("Made")

_STANDSTILL: Final = 1e-9
"""m³/s; about a drop a minute is called standing still."""


@dataclass(frozen=True)
class State:
    """One solved rig in one mode, in every variant."""

    solution: Solution
    made: dict[Any, Any] = field(default_factory=dict, init=False, repr=False, compare=False)
    """What functions that are ``made_once`` have made of it."""

    @property
    def plan(self) -> Plan:
        """The plan that was solved."""
        return self.solution.plan

    @property
    def rig(self) -> Rig:
        """The rig as stated."""
        return self.plan.rig

    @cached_property
    def mode(self) -> Mode:
        """The mode that was solved."""
        return self.rig.mode(self.plan.mode)[1]

    @property
    def walk(self) -> Walk:
        """Head, pressures and velocity at every station; NaN where the water is cut off from every known head."""
        return self.solution.walk

    @property
    def conditions(self) -> Conditions:
        """The liquid and the air."""
        return self.plan.conditions

    @cached_property
    def weight(self) -> Array:
        """Pascals per metre of head."""
        return self.full(self.conditions.weight)

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

    def named(self, address: str) -> str:
        """Return what a sentence calls the part, line or end at an address."""
        if address not in self._named:  # the same ones are asked for in the words of every variant
            self._named[address] = named(self.rig, address)
        return self._named[address]

    @cached_property
    def _named(self) -> dict[str, str]:
        return {}

    # what is open and what runs

    @cached_property
    def own(self) -> list[list[int]]:
        """The indices of each line's elements, in order."""
        return elements_by_line(self.plan)

    @cached_property
    def shut(self) -> list[bool]:
        """Whether the mode shuts each line."""
        return [f"lines.{name}" in self.mode.closed for name in self.plan.layout.lines]

    @cached_property
    def blocked(self) -> list[str]:
        """The address of the pump that blocks each line because the mode stops it; empty where none does."""
        return [blocked_by(self.plan, self.mode, own) for own in self.own]

    @cached_property
    def closed(self) -> list[bool]:
        """Whether each line is shut or blocked in this mode, whatever the heads."""
        return [shut or bool(pump) for shut, pump in zip(self.shut, self.blocked, strict=True)]

    @cached_property
    def ways(self) -> list[Way]:
        """Every way that water could take in this mode."""
        return ways_of(self.plan, self.mode)

    def elements(self, *kinds: type) -> Iterator[tuple[int, Element]]:
        """Yield index and element of every part of the given classes, in lines that are open."""
        for index, element in enumerate(self.plan.elements):
            if isinstance(element.part, kinds) and not self.closed[self.line_at(index)]:
                yield index, element

    @property
    def pumps(self) -> Pumps:
        """The pumps that are on; ask only where there is one."""
        assert self.plan.pumps is not None
        return self.plan.pumps

    @cached_property
    def on(self) -> dict[int, int]:
        """Element index and place in the plan's pumps of every pump that is on, in whatever line."""
        if self.plan.pumps is None:
            return {}
        return {int(index): place for place, index in enumerate(self.plan.pumps.element)}

    @cached_property
    def running(self) -> list[int]:
        """Element indices of the pumps that are on in lines that are open."""
        return [index for index in self.on if not self.closed[self.line_at(index)]]

    def pump_of(self, index: int) -> Pump:
        """Return the pump that an element is."""
        part = self.plan.elements[index].part
        assert isinstance(part, Pump)
        return part

    @cached_property
    def drawn(self) -> Drawn:
        """What each pump that is on draws from its battery, shape (n, U) in the order of the plan's pumps."""
        return drawn(self.pumps, self.solution.flows.flow[:, self.pumps.line])

    @cached_property
    def taken(self) -> Taken:
        """Current and power that each pump that is on takes, shape (n, U) in the order of the plan's pumps."""
        return taken(self.plan, self.solution.flows.flow)

    def speed_of(self, index: int) -> Array:
        """Return the speed of a pump that is on over that of its data sheet, its electricity included; hand pumps have 1."""
        element = self.plan.elements[index]
        stated: Any = self.of(element, "speed") if isinstance(element.part, PoweredPump) else 1.0
        return np.asarray(self.full(stated) * self.drawn.speed[:, self.on[index]], np.float64)

    def idle_speed(self, index: int) -> Array:
        """Return the speed of a pump that is on over that of its data sheet while it presses against nothing."""
        freely = self.pumps.table.open_flow[self.on[index]]
        return np.asarray(self.flow_at_sheet(index, freely) / freely, np.float64)

    def npsh_speed(self, index: int) -> Any:
        """Return the speed ratio that changes what NPSH a pump requires; 1 for a displacement pump."""
        return self.speed_of(index) if isinstance(self.pump_of(index), CentrifugalPump) else 1.0

    def flow_at_sheet(self, index: int, sheet_flow: Any) -> Array:
        """Return the flow of a pump that is on at the flow of a point of its data sheet, m³/s."""
        sheet = np.zeros((np.size(sheet_flow), len(self.pumps.line)))
        sheet[:, self.on[index]] = sheet_flow
        return self.full(flows_at(self.pumps, sheet)[:, self.on[index]])

    def shut_off_head(self, index: int) -> Array:
        """Return the head that a pump which is on adds when nothing flows, m."""
        return self.full(self._shut_off[:, self.on[index]])

    @cached_property
    def _shut_off(self) -> Array:
        """Head that each pump that is on adds when nothing flows, shape (n, U), m; asked for in words, row after row."""
        rise, _ = pump_gains(self.pumps, np.zeros((self.variants, len(self.pumps.line))))
        return rise

    # where water stands and goes

    def line_at(self, index: int) -> int:
        """Return the number of the line in which an element stands."""
        return int(self.plan.element_line[index])

    def line_of(self, index: int) -> str:
        """Return the name of the line in which an element stands."""
        return self.plan.layout.lines[self.line_at(index)]

    def flow_at(self, index: int) -> Array:
        """Return the flow through an element."""
        return self.solution.flows.flow[:, self.line_at(index)]

    def inlet(self, index: int) -> int:
        """Return the station before an element."""
        return int(self.walk.before[index])

    def outlet(self, index: int) -> int:
        """Return the station after an element."""
        return int(self.walk.after[index])

    def stands_still(self, flow: Array) -> Any:
        """Return True where a flow is none."""
        return np.abs(flow) <= _STANDSTILL

    def surface_of(self, name: str) -> Array:
        """Return the height of the water in a source or tank, m."""
        end = self.rig.ends()[name]
        if isinstance(end, Source):
            return self.full(self.plan.values.of(f"sources.{name}", end, "surface"))
        assert isinstance(end, Tank)
        values = self.plan.values
        return self.full(values.of(f"tanks.{name}", end, "floor") + tank_level(self.rig, name, values))

    def head_of(self, name: str) -> Array:
        """Return the head that a source or tank keeps up: its surface, and for a source the pressure on it, m."""
        end = self.rig.ends()[name]
        kept: Any = self.plan.values.of(f"sources.{name}", end, "pressure") if isinstance(end, Source) else 0.0
        return np.asarray(self.surface_of(name) + kept / self.weight, np.float64)

    @cached_property
    def deliveries(self) -> dict[str, Array]:
        """Flow into each tank and outlet that an open line leads to, less what leaves the tank, m³/s."""
        return {name: self._gained(name) for name in self._led_to(Tank, Outlet)}

    @cached_property
    def arrivals(self) -> dict[str, Array]:
        """Flow that arrives wherever this mode brings water, m³/s: deliveries, what joints ask for, what sources gain.

        A source counts where an open line leads to it, as between two reservoirs; where the open lines lead to nothing
        that takes water, every source counts. What runs back into the pond that a line draws from is no arrival.
        """
        joints = self.plan.layout.joints
        demand = np.broadcast_to(self.plan.ends.demand, (self.variants, len(joints)))
        asked = {name: demand[:, at] for at, name in enumerate(joints) if (demand[:, at] > 0.0).any()}
        sources = self._led_to(Source) or ([] if asked or self.deliveries else self.rig.sources)
        return {**self.deliveries, **asked, **{name: np.maximum(self._gained(name), 0.0) for name in sources}}

    def _led_to(self, *kinds: type) -> list[str]:
        """Return the ends of the given classes that an open line leads to."""
        ends, lines = self.rig.ends(), zip(self.rig.lines.values(), self.closed, strict=True)
        return list(
            dict.fromkeys(line.end for line, closed in lines if not closed and isinstance(ends[line.end], kinds))
        )

    def _gained(self, end: str) -> Array:
        """Return the flow into an end less what leaves it, m³/s."""
        gained = np.zeros(self.variants)
        for name, line in self.rig.lines.items():
            if end in (line.start, line.end):
                gained = gained + (self.solution.flow(name) if end == line.end else -self.solution.flow(name))
        return gained

    @cached_property
    def delivered(self) -> Array:
        """Sum of what arrives where something is gained, m³/s.

        Tanks that level with each other, and to which water comes from a source, count as one: what they only pass on
        to each other arrives nowhere.
        """
        gained, total = dict(self.arrivals), np.zeros(self.variants)
        for tanks in self._levelled():
            total = total + np.maximum(sum(self._gained(name) for name in tanks), 0.0)
            gained = {name: flow for name, flow in gained.items() if name not in tanks}
        return np.asarray(sum((np.maximum(flow, 0.0) for flow in gained.values()), total), np.float64)

    def _levelled(self) -> list[set[str]]:
        """Return the tanks that level with each other, no pump or barrier between, and that a source leads to."""
        sources, pumped = {*self.rig.sources}, {self.line_at(pump) for pump in self.running}
        free = [way for way in self.ways if way.line not in pumped and way.start not in sources and not way.treats]
        fed = reached(sources, self.ways)
        return [tanks for tanks in levelled(self.rig.tanks, free) if tanks & fed]


def made_once(make: Callable[[State], Made]) -> Callable[[State], Made]:
    """Have what a function makes of a state made once, and kept with the state."""

    @wraps(make)
    def kept(state: State) -> Made:
        if make not in state.made:
            state.made[make] = make(state)
        found: Made = state.made[make]
        return found

    return kept
