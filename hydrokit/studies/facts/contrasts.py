"""What differs between rigs: what they are made of, where the head goes, what the rules find.

The order of the rigs changes the order of the columns and nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any

from hydrokit.answers import Verdict
from hydrokit.bounds import Choice, Curve, Dimension, Flag, Spec, specs_of
from hydrokit.rig import owners, spec_at, values_of
from hydrokit.rules import RULES
from hydrokit.units import text_of, unit_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from hydrokit.answers import Finding
    from hydrokit.rig import Rig
    from hydrokit.studies.facts.heads import HeadShare

__all__ = [
    "FindingContrast", "HeadContrast", "InputContrast", "WordContrast",
    "apart", "finding_contrasts", "head_contrasts", "input_contrasts", "word_contrasts",
]  # fmt: skip

_GRAVITY = (Verdict.FAILS, Verdict.CLOSE, Verdict.UNKNOWN, Verdict.HOLDS)


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadContrast:
    """What one part costs in each rig; None in a rig that has no such part, or where nothing flows through it."""

    place: str
    heads: Annotated[tuple[float | None, ...], Spec(Dimension.LENGTH, "lost in it, rig by rig")]
    shares: Annotated[tuple[float | None, ...], Spec(Dimension.FRACTION, "of what is spent in the whole rig")]


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingContrast:
    """A rule at one place on whose verdict the rigs differ; None in a rig where it does not apply."""

    rule: str
    place: str
    verdicts: tuple[Verdict | None, ...]
    margins: Annotated[tuple[float | None, ...], Spec(Dimension.FRACTION, "left of the limit, rig by rig")]


@dataclass(frozen=True, slots=True, kw_only=True)
class InputContrast:
    """A number in which the rigs differ, SI, in ``unit``; None in a rig that does not state it."""

    address: str
    dimension: Dimension
    unit: str
    values: tuple[float | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WordContrast:
    """Anything else in which the rigs differ: a choice, a curve, the order of the parts; None where there is none."""

    address: str
    words: tuple[str | None, ...]


def apart(values: Sequence[float | None], tolerance: float) -> bool:
    """Return whether values differ by more than a share of the largest, or some are known and others not."""
    known = [value for value in values if value is not None]
    if len(known) < len(values):
        return bool(known)
    return max(known) - min(known) > tolerance * max(abs(value) for value in known)


def head_contrasts(sides: Sequence[Sequence[HeadShare]]) -> tuple[HeadContrast, ...]:
    """Return what each part costs in each rig, the dearest anywhere first."""
    by_place = [{share.place: share for share in side} for side in sides]
    dearest: dict[str, float] = {}
    for side in by_place:
        for place, share in side.items():
            dearest[place] = max(dearest.get(place, 0.0), share.share)
    return tuple(
        HeadContrast(
            place=place,
            heads=tuple(side[place].head if place in side else None for side in by_place),
            shares=tuple(side[place].share if place in side else None for side in by_place),
        )
        for place in sorted(dearest, key=lambda place: (-dearest[place], place))
    )


def _apart(findings: Sequence[Finding]) -> dict[tuple[str, str], Finding]:
    """Return findings by rule and place; one that several places share counts for each."""
    return {(finding.rule, place): finding for finding in findings for place in finding.place.split(", ")}


def finding_contrasts(sides: Sequence[Sequence[Finding]]) -> tuple[FindingContrast, ...]:
    """Return the findings on whose verdict the rigs differ, the gravest anywhere first."""
    by_key = [_apart(side) for side in sides]
    order = [rule.name for rule in RULES]
    found = []
    for key in {key for side in by_key for key in side}:
        verdicts = tuple(side[key].verdict if key in side else None for side in by_key)
        if len(set(verdicts)) > 1:
            margins = tuple(side[key].margin if key in side else None for side in by_key)
            found.append(FindingContrast(rule=key[0], place=key[1], verdicts=verdicts, margins=margins))

    def rank(row: FindingContrast) -> tuple[int, int, str]:
        gravest = min(_GRAVITY.index(verdict) for verdict in row.verdicts if verdict is not None)
        return gravest, order.index(row.rule) if row.rule in order else len(order), row.place

    return tuple(sorted(found, key=rank))


def _numbers(rig: Rig, mode: str, changed: Mapping[str, float]) -> dict[str, float]:
    return {**values_of(rig), **rig.mode(mode)[1].values, **changed}


def input_contrasts(
    rigs: Sequence[Rig], modes: Sequence[str], changed: Mapping[str, float]
) -> tuple[InputContrast, ...]:
    """Return the stated numbers in which rigs differ, each in its mode and with what is changed, by address."""
    stated = [_numbers(rig, mode, changed) for rig, mode in zip(rigs, modes, strict=True)]
    found = []
    for address in sorted({address for side in stated for address in side}):
        values = tuple(side.get(address) for side in stated)
        if apart(values, 1e-12):
            owner = next(rig for rig, side in zip(rigs, stated, strict=True) if address in side)
            dimension = spec_at(owner, address).dimension
            found.append(InputContrast(address=address, dimension=dimension, unit=unit_of(dimension), values=values))
    return tuple(found)


def _curve(curve: Curve, points: Any) -> str:
    return "; ".join(f"{text_of(y, curve.y.dimension)} at {text_of(x, curve.x.dimension)}" for x, y in points)


def _words(rig: Rig, mode: str) -> Iterator[tuple[str, str]]:
    """Yield everything about a rig in one mode that no number says."""
    for address, owner in owners(rig):
        for name, spec in specs_of(type(owner)).items():
            value = getattr(owner, name)
            if isinstance(spec, Curve) and value is not None:
                yield f"{address}.{name}", _curve(spec, value)
            elif isinstance(spec, Choice):
                yield f"{address}.{name}", str(value)
            elif isinstance(spec, Flag):
                yield f"{address}.{name}", "yes" if value else "no"
    for name, line in rig.lines.items():
        yield f"lines.{name}.from", line.start
        yield f"lines.{name}.to", line.end
        yield f"lines.{name}.parts", ", ".join(line.labels())
        for label, part in zip(line.labels(), line.parts, strict=True):
            yield f"lines.{name}.{label}", part.kind
    used = rig.mode(mode)[1]
    yield "mode.closed", ", ".join(sorted(used.closed)) or "none"
    yield "mode.off", ", ".join(sorted(used.off)) or "none"


def word_contrasts(rigs: Sequence[Rig], modes: Sequence[str]) -> tuple[WordContrast, ...]:
    """Return all else in which rigs differ: kinds and order of parts, choices, curves, what is shut; by address."""
    stated = [dict(_words(rig, mode)) for rig, mode in zip(rigs, modes, strict=True)]
    rows = []
    for address in sorted({address for side in stated for address in side}):
        words = tuple(side.get(address) for side in stated)
        if len(set(words)) > 1:
            rows.append(WordContrast(address=address, words=words))
    return tuple(rows)
