"""Whether a pump can lift from a depth, how deep the water could go, and what limits it.

Lift is the height of the pump's inlet above the surface of the water, negative where the pump is flooded. Every limit is
found by searching the same solver and the same rules for the depth at which it gives way; there is no second formula.
The strainer is taken to go down with the water, on the same length of hose.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, ClassVar, Final, Literal

import numpy as np

from hydrokit.answers import Answer, Finding, Verdict, phrase
from hydrokit.arguments import as_annotated
from hydrokit.bounds import Dimension, Spec, require
from hydrokit.rules import judge
from hydrokit.rules.allowed import allowed_flow
from hydrokit.rules.arrival import ARRIVES
from hydrokit.studies.facts.surroundings import Surroundings, kinds_of, surroundings_of
from hydrokit.studies.facts.trust import trust_of
from hydrokit.studies.pumping.duty_curves import DutyCurve, duty_curves
from hydrokit.studies.suction.budgets import Budget, budget_of
from hydrokit.studies.suction.drawn import drawn_water
from hydrokit.studies.suction.lift_limits import DEEPEST, FLOW, LiftLimit, limits_of, speaks_of, what_is_left
from hydrokit.studies.suction.shifts import Shift, cases_of, shifts_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hydrokit.bounds import Array
    from hydrokit.rig import Rig
    from hydrokit.rules import State
    from hydrokit.studies.suction.drawn import Drawn

__all__ = ["Depth", "Lift", "lift", "lifted"]

_STEPS: Final = (0.1, 0.2, 0.25, 0.5, 1.0)
_STEPS_IN_FEET: Final = tuple(feet * 0.3048 for feet in (0.25, 0.5, 1.0, 2.0, 2.5, 5.0))
_ROWS: Final = 14
_MOST_ROWS: Final = 100
"""Where a metre is small against how far a hose reaches, or a light liquid rises."""
_FLOODED: Final = -0.5
_BEYOND: Final = 0.05
"""m behind a limit at which the next row stands: where water breaks, the flow falls away within a few decimetres."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Depth:
    """What the pump does with the water at one depth; ``fails`` names the limits passed, the one met first in front."""

    lift: Annotated[float, Spec(Dimension.LENGTH, "of the pump above the water")]
    surface: Annotated[float, Spec(Dimension.LENGTH, "height of the water")]
    flow: Annotated[float, Spec(Dimension.FLOW, "through the pump, as far as suction allows")]
    full_pipe_flow: Annotated[float, Spec(Dimension.FLOW, "that the full pipe would carry")]
    fails: tuple[str, ...]
    is_now: bool


@dataclass(frozen=True, kw_only=True, repr=False)
class Lift(Answer):
    """Whether a pump can lift from the depth it is at, and how deep the water could go.

    Parameters
    ----------
    pump, water : str
        Address of the pump, and of the source or tank that it draws from.
    greatest_lift, deepest_surface : float or None
        At which the limit that ``governs`` gives way; None where nothing limits it or nothing holds. [m]
    limits : tuple of LiftLimit
        Each limit with the depth at which it gives way.
    depths : tuple of Depth
        Flow against depth in even steps, from flooded to failing, with rows at every limit and just beyond; the present
        depth among them.
    budget : Budget or None
        Where the head of the air goes, as the rig stands.
    shifts : tuple of Shift
        The first is the rig as it is; in each other one thing is varied.
    curves : tuple of DutyCurve
        Of the pump, for plotting; empty where it was not asked for.
    """

    question: ClassVar[str] = "lift"
    table: ClassVar[str] = "depths"

    pump: str
    water: str
    pump_height: Annotated[float, Spec(Dimension.LENGTH, "of its inlet")]
    surface: Annotated[float, Spec(Dimension.LENGTH, "height of the water")]
    lift: Annotated[float, Spec(Dimension.LENGTH, "of the pump above the water")]
    flow: Annotated[float, Spec(Dimension.FLOW, "through the pump, as far as suction allows")]
    full_pipe_flow: Annotated[float, Spec(Dimension.FLOW, "that the full pipe would carry")]
    wanted_flow: Annotated[float | None, Spec(Dimension.FLOW, "through the pump; any where none is stated")]
    greatest_lift: Annotated[float | None, Spec(Dimension.LENGTH, "of the pump above the water")]
    deepest_surface: Annotated[float | None, Spec(Dimension.LENGTH, "height of the water then")]
    governs: str
    limits: tuple[LiftLimit, ...]
    depths: tuple[Depth, ...]
    budget: Budget | None
    shifts: tuple[Shift, ...]
    surroundings: Surroundings
    kinds: tuple[str, ...]
    curves: tuple[DutyCurve, ...] = ()


