"""The first question: whether a rig works as drawn, what limits it, what to change first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, ClassVar, Final

import numpy as np

from hydrokit.answers import Answer
from hydrokit.arguments import as_annotated
from hydrokit.bounds import Dimension, Spec
from hydrokit.network import solve
from hydrokit.rules import State, judge
from hydrokit.studies.changing.changes import Change, best_changes
from hydrokit.studies.course.supplying import BatteryUse, batteries_in_use
from hydrokit.studies.facts.agreeing import Agreement, agreement
from hydrokit.studies.facts.credited import Credited, credited_in
from hydrokit.studies.facts.duties import Duty, duties_of
from hydrokit.studies.facts.heads import HeadShare, head_shares
from hydrokit.studies.facts.profiles import Profile, profiles_of
from hydrokit.studies.facts.stops import Stop, stops_of
from hydrokit.studies.facts.surroundings import Surroundings, kinds_of, surroundings_of
from hydrokit.studies.facts.trust import trust_of
from hydrokit.studies.facts.usable import held_back, stays_whole, usable
from hydrokit.studies.facts.weights import Weights, weights_of
from hydrokit.studies.pumping.duty_curves import DutyCurve, duty_curves

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hydrokit.rig import Rig

__all__ = ["Arrival", "Check", "check"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrival:
    """What arrives in one place, as far as suction and switches allow; less what leaves a tank again.

    The place is a tank or outlet, a joint that asks for a flow, or a source that water is led to.
    """

    place: str
    flow: Annotated[float, Spec(Dimension.FLOW, "that arrives, less what leaves")]


@dataclass(frozen=True, kw_only=True, repr=False)
class Check(Answer):
    """Whether a rig works, what limits it, and what to change first.

    Parameters
    ----------
    flow : float
        Delivered wherever the mode brings water, all together, as far as suction and switches allow; the mean while a pump hunts.
        [m^3/s]
    full_pipe_flow : float
        What the full pipe would carry; never reached where it is more than ``flow``. [m^3/s]
    held_back_by : str
        "suction", "switch" or "relief", whichever keeps ``flow`` below that of the full pipe; empty where none does.
    stays_whole : bool
        Whether the water stays whole on its way; where it does not, ``flow``, ``arrivals`` and the flows of changes are what would
        arrive if it did, and none can be claimed to.
    arrivals, duties, batteries, head_shares, changes, stops : tuple
        What arrives where, what each pump does, what drives it, where the head goes, what to change first, and the walk along the lines.
    credited : tuple of Credited
        Log reductions that count, by barrier and end; none where nothing is claimed.
    weights : Weights or None
        What the vehicle carries in every state of its tanks; None where too little is stated.
    kinds : tuple of str
        Of the parts and ends in use, a filter with its medium before it; the cautions go by them.
    curves, profiles : tuple
        Of each running pump, and along the water's way, for plotting; empty where they were not asked for.
    agreement : Agreement or None
        How near a second method comes; None where it was not asked for.
    """

    question: ClassVar[str] = "check"

    surroundings: Surroundings
    flow: Annotated[float, Spec(Dimension.FLOW, "delivered, as far as suction and switches allow")]
    full_pipe_flow: Annotated[float, Spec(Dimension.FLOW, "that the full pipe would carry")]
    held_back_by: str
    stays_whole: bool
    arrivals: tuple[Arrival, ...]
    duties: tuple[Duty, ...]
    batteries: tuple[BatteryUse, ...]
    credited: tuple[Credited, ...]
    weights: Weights | None
    head_shares: tuple[HeadShare, ...]
    changes: tuple[Change, ...]
    stops: tuple[Stop, ...]
    kinds: tuple[str, ...]
    curves: tuple[DutyCurve, ...] = ()
    profiles: tuple[Profile, ...] = ()
    agreement: Agreement | None = None


_ANOTHERS: Final = {
    "suction": "the flow that suction allows; that of the full pipe is what was solved again",
    "relief": "the flow at the pressure at which the relief valve opens; that of a pump without one is what was solved again",
    "switch": "the mean flow under the pressure switch; that of a pump that ran on is what was solved again",
}
"""What rests on more than flows and heads, by what holds a pump back."""


def _held_back_by(state: State) -> str:
    """Return what holds a pump back most; empty where nothing does."""
    shares = {
        word: min(
            (float(flow[0]) / max(float(state.flow_at(pump)[0]), 1e-30) for pump, flow in pumps.items()), default=np.inf
        )
        for word, pumps in held_back(state).items()
    }
    least = min(shares, key=lambda word: shares[word])
    return least if shares[least] < 1.0 else ""


@as_annotated
def check(
    rig: Rig,
    mode: str | None = None,
    *,
    changed: Mapping[str, float] | None = None,
    curves: bool = False,
    verify: bool = False,
) -> Check:
    """Return whether a rig works in one mode, what limits it, and what to change first.

    Parameters
    ----------
    rig : Rig
    mode : str, optional
        Name of a mode; the rig's first where none is named.
    changed : mapping of address to float, optional
        Values that stand in front of the rig's own for this answer, SI.
    curves : bool
        Whether to work out what is only plotted: pump against rig, and head along the water's way.
    verify : bool
        Whether to solve it a second time by another method and tell how near that comes.

    Returns
    -------
    Check

    Raises
    ------
    InputError
        If a mode or an address is unknown, or a value is not possible.
    SolverError
        If the network does not settle, or a second method finds something else.

    Examples
    --------
    >>> from hydrokit.files import demonstration
    >>> answer = check(demonstration())
    >>> answer.verdict
    <Verdict.HOLDS: 'holds'>
    """
    solution = solve(rig, mode, changed)
    state = State(solution)
    findings = judge(state)
    real, holder = usable(state), _held_back_by(state)
    return Check(
        title=rig.title,
        mode=solution.plan.mode,
        findings=findings,
        trust=trust_of(solution, findings),
        surroundings=surroundings_of(solution),
        flow=float(real.delivered[0]),
        full_pipe_flow=float(state.delivered[0]),
        held_back_by=holder,
        stays_whole=bool(stays_whole(real)[0]),
        arrivals=tuple(
            Arrival(place=name, flow=float(flow[0]))
            for name, flow in real.arrivals.items()
            if name not in rig.sources or flow[0] > 0.0
        ),
        duties=duties_of(state),
        batteries=batteries_in_use(state),
        credited=credited_in(state),
        weights=weights_of(state),
        head_shares=head_shares(solution),
        changes=best_changes(state),
        stops=stops_of(solution),
        kinds=kinds_of(state),
        curves=duty_curves(state, changed or {}) if curves else (),
        profiles=profiles_of(state) if curves else (),
        agreement=agreement(solution, changed or {}, [_ANOTHERS[holder]] if holder else []) if verify else None,
    )
