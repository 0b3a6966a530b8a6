"""The law of a line put together by hand: from the parts' data and ``fluids``, with nothing of the network's own."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from fluids.fittings import (
    K_angle_valve_Crane,
    K_ball_valve_Crane,
    K_butterfly_valve_Crane,
    K_foot_valve_Crane,
    K_gate_valve_Crane,
    K_globe_valve_Crane,
    K_lift_check_valve_Crane,
    K_swing_check_valve_Crane,
    contraction_sharp,
    diffuser_sharp,
)
from fluids.friction import Clamond, friction_factor, ft_Crane
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from hydrokit.laws.hand_pump import hand_pump_points
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
    Lamp,
    NonReturnValve,
    Pump,
    Strainer,
    Tee,
)
from hydrokit.water import water

if TYPE_CHECKING:
    from hydrokit.rig import Rig

G = 9.80665
Law = Callable[[float], float]


def square(k: float, bore: float) -> float:
    """Head per flow squared, from h = K v^2 / 2 g."""
    return k / (2.0 * G * (math.pi / 4.0 * bore**2) ** 2)


@dataclass
class HandLine:
    """One line's law as a sum of terms, and what bounds its flow."""

    start: str
    end: str
    fixed_start: float | None
    fixed_end: float | None
    low: float = -math.inf
    high: float = math.inf
    linear: float = 0.0
    forward: float = 0.0
    backward: float = 0.0
    cracking: float = 0.0
    rest: float = math.inf
    rubbing: list[Law] = field(default_factory=list)
    gains: list[Law] = field(default_factory=list)

    def loss(self, flow: float) -> float:
        size = abs(flow)
        rest = 0.0 if math.isinf(self.rest) else self.rest
        even = self.linear + (self.forward if flow >= 0.0 else self.backward) * max(size, rest)
        head = flow * even + self.cracking - sum(gain(flow) for gain in self.gains)
        return head + math.copysign(sum(law(size) for law in self.rubbing), flow)

    def flow(self, drop: float) -> float:
        """Return the flow at a head difference, by bracketing; at a bound where the law is upright."""
        if self.low > -math.inf and self.loss(self.low) >= drop:
            return self.low
        if self.high < math.inf and self.loss(self.high) <= drop:
            return self.high
        low, high = max(self.low, -1e-4), min(self.high, 1e-4)
        while self.loss(low) > drop:
            low = max(self.low, 4.0 * low)
        while self.loss(high) < drop:
            high = min(self.high, 4.0 * high)
        return float(brentq(lambda flow: self.loss(flow) - drop, low, high, xtol=1e-20, rtol=1e-15))

    def conductance(self, flow: float) -> float:
        if flow in (self.low, self.high):
            return 0.0
        step = 1e-6 * abs(flow) + 1e-11
        return 2.0 * step / (self.loss(flow + step) - self.loss(flow - step))


def friction(part: Hose | HoseTail, viscosity: float) -> Law:
    area, bore = math.pi / 4.0 * part.bore**2, part.bore
    if isinstance(part, HoseTail):
        rough, stated, times = 1.5e-6 / bore, None, 1.0
    else:
        rough, stated, times = part.wall_roughness / bore, part.friction_factor, part.friction_multiplier

    def law(flow: float) -> float:
        speed = flow / area
        number = speed * bore / viscosity
        if number == 0.0:
            return 0.0
        if stated is not None:
            factor = stated * max(1.0, 10.0 / number)  # in proportion to flow below Re 10
        elif number >= 4000.0:
            factor = friction_factor(Re=number, eD=rough)
        else:
            factor = 64.0 / number
            if number > 2000.0:  # a smooth step from one to the other
                part_way = number / 2000.0 - 1.0
                turbulent = Clamond(number, rough)  # friction_factor would turn laminar at Re 2040
                factor += (turbulent - factor) * part_way**2 * (3.0 - 2.0 * part_way)
        return float(times * factor * part.length / bore * speed**2 / (2.0 * G))

    return law


