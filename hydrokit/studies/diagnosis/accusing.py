"""Suspects as rows of an answer, and the findings that name them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Final

from hydrokit.answers import Finding, Phrase, Verdict, phrase
from hydrokit.bounds import Dimension, Spec
from hydrokit.rules.naming import capital
from hydrokit.studies.diagnosis.fault_words import REMEDIES, reason_for, title_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.studies.diagnosis.fitting import Fit
    from hydrokit.studies.diagnosis.suspects import Verdicts
    from hydrokit.studies.diagnosis.workbench import Workbench

__all__ = ["Condition", "Suspect", "findings_of_suspects", "others_of", "suspects_of"]

AS_STATED: Final = "rig as stated"
FAULT: Final = "what is wrong"
UNEXPLAINED: Final = "readings explained"
_SOURCE: Final = "least squares on the readings; how suspects are weighed is our own choice"
_LISTED: Final = 6
_SOMETHING: Final = 0.1
"""Gain in misfit below which a suspect explains nothing that the rig as stated does not."""

_NIL: Final = 1e-3
"""Grade below which a fault is as good as absent."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """One condition of one part: as the likeliest suspect has it, and the range in which the readings leave it.

    ``told`` is False where they say nothing of how bad it may be.
    """

    fault: str
    place: str
    dimension: Dimension
    value: float
    low: float
    high: float
    told: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """A fault, or two together, and how well they explain the readings.

    ``named`` is True for the likeliest and for those that explain the readings as well. ``misfit`` is the sum of the
    squared errors in units of their spread, with the grades of these faults fitted and all else as stated.
    """

    title: str
    faults: tuple[str, ...]
    places: tuple[str, ...]
    named: bool
    misfit: Annotated[float, Spec(Dimension.NUMBER, "sum of squared errors in units of their spread")]
    conditions: tuple[Phrase, ...]
    remedies: tuple[str, ...]


def _suspect(bench: Workbench, fit: Fit, *, named: bool) -> Suspect:
    faults = [bench.faults[place] for place in fit.guess.free]
    return Suspect(
        title=" and ".join(title_of(bench.stated_rig, fault) for fault in faults),
        faults=tuple(fault.kind for fault in faults),
        places=tuple(fault.place for fault in faults),
        named=named,
        misfit=fit.misfit,
        conditions=tuple(
            reason_for(bench.stated_rig, fault, float(fault.value(fit.grades[place])))
            for place, fault in zip(fit.guess.free, faults, strict=True)
        ),
        remedies=tuple(dict.fromkeys(REMEDIES[fault.kind] for fault in faults)),
    )


def others_of(found: Verdicts) -> tuple[Fit, ...]:
    """Return the first few of the guesses that fit worse, if all their faults count and explain anything."""
    worth = [
        fit
        for fit in found.ruled_out
        if fit.misfit < found.stated.misfit - _SOMETHING and all(fit.grades[place] > _NIL for place in fit.guess.free)
    ]
    return tuple(worth[:_LISTED])


def suspects_of(bench: Workbench, found: Verdicts) -> tuple[Suspect, ...]:
    """Return the suspects: those named, then the others worth telling, the best first."""
    return (
        *(_suspect(bench, fit, named=True) for fit in found.named),
        *(_suspect(bench, fit, named=False) for fit in others_of(found)),
    )


def _finding(rule: str, place: str, verdict: Verdict, reason: Phrase, advice: str) -> Finding:
    return Finding(
        rule=rule,
        place=place,
        verdict=verdict,
        dimension=Dimension.NUMBER,
        value=None,
        limit=None,
        margin=None,
        reason=reason,
        advice=phrase(advice),
        source=_SOURCE,
    )


def _named(bench: Workbench, found: Verdicts) -> Iterator[Finding]:
    """Yield a finding for each fault named: it fails where every explanation has it, else nobody knows."""
    told: set[int] = set()
    for fit in found.named:
        for place in fit.guess.free:
            if place in told:
                continue
            told.add(place)
            fault = bench.faults[place]
            reason = reason_for(bench.stated_rig, fault, float(fault.value(fit.grades[place])))
            sure = all(place in other.guess.free for other in found.named)
            tail = "." if sure else "; or something else that explains the readings as well."
            verdict = Verdict.FAILS if sure and found.explained else Verdict.UNKNOWN
            yield _finding(FAULT, fault.place, verdict, Phrase(reason.text + tail, reason.values), REMEDIES[fault.kind])


def findings_of_suspects(bench: Workbench, found: Verdicts, *, stated_flow: float, flow: float) -> tuple[Finding, ...]:
    """Return the findings: whether the rig is as stated, what is wrong with it, and whether that explains the readings."""
    flows = {"flow": (flow, Dimension.FLOW), "stated": (stated_flow, Dimension.FLOW)}
    place = f"lines.{bench.state.plan.layout.lines[0]}"
    findings = []
    if found.named:
        reason = phrase(
            "The readings are not those of the rig as stated: by them {flow} arrives, and {stated} should.", **flows
        )
        advice = "Mend what is named below, then read again."
        findings = [_finding(AS_STATED, place, Verdict.FAILS, reason, advice), *_named(bench, found)]
    elif found.explained:
        reason = phrase("The readings are those of the rig as stated: {stated} should arrive.", **flows)
        findings = [_finding(AS_STATED, place, Verdict.HOLDS, reason, "")]
    if not found.explained:
        reason = phrase(
            capital("no fault that is looked for, alone or with another, explains these readings within their spread.")
        )
        advice = (
            "Take the reading that is farthest off again; check the heights, hoses and data sheets in the rig's file, and"
            " look for what is not looked for: a kinked hose, a valve half shut, a wrong part."
        )
        findings.append(_finding(UNEXPLAINED, place, Verdict.FAILS, reason, advice))
    return tuple(findings)