def lifted(drawn: Drawn, state: State) -> Array:
    """Return the flow through the pump that suction allows, shape (n,), m³/s."""
    pump = drawn.pump_in(state)
    return np.asarray(np.minimum(state.flow_at(pump), allowed_flow(state, pump)), np.float64)


def _lifts(drawn: Drawn, limits: tuple[LiftLimit, ...], system: str) -> Array:
    """Return lifts in even steps, round in a system of units, from flooded to where the last limit has given way."""
    now = drawn.lift
    last = max((limit.lift for limit in limits if limit.lift is not None), default=now)
    steps = _STEPS if system == "metric" else _STEPS_IN_FEET
    low, high = min(_FLOODED, now), max(last, now) + _STEPS[0]
    long = steps[-1] * max(1.0, float(np.ceil((high - low) / (_MOST_ROWS * steps[-1]))))
    step = next((each for each in steps if (high - low) / each <= _ROWS), long)
    return step * np.arange(np.floor(low / step), np.ceil(high / step) + 1.0)


def _edges(limits: tuple[LiftLimit, ...]) -> Array:
    """Return lifts at each limit and just beyond."""
    at = np.array([limit.lift for limit in limits if limit.binds and limit.lift is not None])
    return np.concatenate([at, at + _BEYOND])


def _depths(drawn: Drawn, limits: tuple[LiftLimit, ...], wanted_flow: float | None, system: str) -> tuple[Depth, ...]:
    given = np.append(_edges(limits), drawn.lift)
    even = _lifts(drawn, limits, system)
    far = np.abs(even[:, None] - given).min(axis=1) > 1e-9
    lifts = np.union1d(even[far], given)
    lifts = lifts[(lifts <= drawn.pump_height + DEEPEST) | (lifts == drawn.lift)]
    surfaces = drawn.pump_height - lifts
    state = drawn.solved({}, np.zeros(len(lifts), np.intp), surfaces)
    flows, full, left = (
        lifted(drawn, state),
        state.flow_at(drawn.pump_in(state)),
        what_is_left(drawn, state, wanted_flow),
    )
    order = sorted(
        (limit for limit in limits if limit.binds),
        key=lambda limit: np.inf if limit.lift is None else limit.lift,
    )
    reached = {limit.limit: lifts <= (np.inf if limit.lift is None else limit.lift) for limit in order}
    kept = reached | {name: each >= 0.0 for name, each in left.items()}
    for limit in order:  # at its own edge a limit holds, whatever the rounding
        kept[limit.limit] = kept[limit.limit] | (lifts == limit.lift)
    return tuple(
        Depth(
            lift=float(each),
            surface=float(surfaces[row]),
            flow=float(flows[row]),
            full_pipe_flow=float(full[row]),
            fails=tuple(limit.limit for limit in order if not kept[limit.limit][row]),
            is_now=bool(each == drawn.lift),
        )
        for row, each in enumerate(lifts)
    )


def _wanted_finding(drawn: Drawn, flow: float, wanted: float) -> Finding:
    enough = flow >= wanted
    return Finding(
        rule=FLOW,
        place=drawn.address,
        verdict=Verdict.HOLDS if enough else Verdict.FAILS,
        dimension=Dimension.FLOW,
        value=flow,
        limit=wanted,
        margin=(flow - wanted) / wanted,
        reason=phrase(
            f"{drawn.address} lifts {{flow}} from here; {{wanted}} is wanted.",
            flow=(flow, Dimension.FLOW),
            wanted=(wanted, Dimension.FLOW),
        ),
        advice=phrase("" if enough else "Ask check what to change first, or take a pump of more flow."),
        source="as asked",
    )


