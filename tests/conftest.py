"""Invented rigs: ten made by hand, and any number drawn at random but always the same for the same seed."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from hypothesis import HealthCheck, settings

from hydrokit.parts import (
    CentrifugalPump,
    Coupler,
    DiaphragmPump,
    Elbow,
    Filter,
    Fitting,
    FootValve,
    HandPump,
    Hose,
    HoseTail,
    Joint,
    Lamp,
    NonReturnValve,
    Outlet,
    Part,
    Pump,
    Source,
    Strainer,
    Tank,
    Tee,
    Valve,
)
from hydrokit.rig import Line, Mode, Rig, Site
from tests.ten_rigs import made_rigs

if TYPE_CHECKING:
    from collections.abc import Callable

settings.register_profile(
    "steady", deadline=None, suppress_health_check=[HealthCheck.too_slow]
)  # however busy the machine
settings.load_profile("steady")

collect_ignore = ["fuzz/guided.py"]  # it imports what is no dependency

LITRE_PER_MINUTE = 1.0 / 60_000.0
UPRIGHT = "upright"  # note on a pump whose flow has a limit, whatever the pressure


@dataclass
class Draw:
    """Draws the pieces of one rig."""

    random: np.random.Generator
    sources: dict[str, Source] = field(default_factory=dict)
    tanks: dict[str, Tank] = field(default_factory=dict)
    outlets: dict[str, Outlet] = field(default_factory=dict)
    lines: dict[str, Line] = field(default_factory=dict)

    def chance(self, share: float) -> bool:
        return bool(self.random.random() < share)

    def between(self, low: float, high: float) -> float:
        return float(self.random.uniform(low, high))

    def log_between(self, low: float, high: float) -> float:
        return float(np.exp(self.random.uniform(np.log(low), np.log(high))))

    def pick(self, *words: Any) -> Any:
        return words[int(self.random.integers(len(words)))]

    def bore(self) -> float:
        return self.log_between(4e-3, 60e-3)

    def height(self) -> float:
        return self.between(-10.0, 10.0)

    def hose(self) -> Hose:
        wall: dict[str, float] = {}
        if self.chance(0.1):
            wall["friction_factor"] = self.between(0.01, 0.08)
        elif self.chance(0.3):
            wall["roughness"] = self.log_between(1e-6, 2e-4)
        if self.chance(0.1):
            wall["friction_multiplier"] = self.between(1.0, 3.0)
        return Hose(length=self.log_between(0.1, 100.0), bore=self.bore(), **wall)

    def curve(self, falls: float) -> tuple[tuple[float, float], ...]:
        open_flow, top = self.log_between(2.0, 80.0) * LITRE_PER_MINUTE, self.log_between(0.3, 1.0) * falls
        shape = self.pick("straight", "level", "round", "cut short")
        if shape == "straight":
            return ((0.0, top), (open_flow, 0.0))
        if shape == "level":
            return ((0.0, top), (0.3 * open_flow, top), (open_flow, 0.0))
        shares = np.linspace(0.0, 1.0 if shape == "round" else 0.7, 6)
        return tuple((float(share * open_flow), float(top * (1.0 - share**2))) for share in shares)

    def pump(self) -> Pump:
        kind = self.pick("centrifugal", "diaphragm", "upright", "hand")
        if kind == "hand":
            return HandPump(
                stroke_volume=self.log_between(0.1e-3, 1e-3), greatest_pressure=self.between(1e5, 4e5), note=UPRIGHT
            )
        speed = self.between(0.6, 1.2) if self.chance(0.3) else 1.0
        if kind == "centrifugal":
            return CentrifugalPump(heads=self.curve(30.0), speed=speed)
        if kind == "diaphragm":
            return DiaphragmPump(points=self.curve(5e5), speed=speed)
        flow, top = self.log_between(4.0, 40.0) * LITRE_PER_MINUTE, self.between(1e5, 5e5)
        return DiaphragmPump(points=((0.0, top), (flow, 0.4 * top), (flow, 0.0)), speed=speed, note=UPRIGHT)

    def filter(self) -> Filter | Lamp:
        flow, viscous, inertial = self.log_between(3.0, 40.0) * LITRE_PER_MINUTE, self.log_between(1e3, 8e4), 0.0
        if self.chance(0.7):
            inertial = self.log_between(1e2, 4e4)
        points = [(share * flow, share * viscous + share**2 * inertial) for share in (0.5, 1.0)]
        if self.chance(0.3):
            return Lamp(points=tuple(points[1:]))
        if self.chance(0.3):
            return Filter(
                points=tuple(points), end_drop=((flow, 3.0 * (viscous + inertial)),), loading=self.between(0.0, 1.0)
            )
        return Filter(points=tuple(points), bore=self.bore() if self.chance(0.3) else None)

    def small_part(self) -> Part:
        bore = self.bore()
        return self.pick(
            Fitting(bore=bore, k=self.between(0.1, 10.0)),
            Fitting(bore=bore, k=self.between(0.1, 10.0), k_backward=self.between(0.1, 10.0)),
            Elbow(bore=bore, shape=self.pick("90", "45", "90 swept", "180")),
            Tee(bore=bore, way=self.pick("run", "branch")),
            Coupler(bore=bore),
            Coupler(bore=bore, kv=self.log_between(0.5, 20.0) / 3600.0),
            Valve(bore=bore, pattern=self.pick("ball", "gate", "globe", "angle", "butterfly")),
            Valve(bore=bore, kv=self.log_between(0.5, 20.0) / 3600.0),
            Strainer(bore=bore, blockage=self.between(0.0, 0.6)),
            HoseTail(bore=bore),
        )

    def one_way_part(self) -> Part:
        cracking = self.log_between(1e2, 2e4) if self.chance(0.5) else 0.0
        if self.chance(0.3):
            return FootValve(bore=self.bore(), pattern=self.pick("poppet", "hinged"), cracking_pressure=cracking)
        return NonReturnValve(
            bore=self.bore(), pattern=self.pick("spring", "swing", "lift"), cracking_pressure=cracking
        )

    def parts(self, pumped: float) -> tuple[Part, ...]:
        own: list[Part] = [self.hose() for _ in range(int(self.random.integers(0, 4)))]
        own += [self.small_part() for _ in range(int(self.random.integers(0, 3)))]
        if self.chance(0.2):
            own.append(self.one_way_part())
        if self.chance(0.2):
            own.append(self.filter())
        if not own:
            own.append(self.small_part())
        if self.chance(pumped):
            own.append(self.hose())
            own.append(self.pump())
        self.random.shuffle(own)  # type: ignore[arg-type]
        return tuple(own)

    def fixed_end(self, *, start: bool) -> str:
        """Return the name of a source, tank or outlet, one there is or a new one."""
        kind = self.pick("source", "tank") if start else self.pick("source", "tank", "tank", "outlet", "outlet")
        group: dict[str, Any] = {"source": self.sources, "tank": self.tanks, "outlet": self.outlets}[kind]
        if group and self.chance(0.4):
            return str(self.pick(*group))
        name = f"{kind}-{len(group) + 1}"
        if kind == "source":
            self.sources[name] = Source(surface=self.height(), pressure=self.log_between(1e3, 3e5) * self.chance(0.2))
        elif kind == "outlet":
            self.outlets[name] = Outlet(height=self.height(), exit_k=self.pick(0.0, 1.0, 1.0))
        else:
            self.tanks[name] = Tank(
                volume=0.06,
                floor=self.height(),
                depth=0.45,
                inlet=self.pick("top", "bottom"),
                level=self.pick(None, 0.0, 0.2, 0.45),
            )
        return name

    def line(self, start: str, end: str, pumped: float = 0.1) -> None:
        self.lines[f"line-{len(self.lines) + 1}"] = Line(start=start, end=end, parts=self.parts(pumped))

    def either_way(self, one: str, other: str) -> None:
        self.line(*((one, other) if self.chance(0.5) else (other, one)))


def _tangle(draw: Draw, most: int) -> list[str]:
    """Draw the lines; return the joints."""
    count = int(draw.random.integers(1, most + 1))
    joints = [f"joint-{number}" for number in range(1, int(draw.random.integers(0, 1 + count // 2)) + 1)]
    if not joints:
        for _ in range(count):
            start = draw.fixed_end(start=True)
            end = draw.fixed_end(start=False)
            while end == start:
                end = draw.fixed_end(start=False)
            draw.line(start, end, pumped=0.4)
        return joints
    draw.line(draw.fixed_end(start=True), joints[0], pumped=0.6)
    for number, joint in enumerate(joints[1:], start=1):
        draw.either_way(str(draw.pick(*joints[:number])), joint)
    while len(draw.lines) < count:
        one = str(draw.pick(*joints))
        others = [joint for joint in joints if joint != one]
        kind = draw.pick("loop", "in", "out", "out")
        if kind == "loop" and others:
            draw.either_way(one, str(draw.pick(*others)))
        elif kind == "in":
            draw.line(draw.fixed_end(start=True), one, pumped=0.3)
        else:
            draw.line(one, draw.fixed_end(start=False))
    return joints


def _ways(draw: Draw, mode: Mode) -> list[tuple[str, str]]:
    """Return (from, to) of every way that water may go without a limit on its flow; all fixed ends are called fixed."""
    fixed = {*draw.sources, *draw.tanks, *draw.outlets}
    ways = []
    for name, line in draw.lines.items():
        limited = any(part.note == UPRIGHT for part in line.parts)
        blocked = any(f"lines.{name}.{label}" in mode.off for label in line.labels())
        drained = line.start in draw.tanks and draw.tanks[line.start].level == 0.0
        if f"lines.{name}" in mode.closed or blocked:
            continue
        ends = tuple("fixed" if end in fixed else end for end in (line.start, line.end))
        if not (limited or drained):
            ways.append((ends[0], ends[1]))
        one_way = any(isinstance(part, NonReturnValve | FootValve | DiaphragmPump | HandPump) for part in line.parts)
        falls_in = line.end in draw.outlets or (line.end in draw.tanks and draw.tanks[line.end].inlet == "top")
        if not (one_way or falls_in):
            ways.append((ends[1], ends[0]))
    return ways


def _reached(ways: list[tuple[str, str]]) -> set[str]:
    reached, before = {"fixed"}, set()
    while reached != before:
        before = set(reached)
        reached |= {to for start, to in ways if start in reached}
    return reached


def _demand(draw: Draw, joint: str, fed: set[str], drained: set[str]) -> float:
    if not draw.chance(0.2):
        return 0.0
    flow = draw.log_between(0.1, 20.0) * LITRE_PER_MINUTE
    if joint in fed:
        return flow
    return -flow if joint in drained else 0.0


def draw_rig(seed: int, most_lines: int = 40) -> Rig:
    """Return a rig of 1 to ``most_lines`` lines; its one mode may shut lines and stop pumps."""
    draw = Draw(np.random.default_rng(seed))
    joints = _tangle(draw, most_lines)
    pumps = [
        f"lines.{name}.{label}"
        for name, line in draw.lines.items()
        for label, part in zip(line.labels(), line.parts, strict=True)
        if isinstance(part, Pump)
    ]
    mode = Mode(
        closed=tuple(f"lines.{name}" for name in draw.lines if draw.chance(0.06)),
        off=tuple(pump for pump in pumps if draw.chance(0.1)),
    )
    ways = _ways(draw, mode)
    fed, drained = _reached(ways), _reached([(to, start) for start, to in ways])
    return Rig(
        title=f"invented, number {seed}",
        site=Site(water_temperature=273.15 + draw.between(0.0, 40.0)),
        sources=draw.sources,
        tanks=draw.tanks,
        outlets=draw.outlets,
        joints={joint: Joint(demand=_demand(draw, joint, fed, drained)) for joint in joints},
        lines=draw.lines,
        modes={"at-random": mode},
    )


@pytest.fixture(scope="session")
def random_rig() -> Callable[..., Rig]:
    """Return the function that draws a rig from a seed."""
    return draw_rig


def pond_rig(
    pump: Pump | None = None,
    *,
    before: tuple[Part, ...] | None = None,
    after: tuple[Part, ...] | None = None,
    height: float = 1.5,
    lip: float = 2.1,
    **more: Any,
) -> Rig:
    """Return a small invented rig: one line from a pond through a pump into a tank from the top.

    ``before`` and ``after`` are the parts on either side of the pump; ``more`` goes into the rig.
    """
    bar = 1e5
    if pump is None:
        pump = DiaphragmPump(
            name="pump",
            points=((5.3 * LITRE_PER_MINUTE, 2.8 * bar), (11.3 * LITRE_PER_MINUTE, 0.0)),
            cut_in=1.9 * bar,
            cut_out=2.8 * bar,
            dry_lift=2.4,
            vacuum_rating=0.45 * bar,
            pressure_rating=7.0 * bar,
        )
    if before is None:
        suction = Hose(name="suction-hose", bore=0.025, length=5.0, vacuum_rating=0.8 * bar, pressure_rating=4.0 * bar)
        before = (FootValve(bore=0.025), suction)
    if after is None:
        after = (Hose(name="delivery-hose", bore=0.019, length=3.0, pressure_rating=10.0 * bar),)
    made: dict[str, Any] = {
        "title": "pond rig",
        "sources": {"pond": Source(surface=0.0)},
        "tanks": {"tank": Tank(volume=0.06, floor=lip - 0.5, depth=0.45, inlet_height=lip)},
        "lines": {"intake": Line(start="pond", end="tank", parts=(*before, replace(pump, height=height), *after))},
    }
    return Rig(**{**made, **more})


@pytest.fixture(scope="session", name="pond_rig")
def _pond_rig() -> Callable[..., Rig]:
    """Return the function that builds the pond rig."""
    return pond_rig


@pytest.fixture(scope="session")
def ten_rigs() -> dict[str, Rig]:
    """Return ten rigs made by hand, by what they show."""
    return made_rigs()
