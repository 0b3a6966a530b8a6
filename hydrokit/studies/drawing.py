"""What comes out of the tap, and for how long: tanks drawn from until their outlets are bare.

A tank counts as empty when its water stands a millimetre above the outlet: the last of it takes for ever.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import chain, count
from typing import TYPE_CHECKING, Annotated, ClassVar, Final, Literal

import numpy as np

from hydrokit.answers import Answer, finite_or_none
from hydrokit.arguments import as_annotated
from hydrokit.bounds import Dimension, Spec, require
from hydrokit.errors import InputError, Mistake
from hydrokit.network import build_plan
from hydrokit.parts import Outlet
from hydrokit.rules import judge
from hydrokit.rules.cycling import hunts
from hydrokit.studies.course.draining import drained_volumes
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
from hydrokit.studies.course.tanks import MONTH, Tanks, asks, draws, tanks_of
from hydrokit.studies.facts.surroundings import Surroundings, kinds_of, surroundings_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from hydrokit.bounds import Array
    from hydrokit.network.ports import Mask
    from hydrokit.rig import Rig
    from hydrokit.timeline import Course

__all__ = ["Draw", "DrawnTank", "OutletFlow", "draw"]

_FILM: Final = 1e-3
"""m of water above the outlet at which a tank counts as empty."""
_SAME: Final = 1e-9
End = Literal["empty", "runs dry", "nothing moves", "time is up"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnTank:
    """One tank; None where a thing did not happen or does not apply."""

    tank: str
    drawn_from: bool
    start_level: Annotated[float, Spec(Dimension.LENGTH, "depth of water at the start")]
    outlet_level: Annotated[
        float | None, Spec(Dimension.LENGTH, "depth of water below which no outlet can draw from it")
    ]
    usable: Annotated[float, Spec(Dimension.VOLUME, "of water above that level at the start")]
    empty_after: Annotated[float | None, Spec(Dimension.TIME, "until the outlet is bare, or the stated level reached")]
    end_level: Annotated[float, Spec(Dimension.LENGTH, "depth of water at the end")]
    end_volume: Annotated[float, Spec(Dimension.VOLUME, "of water at the end")]
    levels: Annotated[tuple[float, ...], Spec(Dimension.LENGTH, "depth of water at the times told")]


@dataclass(frozen=True, slots=True, kw_only=True)
class OutletFlow:
    """What comes out of one outlet."""

    outlet: str
    first_flow: Annotated[float, Spec(Dimension.FLOW, "at the start")]
    last_flow: Annotated[float, Spec(Dimension.FLOW, "the last that came")]
    volume: Annotated[float, Spec(Dimension.VOLUME, "in all")]
    flows: Annotated[tuple[float, ...], Spec(Dimension.FLOW, "at the times told")]


@dataclass(frozen=True, kw_only=True, repr=False)
class Draw(Answer):
    """What comes out of the tap, and for how long.

    Parameters
    ----------
    ends : str
        Why it was followed no longer.
    lacking : tuple of str
        Joints that cannot be given what they ask for from then on, the tank that gave it being dry; flows are not known
        any further.
    mode_chosen : bool
        Whether the mode is not the rig's default, which does not draw, but the first that does.
    empty_after : float or None
        When the last tank is empty; None where some never is. [s]
    first_empty, first_empty_after
        The first tank to be empty, and when; from then on air can come in through its outlet.
    usable : float
        Water above the lowest outlets of the tanks drawn from. [m^3]
    delivered : float
        Come out of all outlets. [m^3]
    spilled : float
        Run over brims, where a higher tank fills a lower one. [m^3]
    first_flow, last_flow : float
        Out of all outlets at the start, and the last of each. [m^3/s]
    days : float or None
        How long the usable water lasts at the stated use. [s]
    hunts : bool
        Whether a pressure switch stops the pump by turns; flows are then those of a pump that runs steadily.
    suction_share : float
        What suction and switches allow of the flow of the full pipe.
    stays_whole : bool
        Whether the water stays whole on its way; where it does not, all flows and times are what would be if it did.
    energy : float or None
        Taken by the pumps that run; None where a power is not stated. [J]
    imbalance : float
        Worst of all tanks: what came less what is there, over all that moved.
    times : tuple of float
        Moments of the curves of levels and flows. [s]
    """

    question: ClassVar[str] = "draw"
    table: ClassVar[str] = "tanks"

    surroundings: Surroundings
    ends: End
    lacking: tuple[str, ...]
    mode_chosen: bool
    followed_for: Annotated[float, Spec(Dimension.TIME, "from the start to the end of the answer")]
    empty_after: Annotated[float | None, Spec(Dimension.TIME, "until all tanks are empty")]
    first_empty: str | None
    first_empty_after: Annotated[float | None, Spec(Dimension.TIME, "until the first tank is empty")]
    usable: Annotated[float, Spec(Dimension.VOLUME, "above the lowest outlets")]
    delivered: Annotated[float, Spec(Dimension.VOLUME, "out of all outlets")]
    spilled: Annotated[float, Spec(Dimension.VOLUME, "run over brims, where a higher tank fills a lower one")]
    first_flow: Annotated[float, Spec(Dimension.FLOW, "out of all outlets at the start")]
    last_flow: Annotated[float, Spec(Dimension.FLOW, "out of all outlets, the last of each")]
    use: Annotated[float | None, Spec(Dimension.FLOW, "stated, of all persons together")]
    days: Annotated[float | None, Spec(Dimension.TIME, "that the usable water lasts at that use")]
    hunts: bool
    suction_share: Annotated[float, Spec(Dimension.FRACTION, "of the full pipe's flow that suction allows")]
    stays_whole: bool
    energy: Annotated[float | None, Spec(Dimension.ENERGY, "taken by the pumps")]
    imbalance: Annotated[float, Spec(Dimension.NUMBER, "of volume, over all that moved")]
    tanks: tuple[DrawnTank, ...]
    outlets: tuple[OutletFlow, ...]
    lines: tuple[Carried, ...]
    filters: tuple[Treated, ...]
    times: Annotated[tuple[float, ...], Spec(Dimension.TIME, "of the curves")]
    kinds: tuple[str, ...]


def _drawing(rig: Rig, mode: str | None, changed: Mapping[str, float]) -> Tanks:
    """Return the tanks in the mode that was named, else in the first that lets their water out of an outlet.

    Where none does, in the first in which a joint asks for their water, be it that they have none to give.

    Raises
    ------
    InputError
        If no mode does.
    """
    asked = None
    for name in rig.mode_names() if mode is None else (mode,):
        tanks = tanks_of(build_plan(rig, name, changed, levels_apart=True), all_full=True)
        if mode is not None:
            return tanks
        if not rig.tanks:
            continue
        at_first = tanks.follow(np.full((1, len(tanks.names)), np.nan), time_limit=0.0)
        if draws(tanks, at_first.first_flow[0]):
            return tanks
        if asked is None and (at_first.lacking.any() or asks(tanks, at_first.first_flow[0])):
            asked = tanks
    if asked is not None:
        return asked
    expected = "a mode in which water from a tank comes out of an outlet"
    raise InputError([Mistake("modes", "none that draws from the tanks", expected, _so_that_it_draws(rig))])


def _so_that_it_draws(rig: Rig) -> str:
    """Return what to write into the file of a rig of which no mode draws, in its own names."""
    taken = {*rig.ends(), *rig.modes}
    if not rig.tanks:
        return f"[tanks.{_free('tank', taken)}] with volume, floor and depth, and a line from it to an outlet"
    tank = next(iter(rig.tanks))
    if not rig.outlets:
        tap = _free("tap", taken)
        return f"[outlets.{tap}] with a height, and a line from {tank} to {tap}"
    filling = [
        f"lines.{name}" for name, line in rig.lines.items() if line.end in rig.tanks and line.start in rig.sources
    ]
    outward = [name for name, line in rig.lines.items() if line.end in rig.outlets]
    outlet = next(iter(rig.outlets))
    if not outward:
        return f"a line from {tank} to {outlet}"
    if filling and not any({*filling} <= {*mode.closed} for mode in rig.modes.values()):
        shut = ", ".join(f'"{address}"' for address in filling)
        return f"[modes.{_free('drawing', taken)}] closed = [{shut}]"
    return f"{outlet} lower than the water of {tank}, or a pump in line {outward[0]}"


def _free(word: str, taken: set[str]) -> str:
    """Return a name that nothing in a rig has yet: the word, else the word and a number."""
    return next(name for name in chain([word], (f"{word}-{number}" for number in count(2))) if name not in taken)


def _bare_volumes(tanks: Tanks, drained: Array) -> Array:
    """Return the volumes (1, T) at which tanks that outlets can draw from count as empty, NaN for the others."""
    storage = tanks.storage
    bare = drained + np.minimum(_FILM, 0.5 * storage.depth) * storage.area
    return np.where(storage.start_level * storage.area > bare, bare, np.nan)


def _tank_rows(tanks: Tanks, course: Course, drawn: Mask, drained: Array, levels: Array) -> tuple[DrawnTank, ...]:
    storage = tanks.storage
    return tuple(
        DrawnTank(
            tank=name,
            drawn_from=bool(drawn[place]),
            start_level=float(course.start_volume[0, place] / storage.area[0, place]),
            outlet_level=finite_or_none(drained[0, place] / storage.area[0, place]),
            usable=float(np.fmax(course.start_volume[0, place] - drained[0, place], 0.0)) if drawn[place] else 0.0,
            empty_after=finite_or_none(course.reached[0, place]),
            end_level=float(course.volume[0, place] / storage.area[0, place]),
            end_volume=float(course.volume[0, place]),
            levels=tuple(levels[:, place].tolist()),
        )
        for place, name in enumerate(tanks.names)
    )


def _outlet_rows(rig: Rig, course: Course, flows: Array) -> tuple[OutletFlow, ...]:
    ends, rows = rig.ends(), []
    for name in rig.outlets:
        lines = [place for place, line in enumerate(rig.lines.values()) if line.end == name]
        own = flows[:, lines].sum(axis=1)
        if isinstance(ends[name], Outlet) and (own != 0.0).any():
            rows.append(
                OutletFlow(
                    outlet=name,
                    first_flow=float(own[0]),
                    last_flow=float(own[np.flatnonzero(own > 0.0)[-1]]) if (own > 0.0).any() else 0.0,
                    volume=float(course.passed[0, lines].sum()),
                    flows=tuple(own.tolist()),
                )
            )
    return tuple(rows)


def _end(course: Course, wanted: Array, time_limit: float) -> End:
    if wanted.any() and np.isfinite(course.reached[0][wanted]).all():
        return "empty"
    if course.lacking[0].any():
        return "runs dry"
    return "time is up" if course.time[0] >= time_limit * (1.0 - 1e-9) else "nothing moves"


@as_annotated
def draw(
    rig: Rig,
    mode: str | None = None,
    *,
    changed: Mapping[str, float] | None = None,
    use: float | None = None,
    persons: float = 1.0,
    down_to: Mapping[str, float] | None = None,
    time_limit: float = MONTH,
    progress: Callable[[float], None] | None = None,
) -> Draw:
    """Return what comes out of the tap, for how long, and how many days the water lasts.

    Parameters
    ----------
    rig : Rig
        Its tanks start at their stated level, else full.
    mode : str, optional
        Name of a mode; where none is named, the first in which water from a tank comes out of an outlet.
    changed : mapping of address to float, optional
        Values that stand in front of the rig's own for this answer, SI.
    use : float, optional
        Water used by each person, on average over day and night. [m^3/s]
    persons : float
        How many use it.
    down_to : mapping of tank to float, optional
        Depths of water at which to stop instead; tanks not named are not waited for. [m]
    time_limit : float
        Longest time to follow. [s]
    progress : callable, optional
        Told the share done, 0 to 1.

    Returns
    -------
    Draw

    Raises
    ------
    InputError
        If a mode, tank or address is unknown, a value is not possible, or no mode draws.
    SolverError
        If the network does not settle, or tanks change to and fro without end.

    Examples
    --------
    >>> from hydrokit.files import demonstration
    >>> answer = draw(demonstration(), use=30e-3 / 86_400.0, persons=2)
    >>> answer.mode, answer.usable, answer.days / 86_400.0
    ('tap', 0.112, 1.87)
    """
    require("time_limit", time_limit, 1e-3, 1e10, "s")
    require("persons", persons, 1e-3, 1e9)
    if use is not None:
        require("use", use, 1e-15, 1e3, "m^3/s")
    varied = dict(changed or {})
    tanks = _drawing(rig, rig.mode()[0] if mode is None and down_to is not None else mode, varied)
    plan, name = tanks.plan, tanks.plan.mode
    metering = metering_of(plan)
    drained = drained_volumes(tanks)
    goal = _bare_volumes(tanks, drained) if down_to is None else tanks.volumes(down_to, "down_to")
    course = tanks.follow(goal, time_limit=time_limit, meter=metering.meter, progress=progress)
    state, levels = judged_state(tanks, varied)
    findings, (share, whole) = judge(state), really(state)
    times = moments(course)
    volumes, flows = course.legs.at(times) if course.legs.begins else (course.start_volume, course.first_flow)
    drawn = course.volume[0] < course.start_volume[0] * (1.0 - _SAME)
    rows, outlets = (
        _tank_rows(tanks, course, drawn, drained, volumes / tanks.storage.area),
        _outlet_rows(rig, course, flows),
    )
    usable = sum(row.usable for row in rows)
    energy, unknown = energy_of(metering, course)
    wanted = np.isfinite(goal[0]) & (drawn if down_to is None else True)
    emptied = np.where(wanted, course.reached[0], np.inf)
    first = int(np.argmin(emptied)) if np.isfinite(emptied).any() else None
    return Draw(
        title=rig.title,
        mode=name,
        findings=findings,
        trust=trust_beside(state, findings, (*tanks.assumed, *levels), unknown),
        surroundings=surroundings_of(state.solution),
        ends=_end(course, wanted, time_limit),
        lacking=lacking_in(plan, course),
        mode_chosen=mode is None and name != rig.mode()[0],
        followed_for=float(course.time[0]),
        empty_after=finite_or_none(course.reached[0, wanted].max()) if wanted.any() else None,
        first_empty=None if first is None else tanks.names[first],
        first_empty_after=None if first is None else float(emptied[first]),
        usable=usable,
        delivered=sum(outlet.volume for outlet in outlets),
        spilled=float(course.spilled[0].sum()),
        first_flow=sum(outlet.first_flow for outlet in outlets),
        last_flow=sum(outlet.last_flow for outlet in outlets),
        use=None if use is None else use * persons,
        days=None if use is None else usable / (use * persons),
        hunts=any(hunts(state, pump)[0] for pump in state.running),
        suction_share=share,
        stays_whole=whole,
        energy=energy,
        imbalance=imbalance(course, tanks.storage.into),
        tanks=rows,
        outlets=outlets,
        lines=carried_by(plan, course),
        filters=treated_by(plan, course),
        times=tuple(times.tolist()),
        kinds=kinds_of(state),
    )
