"""What a rule has to say about one place of a rig, and how an answer was reached."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Annotated

from hydrokit.answers.phrases import Phrase  # noqa: TC001 - the fields of an answer are read while it runs
from hydrokit.bounds import Dimension, Spec

__all__ = ["Finding", "Trust", "Verdict", "worst"]


class Verdict(StrEnum):
    """How a limit stands: kept, kept with little in hand, not kept, or not known.

    Examples
    --------
    >>> Verdict("holds") is Verdict.HOLDS
    True
    """

    HOLDS = "holds"
    CLOSE = "close"
    FAILS = "fails"
    UNKNOWN = "unknown"


_GRAVITY = (Verdict.HOLDS, Verdict.UNKNOWN, Verdict.CLOSE, Verdict.FAILS)


def worst(verdicts: list[Verdict]) -> Verdict:
    """Return the gravest of some verdicts; a limit not known is graver than one that holds, silence is not."""
    return max(verdicts, key=_GRAVITY.index, default=Verdict.UNKNOWN)


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One rule at one place.

    ``place`` is an address, or several with commas between where they lack the same datum. ``value`` and ``limit`` are SI
    numbers of ``dimension``, None where not known; ``margin`` is what is left of the limit as a fraction of it, negative
    where it is passed.

    Examples
    --------
    >>> from hydrokit.files import demonstration
    >>> from hydrokit.studies import check
    >>> finding = check(demonstration()).findings[0]
    >>> finding.rule, str(finding.verdict), finding.dimension.si_unit
    ('water arrives', 'holds', 'm^3/s')
    """

    rule: str
    place: str
    verdict: Verdict
    dimension: Dimension
    value: float | None
    limit: float | None
    margin: float | None
    reason: Phrase
    advice: Phrase
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Trust:
    """How far an answer can be trusted: how well the equations close, what was assumed, what could not be judged."""

    steps: int
    mass_residual: Annotated[float, Spec(Dimension.NUMBER, "relative to the largest flow")]
    energy_residual: Annotated[float, Spec(Dimension.NUMBER, "relative to the largest head")]
    assumed: tuple[str | Phrase, ...] = field(default=())
    unknown: tuple[str, ...] = field(default=())
