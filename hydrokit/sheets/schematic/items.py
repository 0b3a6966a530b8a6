"""What is drawn along a trail: ends, an arrow for each line, and every part, each with what is written beside it."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import TYPE_CHECKING, Final

from hydrokit.answers import Verdict
from hydrokit.bounds import Dimension
from hydrokit.parts import Hose, HoseTail, Joint, Outlet, Part, Source, Tank
from hydrokit.sheets.findings import of_verdict
from hydrokit.sheets.schematic.labels import Label, label
from hydrokit.units import aligned

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.parts import End
    from hydrokit.rig import Rig
    from hydrokit.sheets.schematic.trails import Leg
    from hydrokit.sheets.view import View
    from hydrokit.studies import Check
    from hydrokit.studies.facts.stops import Stop

__all__ = ["SHUT", "Item", "Scene"]

_ARROW: Final = "arrow"
SHUT: Final = "shut"
_STILL: Final = "still"
_NO_PRESSURE: Final = 1.0
"""Pa; less is none, or rounding."""
_MOST_RULES: Final = 2


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to draw: its shape, the heights at which water comes in and goes out, and what stands beside it.

    Parameters
    ----------
    shape : str
        Kind of the part or end, or one of the marks of a line.
    enters, leaves : float
        Heights where the pipe meets it. [m]
    low, high : float
        Of what is drawn to scale: a tank from floor to brim, a hose with its crest. [m]
    level : float or None
        Height of the water in a tank. [m]
    heavy : bool
        Drawn in bold: what holds the flow back most, or what fails.
    again : bool
        Whether an end has been drawn before.
    """

    shape: str
    enters: float
    leaves: float
    low: float
    high: float
    label: Label
    level: float | None = None
    heavy: bool = False
    again: bool = False


