"""What a builder could change about a rig: sensible single changes, each as values at addresses, not yet tried."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import singledispatch
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.catalogue.bores import SAME_SIZE, hose_bores, series_of
from hydrokit.laws.valves import foot_valve_k, non_return_k, valve_k
from hydrokit.parts import (
    Coupler,
    Elbow,
    Filter,
    Fitting,
    FootValve,
    Hose,
    HoseTail,
    NonReturnValve,
    Part,
    Pump,
    Strainer,
    Tee,
    Valve,
)
from hydrokit.rig import replaced
from hydrokit.rules import margins
from hydrokit.rules.drawing import static_lift, suction_of
from hydrokit.rules.lifting import greatest_lift, to_be_safe
from hydrokit.rules.priming import PRIMES
from hydrokit.rules.suction import HOSE_VACUUM, NPSH, PUMP_VACUUM, WHOLE_WATER

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rig import Line
    from hydrokit.rules import State

__all__ = ["Candidate", "as_solved", "candidates"]

_STEP_DOWN: Final = 0.5
_SHORTER: Final = 0.75
_SHORTEST: Final = 1.0
_SLACK: Final = 1.1
"""A hose is at least this much longer than the heights it joins lie apart."""
_REAL_STEP: Final = 1.15
"""A next bore that is less wider than this, such as 20 mm after 19, is not worth changing to."""
_TAIL_SHARE: Final = 0.8
"""Bore of a good hose tail over that of its hose: 20 mm in 25 mm hose (from memory)."""
_TAIL_NARROW: Final = 0.65
"""A tail narrower than this is no tail to fit its hose, but a fault of its own. Our own choice; 7 in 10 mm is usual."""
_WIDE_OPEN_KV: Final = 10.0
"""m³/s at 1 bar: as good as no coupler at all."""
_LITTLE_LOADED: Final = 0.5
"""Below this loading a second filter beside the first is worth a thought; above it, a new element comes first."""
_SUCTION_RULES: Final = {rule.name for rule in (PRIMES, NPSH, WHOLE_WATER, PUMP_VACUUM, HOSE_VACUUM)}


@dataclass(frozen=True, slots=True)
class Candidate:
    """One change; ``now`` holds what a value amounts to today where the rig leaves it out."""

    what: Phrase
    values: dict[str, float]
    now: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Spot:
    """Where a part stands: its line and place in it, its address and name, the pump it may be."""

    state: State
    line_name: str
    line: Line
    place: int
    running: int | None

    @property
    def address(self) -> str:
        return self.beside_address(0)

    @property
    def name(self) -> str:
        return self.state.named(self.address)

    def beside_address(self, step: int) -> str:
        return f"lines.{self.line_name}.{self.line.labels()[self.place + step]}"

    def beside(self, step: int) -> Part | None:
        """Return the neighbour before (-1) or after (1); None at the end of the line."""
        place = self.place + step
        return self.line.parts[place] if 0 <= place < len(self.line.parts) else None

    def hose_bore(self) -> float | None:
        """Return the bore of the hose that the part sits in, the narrower if there are two; else of the nearest ones."""
        touching = [part.bore for part in (self.beside(-1), self.beside(1)) if isinstance(part, Hose)]
        if touching:
            return min(touching)
        before = [part.bore for part in reversed(self.line.parts[: self.place]) if isinstance(part, Hose)]
        after = [part.bore for part in self.line.parts[self.place + 1 :] if isinstance(part, Hose)]
        return min([*before[:1], *after[:1]], default=None)


def _next_bore(bore: float) -> float | None:
    """Return the next bore up that is really wider, of the series to which this one belongs."""
    return min((size for _, size in hose_bores(series_of(bore)) if size >= bore * _REAL_STEP), default=None)


def _length(value: float) -> tuple[float, Dimension]:
    return value, Dimension.LENGTH


def _widened(
    spot: _Spot, bore: float, wide: float | None, values: dict[str, float] | None = None
) -> Iterator[Candidate]:
    """Yield the part at a wider bore, if that is wider."""
    if wide is not None and wide > bore * SAME_SIZE:
        what = phrase(f"Widen {spot.name} from {{now}} to {{wide}}", now=_length(bore), wide=_length(wide))
        yield Candidate(what, {f"{spot.address}.bore": wide, **(values or {})})


@singledispatch
def _changes_of(part: Part, spot: _Spot) -> Iterator[Candidate]:
    """Yield what a builder could do about one part; nothing by default."""
    del part, spot
    return iter(())


@_changes_of.register(Hose)
def _(part: Hose, spot: _Spot) -> Iterator[Candidate]:
    wide = _next_bore(part.bore)
    if wide is not None:
        tails = {
            f"{spot.beside_address(step)}.bore": beside.bore * wide / part.bore
            for step in (-1, 1)
            if isinstance(beside := spot.beside(step), HoseTail) and beside.bore >= _TAIL_NARROW * part.bore
        }
        with_tails = ", with tails to fit" if tails else ""
        what = phrase(
            f"Widen {spot.name} from {{now}} to {{wide}}{with_tails}", now=_length(part.bore), wide=_length(wide)
        )
        yield Candidate(what, {f"{spot.address}.bore": wide, **tails})
    shorter = max(part.length * _SHORTER, _SLACK * _span(part, spot))
    if part.length > _SHORTEST and shorter < part.length / SAME_SIZE:
        yield Candidate(
            phrase(f"Shorten {spot.name} to {{short}}", short=_length(shorter)), {f"{spot.address}.length": shorter}
        )


def _span(part: Hose, spot: _Spot) -> float:
    """Return how far apart in height a hose's ends lie, by way of its high point, m."""
    plan, walk = spot.state.plan, spot.state.walk
    index = next(
        index
        for index, element in enumerate(plan.elements)
        if element.part is not None and element.address == spot.address
    )
    ends = [float(walk.height[0, station]) for station in (spot.state.inlet(index), spot.state.outlet(index))]
    top = max([*ends, *([] if part.high_point is None else [part.high_point])])
    return sum(top - end for end in ends) if part.high_point is not None else abs(ends[1] - ends[0])


