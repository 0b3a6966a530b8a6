"""Runs of hose that share one bore, and which bores the parts beside them take.

A hose is pushed over a spigot no wider than itself: what stands beside it with a bore of b takes hose from b to 1.5 b.
Common practice, no source; the tails of the catalogue carry hose of 1.25 to 1.43 times their bore. What is drawn fits,
for somebody has fitted it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Annotated, Any, Final

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension, Mistakes, Spec, nearest
from hydrokit.parts import Hose, HoseTail, Pump, Tank

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from hydrokit.parts import Part
    from hydrokit.rig import Line
    from hydrokit.rules import State

__all__ = ["STRETCH", "Run", "Seat", "runs_of"]

STRETCH: Final = 1.5
"""Widest hose that a spigot takes, over its own bore."""
_SAME: Final = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Seat:
    """Something of known bore beside a hose, which the hose must fit."""

    place: str
    bore: Annotated[float, Spec(Dimension.LENGTH, "of the opening that faces the hose")]
    is_tail: bool

    def takes(self, bore: float) -> bool:
        """Return whether a hose fits."""
        return self.bore * (1.0 - _SAME) <= bore <= STRETCH * self.bore * (1.0 + _SAME)


@dataclass(frozen=True, slots=True, kw_only=True)
class RunHose:
    """One hose of a run."""

    place: str
    part: Hose
    length: Annotated[float, Spec(Dimension.LENGTH, "along the hose")]
    bore: Annotated[float, Spec(Dimension.LENGTH, "as drawn")]
    seats: tuple[Seat, ...]

    def refuses(self, bore: float) -> Seat | None:
        """Return what stands beside it and does not take a bore; None where it fits."""
        if abs(bore - self.bore) <= _SAME * self.bore:
            return None
        return next((seat for seat in self.seats if not seat.takes(bore)), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Hoses of one line, on one side of its pumps, that are given the same bore."""

    place: str
    hoses: tuple[RunHose, ...]

    @property
    def drawn(self) -> float:
        """Bore of the longest of its hoses as drawn, m."""
        return max(self.hoses, key=lambda hose: hose.length).bore

    @property
    def tails(self) -> tuple[Seat, ...]:
        """The hose tails directly beside its hoses."""
        return tuple({seat.place: seat for hose in self.hoses for seat in hose.seats if seat.is_tail}.values())

    def refuses(self, bore: float, *, tails_change: bool = False) -> Phrase | None:
        """Return why a bore does not fit; None where it does. Tails that change with the hose refuse nothing."""
        for hose in self.hoses:
            seat = hose.refuses(bore)
            if seat is not None and not (tails_change and seat.is_tail):
                limits = {"low": (seat.bore, Dimension.LENGTH), "high": (STRETCH * seat.bore, Dimension.LENGTH)}
                return phrase(f"{seat.place} takes hose of {{low}} to {{high}}.", **limits)
        return None


def _facing(state: State, address: str, part: Part, *, before_hose: bool) -> float | None:
    """Return the bore of the opening that a part turns to a hose before or after it."""
    if isinstance(part, Pump):
        name = "outlet_bore" if before_hose else "inlet_bore"
    elif hasattr(part, "bore"):
        name = "bore"
    else:
        return None
    value: Any = state.plan.values.of(address, part, name)
    return None if value is None else float(value)


def _seats(state: State, name: str, line: Line, index: int) -> Iterator[Seat]:
    labels = line.labels()
    for beside in (index - 1, index + 1):
        if not 0 <= beside < len(line.parts) or isinstance(line.parts[beside], Hose):
            continue
        part, address = line.parts[beside], f"lines.{name}.{labels[beside]}"
        bore = _facing(state, address, part, before_hose=beside < index)
        if bore is not None:
            yield Seat(place=address, bore=bore, is_tail=isinstance(part, HoseTail))


