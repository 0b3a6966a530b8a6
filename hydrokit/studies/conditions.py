"""Whether a rig holds in every condition that it meets: filters, water, level, altitude and battery, all corners in one batch."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Final

import numpy as np

from hydrokit.answers import Answer, Phrase, Verdict
from hydrokit.arguments import as_annotated
from hydrokit.bounds import Dimension, Mistakes, Spec
from hydrokit.network import solve
from hydrokit.rules import State, judge
from hydrokit.studies.course.times_to_fill import fill_times_if_known
from hydrokit.studies.facts.surroundings import Surroundings, kinds_of, surroundings_of
from hydrokit.studies.facts.trust import trust_of
from hydrokit.studies.facts.usable import stays_whole, usable, usable_flow
from hydrokit.studies.variants.corners import Corners, Ranges, conditions_met, corners_of
from hydrokit.studies.variants.judging import judged
from hydrokit.studies.variants.searching import Reach, last_held

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy.typing as npt

    from hydrokit.bounds import Array
    from hydrokit.rig import Rig
    from hydrokit.studies.variants.corners import Condition
    from hydrokit.studies.variants.judging import Judged

__all__ = ["Corner", "Envelope", "GivesWay", "envelope"]

_ON_THE_WAY: Final = 17


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """One combination of conditions, and how the rig does in it.

    ``settings`` has a word for each condition that is varied, in their order. ``limit`` is the worst finding as "rule at
    place", ``margin`` what is left of it; ``failing`` counts the limits that are passed. Where the water does not stay
    whole on its way, ``flow`` is what would be delivered if it did.
    """

    settings: tuple[str, ...]
    loading: Annotated[float | None, Spec(Dimension.FRACTION, "of the filters that are varied")]
    water_temperature: Annotated[float, Spec(Dimension.TEMPERATURE, "of the water")]
    level: Annotated[
        float | None, Spec(Dimension.LENGTH, "surface of the open water, or depth in the tank, drawn from")
    ]
    altitude: Annotated[float, Spec(Dimension.LENGTH, "of the site")]
    charge: Annotated[float | None, Spec(Dimension.FRACTION, "in the batteries that are varied")]
    flow: Annotated[float, Spec(Dimension.FLOW, "delivered, as far as suction allows")]
    stays_whole: bool
    fill_time: Annotated[
        float | None, Spec(Dimension.TIME, "until all tanks are full; none where some never is, or flow is held back")
    ]
    verdict: Verdict
    limit: str
    margin: Annotated[float | None, Spec(Dimension.FRACTION, "of the worst limit")]
    failing: int
    reason: Phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class GivesWay:
    """Where on the way from the best corner to the one that fails first the first limit gives way.

    ``share`` of the way, and what the conditions are there; what is not varied is None.
    """

    best: int
    corner: int
    limit: str
    share: Annotated[float, Spec(Dimension.FRACTION, "of the way from the best corner")]
    loading: Annotated[float | None, Spec(Dimension.FRACTION, "of the filters there")]
    water_temperature: Annotated[float, Spec(Dimension.TEMPERATURE, "of the water there")]
    level: Annotated[float | None, Spec(Dimension.LENGTH, "of the water there")]
    altitude: Annotated[float, Spec(Dimension.LENGTH, "of the site there")]
    charge: Annotated[float | None, Spec(Dimension.FRACTION, "in the batteries there")]


@dataclass(frozen=True, kw_only=True, repr=False)
class Envelope(Answer):
    """Whether a rig holds in every condition that it meets.

    The findings are those of the corner that fails first: of all that fail, the one fewest steps of settings away from
    the best corner, the worst margin deciding between equals. Where none fails, they are those of the corner with least
    in hand. The best corner is one in which every limit holds with enough in hand, if there is any; of those the one whose
    worst margin is best, the flow deciding between equals.

    Parameters
    ----------
    varied : tuple of str
        The conditions, in the order of each corner's settings.
    not_varied : tuple of str
        What stays as it is, and why.
    corners : tuple of Corner
        Every combination.
    best, tightest : int
        Places of the best corner, and of the one that fails first or has least in hand.
    gives_way : GivesWay or None
        None where no corner fails, or all do.
    """

    question: ClassVar[str] = "envelope"
    table: ClassVar[str] = "corners"

    varied: tuple[str, ...]
    not_varied: tuple[str, ...]
    corners: tuple[Corner, ...]
    best: int
    tightest: int
    gives_way: GivesWay | None
    least_flow: Annotated[float, Spec(Dimension.FLOW, "delivered in any corner")]
    most_flow: Annotated[float, Spec(Dimension.FLOW, "delivered in any corner")]
    surroundings: Surroundings
    kinds: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Looked:
    """A state and what the rules say of every variant of it; ``worst`` is the column of the gravest, ``left`` its margin."""

    state: State
    judged: Judged
    hands: Array
    worst: npt.NDArray[np.intp]
    left: Array

    def verdict(self, row: int) -> Verdict:
        if np.isinf(self.left[row]):
            return Verdict.UNKNOWN
        if self.left[row] < 0.0:
            return Verdict.FAILS
        short = self.judged.margins[row] < self.hands[row]
        return Verdict.CLOSE if short.any() else Verdict.HOLDS

    def name(self, row: int) -> str:
        if np.isinf(self.left[row]):
            return ""
        rule, measure = self.judged.measures[int(self.worst[row])]
        return f"{rule.name} at {measure.place}"

    def reason(self, row: int) -> Phrase:
        if np.isinf(self.left[row]):
            return Phrase("")
        return self.judged.measures[int(self.worst[row])][1].word(row)[0]


def _looked(state: State) -> _Looked:
    found = judged(state)
    hands = np.stack(
        [
            np.full(state.variants, rule.close) if measure.hand is None else measure.hand
            for rule, measure in found.measures
        ],
        axis=1,
    )
    known = np.where(np.isnan(found.margins), np.inf, found.margins)
    # what fails is graver than what is merely close, and that than what has most in hand
    gravity = np.where(known < 0.0, known - 1e6, np.where(known < hands, known - hands - 1e3, known))
    worst = gravity.argmin(axis=1)
    return _Looked(state, found, hands, worst, known[np.arange(len(known)), worst])


def _check(ranges: Ranges) -> None:
    mistakes = Mistakes()
    if not ranges.loadings or any(not 0.0 <= each <= 2.0 for each in ranges.loadings):
        mistakes.add("loadings", repr(ranges.loadings), "shares of a filter's life from 0 to 2", "(0.0, 0.5, 1.0)")
    limits = {
        "temperatures": (273.15, 372.0),
        "levels": (-1e3, 1e3),
        "altitudes": (-500.0, 9000.0),
        "charges": (0.0, 1.0),
    }
    for name, (low, high) in limits.items():
        pair = getattr(ranges, name)
        if pair is not None and not (len(pair) == 2 and low <= pair[0] <= pair[1] <= high):
            mistakes.add(name, repr(pair), f"the lower and the upper one, from {low:g} to {high:g} SI")
    mistakes.settle()


@dataclass(frozen=True, slots=True)
class _Told:
    """Where to read the conditions of a variant."""

    loading: str | None
    level: str | None
    charge: str | None

    def values(self, state: State, varied: Mapping[str, Array], row: int) -> dict[str, Any]:
        around = surroundings_of(state.solution, row)
        return {
            "loading": None if self.loading is None else float(varied[self.loading][row]),
            "water_temperature": around.water_temperature,
            "level": None if self.level is None else float(varied[self.level][row]),
            "altitude": around.altitude,
            "charge": None if self.charge is None else float(varied[self.charge][row]),
        }


def _first_address(conditions: tuple[Condition, ...], name: str) -> str | None:
    """Return the first value that a condition varies, all being alike; None where it is not varied."""
    return next((next(iter(each.settings[0])) for each in conditions if each.name == name), None)


def _level_address(conditions: tuple[Condition, ...]) -> str | None:
    """Return the one level that is varied; None where there are several, as one figure cannot tell them."""
    for condition in conditions:
        if condition.name == "level" and len(condition.settings[0]) == 1:
            return next(iter(condition.settings[0]))
    return None


def _corners(
    looked: _Looked, corners: Corners, conditions: tuple[Condition, ...], told: _Told, real: State, times: Array
) -> tuple[Corner, ...]:
    whole = stays_whole(real)
    return tuple(
        Corner(
            settings=tuple(
                condition.words[place] for condition, place in zip(conditions, corners.places[row], strict=True)
            ),
            flow=float(real.delivered[row]),
            stays_whole=bool(whole[row]),
            fill_time=float(times[row]) if np.isfinite(times[row]) else None,
            verdict=looked.verdict(row),
            limit=looked.name(row),
            margin=float(looked.left[row]) if np.isfinite(looked.left[row]) else None,
            failing=len(looked.judged.failing(row)),
            reason=looked.reason(row),
            **told.values(looked.state, corners.values, row),
        )
        for row in range(len(corners.places))
    )


def _best_and_tightest(looked: _Looked, corners: Corners) -> tuple[int, int]:
    flow = usable_flow(looked.state)
    close = looked.judged.margins < looked.hands
    best = int(np.lexsort((-flow, -looked.left, close.any(axis=1)))[0])
    failing = looked.left < 0.0
    if not failing.any():
        closest = np.where(close, looked.judged.margins - looked.hands, np.inf).min(axis=1)
        return best, int(np.lexsort((flow, looked.left, closest))[0])
    order = np.lexsort((looked.left, corners.steps(best), ~failing))
    return best, int(order[0])


def _gives_way(
    rig: Rig, mode: str, held: Mapping[str, float], corners: Corners, ends: tuple[int, int], told: _Told
) -> GivesWay:
    """Return where on the straight way between two corners the first limit gives way."""
    best, corner = ends

    def at(shares: Array) -> State:
        return State(solve(rig, mode, {**held, **corners.between(best, corner, shares)}))

    def slack(_: npt.NDArray[np.intp], shares: Array) -> Array:
        return _looked(at(shares)).left[:, None]

    edges = last_held(slack, cases=1, values=np.linspace(0.0, 1.0, _ON_THE_WAY), tolerance=1e-9)
    share = float(edges.value[0, 0]) if edges.reach[0, 0] == Reach.FOUND else 1.0
    just_past = np.array([min(share + 1e-6, 1.0)])
    there = at(just_past)
    return GivesWay(
        best=best,
        corner=corner,
        limit=_looked(there).name(0),
        share=share,
        **told.values(there, corners.between(best, corner, just_past), 0),
    )


@as_annotated
def envelope(
    rig: Rig,
    mode: str | None = None,
    *,
    loadings: tuple[float, ...] = (0.0, 0.5, 1.0),
    temperatures: tuple[float, float] | None = None,
    levels: tuple[float, float] | None = None,
    altitudes: tuple[float, float] | None = None,
    charges: tuple[float, float] | None = None,
    changed: Mapping[str, float] | None = None,
) -> Envelope:
    """Return how a rig does in every corner of the conditions that it meets, and which fails first.

    Parameters
    ----------
    rig : Rig
    mode : str, optional
        Name of a mode; the rig's first where none is named.
    loadings : tuple of float
        How far filters with an end drop are loaded: 0 new, 1 to be changed.
    temperatures : pair of float, optional
        Coldest and warmest water, K; else the tolerance of the rig's, else 5 K either way.
    levels : pair of float, optional
        Lowest and highest level of what is drawn from, metres from the level as stated; else its tolerance, else half a
        metre either way for open water, full and a tenth full for a tank.
    altitudes : pair of float, optional
        Lowest and highest site, m; else the tolerance of the rig's, else the altitude is not varied.
    charges : pair of float, optional
        Least and most that is in the batteries, as shares of their charge; else from a tenth of the usable share to full.
    changed : mapping of address to float, optional
        Values that stand in front of the rig's own for this answer, SI.

    Returns
    -------
    Envelope

    Raises
    ------
    InputError
        If a mode, an address or a range is not possible.
    SolverError
        If the network does not settle.

    Examples
    --------
    >>> from hydrokit.files import demonstration
    >>> answer = envelope(demonstration(), altitudes=(0.0, 2000.0))
    >>> len(answer.corners), answer.varied
    (48, ('filters', 'water temperature', 'level', 'altitude', 'battery'))
    """
    ranges = Ranges(loadings=loadings, temperatures=temperatures, levels=levels, altitudes=altitudes, charges=charges)
    _check(ranges)
    held = dict(changed or {})
    base = State(solve(rig, mode, held))
    met = conditions_met(base, ranges)
    corners = corners_of(met.conditions)
    state = State(solve(rig, mode, {**held, **corners.values}))
    looked = _looked(state)
    told = _Told(
        _first_address(met.conditions, "filters"),
        _level_address(met.conditions),
        _first_address(met.conditions, "battery"),
    )
    best, tightest = _best_and_tightest(looked, corners)
    crossing = bool(looked.left[tightest] < 0.0 <= looked.left[best])
    findings, unknown = judge(state, tightest), dict[str, None]()
    real = usable(state)
    times = fill_times_if_known(state, real, {**held, **corners.values}, unknown)
    rows = _corners(looked, corners, met.conditions, told, real, times)
    trust = trust_of(state.solution, findings, met.assumed)
    return Envelope(
        title=rig.title,
        mode=state.plan.mode,
        findings=findings,
        trust=replace(trust, unknown=(*trust.unknown, *unknown)),
        varied=tuple(condition.name for condition in met.conditions),
        not_varied=met.not_varied,
        corners=rows,
        best=best,
        tightest=tightest,
        gives_way=_gives_way(rig, state.plan.mode, held, corners, (best, tightest), told) if crossing else None,
        least_flow=min(row.flow for row in rows),
        most_flow=max(row.flow for row in rows),
        surroundings=surroundings_of(base.solution),
        kinds=kinds_of(base),
    )