@_changes_of.register(HoseTail)
def _(part: HoseTail, spot: _Spot) -> Iterator[Candidate]:
    hose = spot.hose_bore()
    yield from _widened(spot, part.bore, None if hose is None else _TAIL_SHARE * hose)


@_changes_of.register(Fitting)
@_changes_of.register(Elbow)
@_changes_of.register(Tee)
def _(part: Fitting | Elbow | Tee, spot: _Spot) -> Iterator[Candidate]:
    yield from _widened(spot, part.bore, spot.hose_bore())


@_changes_of.register(Coupler)
def _(part: Coupler, spot: _Spot) -> Iterator[Candidate]:
    gone = {f"{spot.address}.k": 0.0} if part.kv is None else {f"{spot.address}.kv": _WIDE_OPEN_KV}
    hose = spot.hose_bore()
    if hose is not None:
        gone[f"{spot.address}.bore"] = max(part.bore, hose)
    yield Candidate(phrase(f"Leave out {spot.name}"), gone)


@_changes_of.register(Strainer)
def _(part: Strainer, spot: _Spot) -> Iterator[Candidate]:
    if part.blockage > 0.0:
        yield Candidate(phrase(f"Clean {spot.name}"), {f"{spot.address}.blockage": 0.0})
    yield from _widened(spot, part.bore, spot.hose_bore())


@_changes_of.register(FootValve)
def _(part: FootValve, spot: _Spot) -> Iterator[Candidate]:
    if part.blockage > 0.0:
        yield Candidate(phrase(f"Clean the screen of {spot.name}"), {f"{spot.address}.blockage": 0.0})
    if part.k is None and part.pattern != "hinged":
        now, then = (float(foot_valve_k(bore=part.bore, pattern=each)) for each in (part.pattern, "hinged"))
        what = phrase(f"Take a hinged foot valve for {spot.name}")
        yield Candidate(what, {f"{spot.address}.k": then}, {f"{spot.address}.k": now})
        return
    yield from _widened(spot, part.bore, spot.hose_bore())


