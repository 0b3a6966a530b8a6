"""What every rule says of many variants at once, summed up: the worst verdict of each, and the limit that decides it.

The same as ``judge`` says of one variant alone. Some rules look at all variants together, such as at which way water
flows; so variants are to be judged in groups that agree in that.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from hydrokit.answers import Verdict
from hydrokit.rules import RULES, Measure, State
from hydrokit.rules.cycling import hunts
from hydrokit.rules.drawing import climb_of, fed_pumps
from hydrokit.rules.suction import NPSH, WHOLE_WATER

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    import numpy.typing as npt

    from hydrokit.bounds import Array
    from hydrokit.rules import Missing, Rule

    Mask = npt.NDArray[np.bool_]

__all__ = ["Verdicts", "alike", "verdicts"]

_SUCTION = (NPSH.name, WHOLE_WATER.name)


@dataclass(frozen=True, slots=True)
class Verdicts:
    """Of every variant, each of shape (n,): the worst verdict, the limit that decides it as "rule at place", what is left of it.

    ``least`` is the least margin of all limits that can fail, ``suction`` that of the suction side's; ``failing`` counts
    the limits that are passed. NaN where nothing of the kind was judged.
    """

    verdict: npt.NDArray[np.object_]
    limit: npt.NDArray[np.object_]
    margin: Array
    least: Array
    suction: Array
    failing: npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class _Columns:
    """Every limit a column: its name, whether it can fail, whether it is judged (n, m), its margins and hands (n, m)."""

    names: tuple[str, ...]
    rules: tuple[str, ...]
    grave: Mask
    known: Mask
    asked: Mask
    margins: Array
    hands: Array


def _column(state: State, rule: Rule, found: Measure | Missing) -> tuple[Mask, Array, Array]:
    """Return where a limit has something to say, its margin, and the margin below which it is close."""
    everywhere = np.ones(state.variants, np.bool_)
    asked = everywhere if found.applies is None else found.applies
    if not isinstance(found, Measure):
        unknown = np.full(state.variants, np.nan)
        return asked, unknown, unknown
    hand = np.full(state.variants, rule.close) if found.hand is None else found.hand
    return asked, found.margin, hand


def _columns(state: State) -> _Columns:
    found = [(rule, each) for rule in RULES for each in rule.measure(state)]
    if not found:
        nothing = np.empty((state.variants, 0))
        none = nothing.astype(np.bool_)
        return _Columns((), (), none[0], none, none, nothing, nothing)
    asked, margins, hands = (
        np.stack(columns, axis=1) for columns in zip(*(_column(state, *each) for each in found), strict=True)
    )
    return _Columns(
        names=tuple(f"{rule.name} at {each.place}" for rule, each in found),
        rules=tuple(rule.name for rule, _ in found),
        grave=np.array([not rule.advisory for rule, _ in found]),
        known=asked & ~np.isnan(margins),
        asked=asked,
        margins=margins,
        hands=hands,
    )


def _tightest(columns: _Columns, among: Mask) -> npt.NDArray[np.intp]:
    """Return the column of the least margin among some, 0 where there is none among them."""
    tightest: npt.NDArray[np.intp] = np.where(among, np.nan_to_num(columns.margins), np.inf).argmin(axis=1)
    return tightest


def _least(columns: _Columns, among: Mask) -> Array:
    if not among.size:
        return np.full(len(among), np.nan)
    least = np.where(among, columns.margins, np.inf).min(axis=1)
    return np.where(np.isinf(least), np.nan, least)


def verdicts(state: State) -> Verdicts:
    """Return what the rules say of every variant; of variants that are :func:`alike`, what they say of each alone."""
    columns = _columns(state)
    count = state.variants
    fails = columns.known & columns.grave & (columns.margins < 0.0)
    close = columns.known & ~fails & (columns.margins < columns.hands)
    unknown = columns.asked & ~columns.known
    verdict = np.full(count, Verdict.UNKNOWN.value, np.object_)
    limit, margin = np.full(count, "", np.object_), np.full(count, np.nan)
    names = np.array([*columns.names, ""], np.object_)
    rows, left = np.arange(count), np.ones(count, np.bool_)
    gravest_first = (
        (Verdict.FAILS, fails),
        (Verdict.CLOSE, close),
        (Verdict.UNKNOWN, unknown),
        (Verdict.HOLDS, columns.known),
    )
    for word, among in gravest_first:
        here = left & among.any(axis=1)
        if here.any():
            at = _tightest(columns, among)
            verdict[here] = word.value
            limit[here] = names[at[here]]
            margin[here] = columns.margins[rows, at][here]
            left &= ~here
    suction = np.array([name in _SUCTION for name in columns.rules], np.bool_)
    return Verdicts(
        verdict=verdict,
        limit=limit,
        margin=margin,
        least=_least(columns, columns.known & columns.grave),
        suction=_least(columns, columns.known & suction),
        failing=fails.sum(axis=1),
    )


def _marks(state: State, varied: Mapping[str, Any]) -> Iterator[npt.NDArray[np.int8]]:
    """Yield what rules look at in all variants together, each of shape (n,) or (n, k)."""
    flow = state.solution.flows.flow
    yield np.where(state.stands_still(flow), 0, np.sign(flow)).astype(np.int8)
    yield state.solution.flows.held.astype(np.int8)
    for pump in state.running:
        climb = climb_of(state, pump)
        if climb is not None:
            yield (climb > 0.0).astype(np.int8)
        if pump in fed_pumps(state):
            yield hunts(state, pump).astype(np.int8)
    for value in varied.values():
        yield (np.asarray(value) != 0.0).astype(np.int8)


def alike(state: State, varied: Mapping[str, Any]) -> list[npt.NDArray[np.intp]]:
    """Return the rows of variants that agree in what rules look at in all of them together, group by group.

    That is which way water flows and what stands at a bound, whether a pump climbs and whether it hunts, and whether a
    value that is varied is nothing.
    """
    count = state.variants
    marks = np.concatenate(
        [
            np.broadcast_to(mark.reshape(len(mark), -1), (count, mark.size // len(mark)))
            for mark in _marks(state, varied)
        ],
        axis=1,
    )
    if (marks == marks[0]).all():
        return [np.arange(count)]
    _, group = np.unique(marks, axis=0, return_inverse=True)
    order = np.argsort(group, kind="stable")
    return np.split(order, np.flatnonzero(np.diff(group[order])) + 1)
