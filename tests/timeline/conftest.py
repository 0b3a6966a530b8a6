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
from hydrokit.parts import DiaphragmPump, Filter, FloatValve, FootValve, Hose, NonReturnValve, Outlet, Source, Tank
from hydrokit.rig import Line, Rig

if TYPE_CHECKING:
    from collections.abc import Callable

LPM = 1.0 / 60_000.0
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


_PUMP = DiaphragmPump(name="pump", height=0.8, points=((0.0, 3.0e5), (17 * LPM, 0.0)))
_FEED = (FootValve(bore=0.019), Hose(bore=0.019, length=4.0), _PUMP, Hose(bore=0.0125, length=3.0))
_FILTER = Filter(points=((4 * LPM, 20e3), (10 * LPM, 60e3)))


def _twins() -> Rig:
    return Rig(
        title="balance line from top-fed near",
        sources={"pond": Source(surface=0.0)},
        tanks={
            "near": Tank(volume=0.06, floor=1.0, depth=0.45),
            "far": Tank(volume=0.06, floor=1.0, depth=0.45, inlet="bottom"),
        },
        lines={
            "fill": Line(start="pond", end="near", parts=(*_FEED, _FILTER)),
            "balance": Line(start="near", end="far", parts=(Hose(bore=0.0125, length=0.6),)),
        },
    )


def filled_rigs() -> dict[str, Rig]:
    """Return rigs that fill in every way there is."""
    short = Line(start="near", end="far", parts=(Hose(bore=0.025, length=0.3),))
    twins = _twins()
    uneven = Rig(
        title="far lower than near, filled first by gravity through near's outlet",
        sources=twins.sources,
        tanks={
            "near": Tank(volume=0.06, floor=1.3, depth=0.45, outlet_height=1.35),
            "far": Tank(volume=0.08, floor=1.0, depth=0.5, inlet="bottom"),
        },
        lines=twins.lines,
    )
    backward = Rig(
        title="balance line drawn against its flow, near's end of it above the floor",
        sources=twins.sources,
        tanks={
            "near": Tank(volume=0.06, floor=1.0, depth=0.45, outlet_height=1.06),
            "far": Tank(volume=0.06, floor=1.0, depth=0.45, inlet="bottom"),
        },
        lines={
            "fill": Line(start="pond", end="far", parts=(*_FEED, _FILTER)),
            "balance": twins.lines["balance"],
        },
    )
    lip = Rig(
        title="gravity through lips that drown",
        sources={"header": Source(surface=2.2)},
        tanks={
            "one": Tank(volume=0.1, floor=1.0, depth=0.5, inlet_height=1.2),
            "two": Tank(volume=0.1, floor=1.1, depth=0.5, inlet="bottom", inlet_height=1.25),
        },
        lines={
            "down": Line(start="header", end="fork", parts=(Hose(bore=0.0125, length=6.0),)),
            "to-one": Line(start="fork", end="one", parts=(Hose(bore=0.0125, length=1.0),)),
            "to-two": Line(start="fork", end="two", parts=(Hose(bore=0.01, length=2.0),)),
        },
    )
    floats = Rig(
        title="float valves behind one feed",
        sources={"header": Source(surface=3.0)},
        tanks={name: Tank(volume=0.06, floor=1.0, depth=0.45) for name in ("near", "far")},
        lines={
            "down": Line(start="header", end="fork", parts=(Hose(bore=0.0125, length=6.0),)),
            "to-near": Line(
                start="fork", end="near", parts=(Hose(bore=0.01, length=1.0), FloatValve(bore=0.0125, kv=1.0 / 3600.0))
            ),
            "to-far": Line(
                start="fork",
                end="far",
                parts=(
                    Hose(bore=0.01, length=3.0),
                    FloatValve(bore=0.0125, kv=0.7 / 3600.0, shut_level=0.4, band=0.1),
                ),
            ),
        },
    )
    through = Rig(
        title="fed and drawn at once",
        sources=twins.sources,
        tanks={
            "near": Tank(volume=0.06, floor=1.0, depth=0.45, level=0.2),
            "far": Tank(volume=0.02, floor=0.6, depth=0.3, level=0.0),
        },
        lines={
            "fill": Line(start="pond", end="near", parts=(*_FEED, _FILTER)),
            "on": Line(
                start="near", end="far", parts=(Hose(bore=0.008, length=2.0), NonReturnValve(bore=0.008, k=3.0))
            ),
        },
    )
    return {
        "balance": twins,
        "short balance": Rig(
            title="short balance line",
            sources=twins.sources,
            tanks=twins.tanks,
            lines={**twins.lines, "balance": short},
        ),
        "uneven": uneven,
        "backward": backward,
        "lips": lip,
        "floats": floats,
        "through": through,
    }


def drawn_rigs() -> dict[str, Rig]:
    """Return rigs drawn from in every way there is."""
    tanks = {
        "near": Tank(volume=0.06, floor=1.0, depth=0.45, outlet_height=1.03),
        "far": Tank(volume=0.06, floor=1.1, depth=0.45),
    }
    joined = {
        "from-near": Line(start="near", end="drawn", parts=(Hose(bore=0.0125, length=0.5),)),
        "from-far": Line(start="far", end="drawn", parts=(Hose(bore=0.0125, length=1.1),)),
        "to-tap": Line(start="drawn", end="tap", parts=(Hose(bore=0.01, length=2.0),)),
    }
    pumped = {
        **joined,
        "to-tap": Line(
            start="drawn",
            end="tap",
            parts=(
                DiaphragmPump(name="pump", points=((0.0, 2.4e5), (7 * LPM, 0.0)), height=1.0),
                *joined["to-tap"].parts,
            ),
        ),
    }
    return {
        "gravity": Rig(tanks=tanks, outlets={"tap": Outlet(height=0.4)}, lines=joined),
        "pumped": Rig(tanks=tanks, outlets={"tap": Outlet(height=1.6)}, lines=pumped),
        "level with outlet": Rig(
            tanks={"near": Tank(volume=0.02, floor=1.0, depth=0.4)},
            outlets={"tap": Outlet(height=1.0)},
            lines={"out": Line(start="near", end="tap", parts=(Hose(bore=0.008, length=1.0),))},
        ),
    }


@pytest.fixture(scope="session")
def hard_fills() -> dict[str, Rig]:
    """Return rigs to fill, by what is hard about them."""
    return filled_rigs()


@pytest.fixture(scope="session")
def hard_draws() -> dict[str, Rig]:
    """Return rigs to draw from, by what is hard about them."""
    return drawn_rigs()