def gain(part: Pump, weight: float) -> tuple[Law, float]:
    """Return head against flow of a running pump, and the flow it never passes."""
    unit, rise, speed, points = 1.0 / weight, 1.0, 1.0, ()
    if isinstance(part, HandPump):
        points = hand_pump_points(
            stroke_volume=part.stroke_volume,
            stroke_time=part.stroke_time,
            greatest_pressure=part.greatest_pressure,
            person_power=part.person_power,
        )
    elif isinstance(part, CentrifugalPump):
        unit, rise, speed, points = 1.0, part.speed**2, part.speed, part.heads
    elif isinstance(part, DiaphragmPump):
        speed, points = part.speed, part.points
    upright = points[-1][0] == points[-2][0]
    flows, gains = np.array(points[:-1] if upright else points).T
    inside: Any = PchipInterpolator(flows, gains)
    first, last = (float(inside.derivative()(flow)) for flow in flows[[0, -1]])
    bend = (gains[0] - (0.0 if upright else gains[-1])) / flows[-1] ** 2
    open_flow = float(flows[-1])
    if gains[-1] > 0.0 and not upright:
        open_flow += float(np.roots([-bend, last, gains[-1]]).max())

    def law(flow: float) -> float:
        along = flow / speed
        beyond = along - flows[-1]
        if along < 0.0:
            value = gains[0] + first * along + gains[0] * (along / open_flow) ** 2
        elif beyond <= 0.0:
            value = inside(along)
        else:
            value = gains[-1] + last * beyond - bend * beyond**2
        return float(value) * rise * unit

    return law, float(flows[-1]) * speed if upright else math.inf


CRANE: dict[str, Callable[[float], float]] = {  # TP 410, appendix A: lengths in bores, and valves as fluids has them
    "elbow 90": lambda bore: 30.0 * ft_Crane(bore),
    "elbow 45": lambda bore: 16.0 * ft_Crane(bore),
    "elbow 90 swept": lambda bore: 14.0 * ft_Crane(bore),
    "elbow 180": lambda bore: 50.0 * ft_Crane(bore),
    "tee run": lambda bore: 20.0 * ft_Crane(bore),
    "tee branch": lambda bore: 60.0 * ft_Crane(bore),
    "valve ball": lambda bore: K_ball_valve_Crane(bore, bore, 0.0),
    "valve gate": lambda bore: K_gate_valve_Crane(bore, bore, 0.0),
    "valve globe": lambda bore: K_globe_valve_Crane(bore, bore),
    "valve angle": lambda bore: K_angle_valve_Crane(bore, bore, style=1),
    "valve butterfly": lambda bore: K_butterfly_valve_Crane(bore, style=0),
    "non-return valve spring": lambda bore: K_foot_valve_Crane(bore, style=0),
    "non-return valve swing": lambda bore: K_swing_check_valve_Crane(bore, angled=True),
    "non-return valve lift": lambda bore: K_lift_check_valve_Crane(bore, bore, angled=False),
    "foot valve poppet": lambda bore: K_foot_valve_Crane(bore, style=0),
    "foot valve hinged": lambda bore: K_foot_valve_Crane(bore, style=1),
}


def point_k(part: Any) -> tuple[float, float]:
    """Return K forward and backward of a part that has one."""
    if isinstance(part, Fitting):
        return part.k, part.k if part.k_backward is None else part.k_backward
    if getattr(part, "kv", None) is not None:  # Kv is the flow at 1 bar, water of 999.1 kg/m^3
        k = 2.0 * (1e5 / 999.1) * (math.pi / 4.0 * part.bore**2 / part.kv) ** 2
    elif isinstance(part, Coupler | Strainer):
        k = part.k
    else:
        word = part.shape if isinstance(part, Elbow) else part.way if isinstance(part, Tee) else part.pattern
        k = CRANE[f"{part.kind} {word}"](part.bore)
    k /= (1.0 - getattr(part, "blockage", 0.0)) ** 2
    return k, k


def medium(part: Filter | Lamp) -> tuple[float, float]:
    """Return a and b of drop = a mu Q + b rho Q^2, for points that have one or two flows."""
    sheet = water(293.15)
    mu, rho = float(sheet.viscosity), float(sheet.density)
    table = np.array(part.points)
    if len(table) == 1:
        a, b = table[0, 1] / (mu * table[0, 0]), 0.0
    else:
        a, b = np.linalg.solve(np.column_stack([mu * table[:, 0], rho * table[:, 0] ** 2]), table[:, 1])
    if isinstance(part, Filter) and part.end_drop is not None:
        flow, drop = part.end_drop[0]
        a += part.loading * (drop - a * mu * flow - b * rho * flow**2) / (mu * flow)
    return float(a), float(b)


