"""The law of one line put together from its parts: head against flow, flow against head, and what bounds the flow."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any, Final

from hydrokit.parts import (
    CentrifugalPump,
    Filter,
    FloatValve,
    FootValve,
    Hose,
    HoseTail,
    Lamp,
    NonReturnValve,
    Pump,
    Strainer,
)
from hydrokit.verifying.losses import change_of_bore, k_of, medium, square
from hydrokit.verifying.pumps import pump_law, still_square
from hydrokit.verifying.roots import root_between
from hydrokit.verifying.walls import REST, friction
from hydrokit.water import STANDARD_GRAVITY, water

if TYPE_CHECKING:
    from hydrokit.parts import Part, Tank
    from hydrokit.rig import Line, Mode, Rig
    from hydrokit.verifying.pumps import PumpLaw
    from hydrokit.verifying.walls import Law

__all__ = ["LineLaw", "line_laws"]

_FIRST: Final = 1e-4  # m³/s; 6 L/min, where the bracketing begins
_WIDER: Final = 4.0
_SHUT: Final = 1e-4  # opening below which a float valve is taken for shut
_FLATTEST: Final = 1e-9  # s/m²; added to every line, so that one without any loss has a flow for each head difference


@dataclass
class LineLaw:
    """One line's law as a sum of terms; heads in m, None where a joint decides, flows in m³/s.

    Flow is never below ``low``, nor above ``most`` or what a pump passes.
    """

    start: str
    end: str
    fixed_start: float | None = None
    fixed_end: float | None = None
    low: float = -math.inf
    most: float = math.inf
    linear: float = 0.0
    forward: float = 0.0
    backward: float = 0.0
    cracking: float = 0.0
    rest: float = math.inf
    rubbing: list[Law] = field(default_factory=list)
    pumps: list[PumpLaw] = field(default_factory=list)

    @cached_property
    def high(self) -> float:
        """Greatest flow: what the ends allow and the pumps pass."""
        return min([self.most, *(pump.limit for pump in self.pumps)])

    def resisted(self, flow: float) -> float:
        """Return the head lost to friction, fittings and filters."""
        size = abs(flow)
        rest = 0.0 if math.isinf(self.rest) else self.rest
        even = _FLATTEST + self.linear + (self.forward if flow >= 0.0 else self.backward) * max(size, rest)
        return flow * even + math.copysign(sum(law(size) for law in self.rubbing), flow) + self.cracking

    def loss(self, flow: float) -> float:
        """Return the head lost from start to end at a flow; what pumps add counts against it."""
        return self.resisted(flow) - sum(pump.gain(flow) for pump in self.pumps)

    def flow(self, drop: float) -> float:
        """Return the flow at a head difference, by bracketing; at a bound where the law is upright."""
        if self.low > -math.inf and self.loss(self.low) >= drop:
            return self.low
        if self.high < math.inf and self.loss(self.high) <= drop:
            return self.high
        low, high = max(self.low, -_FIRST), min(self.high, _FIRST)
        while self.loss(low) > drop:
            low = max(self.low, _WIDER * low)
        while self.loss(high) < drop:
            high = min(self.high, _WIDER * high)
        return root_between(lambda flow: self.loss(flow) - drop, low, high)

    def conductance(self, flow: float) -> float:
        """Return how the flow answers to the head difference, m²/s; 0 at a bound."""
        if flow in (self.low, self.high):
            return 0.0
        step = 1e-6 * abs(flow) + 1e-11
        return 2.0 * step / max(self.loss(flow + step) - self.loss(flow - step), step * _FLATTEST)

    def put(self, forward: float, backward: float) -> None:
        """Add a loss that goes with the square of the flow."""
        self.forward += forward
        self.backward += backward

    def narrowed(self, bore: float, viscosity: float) -> None:
        """Take note of a bore: in the narrowest, squares give way to straight lines at a low flow."""
        self.rest = min(self.rest, REST * math.pi * bore * viscosity / 4.0)


@dataclass(frozen=True, slots=True)
class _Making:
    """What all lines of one rig and mode share."""

    rig: Rig
    mode: Mode
    weight: float
    kinematic: float
    dynamic: float


def line_laws(rig: Rig, mode: Mode) -> dict[str, LineLaw]:
    """Return the law of every line of a rig whose numbers are already those of the mode."""
    site, liquid = rig.site, water(rig.site.water_temperature)
    density = float(liquid.density) if site.density is None else site.density
    viscosity = float(liquid.viscosity) if site.viscosity is None else site.viscosity
    making = _Making(rig, mode, density * STANDARD_GRAVITY, viscosity / density, viscosity)
    return {name: _line_law(making, name, line) for name, line in rig.lines.items()}


def _line_law(making: _Making, name: str, line: Line) -> LineLaw:
    law = LineLaw(line.start, line.end)
    before: float | None = None
    for label, part in zip(line.labels(), line.parts, strict=True):
        into, out = _bores(part)
        if into is not None and out is not None:
            law.narrowed(min(into, out), making.kinematic)
        if before is not None and into is not None:
            law.put(*change_of_bore(before, into))
            law.narrowed(min(before, into), making.kinematic)
        before = out
        _add(making, law, line, part, runs=f"lines.{name}.{label}" not in making.mode.off)
    _ends(making, law, line)
    if f"lines.{name}" in making.mode.closed:
        law.low = law.most = 0.0
    return law


def _bores(part: Any) -> tuple[float | None, float | None]:
    if isinstance(part, Pump):
        return part.inlet_bore, part.outlet_bore
    return part.bore, part.bore


def _add(making: _Making, law: LineLaw, line: Line, part: Part, *, runs: bool) -> None:
    if isinstance(part, Hose | HoseTail):
        law.rubbing.append(friction(part, making.kinematic))
    elif isinstance(part, Filter | Lamp):
        a, b = medium(part)
        law.linear += a * making.dynamic / making.weight
        law.put(b / STANDARD_GRAVITY, b / STANDARD_GRAVITY)
    elif isinstance(part, Pump):
        _add_pump(making, law, part, runs=runs)
    elif isinstance(part, FloatValve):
        _add_float(making, law, line, part)
    else:
        forward, backward = (square(k, _bores(part)[0] or math.nan) for k in k_of(part))
        if isinstance(part, NonReturnValve | FootValve):
            law.low = 0.0
            law.cracking += part.cracking_pressure / making.weight
        law.put(forward, backward)


def _add_pump(making: _Making, law: LineLaw, part: Pump, *, runs: bool) -> None:
    if part.displacement:
        law.low = 0.0
    if runs:
        law.pumps.append(pump_law(making.rig, part, making.weight))
    elif isinstance(part, CentrifugalPump):
        still = still_square(part, making.weight)
        law.put(still, still)
    else:
        law.most = 0.0


def _add_float(making: _Making, law: LineLaw, line: Line, part: FloatValve) -> None:
    """Add a float valve, as far open as the level of the tank at the line's end lets it be."""
    tank = making.rig.tanks[line.end]
    shut = tank.depth if part.shut_level is None else part.shut_level
    opening = min(max((shut - _level(tank)) / part.band, 0.0), 1.0)
    if opening <= _SHUT:
        law.low = law.most = 0.0
    throttled = square(k_of(part)[0], part.bore) / max(opening, _SHUT) ** 2
    law.put(throttled, throttled)


