"""Several rigs side by side: the same questions of each, and everything in which they differ."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Final

import numpy as np

from hydrokit.answers import Answer, Trust, Verdict, worst
from hydrokit.arguments import as_annotated
from hydrokit.bounds import Dimension, Mistakes, Spec
from hydrokit.errors import InputError
from hydrokit.network import solve
from hydrokit.rig import Rig
from hydrokit.rules import State, judge
from hydrokit.studies.course.times_to_fill import fill_times_if_known
from hydrokit.studies.facts.contrasts import (
    FindingContrast,
    HeadContrast,
    InputContrast,
    WordContrast,
    apart,
    finding_contrasts,
    head_contrasts,
    input_contrasts,
    word_contrasts,
)
from hydrokit.studies.facts.heads import head_shares
from hydrokit.studies.facts.surroundings import kinds_of
from hydrokit.studies.facts.trust import trust_of
from hydrokit.studies.facts.usable import usable
from hydrokit.studies.variants.judging import judged

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from hydrokit.answers import Finding

__all__ = ["Comparison", "Side", "compare"]

_SAME: Final = 1e-6
"""Answers closer than this share of the larger are the same; the solver closes to far less."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One of the rigs, and the headline figures of its answer; None where not known, or where nothing flows."""

    name: str
    title: str
    mode: str
    verdict: Verdict
    flow: Annotated[float, Spec(Dimension.FLOW, "delivered, as far as suction allows")]
    full_pipe_flow: Annotated[float, Spec(Dimension.FLOW, "that the full pipe would carry")]
    suction_margin: Annotated[
        float | None, Spec(Dimension.FRACTION, "least margin of NPSH and of pressure at which water stays whole")
    ]
    lowest_pressure: Annotated[float | None, Spec(Dimension.ABSOLUTE_PRESSURE, "anywhere in the moving water")]
    highest_pressure: Annotated[float | None, Spec(Dimension.GAUGE_PRESSURE, "anywhere in the moving water")]
    fill_time: Annotated[
        float | None,
        Spec(Dimension.TIME, "until every tank that is filled is full; None where some never is, or flow is held back"),
    ]
    failing: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, repr=False)
class Comparison(Answer):
    """Several rigs side by side. The findings are those of all of them, each place behind the name of its rig.

    Parameters
    ----------
    sides : tuple of Side
        In the order asked; every tuple of values below is in that order.
    differs : tuple of str
        Names of the figures of a side in which they differ.
    better : str
        Name of the rig that comes first: no limit that fails, else fewest of them, then most flow. Empty for a tie.
    heads : tuple of HeadContrast
        What each part costs in each rig.
    findings_apart : tuple of FindingContrast
        Limits on whose verdict they differ.
    inputs : tuple of InputContrast
        Stated numbers in which they differ.
    words : tuple of WordContrast
        All else in which they differ: parts, choices, curves, what is shut.
    """

    question: ClassVar[str] = "compare"
    table: ClassVar[str] = "sides"

    sides: tuple[Side, ...]
    differs: tuple[str, ...]
    better: str
    heads: tuple[HeadContrast, ...]
    findings_apart: tuple[FindingContrast, ...]
    inputs: tuple[InputContrast, ...]
    words: tuple[WordContrast, ...]
    kinds: tuple[str, ...]


def _names(rigs: Sequence[Any], names: Sequence[str] | None) -> tuple[str, ...]:
    """Return a name for each rig: as given, else its title where all differ, else a letter."""
    mistakes = Mistakes()
    if len(rigs) < 2:
        mistakes.add("rigs", f"{len(rigs)} rig" + "s" * (len(rigs) != 1), "at least two rigs to compare")
    for number, rig in enumerate(rigs, start=1):
        if not isinstance(rig, Rig):
            mistakes.add(f"rig {number}", type(rig).__name__, "a Rig", "load_rig(path)")
    if names is not None and (len(names) != len(rigs) or len(set(names)) != len(names)):
        mistakes.add("names", repr(tuple(names)), f"{len(rigs)} different names, one for each rig")
    mistakes.settle()
    if names is not None:
        return tuple(names)
    titles = tuple(rig.title for rig in rigs)
    return titles if len(set(titles)) == len(titles) else tuple(f"rig {number}" for number in range(1, len(rigs) + 1))


def _solved(rigs: Sequence[Rig], names: Sequence[str], mode: str | None, changed: Mapping[str, float]) -> list[State]:
    """Solve every rig; what is wrong with any is told of all at once, behind its name."""
    states: list[State] = []
    mistakes = Mistakes()
    for rig, name in zip(rigs, names, strict=True):
        try:
            states.append(State(solve(rig, mode, changed)))
        except InputError as error:
            mistakes.found += [replace(each, place=f"{name}: {each.place}") for each in error.mistakes]
    mistakes.settle()
    return states