@_changes_of.register(Valve)
@_changes_of.register(NonReturnValve)
def _(part: Valve | NonReturnValve, spot: _Spot) -> Iterator[Candidate]:
    hose = spot.hose_bore()
    wide = part.bore if hose is None else max(part.bore, hose)
    easy = "ball" if isinstance(part, Valve) else "swing"
    if part.k is None and part.kv is None and part.pattern != easy:
        law: Any = valve_k if isinstance(part, Valve) else non_return_k
        now, then = float(law(bore=part.bore, pattern=part.pattern)), float(law(bore=wide, pattern=easy))
        kind = "ball valve" if isinstance(part, Valve) else "swing non-return valve"
        what = phrase(f"Take a {kind} of {{wide}} for {spot.name}", wide=_length(wide))
        yield Candidate(what, {f"{spot.address}.k": then, f"{spot.address}.bore": wide}, {f"{spot.address}.k": now})
        return
    scaled = {} if part.kv is None else {f"{spot.address}.kv": part.kv * (wide / part.bore) ** 2}
    yield from _widened(spot, part.bore, wide, scaled)


@_changes_of.register(Filter)
def _(part: Filter, spot: _Spot) -> Iterator[Candidate]:
    if part.loading > 0.0:
        yield Candidate(phrase(f"Renew the element of {spot.name}"), {f"{spot.address}.loading": 0.0})
    if part.loading < _LITTLE_LOADED:
        more = part.side_by_side + 1.0
        what = phrase(f"Fit {more:g} filters like {spot.name} side by side")
        yield Candidate(what, {f"{spot.address}.side_by_side": more})


def _suction_margin(state: State, pump: int) -> Array:
    """Return the least margin of every rule of a pump's suction side, shape (n,)."""
    own = {state.plan.elements[index].address for index in (pump, *suction_of(state, pump).elements)}
    places = own | {f"lines.{state.line_of(pump)}"}
    found = [margin for (rule, place), margin in margins(state).items() if rule in _SUCTION_RULES and place in places]
    return np.asarray(np.fmin.reduce(found) if found else np.ones(state.variants), np.float64)


@_changes_of.register(Pump)
def _(part: Pump, spot: _Spot) -> Iterator[Candidate]:
    if spot.running is None or part.height is None:
        return
    lift = static_lift(spot.state, spot.running)
    if lift is None or lift[0] <= 0.0:
        return
    down = min(_STEP_DOWN, float(lift[0]))  # a pump that stands dry is not put under water
    yield Candidate(
        phrase(f"Lower {spot.name} by {{down}}", down=_length(down)), {f"{spot.address}.height": part.height - down}
    )
    if not _suction_margin(spot.state, spot.running)[0] < 0.0:
        return
    holds = greatest_lift(spot.state, spot.running, _suction_margin, 0)
    if holds is not None:
        height = to_be_safe(holds)
        to = phrase(f"Lower {spot.name} to {{height}} above the water", height=_length(height))
        level = phrase(f"Lower {spot.name} to the level of the water")
        yield Candidate(
            to if height > 0.0 else level, {f"{spot.address}.height": part.height - float(lift[0]) + height}
        )


def as_solved(state: State) -> dict[str, float]:
    """Return the values that stand in front of the rig's own in a state of one variant."""
    return {address: float(np.ravel(value)[0]) for address, value in state.plan.values.changed.items()}


def candidates(state: State) -> Iterator[Candidate]:
    """Yield every change worth trying in a state of one variant, part by part."""
    running = {state.plan.elements[index].address: index for index in state.running}
    stands = replaced(state.rig, as_solved(state))  # with what the mode and the caller have set
    for number, (name, line) in enumerate(stands.lines.items()):
        if state.closed[number]:
            continue
        for place, (label, part) in enumerate(zip(line.labels(), line.parts, strict=True)):
            yield from _changes_of(part, _Spot(state, name, line, place, running.get(f"lines.{name}.{label}")))