def _level(tank: Tank) -> float:
    return 0.5 * tank.brim if tank.level is None else tank.level


def _ends(making: _Making, law: LineLaw, line: Line) -> None:
    """Put in the heads at the ends, entrance and exit, and what the ends let through."""
    rig = making.rig
    falls = rig.falls_in(line)
    law.fixed_start, law.fixed_end = _head(making, line.start), _head(making, line.end)
    if line.end in rig.tanks:
        law.fixed_end = _head_entering(rig.tanks[line.end], falls=falls)
    if line.start in rig.tanks:
        tank = rig.tanks[line.start]
        lip = tank.floor if tank.outlet_height is None else tank.outlet_height
        law.fixed_start = max(tank.floor + _level(tank), lip)
        if tank.floor + _level(tank) <= lip:  # its outlet is bare
            law.most = 0.0
    if line.end in rig.outlets or falls:
        law.low = 0.0
    _add_end_losses(making, law, line)


def _head(making: _Making, word: str) -> float | None:
    """Return the head at a source or outlet."""
    rig = making.rig
    if word in rig.sources:
        return rig.sources[word].surface + rig.sources[word].pressure / making.weight
    if word in rig.outlets:
        return rig.outlets[word].height + rig.outlets[word].pressure / making.weight
    return None


def _head_entering(tank: Tank, *, falls: bool) -> float:
    """Return the head against which a line ends in a tank: its water, or the lip where that is higher."""
    lip = tank.floor + (tank.depth if falls else 0.0)
    if tank.inlet_height is not None and falls == (tank.inlet == "top"):
        lip = tank.inlet_height
    return max(tank.floor + _level(tank), lip)


def _add_end_losses(making: _Making, law: LineLaw, line: Line) -> None:
    ends: Any = {**making.rig.sources, **making.rig.tanks, **making.rig.outlets}
    first, last = _bores(line.parts[0])[0], _bores(line.parts[-1])[1]
    if line.start in ends and first is not None:
        own = isinstance(line.parts[0], Strainer | FootValve)
        inward = 0.0 if own else ends[line.start].entrance_k
        law.put(square(inward, first), square(ends[line.start].exit_k, first))
        law.narrowed(first, making.kinematic)
    if line.end in ends and last is not None:
        inward = getattr(ends[line.end], "entrance_k", 0.0)
        law.put(square(ends[line.end].exit_k, last), square(inward, last))
        law.narrowed(last, making.kinematic)