def _side(
    name: str, state: State, findings: Sequence[Finding], changed: Mapping[str, float], unknown: dict[str, None]
) -> Side:
    moving = ~np.isnan(state.walk.velocity[0]) & (np.abs(state.walk.velocity[0]) > 0.0)
    absolute, gauge = state.walk.absolute_pressure[0], state.walk.gauge_pressure[0]
    known = moving & np.isfinite(absolute)
    ruled = judged(state)
    margin = float(ruled.suction()[0])
    real = usable(state)
    time = float(fill_times_if_known(state, real, changed, unknown)[0])
    return Side(
        name=name,
        title=state.rig.title,
        mode=state.plan.mode,
        verdict=worst([finding.verdict for finding in findings]),
        flow=float(real.delivered[0]),
        full_pipe_flow=float(state.delivered[0]),
        suction_margin=margin if np.isfinite(margin) else None,
        lowest_pressure=float(absolute[known].min()) if known.any() else None,
        highest_pressure=float(gauge[known].max()) if known.any() else None,
        fill_time=time if np.isfinite(time) else None,
        failing=ruled.failing(0),
    )


def _differs(sides: Sequence[Side]) -> tuple[str, ...]:
    found = []
    for item in fields(Side):
        if item.name in {"name", "title"}:
            continue
        values: list[Any] = [getattr(side, item.name) for side in sides]
        numbers = all(value is None or isinstance(value, float) for value in values)
        if apart(values, _SAME) if numbers else len(set(values)) > 1:
            found.append(item.name)
    return tuple(found)


def _better(sides: Sequence[Side]) -> str:
    ranked = sorted(sides, key=lambda side: (len(side.failing), -side.flow))
    first, second = ranked[0], ranked[1]
    tie = len(first.failing) == len(second.failing) and not apart([first.flow, second.flow], _SAME)
    return "" if tie else first.name


def _trust(states: Sequence[State], findings: Sequence[tuple[Finding, ...]], names: Sequence[str]) -> Trust:
    told = [trust_of(state.solution, own) for state, own in zip(states, findings, strict=True)]
    pairs = list(zip(names, told, strict=True))
    return Trust(
        steps=max(each.steps for each in told),
        mass_residual=max(each.mass_residual for each in told),
        energy_residual=max(each.energy_residual for each in told),
        assumed=(
            *(text for text in told[0].assumed if all(text in each.assumed for each in told)),
            *(
                f"{name}: {text}"  # none of a check, which these are, has a figure in it
                for name, each in pairs
                for text in each.assumed
                if not all(text in other.assumed for other in told)
            ),
        ),
        unknown=tuple(f"{name}: {text}" for name, each in pairs for text in each.unknown),
    )


@as_annotated
def compare(
    *rigs: Rig, names: Sequence[str] | None = None, mode: str | None = None, changed: Mapping[str, float] | None = None
) -> Comparison:
    """Return several rigs side by side, and everything in which they differ.

    Parameters
    ----------
    *rigs : Rig
        Two or more.
    names : sequence of str, optional
        What to call them; left out, their titles where these differ, else "rig 1" and so on.
    mode : str, optional
        Name of a mode that all of them have; left out, the first of each.
    changed : mapping of address to float, optional
        Values that stand in front of those of every rig for this answer, SI.

    Returns
    -------
    Comparison

    Raises
    ------
    InputError
        If there are fewer than two, names are missing or alike, or a rig lacks the mode; every mistake at once.
    SolverError
        If a network does not settle.

    Examples
    --------
    >>> from hydrokit.files import demonstration
    >>> from hydrokit.rig import replaced
    >>> drawn = demonstration()
    >>> wider = replaced(drawn, {"lines.intake.delivery-hose.bore": 0.016})
    >>> answer = compare(drawn, wider, names=["drawn", "wider"])
    >>> answer.better, [each.address for each in answer.inputs]
    ('wider', ['lines.intake.delivery-hose.bore'])
    """
    called = _names(rigs, names)
    given = dict(changed or {})
    states = _solved(rigs, called, mode, given)
    findings = [judge(state) for state in states]
    modes = [state.plan.mode for state in states]
    reached = _trust(states, findings, called)
    unknown = dict.fromkeys(reached.unknown)
    sides = tuple(
        _side(name, state, own, given, unknown) for name, state, own in zip(called, states, findings, strict=True)
    )
    return Comparison(
        title=" against ".join(called),
        mode=", ".join(dict.fromkeys(modes)),
        findings=tuple(
            replace(finding, place=f"{name}: {finding.place}")
            for name, own in zip(called, findings, strict=True)
            for finding in own
        ),
        trust=replace(reached, unknown=tuple(unknown)),
        sides=sides,
        differs=_differs(sides),
        better=_better(sides),
        heads=head_contrasts([head_shares(state.solution) for state in states]),
        findings_apart=finding_contrasts(findings),
        inputs=input_contrasts(rigs, modes, given),
        words=word_contrasts(rigs, modes),
        kinds=tuple(sorted({kind for state in states for kind in kinds_of(state)})),
    )