def _findings(drawn: Drawn, wanted_flow: float | None) -> tuple[Finding, ...]:
    """Return what the rules of the suction side find as the rig stands, and whether water arrives."""
    found = [item for item in judge(drawn.state) if item.rule == ARRIVES.name or speaks_of(drawn, item)]
    if wanted_flow is not None:
        wanted = _wanted_finding(drawn, float(lifted(drawn, drawn.state)[0]), wanted_flow)
        found.insert(0 if wanted.verdict is Verdict.FAILS else len(found), wanted)
    return tuple(found)


def _assumed(drawn: Drawn, limits: tuple[LiftLimit, ...], wanted_flow: float | None) -> tuple[str, ...]:
    told = ["the strainer goes down with the water, on the same length of hose"]
    if wanted_flow is None:
        told.append("any flow at all is enough, as none was asked for")
    if f"{drawn.address}.height" in drawn.changed and drawn.rig.pumps()[drawn.address].height is None:
        told.append(f"{drawn.address} stays at the height at which it lies between its neighbours")
    told += [
        f"{limit.limit} limits nothing, as what it takes is not stated"
        for limit in limits
        if limit.reach == "not known"
    ]
    return tuple(told)


@as_annotated
def lift(
    rig: Rig,
    mode: str | None = None,
    *,
    pump: str | None = None,
    wanted_flow: float | None = None,
    changed: Mapping[str, float] | None = None,
    curves: bool = False,
    system: Literal["metric", "US", "imperial"] = "metric",
) -> Lift:
    """Return whether a pump can lift from the depth it is at, how deep the water could go, and what limits it.

    Parameters
    ----------
    rig : Rig
    mode : str, optional
        Name of a mode; the rig's first where none is named.
    pump : str, optional
        Address or name of a running pump; needed where several draw from open water.
    wanted_flow : float, optional
        That the pump is still to lift, m³/s; any flow where none is stated.
    changed : mapping of address to float, optional
        Values that stand in front of the rig's own for this answer, SI.
    curves : bool
        Whether to work out what is only plotted: the pump against the rig.
    system : {"metric", "US", "imperial"}
        In whose units the depths told, and what is varied, are round.

    Returns
    -------
    Lift

    Raises
    ------
    InputError
        If a mode, pump or address is unknown, several pumps could be meant, or a value is not possible.
    SolverError
        If the network does not settle.

    Examples
    --------
    >>> from hydrokit.files import demonstration
    >>> answer = lift(demonstration())
    >>> answer.lift, answer.greatest_lift, answer.governs
    (1.8, 4.40, 'pump inlet vacuum')
    """
    if wanted_flow is not None:
        require("wanted_flow", wanted_flow, 1e-9, 1e3, "m^3/s")
    drawn = drawn_water(rig, mode, pump, changed)
    found, shifts = shifts_of(drawn, cases_of(drawn, system), wanted_flow, lifted)
    limits = limits_of(drawn, found)
    governs, greatest = found.governing(0)
    findings = _findings(drawn, wanted_flow)
    return Lift(
        title=rig.title,
        mode=drawn.mode,
        findings=findings,
        trust=trust_of(drawn.state.solution, findings, _assumed(drawn, limits, wanted_flow)),
        pump=drawn.address,
        water=drawn.water,
        pump_height=drawn.pump_height,
        surface=drawn.surface,
        lift=drawn.lift,
        flow=float(lifted(drawn, drawn.state)[0]),
        full_pipe_flow=float(drawn.state.flow_at(drawn.pump)[0]),
        wanted_flow=wanted_flow,
        greatest_lift=greatest,
        deepest_surface=None if greatest is None else drawn.pump_height - greatest,
        governs=governs,
        limits=limits,
        depths=_depths(drawn, limits, wanted_flow, system),
        budget=budget_of(drawn, drawn.state),
        shifts=shifts,
        surroundings=surroundings_of(drawn.state.solution),
        kinds=kinds_of(drawn.state),
        curves=duty_curves(drawn.state, drawn.changed, [drawn.pump]) if curves else (),
    )
