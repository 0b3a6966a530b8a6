"""How long the tanks take to fill, evenly or not, spilling or not.

Flows follow the levels at every moment. A tank counts as full at its brim, or where it levels with another once it is
98 % full and its inflow has died away to a tenth of what it was then; behind a float valve at 98 % of the level at which
that shuts, or once its inflow is under 1 % of the most it was.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, ClassVar, Literal

import numpy as np

from hydrokit.answers import Answer, finite_or_none
from hydrokit.arguments import as_annotated
from hydrokit.bounds import Dimension, Mistakes, Spec, nearest, require
from hydrokit.rules import judge
from hydrokit.studies.course.followed import judged_state, really, trust_beside
from hydrokit.studies.course.passed import (
    Carried,
    Treated,
    carried_by,
    energy_of,
    imbalance,
    lacking_in,
    metering_of,
    moments,
    treated_by,
)
from hydrokit.studies.course.supplying import Charged, charged_by
from hydrokit.studies.course.tanks import MONTH
from hydrokit.studies.course.times_to_fill import tanks_to_fill
from hydrokit.studies.facts.surroundings import Surroundings, kinds_of, surroundings_of
from hydrokit.studies.facts.weights import WeightCurve, weights_along

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from hydrokit.bounds import Array
    from hydrokit.rig import Rig
    from hydrokit.studies.course.tanks import Tanks
    from hydrokit.timeline import Course

__all__ = ["Fill", "FilledTank", "fill"]

End = Literal["all full", "first full", "runs dry", "nothing moves", "time is up"]


@dataclass(frozen=True, slots=True, kw_only=True)
class FilledTank:
    """One tank; None where a thing did not happen.

    ``share`` is its part of all that had arrived in the tanks to be filled when the first of them was full.
    """

    tank: str
    to_be_filled: bool
    full_volume: Annotated[float, Spec(Dimension.VOLUME, "when brim-full")]
    start_level: Annotated[float, Spec(Dimension.LENGTH, "depth of water at the start")]
    full_after: Annotated[float | None, Spec(Dimension.TIME, "until it counts as full")]
    brims_after: Annotated[float | None, Spec(Dimension.TIME, "until it is brim-full")]
    share: Annotated[float | None, Spec(Dimension.FRACTION, "of what had arrived when the first tank was full")]
    end_level: Annotated[float, Spec(Dimension.LENGTH, "depth of water at the end")]
    end_volume: Annotated[float, Spec(Dimension.VOLUME, "of water at the end")]
    spilled: Annotated[float, Spec(Dimension.VOLUME, "run over its brim")]
    levels: Annotated[tuple[float, ...], Spec(Dimension.LENGTH, "depth of water at the times told")]


@dataclass(frozen=True, kw_only=True, repr=False)
class Fill(Answer):
    """How long the tanks take to fill.

    Parameters
    ----------
    ends : str
        Why it was followed no longer.
    lacking : tuple of str
        Joints that cannot be given what they ask for from then on, the tank that gave it being dry; flows are not known
        any further.
    full_after : float or None
        When the last tank was full; None where some never is. [s]
    first_full, first_full_after, aboard_then, difference_then
        The first tank to be full, when, litres in all tanks then, and between the fullest and the emptiest of those to
        be filled.
    first_brim, first_brim_after, aboard_at_brim
        The same for the first tank to be brim-full, after which it spills what more arrives.
    spilled : float
        Run over all brims. [m^3]
    first_flow, last_flow : float
        Net flow into all tanks to be filled, at both ends of the time. [m^3/s]
    suction_share : float
        What suction and switches allow of the flow of the full pipe; below 1 all times are those of pumps that run on, shorter
        than this rig can reach.
    stays_whole : bool
        Whether the water stays whole on its way; where it does not, all flows and times are what would be if it did.
    energy : float or None
        Taken by the pumps that run; None where a power is not stated. [J]
    batteries : tuple of Charged
        What each battery gave, how many such fills its charge allows, and how many its input keeps up.
    imbalance : float
        Worst of all tanks: what came less what is there, over all that moved.
    times : tuple of float
        Moments of the level curves. [s]
    weights : WeightCurve or None
        What the vehicle carries at these times; None where too little is stated.
    """

    question: ClassVar[str] = "fill"
    table: ClassVar[str] = "tanks"

    surroundings: Surroundings
    ends: End
    lacking: tuple[str, ...]
    order: tuple[str, ...]
    followed_for: Annotated[float, Spec(Dimension.TIME, "from the start to the end of the answer")]
    full_after: Annotated[float | None, Spec(Dimension.TIME, "until all tanks are full")]
    first_full: str | None
    first_full_after: Annotated[float | None, Spec(Dimension.TIME, "until the first tank is full")]
    aboard_then: Annotated[float | None, Spec(Dimension.VOLUME, "in all tanks when the first is full")]
    difference_then: Annotated[float | None, Spec(Dimension.VOLUME, "between the fullest and the emptiest then")]
    first_brim: str | None
    first_brim_after: Annotated[float | None, Spec(Dimension.TIME, "until the first tank is brim-full")]
    aboard_at_brim: Annotated[float | None, Spec(Dimension.VOLUME, "in all tanks when the first is brim-full")]
    spilled: Annotated[float, Spec(Dimension.VOLUME, "run over all brims")]
    first_flow: Annotated[float, Spec(Dimension.FLOW, "into the tanks to be filled at the start")]
    last_flow: Annotated[float, Spec(Dimension.FLOW, "into the tanks to be filled at the end")]
    suction_share: Annotated[float, Spec(Dimension.FRACTION, "of the full pipe's flow that suction allows")]
    stays_whole: bool
    energy: Annotated[float | None, Spec(Dimension.ENERGY, "taken by the pumps")]
    batteries: tuple[Charged, ...]
    imbalance: Annotated[float, Spec(Dimension.NUMBER, "of volume, over all that moved")]
    tanks: tuple[FilledTank, ...]
    lines: tuple[Carried, ...]
    filters: tuple[Treated, ...]
    times: Annotated[tuple[float, ...], Spec(Dimension.TIME, "of the level curves")]
    weights: WeightCurve | None
    kinds: tuple[str, ...]


def _checked_order(order: Sequence[str], tanks: Tanks) -> tuple[str, ...]:
    mistakes = Mistakes()
    for name in order:
        if name not in tanks.filled:
            listed = ", ".join(tanks.filled) or "none"
            mistakes.add("order", repr(name), f"tanks to be filled: {listed}", nearest(str(name), tanks.filled))
    if len(set(order)) < len(order):
        mistakes.add("order", ", ".join(order), "each tank once")
    mistakes.settle()
    return tuple(order)


def _end(course: Course, wanted: Array, time_limit: float, *, first: bool) -> End:
    reached = np.isfinite(course.reached[0])
    if wanted.any() and reached[wanted].all():
        return "all full"
    if first and reached[wanted].any():
        return "first full"
    if course.lacking[0].any():
        return "runs dry"
    return "time is up" if course.time[0] >= time_limit * (1.0 - 1e-9) else "nothing moves"


def _tank_rows(tanks: Tanks, course: Course, first: int | None, levels: Array) -> tuple[FilledTank, ...]:
    storage = tanks.storage
    shares: list[float | None] = [None] * len(tanks.names)
    filled = [tanks.names.index(name) for name in tanks.filled]
    if first is not None:
        gained = course.at_reach[0, first] - course.start_volume[0]
        total = float(gained[filled].sum())
        for place in filled:
            shares[place] = float(gained[place] / total) if total > 0.0 else None
    return tuple(
        FilledTank(
            tank=name,
            to_be_filled=name in tanks.filled,
            full_volume=float(storage.full[0, place]),
            start_level=float(course.start_volume[0, place] / storage.area[0, place]),
            full_after=finite_or_none(course.reached[0, place]),
            brims_after=finite_or_none(course.brimmed[0, place]),
            share=shares[place],
            end_level=float(course.volume[0, place] / storage.area[0, place]),
            end_volume=float(course.volume[0, place]),
            spilled=float(course.spilled[0, place]),
            levels=tuple(levels[:, place].tolist()),
        )
        for place, name in enumerate(tanks.names)
    )


@as_annotated
def fill(
    rig: Rig,
    mode: str | None = None,
    *,
    changed: Mapping[str, float] | None = None,
    order: Sequence[str] = (),
    until: Literal["all", "first"] = "all",
    up_to: Mapping[str, float] | None = None,
    time_limit: float = MONTH,
    progress: Callable[[float], None] | None = None,
) -> Fill:
    """Return how long the tanks take to fill, how evenly, and what spills.

    Parameters
    ----------
    rig : Rig
        Tanks to be filled start at their stated level, else empty; others at their stated level, else full.
    mode : str, optional
        Name of a mode; the first that fills a tank where none is named.
    changed : mapping of address to float, optional
        Values that stand in front of the rig's own for this answer, SI.
    order : sequence of str, optional
        Tanks whose filling lines are opened one after the other, each shut when its tank is full; all at once where
        none are named.
    until : {"all", "first"}
        Whether to go on until all tanks are full, or to stop at the first.
    up_to : mapping of tank to float, optional
        Depths of water at which tanks count as full instead; tanks not named are not waited for. [m]
    time_limit : float
        Longest time to follow. [s]
    progress : callable, optional
        Told the share done, 0 to 1.

    Returns
    -------
    Fill

    Raises
    ------
    InputError
        If a mode, tank or address is unknown, a value is not possible, or no mode fills a tank.
    SolverError
        If the network does not settle, or tanks change to and fro without end.

    Examples
    --------
    >>> from hydrokit.files import demonstration
    >>> answer = fill(demonstration())
    >>> answer.first_full, answer.first_full_after / 60.0
    ('near', 15.9)
    """
    require("time_limit", time_limit, 1e-3, 1e10, "s")
    varied = dict(changed or {})
    tanks = tanks_to_fill(rig, mode, varied)
    plan, name = tanks.plan, tanks.plan.mode
    turns = _checked_order(order, tanks)
    goal = tanks.full_volumes() if up_to is None else tanks.volumes(up_to, "up_to")
    metering = metering_of(plan)
    course = tanks.follow(
        goal, time_limit=time_limit, order=turns, first=until == "first", meter=metering.meter, progress=progress
    )
    state, levels = judged_state(tanks, varied)
    findings, (share, whole) = judge(state), really(state)
    wanted = np.isfinite(goal[0])
    times = moments(course)
    volumes = course.legs.at(times)[0] if course.legs.begins else course.start_volume
    first = int(np.argmin(course.reached[0])) if np.isfinite(course.reached[0]).any() else None
    brim = int(np.argmin(course.brimmed[0])) if np.isfinite(course.brimmed[0]).any() else None
    then = None if first is None else course.at_reach[0, first]
    filled = [tanks.names.index(tank) for tank in tanks.filled]
    energy, unknown = energy_of(metering, course)
    into = tanks.storage.into[:, filled].sum(axis=1)
    return Fill(
        title=rig.title,
        mode=name,
        findings=findings,
        trust=trust_beside(state, findings, (*tanks.assumed, *levels), unknown),
        surroundings=surroundings_of(state.solution),
        ends=_end(course, wanted, time_limit, first=until == "first"),
        lacking=lacking_in(plan, course),
        order=turns,
        followed_for=float(course.time[0]),
        full_after=finite_or_none(course.reached[0, wanted].max(initial=0.0)) if wanted.any() else None,
        first_full=None if first is None else tanks.names[first],
        first_full_after=None if first is None else float(course.reached[0, first]),
        aboard_then=None if then is None else float(then.sum()),
        difference_then=None if then is None or not filled else float(np.ptp(then[filled])),
        first_brim=None if brim is None else tanks.names[brim],
        first_brim_after=None if brim is None else float(course.brimmed[0, brim]),
        aboard_at_brim=None if brim is None else float(course.at_brim[0, brim].sum()),
        spilled=float(course.spilled[0].sum()),
        first_flow=float(course.first_flow[0] @ into),
        last_flow=float(course.flow[0] @ into),
        suction_share=share,
        stays_whole=whole,
        energy=energy,
        batteries=charged_by(plan, metering, course),
        imbalance=imbalance(course, tanks.storage.into),
        tanks=_tank_rows(tanks, course, first, volumes / tanks.storage.area),
        lines=carried_by(plan, course),
        filters=treated_by(plan, course),
        times=tuple(times.tolist()),
        weights=weights_along(state, tanks.names, volumes),
        kinds=kinds_of(state),
    )
