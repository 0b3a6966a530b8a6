"""What a rule is, and how it becomes findings.

A rule is data and one function, ``measure``, that yields for each place it applies to a value, a limit and a margin as
arrays over variants, and a function that words one of them. Where data are missing it yields only what is missing,
and the registry itself answers that the limit is not known. Silence never means that a limit holds.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
import numpy.typing as npt

from hydrokit.answers import Finding, Phrase, Verdict, finite_or_none, phrase

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from hydrokit.bounds import Array, Dimension
    from hydrokit.rules.state import State

__all__ = [
    "CLOSE",
    "Mask",
    "Measure",
    "Missing",
    "Rule",
    "Wording",
    "findings_of",
    "in_words",
    "margin_above",
    "margin_below",
]

CLOSE = 0.1
"""A limit kept with less than this share of it in hand is called close. Our own choice."""

Wording: TypeAlias = "tuple[Phrase, Phrase | Callable[[], Phrase]]"
"""Reason and advice; advice that takes further solves is a function, called only where it is told."""
Mask: TypeAlias = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """Value, limit and margin of a rule at one place, each of shape (n,); ``word`` says reason and advice of a row.

    ``hand`` is the margin below which the limit counts as close, where that differs from the rule's own; ``applies``
    is False in variants of which the rule has nothing to say here, and their margin becomes NaN.
    """

    place: str
    value: Array
    limit: Array
    margin: Array
    word: Callable[[int], Wording]
    hand: Array | None = None
    applies: Mask | None = None

    def __post_init__(self) -> None:
        if self.applies is not None:
            object.__setattr__(self, "margin", np.where(self.applies, self.margin, np.nan))


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """What a rule would need to judge a place; ``reason`` and ``advice`` where stating a datum is not all there is to it.

    ``applies`` is False in variants in which the datum is not needed; left out, it is needed in all.
    """

    place: str
    needed: str
    reason: str = ""
    advice: str = ""
    applies: Mask | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A limit, where it comes from, and how to judge it.

    ``formula`` says on one line of text what is set against what. ``needs`` names the data that it cannot do without, in
    words of a rig file; a rule without any can always judge. An
    advisory rule is one of comfort or wear: passing its limit is close, never a failure.
    """

    name: str
    doc: str
    dimension: Dimension
    source: str
    measure: Callable[[State], Iterable[Measure | Missing]] = field(repr=False)
    formula: str = ""
    needs: tuple[str, ...] = ()
    close: float = CLOSE
    advisory: bool = False


def in_words(state: State, place: str, margin: float | Array, word: Callable[[int], Wording]) -> Measure:
    """Return what a rule without figures finds at a place; one margin holds for all variants."""
    nothing = np.full(state.variants, np.nan)
    return Measure(place=place, value=nothing, limit=nothing, margin=state.full(margin), word=word)


def margin_below(value: Array, limit: Array) -> Array:
    """Return what is left of an upper limit as a fraction of it; 1 or -1 where the limit is 0."""
    return _share(limit - value, limit)


def margin_above(value: Array, limit: Array) -> Array:
    """Return what is left above a lower limit as a fraction of it; 1 or -1 where the limit is 0."""
    return _share(value - limit, limit)


def _share(left: Array, limit: Array) -> Array:
    return np.divide(left, np.abs(limit), out=np.where(left < 0.0, -1.0, 1.0), where=limit != 0.0)


def _verdict(rule: Rule, margin: float, hand: float) -> Verdict:
    if np.isnan(margin):
        return Verdict.UNKNOWN
    if margin < 0.0 and not rule.advisory:
        return Verdict.FAILS
    return Verdict.CLOSE if margin < hand else Verdict.HOLDS


def _judged(rule: Rule, measure: Measure, row: int) -> Finding:
    margin = float(measure.margin[row])
    reason, advice = measure.word(row)
    return Finding(
        rule=rule.name,
        place=measure.place,
        verdict=_verdict(rule, margin, rule.close if measure.hand is None else float(measure.hand[row])),
        dimension=rule.dimension,
        value=finite_or_none(measure.value[row]),
        limit=finite_or_none(measure.limit[row]),
        margin=finite_or_none(margin),
        reason=reason,
        advice=advice() if callable(advice) else advice,
        source=rule.source,
    )


def _not_known(rule: Rule, missing: list[Missing]) -> Iterable[Finding]:
    alike: dict[tuple[str, str, str], list[str]] = {}
    for item in missing:
        alike.setdefault((item.needed, item.reason, item.advice), []).append(item.place)
    for (needed, reason, advice), places in alike.items():
        yield Finding(
            rule=rule.name,
            place=", ".join(places),
            verdict=Verdict.UNKNOWN,
            dimension=rule.dimension,
            value=None,
            limit=None,
            margin=None,
            reason=phrase(reason or f"Cannot be judged without the {needed}."),
            advice=phrase(advice or f"State the {needed}, from the data sheet or a measurement."),
            source=rule.source,
        )


def findings_of(rule: Rule, state: State, row: int = 0) -> list[Finding]:
    """Return what a rule finds in one variant; places that lack the same datum share one finding."""
    found: list[Finding] = []
    missing: list[Missing] = []
    for measure in rule.measure(state):
        if measure.applies is not None and not measure.applies[row]:
            continue
        if isinstance(measure, Missing):
            missing.append(measure)
        else:
            found.append(_judged(rule, measure, row))
    return [*found, *_not_known(rule, missing)]