class Scene:
    """A rig and its check, as far as the drawing asks for them.

    Parameters
    ----------
    rig : Rig
        With the values that the check was made for.
    answer : Check
    view : View
    """

    def __init__(self, rig: Rig, answer: Check, view: View) -> None:
        self.rig, self.answer, self.view = rig, answer, view
        self.stops = {name: list(own) for name, own in groupby(answer.stops, key=lambda stop: stop.line)}
        self.flows = {name: own[0].flow for name, own in self.stops.items()}
        self.highest = max((abs(stop.gauge_pressure or 0.0) for stop in answer.stops), default=0.0)
        self.closed = rig.mode(answer.mode)[1].closed
        self.most = next((share for share in answer.head_shares if share.place in rig.by_address), None)
        self.failing: dict[str, list[str]] = {}
        for finding in of_verdict(answer, Verdict.FAILS):
            for place in finding.place.split(","):
                self.failing.setdefault(place.strip(), []).append(finding.rule)
        self._drawn: set[str] = set()

    def items(self, trail: Sequence[Leg]) -> list[Item]:
        """Return what to draw along a trail, in the order in which water meets it."""
        found = [self._end(trail[0].start, None, trail[0])]
        for place, leg in enumerate(trail):
            onward = trail[place + 1] if place + 1 < len(trail) else None
            found += [self._mark(leg), *self._parts(leg), self._end(leg.end, leg, onward)]
        return found

    def _pressure(self, stop: Stop) -> str:
        value = stop.gauge_pressure
        if value is None:
            return ""
        if stop.absolute_pressure is not None and stop.absolute_pressure < self.answer.surroundings.vapour_pressure:
            return "under vapour pressure"  # no vacuum is so deep: there the water comes apart
        unit, (_, shown) = aligned([self.highest, abs(value)], Dimension.GAUGE_PRESSURE, self.view.system)
        if not float(shown):
            if abs(value) < _NO_PRESSURE:
                return f"0 {unit}"
            _, _, decimals = shown.partition(".")
            shown = f"<{10.0 ** -len(decimals):.{len(decimals)}f}"
        return f"{shown} {unit}{' vacuum' if value < 0.0 else ''}"

    def _length(self, value: float) -> str:
        return self.view.show(value, Dimension.LENGTH)

    def _remarks(self, address: str) -> list[str]:
        """Return what makes a place stand out: that it costs most, and which limits it breaks."""
        told = []
        if self.most is not None and self.most.place == address:
            share = self.view.show(self.most.share, Dimension.FRACTION, digits=2)
            most = "holds back most" if self.most is self.answer.head_shares[0] else "holds back most of the parts"
            told.append(f"{most}: {share.replace(' ', chr(0xA0))}")  # the sign stays with its number
        rules = self.failing.get(address, [])
        told += [f"fails: {rule}" for rule in rules[:_MOST_RULES]]
        if len(rules) > _MOST_RULES:
            told.append(f"and {len(rules) - _MOST_RULES} more")
        return told

    def _mark(self, leg: Leg) -> Item:
        """Return the arrow of a line, with its name and flow."""
        first = self._run(leg)[0][1]
        address = f"lines.{leg.line}"
        if address in self.closed:
            shape, flow = SHUT, "shut"
        elif leg.flow <= 0.0:
            shape, flow = _STILL, "stands still"
        else:
            shape, flow = _ARROW, self.view.show(leg.flow, Dimension.FLOW)
        remarks = self._remarks(address)
        words = label(f"line {leg.line}", [flow], remarks)
        height = first.height
        start = self.rig.ends()[leg.start]
        if isinstance(start, Source) and self._run(leg)[1:]:
            height = min(height, self._run(leg)[1][1].height)  # the hose dips under the surface
        return Item(shape, height, height, height, height, words, heavy=bool(remarks))

    def _run(self, leg: Leg) -> list[tuple[str, Stop]]:
        """Return the stops of a line as water passes them, each with what it has just passed."""
        own = self.stops[leg.line]
        if not leg.backward:
            return [(stop.after, stop) for stop in own]
        return [
            ("start", own[-1]),
            *((stop.after, before) for before, stop in reversed([*pairwise(own)])),
        ]

    def _parts(self, leg: Leg) -> list[Item]:
        line = self.rig.lines[leg.line]
        parts = {f"{name} {part.kind}": (name, part) for name, part in zip(line.labels(), line.parts, strict=True)}
        run = self._run(leg)
        return [
            self._part(f"lines.{leg.line}.{parts[after][0]}", parts[after][1], run[place - 1][1], stop)
            for place, (after, stop) in enumerate(run)
            if after in parts
        ]

    def _part(self, address: str, part: Part, before: Stop, after: Stop) -> Item:
        name = address.rpartition(".")[2]
        told = [] if part.kind.replace(" ", "-") in name else [part.kind]
        crest = None
        if isinstance(part, Hose):
            told.append(f"{self._length(part.length)} of {self._length(part.bore)}")
            crest = part.high_point
        told.append(self._pressure(after))
        remarks = self._remarks(address)
        leaves = after.height
        enters = before.height if isinstance(part, Hose | HoseTail) else leaves
        low, high = min(enters, leaves), max(enters, leaves, leaves if crest is None else crest)
        return Item(part.kind, enters, leaves, low, high, label(name, told, remarks), heavy=bool(remarks))

    def _end(self, name: str, before: Leg | None, after: Leg | None) -> Item:
        end = self.rig.ends()[name]
        enters = None if before is None else self._run(before)[-1][1]
        leaves = None if after is None else self._run(after)[0][1]
        heights = [stop.height for stop in (enters, leaves) if stop is not None]
        first, last = heights[0], heights[-1]
        again = name in self._drawn
        self._drawn.add(name)
        low, high, level, told = self._shape(name, end, heights)
        if isinstance(end, Joint):
            told.append(self._pressure(leaves or enters))  # type: ignore[arg-type]  # one of them is there
        remarks = [] if again else self._remarks(f"{end.kind}s.{name}")
        words = label(name, told[:1] if again else told, remarks)
        return Item(end.kind, first, last, low, high, words, level=level, heavy=bool(remarks), again=again)

    def _shape(self, name: str, end: End, heights: list[float]) -> tuple[float, float, float | None, list[str]]:
        """Return the lowest and highest of an end to scale, its water, and what to say of it."""
        if isinstance(end, Source):
            return end.surface, end.surface, end.surface, ["source", f"surface at {self._length(end.surface)}"]
        if isinstance(end, Tank):
            depth = 0.5 * end.brim if end.level is None else end.level
            level = end.floor + depth
            told = ["tank", self.view.show(end.volume, Dimension.VOLUME), f"water at {self._length(level)}"]
            return end.floor, end.floor + end.depth, level, told
        if isinstance(end, Outlet):
            return end.height, end.height, None, ["outlet", f"at {self._length(end.height)}"]
        return heights[0], heights[0], None, ["joint"]
