"""The first question: whether a rig works as drawn, what limits it, what to change first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, ClassVar

import numpy as np

from hydrokit.answers import Answer, Trust, Verdict
from hydrokit.bounds import Dimension, Spec
from hydrokit.network import solve
from hydrokit.parts import Filter, Lamp, Part
from hydrokit.rules import State, judge
from hydrokit.studies.changes import Change, best_changes, usable_flow
from hydrokit.studies.duties import Duty, duties_of
from hydrokit.studies.heads import HeadShare, head_shares
from hydrokit.studies.stops import Stop, stops_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hydrokit.network import Solution
    from hydrokit.rig import Rig

__all__ = ["Arrival", "Check", "Surroundings", "check", "trust_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """The air and the water that the answer is for."""

    altitude: Annotated[float, Spec(Dimension.LENGTH, "of the site")]
    air_pressure: Annotated[float, Spec(Dimension.ABSOLUTE_PRESSURE, "at the site")]
    water_temperature: Annotated[float, Spec(Dimension.TEMPERATURE, "of the water")]
    density: Annotated[float, Spec(Dimension.DENSITY, "of the water")]
    viscosity: Annotated[float, Spec(Dimension.VISCOSITY, "of the water")]
    vapour_pressure: Annotated[float, Spec(Dimension.ABSOLUTE_PRESSURE, "of the water")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrival:
    """What arrives in one tank or outlet through the full pipe."""

    place: str
    flow: Annotated[float, Spec(Dimension.FLOW, "that arrives")]


@dataclass(frozen=True, kw_only=True, repr=False)
class Check(Answer):
    """Whether a rig works, what limits it, and what to change first.

    Parameters
    ----------
    flow : float
        Delivered in all tanks and outlets together, as far as suction allows. [m^3/s]
    full_pipe_flow : float
        What the full pipe would carry; never reached where it is more than ``flow``. [m^3/s]
    arrivals, duties, head_shares, changes, stops : tuple
        What arrives where, what each pump does, where the head goes, what to change first, and the walk along the lines.
    kinds : tuple of str
        Of the parts and ends in use, a filter with its medium before it; the cautions go by them.
    """

    question: ClassVar[str] = "check"

    surroundings: Surroundings
    flow: Annotated[float, Spec(Dimension.FLOW, "delivered, as far as suction allows")]
    full_pipe_flow: Annotated[float, Spec(Dimension.FLOW, "that the full pipe would carry")]
    arrivals: tuple[Arrival, ...]
    duties: tuple[Duty, ...]
    head_shares: tuple[HeadShare, ...]
    changes: tuple[Change, ...]
    stops: tuple[Stop, ...]
    kinds: tuple[str, ...]


def _surroundings(solution: Solution, rig: Rig) -> Surroundings:
    conditions, values = solution.plan.conditions, solution.plan.values

    def first(value: object) -> float:
        return float(np.ravel(np.asarray(value))[0])

    return Surroundings(
        altitude=first(values.of("site", rig.site, "altitude")),
        air_pressure=first(conditions.air_pressure),
        water_temperature=first(values.of("site", rig.site, "water_temperature")),
        density=first(conditions.density),
        viscosity=first(conditions.viscosity),
        vapour_pressure=first(conditions.vapour_pressure),
    )


def _assumed(solution: Solution) -> tuple[str, ...]:
    """Return what the answer rests on that nobody stated."""
    rig, told = solution.plan.rig, []
    for name in solution.plan.stations.assumed_joints:
        told.append(f"joint {name} lies at the height of the nearest stated point")
    for name, tank in rig.tanks.items():
        if tank.level is None and any(name in (line.start, line.end) for line in rig.lines.values()):
            told.append(f"tank {name} is half full")
    told += [
        f"{element.address} drops as its data sheet says in water of 20 °C"
        for element in solution.plan.elements
        if isinstance(element.part, (Filter, Lamp)) and element.part.points_temperature is None
    ]
    told += [f"{address} is a guess" for address, word in rig.origins.items() if word == "guess"]
    return tuple(told)


def _kinds(state: State) -> tuple[str, ...]:
    rig = state.rig
    ends = rig.ends()
    found = {
        ends[name].kind
        for shut, line in zip(state.closed, rig.lines.values(), strict=True)
        for name in (line.start, line.end)
        if not shut
    }
    for _, element in state.elements(Part):
        part = element.part
        found.add(f"{part.medium} filter" if isinstance(part, Filter) else getattr(part, "kind", ""))
    return tuple(sorted(found))


def trust_of(solution: Solution, unknown: tuple[str, ...] = ()) -> Trust:
    """Return how a solution was reached; the worst figures over all its variants."""
    flows = solution.flows
    return Trust(
        steps=int(flows.steps.max()),
        mass_residual=float(flows.mass_residual.max()),
        energy_residual=float(flows.energy_residual.max()),
        assumed=_assumed(solution),
        unknown=unknown,
    )


def check(rig: Rig, mode: str | None = None, changed: Mapping[str, float] | None = None) -> Check:
    """Return whether a rig works in one mode, what limits it, and what to change first.

    Parameters
    ----------
    rig : Rig
    mode : str, optional
        Name of a mode; the rig's first where none is named.
    changed : mapping of address to float, optional
        Values that stand in front of the rig's own for this answer, SI.

    Returns
    -------
    Check

    Raises
    ------
    InputError
        If a mode or an address is unknown, or a value is not possible.
    SolverError
        If the network does not settle.

    Examples
    --------
    >>> from hydrokit.files import demonstration
    >>> answer = check(demonstration())
    >>> answer.verdict
    <Verdict.CLOSE: 'close'>
    """
    solution = solve(rig, mode, changed)
    state = State(solution)
    findings = judge(state)
    unknown = tuple(f"{item.rule} at {item.place}" for item in findings if item.verdict is Verdict.UNKNOWN)
    return Check(
        title=rig.title,
        mode=solution.plan.mode,
        findings=findings,
        trust=trust_of(solution, unknown),
        surroundings=_surroundings(solution, rig),
        flow=float(usable_flow(state)[0]),
        full_pipe_flow=float(state.delivered[0]),
        arrivals=tuple(Arrival(place=name, flow=float(flow[0])) for name, flow in state.deliveries.items()),
        duties=duties_of(state),
        head_shares=head_shares(solution),
        changes=best_changes(state),
        stops=stops_of(solution),
        kinds=_kinds(state),
    )
