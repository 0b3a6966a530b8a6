"""Which pump: every pump of a list put into the rig in turn, solved, judged and ranked."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Annotated, Any, ClassVar

import numpy as np

from hydrokit.answers import Answer, Phrase, Verdict, finite_or_none, worst
from hydrokit.arguments import as_annotated
from hydrokit.bounds import Dimension, Mistakes, Spec
from hydrokit.catalogue import generic_parts, part
from hydrokit.laws.pump_duty import best_efficiency
from hydrokit.network import solve
from hydrokit.parts import PART_KINDS, CentrifugalPump, DiaphragmPump, Pump
from hydrokit.rules import State, judge
from hydrokit.rules.pressure import SHUT_OFF_PRESSURE
from hydrokit.rules.priming import PRIMES
from hydrokit.studies.course.times_to_fill import fill_times_if_known
from hydrokit.studies.facts.duties import duties_of
from hydrokit.studies.facts.surroundings import Surroundings, kinds_of, surroundings_of
from hydrokit.studies.facts.trust import trust_of
from hydrokit.studies.facts.usable import usable, usable_flow
from hydrokit.studies.pumping.swaps import kept_values, pump_place, stays_with, with_pump
from hydrokit.studies.pumping.systems import PumpCurve, curves_of, may_reach
from hydrokit.studies.variants.judging import judged

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from hydrokit.answers import Finding
    from hydrokit.rig import Rig

__all__ = ["Match", "PumpTried", "match"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpTried:
    """One pump in the rig, and what comes of it; None where it is not known.

    Parameters
    ----------
    name : str
        In the list; of the pump that the rig has, its own.
    kind : str
        Of pump.
    drawn : bool
        Whether it is the one that the rig has.
    verdict : Verdict
        The gravest of all findings with it.
    primes : Verdict or None
        Whether it draws the suction hose full; None where it stands below its water, or draws from several lines.
    ruled_out, reasons : tuple
        Every limit that fails with it, as "rule at place" and in words, the worst first.
    not_judged : tuple of str
        Limits that its data leave open.
    curve : PumpCurve or None
        None where no flow is possible to draw it over.
    """

    name: str
    kind: str
    drawn: bool
    verdict: Verdict
    flow: Annotated[float, Spec(Dimension.FLOW, "delivered in the rig, as far as suction allows")]
    full_pipe_flow: Annotated[float, Spec(Dimension.FLOW, "that the full pipe would carry")]
    pump_flow: Annotated[float, Spec(Dimension.FLOW, "through the pump, pipe full")]
    head: Annotated[float, Spec(Dimension.LENGTH, "added by the pump")]
    primes: Verdict | None
    prime_limit: Annotated[float | None, Spec(Dimension.LENGTH, "lift up which it draws a dry hose full, here")]
    best_flow: Annotated[float | None, Spec(Dimension.FLOW, "at best efficiency")]
    best_share: Annotated[float | None, Spec(Dimension.FRACTION, "flow through the pump over that at best efficiency")]
    suction_margin: Annotated[
        float | None, Spec(Dimension.FRACTION, "least margin of NPSH and of pressure at which water stays whole")
    ]
    shut_off_margin: Annotated[
        float | None, Spec(Dimension.FRACTION, "least margin of pressure at shut-off against a rating")
    ]
    energy_per_volume: Annotated[float | None, Spec(Dimension.ENERGY_PER_VOLUME, "of water delivered")]
    fill_time: Annotated[
        float | None,
        Spec(Dimension.TIME, "until every tank that is filled is full; None where some never is, or flow is held back"),
    ]
    ruled_out: tuple[str, ...]
    reasons: tuple[Phrase, ...]
    not_judged: tuple[str, ...]
    curve: PumpCurve | None


@dataclass(frozen=True, kw_only=True, repr=False)
class Match(Answer):
    """Which pump suits the rig. The findings are those of the first in rank.

    Parameters
    ----------
    place : str
        Address of the pump that was replaced.
    pumps : tuple of PumpTried
        In rank: by how few limits fail, then by flow; of two alike the one that the rig has comes first.
    """

    question: ClassVar[str] = "match"
    table: ClassVar[str] = "pumps"

    surroundings: Surroundings
    place: str
    pumps: tuple[PumpTried, ...]
    kinds: tuple[str, ...]

    @property
    def best(self) -> PumpTried | None:
        """The first in rank that breaks no rule."""
        return self.pumps[0] if self.pumps[0].verdict is not Verdict.FAILS else None


@dataclass(frozen=True, slots=True)
class _Try:
    name: str
    drawn: bool
    state: State
    findings: tuple[Finding, ...]
    changed: dict[str, float]

    def rank(self) -> tuple[int, float, bool, str]:
        """Return what to sort by; of two that deliver the same the one that is already there comes first."""
        failing = sum(finding.verdict is Verdict.FAILS for finding in self.findings)
        return failing, -float(f"{usable_flow(self.state)[0]:.9g}"), not self.drawn, self.name


def _catalogue_pumps() -> dict[str, Pump]:
    found: dict[str, Pump] = {}
    for name, entry in generic_parts().items():
        if issubclass(PART_KINDS[entry.kind], Pump):
            made = part(name)
            assert isinstance(made, Pump)
            found[name] = made
    return found


def _checked(pumps: Mapping[str, Any] | None) -> Mapping[str, Pump]:
    if pumps is None:
        return _catalogue_pumps()
    mistakes = Mistakes()
    if not pumps:
        mistakes.add("pumps", "none", "at least one pump by name")
    for name, pump in pumps.items():
        if not isinstance(pump, Pump):
            kinds = ", ".join(kind for kind, cls in PART_KINDS.items() if issubclass(cls, Pump))
            mistakes.add(f"pumps.{name}", f"a {getattr(pump, 'kind', type(pump).__name__)}", f"one of {kinds}")
    mistakes.settle()
    return pumps


def _others(offered: Mapping[str, Pump], rig: Rig, where: str) -> dict[str, Pump]:
    """Return the pumps that are not the one drawn itself, which is tried as it stands."""
    drawn = rig.by_address[where]
    return {
        name: pump
        for name, pump in offered.items()
        if with_pump(rig, where, pump).by_address[where] != replace(drawn, name=where.rpartition(".")[2])
    }


def _best_flow(state: State, index: int) -> float | None:
    """Return the flow at best efficiency: as stated, else where the curve and the power put it inside the data."""
    element, pump = state.plan.elements[index], state.pump_of(index)
    if isinstance(pump, CentrifugalPump) and pump.best_flow is not None:
        return float(state.flow_at_sheet(index, state.of(element, "best_flow"))[0])
    if not isinstance(pump, (CentrifugalPump, DiaphragmPump)) or pump.powers is None or len(pump.powers) < 2:
        return None
    weight = 1.0 if pump.points is not None else float(np.ravel(state.conditions.weight)[0])
    points, powers = sorted((flow, rise * weight) for flow, rise in pump.curve), sorted(pump.powers)
    overlap = max(points[0][0], powers[0][0]) < min(points[-1][0], powers[-1][0])
    if not overlap or min(power for _, power in powers) <= 0.0:
        return None
    best = best_efficiency(points=points, powers=powers)
    return None if best.at_edge else float(state.flow_at_sheet(index, best.flow)[0])


def _tried(attempt: _Try, place: str, top: float, unknown: dict[str, None]) -> PumpTried:
    state, findings = attempt.state, attempt.findings
    index = next(index for index in state.running if state.plan.elements[index].address == place)
    duty = next(duty for duty in duties_of(state) if duty.place == place)
    ruled = judged(state)
    real = usable(state)
    times = fill_times_if_known(state, real, attempt.changed, unknown)
    primes = next((item for item in findings if item.rule == PRIMES.name and place in item.place.split(", ")), None)
    best = _best_flow(state, index)
    return PumpTried(
        name=attempt.name,
        kind=state.pump_of(index).kind,
        drawn=attempt.drawn,
        verdict=worst([finding.verdict for finding in findings]),
        flow=float(real.delivered[0]),
        full_pipe_flow=float(state.delivered[0]),
        pump_flow=duty.flow,
        head=duty.head,
        primes=None if primes is None else primes.verdict,
        prime_limit=None if primes is None else primes.limit,
        best_flow=best,
        best_share=duty.flow / best if best else None,
        suction_margin=finite_or_none(float(ruled.suction()[0])),
        shut_off_margin=finite_or_none(float(ruled.least(SHUT_OFF_PRESSURE.name)[0])),
        energy_per_volume=duty.energy_per_volume,
        fill_time=finite_or_none(float(times[0])),
        ruled_out=ruled.failing(0),
        reasons=ruled.reasons(0),
        not_judged=tuple(f"{item.rule} at {item.place}" for item in findings if item.verdict is Verdict.UNKNOWN),
        curve=curves_of(state, place, attempt.changed, top) if top > 0.0 else None,
    )


@as_annotated
def match(
    rig: Rig,
    mode: str | None = None,
    *,
    pumps: Mapping[str, Pump] | None = None,
    place: str | None = None,
    changed: Mapping[str, float] | None = None,
    progress: Callable[[float], None] | None = None,
) -> Match:
    """Return how well each of some pumps suits a rig, best first, and why those that fail do.

    Parameters
    ----------
    rig : Rig
    mode : str, optional
        Name of a mode; the rig's first where none is named.
    pumps : mapping of str to Pump, optional
        By name; every pump of the catalogue where none are given.
    place : str, optional
        Address of the pump to replace; may be left out where one pump runs.
    changed : mapping of address to float, optional
        Values that stand in front of the rig's own for this answer, SI. Those of the pump to replace are left aside for
        the others, but for its height and, where it runs on a battery, its cable and fuse.
    progress : callable, optional
        Is told the share that is done.

    Returns
    -------
    Match
        The pump that the rig has is one of those ranked.

    Raises
    ------
    InputError
        If a mode or an address is unknown, or what is given is no pump.
    SolverError
        If the network does not settle.

    Notes
    -----
    Each pump takes the place, the height and the supply of the one drawn, at the speed that it states itself. A pump
    whose limits are not known is not ruled out by them; they are named.

    Examples
    --------
    >>> from hydrokit.files import demonstration
    >>> [pump.name for pump in match(demonstration()).pumps[:2]]
    ['lift-pump', 'diaphragm-pump-11']
    """
    given = dict(changed or {})
    state = State(solve(rig, mode, given))
    where, mode = pump_place(state, place), state.plan.mode
    offered = _checked(pumps)
    if pumps is None and not any(address.startswith(f"{where}.") for address in {**rig.mode(mode)[1].values, **given}):
        offered = _others(offered, rig, where)
    attempts = [_Try(where.rpartition(".")[2], True, state, judge(state), given)]  # noqa: FBT003
    for done, (name, pump) in enumerate(offered.items(), start=1):
        kept = kept_values(given, where, stays_with(rig, where, pump))
        swapped = State(solve(with_pump(rig, where, pump), mode, kept))
        attempts.append(_Try(name, False, swapped, judge(swapped), kept))  # noqa: FBT003
        if progress is not None:
            progress(done / len(offered))
    attempts.sort(key=_Try.rank)
    duties = [
        float(attempt.state.flow_at(index)[0])
        for attempt in attempts
        for index in attempt.state.running
        if attempt.state.plan.elements[index].address == where
    ]
    first = attempts[0]
    told = trust_of(first.state.solution, first.findings)
    flows = [attempt.state.solution.flows for attempt in attempts]
    unknown = dict.fromkeys(told.unknown)
    tried = tuple(_tried(attempt, where, may_reach(attempt.state, duties), unknown) for attempt in attempts)
    return Match(
        title=rig.title,
        mode=mode,
        findings=first.findings,
        trust=replace(
            told,
            steps=max(int(each.steps.max()) for each in flows),
            mass_residual=max(float(each.mass_residual.max()) for each in flows),
            energy_residual=max(float(each.energy_residual.max()) for each in flows),
            unknown=tuple(unknown),
        ),
        surroundings=surroundings_of(first.state.solution),
        place=where,
        pumps=tried,
        kinds=kinds_of(first.state),
    )
