"""Tanks followed by scipy: the second way that the timeline is held against.

The flow law is a steady solve with every tank's level fixed; the integration, its step control and its events are
scipy's. Tanks that brim and outlets that fall bare end a stretch; the next begins from there.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from hydrokit.network import solve

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.rig import Rig

_NUDGE = 1e-10


@dataclass
class Followed:
    """When each tank was brim-full and each fell to its outlet, s; levels at the end, m; litres run over, m³."""

    brimmed: dict[str, float] = field(default_factory=dict)
    bared: dict[str, float] = field(default_factory=dict)
    reached: dict[str, float] = field(default_factory=dict)
    levels: dict[str, float] = field(default_factory=dict)
    spilled: dict[str, float] = field(default_factory=dict)
    time: float = 0.0


@dataclass(frozen=True)
class Event:
    """Something that ends a stretch: what, in which tank, at which level, and which way it is passed."""

    kind: str
    place: int
    level: float
    way: float


class Integration:
    """One rig in one mode, its tanks as a differential equation of levels."""

    def __init__(self, rig: Rig, mode: str | None, levels: dict[str, float], marks: dict[str, float]) -> None:
        self.rig, self.mode, self.marks = rig, mode, marks
        self.names = list(rig.tanks)
        self.y = np.array([levels[name] for name in self.names])
        self.depth = np.array([rig.tanks[name].depth for name in self.names])
        self.area = np.array([rig.tanks[name].volume / rig.tanks[name].depth for name in self.names])
        closed = rig.mode(mode)[1].closed
        self.outlet = {}
        for name, line in rig.lines.items():
            if line.start in rig.tanks and f"lines.{name}" not in closed:
                tank = rig.tanks[line.start]
                height = tank.floor if tank.outlet_height is None else tank.outlet_height
                self.outlet[self.names.index(line.start)] = height - tank.floor
        self.down = {self.names.index(line.start): line.end for line in rig.lines.values() if line.start in rig.tanks}
        self.brim: set[int] = set()
        self.held: set[int] = set()
        self.close: dict[int, float] = {}
        self.out = Followed(spilled=dict.fromkeys(self.names, 0.0))

    def net(self, levels: np.ndarray) -> np.ndarray:
        """Net inflow of every tank at some levels, m³/s."""
        varied = {
            f"tanks.{name}.level": float(np.clip(level, 0.0, depth))
            for name, level, depth in zip(self.names, levels, self.depth, strict=True)
        }
        solution = solve(self.rig, self.mode, varied)
        total = np.zeros(len(self.names))
        for name, line in self.rig.lines.items():
            flow = float(solution.flow(name)[0])
            if line.end in self.rig.tanks:
                total[self.names.index(line.end)] += flow
            if line.start in self.rig.tanks:
                total[self.names.index(line.start)] -= flow
        return total

    def passed_on(self, levels: np.ndarray) -> np.ndarray:
        """Net inflows, where a tank at its outlet passes on what arrives."""
        levels = levels.copy()
        for place in self.held:
            levels[place] = self.outlet[place] - _NUDGE
        net = self.net(levels)
        for place in self.held:
            below = self.down[place]
            if below in self.names:
                net[self.names.index(below)] += net[place]
            net[place] = 0.0
        return net

    def room(self, place: int, levels: np.ndarray) -> float:
        """What a tank at its outlet would gain were the outlet to carry all it can, m³/s."""
        levels = levels.copy()
        levels[place] = self.outlet[place] + _NUDGE
        return float(self.net(levels)[place])

    def rate(self, _: float, levels: np.ndarray) -> np.ndarray:
        tanks = len(self.names)
        net = self.passed_on(levels[:tanks])
        spills = np.array([place in self.brim for place in range(tanks)])
        return np.concatenate([np.where(spills, 0.0, net / self.area), np.where(spills, net, 0.0)])

    def value(self, event: Event, levels: np.ndarray) -> float:
        """What is nought when an event comes about."""
        if event.kind == "ebb":
            return float(self.passed_on(levels)[event.place])
        if event.kind == "faint":
            return float(self.passed_on(levels)[event.place]) - 0.1 * self.close[event.place]
        if event.kind == "lifts":
            return self.room(event.place, levels)
        return float(levels[event.place] - event.level)

    def at_brim_and_outlet(self, place: int) -> list[Event]:
        found = []
        if place in self.brim:
            found.append(Event("ebb", place, self.depth[place], -1.0))
        elif self.y[place] < self.depth[place]:
            found.append(Event("brim", place, self.depth[place], 1.0))
        if place in self.held:
            found.append(Event("lifts", place, 0.0, 1.0))
        elif place in self.outlet:
            rising = self.y[place] < self.outlet[place]
            kind, way = ("covered", 1.0) if rising else ("bare", -1.0)
            found.append(Event(kind, place, self.outlet[place], way))
        return found

    def at_mark(self, place: int, name: str) -> list[Event]:
        if name in self.out.reached or name not in self.marks:
            return []
        mark = self.marks[name]
        found = [Event("mark", place, mark, float(np.sign(mark - self.y[place])))]
        if place in self.close:
            found.append(Event("faint", place, 0.0, -1.0))
        elif self.y[place] < 0.98 * mark:
            found.append(Event("close", place, 0.98 * mark, 1.0))
        return found

    def events(self) -> list[Event]:
        """Everything that may come about next."""
        places = list(enumerate(self.names))
        return [
            event for place, name in places for event in (*self.at_brim_and_outlet(place), *self.at_mark(place, name))
        ]

    def watched(self, event: Event) -> Callable[[float, np.ndarray], float]:
        """The same in scipy's form."""

        def watch(_: float, levels: np.ndarray) -> float:
            return self.value(event, levels[: len(self.names)])

        watch.terminal, watch.direction = True, event.way
        return watch

    def follow(self, limit: float) -> Followed:
        """Go on until every mark is reached or the time is up."""
        time, tanks = 0.0, len(self.names)
        spilled = np.zeros(tanks)
        while time < limit and not (self.marks and self.marks.keys() <= self.out.reached.keys()):
            listed = self.events()
            path = solve_ivp(
                self.rate, (time, limit), np.concatenate([self.y, spilled]), method="LSODA", rtol=1e-8, atol=1e-11,
                events=[self.watched(event) for event in listed], max_step=limit / 20.0,
            )  # fmt: skip
            assert path.success, path.message
            time, self.y, spilled = float(path.t[-1]), path.y[:tanks, -1].copy(), path.y[tanks:, -1]
            for event, times in zip(listed, path.t_events, strict=True):
                if len(times):
                    getattr(self, f"on_{event.kind}")(event, time)
        self.out.time, self.out.levels = time, dict(zip(self.names, self.y.tolist(), strict=True))
        self.out.spilled = dict(zip(self.names, spilled.tolist(), strict=True))
        return self.out

    def on_close(self, event: Event, _: float) -> None:
        self.y[event.place] = event.level
        self.close[event.place] = self.passed_on(self.y)[event.place]

    def on_faint(self, event: Event, time: float) -> None:
        self.out.reached.setdefault(self.names[event.place], time)

    def on_mark(self, event: Event, time: float) -> None:
        self.y[event.place] = event.level
        self.out.reached.setdefault(self.names[event.place], time)

    def on_brim(self, event: Event, time: float) -> None:
        name = self.names[event.place]
        self.y[event.place] = event.level
        self.brim.add(event.place)
        self.out.brimmed.setdefault(name, time)
        if self.marks.get(name) == event.level:
            self.out.reached.setdefault(name, time)

    def on_ebb(self, event: Event, _: float) -> None:
        self.brim.discard(event.place)
        self.y[event.place] = event.level - _NUDGE

    def on_lifts(self, event: Event, _: float) -> None:
        self.held.discard(event.place)
        self.y[event.place] = self.outlet[event.place] + _NUDGE

    def on_bare(self, event: Event, time: float) -> None:
        self.y[event.place] = event.level - _NUDGE
        self.out.bared.setdefault(self.names[event.place], time)
        if self.passed_on(self.y)[event.place] > 0.0:
            self.held.add(event.place)

    def on_covered(self, event: Event, _: float) -> None:
        self.y[event.place] = event.level - _NUDGE
        if self.room(event.place, self.y) > 0.0:
            self.y[event.place] = event.level + _NUDGE
        elif self.passed_on(self.y)[event.place] > 0.0:
            self.held.add(event.place)


@pytest.fixture(scope="session")
def integrated() -> Callable[..., Followed]:
    """Return the function that follows a rig from stated levels to marks: (rig, mode, levels, marks, limit)."""

    def follow(
        rig: Rig, mode: str | None, levels: dict[str, float], marks: dict[str, float], limit: float = 1e5
    ) -> Followed:
        return Integration(rig, mode, levels, marks).follow(limit)

    return follow