def _hose(state: State, name: str, line: Line, index: int) -> RunHose:
    part, address = line.parts[index], f"lines.{name}.{line.labels()[index]}"
    assert isinstance(part, Hose)
    values = state.plan.values
    length, bore = float(values.of(address, part, "length")), float(values.of(address, part, "bore"))
    return RunHose(
        place=address,
        part=replace(part, length=length, bore=bore),
        length=length,
        bore=bore,
        seats=tuple(_seats(state, name, line, index)),
    )


def _runs_of_line(state: State, name: str, apart: frozenset[str]) -> Iterator[Run]:
    """Yield the runs of one line: from pump to pump, hoses that stand apart each by itself."""
    line, where = state.rig.lines[name], f"lines.{name}"
    own: list[RunHose] = []
    for index, (label, part) in enumerate(zip(line.labels(), line.parts, strict=True)):
        if isinstance(part, Pump):
            yield from _run(f"{where} before {label}" if where == f"lines.{name}" else where, own)
            where, own = f"lines.{name} after {label}", []
        elif isinstance(part, Hose) and f"lines.{name}.{label}" not in apart:
            own.append(_hose(state, name, line, index))
    yield from _run(where, own)


def _run(where: str, hoses: list[RunHose]) -> Iterator[Run]:
    if hoses:
        yield Run(place=where if len(hoses) > 1 else hoses[0].place, hoses=tuple(hoses))


def _open_hoses(state: State) -> dict[str, tuple[str, int]]:
    """Return line and index of every hose in an open line, by address."""
    return {
        f"lines.{name}.{label}": (name, index)
        for shut, (name, line) in zip(state.closed, state.rig.lines.items(), strict=True)
        if not shut
        for index, (label, part) in enumerate(zip(line.labels(), line.parts, strict=True))
        if isinstance(part, Hose)
    }


def _levels(state: State, line: Line) -> bool:
    """Return whether a line merely lets two tanks level: what it carries is soon over, and no measure of its bore."""
    ends = state.rig.ends()
    start, end = ends[line.start], ends[line.end]
    pumped = any(isinstance(part, Pump) for part in line.parts)
    return isinstance(start, Tank) and isinstance(end, Tank) and not state.rig.falls_in(line) and not pumped


def _named(given: Sequence[str], known: Sequence[str], place: str, expected: str, mistakes: Mistakes) -> list[str]:
    """Return the names that are known, each once; note the others."""
    for word in given:
        if word not in known:
            mistakes.add(place, repr(word), expected, nearest(str(word), list(known)))
    return [word for word in dict.fromkeys(given) if word in known]


def runs_of(state: State, lines: Sequence[str] | None = None, hoses: Sequence[str] | None = None) -> tuple[Run, ...]:
    """Return the runs of hose whose bore is to be chosen.

    Parameters
    ----------
    state : State
        The rig as drawn, solved.
    lines : sequence of str, optional
        Names of lines. All hoses between two pumps of a line make one run.
    hoses : sequence of str, optional
        Addresses of hoses, each a run by itself. Where neither is given, all open lines are taken but those that only
        let two tanks level.

    Raises
    ------
    InputError
        If there is no such line or hose, it is shut in this mode, or there is no hose at all; every mistake at once.
    """
    mistakes = Mistakes()
    there = _open_hoses(state)
    open_lines = list(dict.fromkeys(name for name, _ in there.values()))
    shut = f"in mode {state.plan.mode!r}"
    short = [line.removeprefix("lines.") for line in lines or ()]
    chosen = _named(short, open_lines, "lines", f"the name of an open line with hose, {shut}", mistakes)
    apart = _named(hoses or (), list(there), "hoses", f"the address of a hose in an open line, {shut}", mistakes)
    if lines is None and hoses is None:
        chosen = [name for name in open_lines if not _levels(state, state.rig.lines[name])]
    if not (mistakes.found or chosen or apart):
        mistakes.add("lines", f"no hose in an open line, {shut}", "at least one hose")
    mistakes.settle()
    runs = [run for name in chosen for run in _runs_of_line(state, name, frozenset(apart))]
    for address in apart:
        name, index = there[address]
        runs.append(Run(place=address, hoses=(_hose(state, name, state.rig.lines[name], index),)))
    return tuple(runs)
