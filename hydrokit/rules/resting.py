"""Heads at rest: what stands where when every end is shut, and the pumps that are on still press.

Head spreads from sources, from tanks that a line meets under water, and from each pump: with the flow everywhere, against
it until a valve or a displacement pump that lets nothing back. A pump adds what it gives at no flow, until the switch at
its outlet stops it or a relief valve there lets its flow off. In a line that the mode shuts, head spreads as far as the
first hand valve from either end; in one without a valve it is taken to reach every part of it, but never the end beyond.
"""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING, Any

import numpy as np

from hydrokit.parts import Pump, Valve
from hydrokit.rules.state import made_once

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = ["heads_at_rest"]

_NOWHERE = -np.inf


class _Paths:
    """The stations and joints of a state, and how head spreads between them.

    Nodes are the stations of the walk, then the joints; each edge has the head that opening a valve on it costs.
    """

    def __init__(self, state: State) -> None:
        self.state = state
        self.stations = state.walk.head.shape[1]
        self.onward: dict[int, list[tuple[int, Any]]] = {}
        cracking = np.broadcast_to(state.plan.element_losses.cracking, state.walk.loss.shape)
        for line, own in enumerate(state.own):
            for index in own:
                self._along(line, index, cracking[:, index])
            self._meet_joints(line)

    def _edge(self, start: int, end: int, cost: Any = 0.0) -> None:
        self.onward.setdefault(start, []).append((end, cost))

    def _along(self, line: int, index: int, cracking: Array) -> None:
        state, element = self.state, self.state.plan.elements[index]
        if state.shut[line] and isinstance(element.part, Valve):
            return
        still = isinstance(element.part, Pump) and index not in state.on
        if not (still and element.one_way):  # a displacement pump that stands still blocks
            self._edge(state.inlet(index), state.outlet(index), cracking)
        if not element.one_way and index not in state.on:
            self._edge(state.outlet(index), state.inlet(index))

    def _meet_joints(self, line: int) -> None:
        state, layout = self.state, self.state.plan.layout
        has_valve = any(isinstance(state.plan.elements[index].part, Valve) for index in state.own[line])
        first = int(state.plan.stations.begins[line])
        for joint, station in (
            (int(layout.start[line]), first),
            (int(layout.end[line]), first + len(state.own[line])),
        ):
            if joint < len(layout.joints):
                self._edge(self.stations + joint, station)
                if has_valve or not state.shut[line]:
                    self._edge(station, self.stations + joint)

    def spread(self, starts: dict[int, Array]) -> Array:
        """Return the highest head that reaches each station, shape (n, S), from heads at some of them."""
        nodes = self.stations + len(self.state.plan.layout.joints)
        head = np.full((self.state.variants, nodes), _NOWHERE)
        for node, value in starts.items():
            head[:, node] = np.maximum(head[:, node], value)
        waiting = deque(starts)
        while waiting:
            node = waiting.popleft()
            for other, cost in self.onward.get(node, ()):
                better = head[:, node] - cost
                if (better > head[:, other]).any():
                    head[:, other] = np.maximum(head[:, other], better)
                    waiting.append(other)
        stations: Array = head[:, : self.stations]
        return stations


def _kept_up(state: State) -> dict[int, Array]:
    """Return the heads that sources and tanks keep up, by the station where a line meets them."""
    shape = state.solution.flows.flow.shape
    starts = np.broadcast_to(state.plan.ends.fixed_start, shape)
    found: dict[int, Array] = {}
    for line, first in enumerate(state.plan.stations.begins.tolist()):
        if not np.isnan(starts[:, line]).any():
            found[first] = starts[:, line]
    for way in state.ways:  # a tank met under water presses back into the line that fills it
        name = state.plan.layout.lines[way.line]
        if state.rig.lines[name].end == way.start and way.start in (*state.rig.sources, *state.rig.tanks):
            last = int(state.plan.stations.begins[way.line]) + len(state.own[way.line])
            found[last] = state.head_of(way.start)
    return found


def _pressed(state: State, pump: int, supply: Array) -> Array:
    """Return the head at a pump's outlet, at rest, for that at its inlet."""
    head = supply + state.shut_off_head(pump)
    for name in ("cut_out", "relief"):
        stop = state.of(state.plan.elements[pump], name) if hasattr(state.pump_of(pump), name) else None
        if stop is not None:
            stops = state.walk.height[:, state.outlet(pump)] + stop / state.weight
            head = np.minimum(head, np.maximum(stops, supply))
    return head


@made_once
def heads_at_rest(state: State) -> Array:
    """Return the greatest head that stands at each station when nothing flows, shape (n, S), m; -inf where none reaches.

    Pumps one after the other add up; one that pumps in a circle does not add to itself.
    """
    paths = _Paths(state)
    base = paths.spread(_kept_up(state))
    given: dict[int, Array] = {pump: np.full_like(base, _NOWHERE) for pump in state.on}
    for _ in state.on:  # as many pumps as there are may stand one after the other
        before = dict(given)
        for pump in state.on:
            others = [base, *(heads for other, heads in before.items() if other != pump)]
            supply = np.max([heads[:, state.inlet(pump)] for heads in others], axis=0)
            if np.isfinite(supply).any():
                given[pump] = paths.spread({state.outlet(pump): _pressed(state, pump, supply)})
    greatest: Array = np.max([base, *given.values()], axis=0)
    return greatest