def hand_line(rig: Rig, name: str) -> HandLine:
    """Put one line's law together."""
    mode, line, liquid = rig.mode()[1], rig.lines[name], water(rig.site.water_temperature)
    density, viscosity = float(liquid.density), float(liquid.viscosity)
    weight = density * G
    made = HandLine(line.start, line.end, *fixed_heads(rig, name, weight))
    before: float | None = None
    for label, part in zip(line.labels(), line.parts, strict=True):
        bore = getattr(part, "bore", None)
        if bore is not None:
            made.rest = min(made.rest, 10.0 * math.pi * bore * viscosity / density / 4.0)
            change_of_bore(made, before, bore)
        before = bore
        if isinstance(part, Hose | HoseTail):
            made.rubbing.append(friction(part, viscosity / density))
        elif isinstance(part, Filter | Lamp):
            a, b = medium(part)
            made.linear += a * viscosity / weight
            made.forward += b / G
            made.backward += b / G
        elif isinstance(part, Pump):
            add_pump(made, part, weight, runs=f"lines.{name}.{label}" not in mode.off)
        else:
            add_point(made, part, weight)
    end_losses(rig, name, made)
    if f"lines.{name}" in mode.closed:
        made.low = made.high = 0.0
    return made


def change_of_bore(made: HandLine, before: float | None, after: float) -> None:
    if before is None or before == after:
        return
    small, large = sorted((before, after))
    shrink = square(contraction_sharp(large, small, method="Crane"), small)
    grow = square(diffuser_sharp(small, large), small)
    made.forward += shrink if after < before else grow
    made.backward += grow if after < before else shrink


def add_pump(made: HandLine, part: Pump, weight: float, *, runs: bool) -> None:
    if part.displacement:
        made.low = 0.0
    if runs:
        law, limit = gain(part, weight)
        made.gains.append(law)
        made.high = min(made.high, limit)
    elif part.displacement:
        made.high = 0.0
    else:  # the square term by which the running pump holds water back
        law, _ = gain(part, weight)
        still = (law(-2e-4) - 2.0 * law(-1e-4) + law(0.0)) / (2.0 * 1e-4**2)
        made.forward += still
        made.backward += still


def add_point(made: HandLine, part: Any, weight: float) -> None:
    forward, backward = (square(k, part.bore) for k in point_k(part))
    made.forward += forward
    made.backward += backward
    if isinstance(part, NonReturnValve | FootValve):
        made.low = 0.0
        made.cracking += part.cracking_pressure / weight


def fixed_heads(rig: Rig, name: str, weight: float) -> tuple[float | None, float | None]:
    line, heads = rig.lines[name], []
    for word in (line.start, line.end):
        head: float | None = None
        if word in rig.sources:
            head = rig.sources[word].surface + rig.sources[word].pressure / weight
        elif word in rig.outlets:
            head = rig.outlets[word].height + rig.outlets[word].pressure / weight
        elif word in rig.tanks:
            tank = rig.tanks[word]
            head = tank.floor + (0.5 * tank.depth if tank.level is None else tank.level)
            if word == line.end and tank.inlet == "top":
                head = tank.floor + tank.depth
        heads.append(head)
    return heads[0], heads[1]


def end_losses(rig: Rig, name: str, made: HandLine) -> None:
    """Add entrance and exit of a line whose first or last part has a bore, and what the ends let through."""
    line = rig.lines[name]
    for word, part, sign in ((line.start, line.parts[0], 1), (line.end, line.parts[-1], -1)):
        end, bore = rig.ends()[word], getattr(part, "bore", None)
        fixed = word not in rig.joints
        inward = getattr(end, "entrance_k", 0.0) if fixed else 0.0
        outward = end.exit_k if fixed else 0.0  # type: ignore[union-attr]
        if sign > 0 and isinstance(part, Strainer | FootValve):
            inward = 0.0
        if bore is not None:
            made.forward += square(inward if sign > 0 else outward, bore)
            made.backward += square(outward if sign > 0 else inward, bore)
    if line.end in rig.outlets or (line.end in rig.tanks and rig.tanks[line.end].inlet == "top"):
        made.low = 0.0
    if line.start in rig.tanks and rig.tanks[line.start].level == 0.0:  # its outlet is bare
        made.high = 0.0


@pytest.fixture(scope="session", name="hand_line")
def give_hand_line() -> Callable[[Rig, str], HandLine]:
    """Return the function that puts the law of a line of a rig together."""
    return hand_line
