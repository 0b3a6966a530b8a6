"""How a rig does as its filters load up: flow, time, pressure and energy against litres, and what gives way first."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Final

import numpy as np

from hydrokit.answers import Answer, finite_or_none
from hydrokit.arguments import as_annotated
from hydrokit.bounds import Dimension, Mistakes, Spec, require
from hydrokit.network import solve
from hydrokit.parts import Filter
from hydrokit.rules import State, judge
from hydrokit.rules.lasting import fill_volume, lacking
from hydrokit.rules.solids import raw_solids
from hydrokit.studies.course.times_to_fill import fill_times_if_known
from hydrokit.studies.facts.surroundings import Surroundings, kinds_of, surroundings_of
from hydrokit.studies.facts.trust import trust_of
from hydrokit.studies.facts.usable import usable
from hydrokit.studies.filters.loading import Loading, joined
from hydrokit.studies.filters.outlasting import losses
from hydrokit.studies.filters.prefiltering import chosen, first_met, in_front
from hydrokit.studies.filters.wear_cases import assumed, cases_of, solids_imbalance, unknown_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from hydrokit.bounds import Array
    from hydrokit.rig import Rig
    from hydrokit.studies.filters.loading import Course
    from hydrokit.studies.filters.wear_cases import WearCases

__all__ = ["FilterWear", "LimitReached", "PrefilterGain", "Wear", "WearPoint", "wear"]

_SHOWN: Final = 13
"""Rows told of each curve."""
_VOLUME: Final = Dimension.VOLUME


@dataclass(frozen=True, slots=True, kw_only=True)
class WearPoint:
    """The rig after some litres; ``loadings`` and ``pressures_before`` are told filter by filter, in their order.

    ``curve`` is "early" where every drop rises as early as its element's filtration laws allow, "late" where as late; one
    curve alone where they agree. None where a figure is not known, as the loading of a filter whose end drop is not
    stated; no time to fill where suction or a switch holds a pump back.
    """

    curve: str
    litres: Annotated[float, Spec(_VOLUME, "delivered so far")]
    flow: Annotated[float, Spec(Dimension.FLOW, "delivered, as far as suction and switches allow")]
    fill_time: Annotated[float | None, Spec(Dimension.TIME, "until all tanks are full")]
    energy_per_volume: Annotated[
        float | None, Spec(Dimension.ENERGY_PER_VOLUME, "that all pumps take for the water delivered")
    ]
    loadings: Annotated[tuple[float | None, ...], Spec(Dimension.FRACTION, "of the way to the end drop of each filter")]
    pressures_before: Annotated[tuple[float | None, ...], Spec(Dimension.GAUGE_PRESSURE, "before each filter")]


@dataclass(frozen=True, slots=True, kw_only=True)
class FilterWear:
    """How long one filter lasts, if those before it are renewed in time; None where it is not known or never ends.

    ``by`` is "solids" or "life", whichever ends it first with the likely solids; ``missing`` what is not stated of that
    which tells how fast it fills.
    """

    place: str
    element: str
    by: str
    least: Annotated[float | None, Spec(_VOLUME, "delivered until its end, with the most solids")]
    likely: Annotated[float | None, Spec(_VOLUME, "delivered until its end, of drops that rise early or late the less")]
    most: Annotated[float | None, Spec(_VOLUME, "delivered until its end, with the least solids, of both the more")]
    fills: Annotated[float | None, Spec(Dimension.NUMBER, "of the tanks until its likely end")]
    days: Annotated[float | None, Spec(Dimension.TIME, "of the stated use until its likely end")]
    caught: Annotated[float | None, Spec(Dimension.MASS, "solids in it when the first filter is used up")]
    flushed: Annotated[float | None, Spec(Dimension.MASS, "solids that flushes have taken out of it by then")]
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitReached:
    """A limit that held when the filters were as they are, and after how much water it no longer does.

    ``limit`` is "rule at place", or "wanted flow". None where it outlasts the first filter.
    """

    limit: str
    least: Annotated[float | None, Spec(_VOLUME, "delivered at the earliest")]
    likely_early: Annotated[float | None, Spec(_VOLUME, "delivered, likely solids, drops that rise early")]
    likely_late: Annotated[float | None, Spec(_VOLUME, "delivered, likely solids, drops that rise late")]
    most: Annotated[float | None, Spec(_VOLUME, "delivered at the latest")]


@dataclass(frozen=True, slots=True, kw_only=True)
class PrefilterGain:
    """What a filter in front of the others brings; volumes are delivered until the first filter is used up."""

    name: str
    places: tuple[str, ...]
    flow_before: Annotated[float, Spec(Dimension.FLOW, "delivered as it stands")]
    flow_after: Annotated[float, Spec(Dimension.FLOW, "delivered with a new prefilter")]
    first_before: str
    first_after: str
    least_before: Annotated[float | None, Spec(_VOLUME, "as it stands, with the most solids")]
    likely_before: Annotated[float | None, Spec(_VOLUME, "as it stands")]
    least_after: Annotated[float | None, Spec(_VOLUME, "with the prefilter, with the most solids")]
    likely_after: Annotated[float | None, Spec(_VOLUME, "with the prefilter")]
    others_least_after: Annotated[
        float | None,
        Spec(_VOLUME, "until the first of the others, the prefilter renewed in time, with the most solids"),
    ]
    others_likely_after: Annotated[
        float | None, Spec(_VOLUME, "until the first of the others, the prefilter renewed in time")
    ]


@dataclass(frozen=True, kw_only=True, repr=False)
class Wear(Answer):
    """How a rig does from now until its first filter is used up.

    The findings are those of the rig as it stands.

    Parameters
    ----------
    turbidity : float or None
        Of the raw water. [NTU]
    solids_least, solids_likely, solids_most : float or None
        Suspended in it; one figure where the site states the ratio without a tolerance. [kg/m^3]
    fill_volume : float or None
        Of all tanks that the mode fills. [m^3]
    daily_use : float or None
        As the site states it. [m^3]
    flush_every : float or None
        Delivered between two flushes. [m^3]
    points : tuple of WearPoint
        Both curves with the likely solids, from now until the first filter is used up.
    filters : tuple of FilterWear
        In the order of the water; ``goes_first`` is the place of the one that is used up first, ``goes_first_worst`` that
        with the most solids; empty where nothing tells.
    limits : tuple of LimitReached
        What gives way before the first filter is used up, the earliest first.
    gain : PrefilterGain or None
        None where no prefilter was asked for.
    imbalance : float
        Solids that came less those caught, flushed out and passed on, over those that came; worst of all cases.
    """

    question: ClassVar[str] = "wear"
    table: ClassVar[str] = "points"

    turbidity: Annotated[float | None, Spec(Dimension.TURBIDITY, "of the raw water")]
    solids_least: Annotated[float | None, Spec(Dimension.CONCENTRATION, "suspended in it at least")]
    solids_likely: Annotated[float | None, Spec(Dimension.CONCENTRATION, "suspended in it")]
    solids_most: Annotated[float | None, Spec(Dimension.CONCENTRATION, "suspended in it at most")]
    fill_volume: Annotated[float | None, Spec(_VOLUME, "of all tanks that are filled")]
    daily_use: Annotated[float | None, Spec(_VOLUME, "used in a day")]
    flush_every: Annotated[float | None, Spec(_VOLUME, "delivered between two flushes")]
    goes_first: str
    goes_first_worst: str
    points: tuple[WearPoint, ...]
    filters: tuple[FilterWear, ...]
    limits: tuple[LimitReached, ...]
    gain: PrefilterGain | None
    imbalance: Annotated[float, Spec(Dimension.NUMBER, "of solids, over those that came")]
    surroundings: Surroundings
    kinds: tuple[str, ...]


def _energy(state: State) -> Array:
    """Return the energy that all running pumps take for each cubic metre delivered, J/m³, (n,); NaN where not known."""
    real = usable(state)
    if state.plan.pumps is None:
        return np.zeros(state.variants)
    running = [state.on[index] for index in state.running]
    power = real.taken.power[:, running].sum(axis=1) if running else np.zeros(state.variants)
    steady = real is state  # a pump held back by its switch runs for a share of the time only
    moving = (real.delivered > 0.0) & (steady | np.isclose(real.delivered, state.delivered, rtol=1e-9))
    each = np.divide(power, real.delivered, out=np.full(state.variants, np.nan), where=moving)
    return np.asarray(each, np.float64)


def _rows(course: Course) -> list[int]:
    """Return the rows of a course that are told: evenly spread over its litres, both sides of the flushes left out."""
    wanted = np.linspace(0.0, course.litres[-1], _SHOWN)
    return sorted({int(np.abs(course.litres - each).argmin()) for each in wanted})


def _points(followed: WearCases, unknown: dict[str, None]) -> tuple[WearPoint, ...]:
    loading = followed.loading
    told = [(course, _rows(course)) for course in followed.likely]
    variation = joined(
        [loading.variation(course.case, course.caught[rows], course.through[rows]) for course, rows in told]
    )
    state = loading.solved(variation)
    real = usable(state)
    times = np.full(state.variants, np.nan)
    if fill_volume(state) is not None:
        times = fill_times_if_known(state, real, {**loading.held, **variation}, unknown)
    energy = _energy(state)
    before = [state.inlet(index) for index in loading.filters]
    found, row = [], 0
    for course, rows in told:
        for at in rows:
            found.append(
                WearPoint(
                    curve="late" if course.case.late else "early",
                    litres=float(course.litres[at]),
                    flow=float(real.delivered[row]),
                    fill_time=finite_or_none(times[row]),
                    energy_per_volume=finite_or_none(energy[row]),
                    loadings=tuple(
                        None if part.end_drop is None else float(variation[f"{place}.loading"][row])
                        for place, part in zip(loading.places, loading.parts, strict=True)
                    ),
                    pressures_before=tuple(
                        finite_or_none(state.walk.gauge_pressure[row, station]) for station in before
                    ),
                )
            )
            row += 1
    return tuple(found)


def _filters(followed: WearCases, fill: float | None, daily: float | None) -> tuple[FilterWear, ...]:
    loading = followed.loading
    least, likely = followed.ends(followed.worst), followed.ends(followed.likely)
    most = followed.ends(followed.best, latest=True)
    course, found = followed.earliest(followed.likely), []
    for at, (place, part) in enumerate(zip(loading.places, loading.parts, strict=True)):
        solids, life = course.lasts[at]
        end = finite_or_none(likely[at])
        followed_solids = bool(loading.by_solids[at])
        by = "" if end is None else "solids" if not np.isnan(solids) and not solids > life else "life"
        found.append(
            FilterWear(
                place=place,
                element=part.element,
                by=by,
                least=finite_or_none(least[at]),
                likely=end,
                most=finite_or_none(most[at]),
                fills=None if end is None or fill is None else end / fill,
                days=None if end is None or daily is None else end / daily * 86_400.0,
                caught=float(course.caught[-1, at]) if followed_solids else None,
                flushed=float(course.flushed[-1, at]) if followed_solids else None,
                missing=lacking(loading.clean, part),
            )
        )
    return tuple(found)


def _unfollowed(state: State) -> tuple[FilterWear, ...]:
    """Return the filters in use where nothing tells how long any of them lasts."""
    nothing: dict[str, Any] = dict.fromkeys(("least", "likely", "most", "fills", "days", "caught", "flushed"))
    return tuple(
        FilterWear(
            place=element.address,
            element=getattr(element.part, "element", ""),
            by="",
            missing=lacking(state, element.part),
            **nothing,
        )
        for _, element in state.elements(Filter)
        if isinstance(element.part, Filter)
    )


def _limits(followed: WearCases, until_flow: float | None) -> tuple[LimitReached, ...]:
    lost = losses(followed.loading, followed.courses, followed.state, until_flow)
    by_course = {id(course): each for course, each in zip(followed.courses, lost, strict=True)}

    def litres(courses: Sequence[Course], name: str, *, latest: bool) -> float | None:
        found = [by_course[id(course)].get(name) for course in courses]
        known = [each for each in found if each is not None]
        if latest:
            return max(known) if len(known) == len(found) else None
        return min(known) if known else None

    names = dict.fromkeys(name for each in lost for name in each)
    early, late = followed.likely[:1], followed.likely[-1:]
    found = [
        LimitReached(
            limit=name,
            least=litres(followed.courses, name, latest=False),
            likely_early=litres(early, name, latest=False),
            likely_late=litres(late, name, latest=False),
            most=litres(followed.courses, name, latest=True),
        )
        for name in names
    ]
    return tuple(sorted(found, key=lambda each: (each.least is None, each.least or 0.0, each.limit)))


def _gain(followed: WearCases, named: tuple[str, Filter], flush: float | None) -> PrefilterGain:
    name, added = named
    before = followed.loading
    places = first_met(before.clean)
    rig, new = in_front(before.clean, places, added)
    after = cases_of(rig, before.mode, before.held, flush)
    assert after is not None  # what told how long a filter lasts without it still does
    others = [at for at, place in enumerate(after.loading.places) if place not in new]

    def earliest(each: WearCases, courses: Sequence[Course], of: list[int] | None = None) -> float | None:
        ends = each.ends(courses)[slice(None) if of is None else of]
        return finite_or_none(np.fmin.reduce(ends)) if ends.size else None

    return PrefilterGain(
        name=name,
        places=new,
        flow_before=float(usable(before.clean).delivered[0]),
        flow_after=float(usable(after.loading.clean).delivered[0]),
        first_before=followed.first(followed.likely),
        first_after=after.first(after.likely),
        least_before=earliest(followed, followed.worst),
        likely_before=earliest(followed, followed.likely),
        least_after=earliest(after, after.worst),
        likely_after=earliest(after, after.likely),
        others_least_after=earliest(after, after.worst, others),
        others_likely_after=earliest(after, after.likely, others),
    )


def _checked(until_flow: float | None, flush: float | None) -> None:
    if until_flow is not None:
        require("until_flow", until_flow, 1e-9, 1e3, "m^3/s")
    if flush is not None:
        require("flush", flush, 1e-6, 1e9, "m^3")


def _check_flushed(state: State, added: Filter | None) -> None:
    """Refuse to flush where nothing in use, and no prefilter, is helped by it."""
    parts: list[Any] = [element.part for _, element in state.elements(Filter)]
    if not any(part.flush_restores for part in (*parts, *([] if added is None else [added]))):
        mistakes = Mistakes()
        mistakes.add("flush", "no filter in use that states flush_restores", "one that does", 'flush_restores = "70 %"')
        mistakes.settle()


@as_annotated
def wear(
    rig: Rig,
    mode: str | None = None,
    *,
    until_flow: float | None = None,
    prefilter: str | Filter | None = None,
    flush: float | None = None,
    changed: Mapping[str, float] | None = None,
    progress: Callable[[float], None] | None = None,
) -> Wear:
    """Return how a rig does as its filters load up, from now until the first of them is used up.

    Parameters
    ----------
    rig : Rig
        Its filters start at their loading; solids are counted by turbidity where their ``dirt_capacity`` and ``retains``
        are stated, else their ``life`` counts.
    mode : str, optional
        Name of a mode; the rig's first where none is named.
    until_flow : float, optional
        Least flow wanted: when does it no longer come? [m^3/s]
    prefilter : str or Filter, optional
        A filter, or the name of one in the catalogue, to try in front of those that raw water meets first.
    flush : float, optional
        Water delivered between two flushes; each takes out of every filter the share that it states as
        ``flush_restores``. [m^3]
    changed : mapping of address to float, optional
        Values that stand in front of the rig's own for this answer, SI.
    progress : callable, optional
        Told the share done, 0 to 1.

    Returns
    -------
    Wear

    Raises
    ------
    InputError
        If a mode, an address or a value is not possible, the prefilter is none, or flushing helps no filter.
    SolverError
        If the network does not settle.

    Notes
    -----
    Drops rise by the published filtration laws (:func:`hydrokit.laws.media.loading_of_solids`): cake for surface elements,
    intermediate and standard blocking for depth elements, all of them where the kind is not stated. Solids per NTU:
    common practice, no source.

    Examples
    --------
    >>> from hydrokit.files import demonstration
    >>> answer = wear(demonstration())
    >>> answer.goes_first
    'lines.intake.carbon'
    """
    tell = progress or (lambda _share: None)
    held = dict(changed or {})
    _checked(until_flow, flush)
    named = None if prefilter is None else chosen(prefilter)
    if flush is not None:
        _check_flushed(State(solve(rig, mode, held)), named[1] if named else None)
    followed = cases_of(rig, mode, held, flush)
    state = Loading(rig, mode, held).clean if followed is None else followed.loading.clean
    tell(0.3)
    raw, fill = raw_solids(state), fill_volume(state)
    daily = state.plan.values.of("site", rig.site, "daily_use")
    one_fill, unknown = None if fill is None else float(fill[0]), dict[str, None]()
    limits = () if followed is None else _limits(followed, until_flow)
    tell(0.6)
    points = () if followed is None else _points(followed, unknown)
    tell(0.8)
    gain = None if followed is None or named is None else _gain(followed, named, flush)
    findings = judge(state)
    trust = trust_of((state if followed is None else followed.state).solution, findings, assumed(state, followed))
    tell(1.0)
    return Wear(
        title=rig.title,
        mode=state.plan.mode,
        findings=findings,
        trust=replace(trust, unknown=(*trust.unknown, *unknown_of(state, followed), *unknown)),
        turbidity=_stated(state, "turbidity"),
        solids_least=None if raw is None else float(raw[0, 0]),
        solids_likely=None if raw is None else float(raw[1, 0]),
        solids_most=None if raw is None else float(raw[2, 0]),
        fill_volume=one_fill,
        daily_use=_stated(state, "daily_use"),
        flush_every=flush,
        goes_first="" if followed is None else followed.first(followed.likely),
        goes_first_worst="" if followed is None else followed.first(followed.worst),
        points=points,
        filters=_unfollowed(state) if followed is None else _filters(followed, one_fill, daily),
        limits=limits,
        gain=gain,
        imbalance=0.0 if followed is None else solids_imbalance(followed.courses),
        surroundings=surroundings_of(state.solution),
        kinds=kinds_of(state),
    )


def _stated(state: State, name: str) -> float | None:
    value = state.plan.values.of("site", state.rig.site, name)
    return None if value is None else float(np.ravel(value)[0])
