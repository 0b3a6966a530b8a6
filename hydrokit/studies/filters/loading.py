"""How filters load up, litre by litre: one course of the rig for every case of what is not known.

The solids that a filter has caught grow with the litres delivered, and how many reach it depends on the flows, which depend
on how loaded all filters are. So the litres are laid out as a grid, every state along it is solved at once, the solids are
summed up again with the flows so found, and so on until nothing changes; with all filters in one line it is right at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.errors import SolverError
from hydrokit.laws.media import loading_of_solids
from hydrokit.network import solve
from hydrokit.rules import State
from hydrokit.rules.lasting import holding_of, lacking
from hydrokit.rules.solids import LAWS, Arriving, arriving, end_ratio
from hydrokit.studies.facts.usable import usable

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from hydrokit.bounds import Array
    from hydrokit.rig import Rig

__all__ = ["Case", "Course", "Loading", "joined", "loading_of"]

_STEPS: Final = 48
"""Stretches into which the litres until the first filter is used up are laid out."""
_MOST_FLUSHES: Final = 400
_ROUNDS: Final = 60
_SETTLED: Final = 1e-10


@dataclass(frozen=True, slots=True)
class Case:
    """One way in which it may be: solids of the raw water, kg/m³, and whether drops rise late (1) or early (0)."""

    solids: float
    late: int


@dataclass(frozen=True, slots=True)
class Course:
    """One case, followed until the first filter is used up; rows are litres delivered.

    Parameters
    ----------
    case : Case
    litres : array, shape (k,)
        m³ delivered; twice the same where a flush comes between.
    caught, through : array, shape (k, F)
        Solids in each filter, kg, and water that has passed it, m³.
    flushed : array, shape (k, F)
        Solids that flushes have taken out of it, kg.
    brought, delivered : array, shape (k,)
        Solids out of the raw water, and into the tanks and outlets, kg.
    lasts : array, shape (F, 2)
        m³ delivered until each filter is full of solids, and past its stated life; infinite where it never is, NaN where
        that is not known. Beyond the first it is told as if those before it were renewed in time.
    """

    case: Case
    litres: Array
    caught: Array
    through: Array
    flushed: Array
    brought: Array
    delivered: Array
    lasts: Array


class Loading:
    """The filters of a rig in one mode, and how their state becomes values of a variation.

    Parameters
    ----------
    rig : Rig
    mode : str
    held : mapping of address to float
        What stands in front of the rig's own values.
    flush_every : float, optional
        m³ delivered between two flushes of the filters that can be flushed.
    """

    def __init__(self, rig: Rig, mode: str | None, held: Mapping[str, float], flush_every: float | None = None) -> None:
        self.rig, self.mode, self.held, self.flush_every = rig, mode, dict(held), flush_every
        self.clean = State(solve(rig, mode, self.held))
        self.holding = holding_of(self.clean)
        self.filters = self.holding.filters
        self.parts: list[Any] = [self.clean.plan.elements[index].part for index in self.filters]
        self.places = [self.clean.plan.elements[index].address for index in self.filters]
        held_back = [self.clean.of(self.clean.plan.elements[index], "flush_restores") for index in self.filters]
        self.restores = np.array([0.0 if each is None else float(np.ravel(each)[0]) for each in held_back])
        self.by_solids = np.array([not lacking(self.clean, part) for part in self.parts], np.bool_)
        self.ratios = [end_ratio(part) for part in self.parts]

    def known(self) -> bool:
        """Return whether anything tells how long some filter lasts."""
        return bool(self.by_solids.any() or np.isfinite(self.holding.life).any())

    def shares(self, caught: Array, through: Array) -> Array:
        """Return the share of its end that each filter has come to by its solids, else by its life, (k, F)."""
        by_life = (self.holding.passed[0] + through) / self.holding.life[0]
        return np.asarray(np.where(self.by_solids, caught / self.holding.capacity[0], by_life), np.float64)

    def variation(self, case: Case, caught: Array, through: Array) -> dict[str, Array]:
        """Return the loading of every filter, (k,), from what it has caught and passed; as it stands where nothing tells."""
        shares = np.clip(np.nan_to_num(self.shares(caught, through)), 0.0, 1.0)
        found = {}
        for place, part in enumerate(self.parts):
            followed = bool(self.by_solids[place]) or part.life is not None
            if part.end_drop is None or not followed:
                loads = np.full(len(shares), self.holding.loading[0, place])
            else:
                loads = np.asarray(
                    loading_of_solids(
                        solids_share=shares[:, place], end_ratio=self.ratios[place], law=LAWS[part.element][case.late]
                    )
                )
            found[f"{self.places[place]}.loading"] = loads
        return found

    def start(self, case: Case) -> tuple[Array, Array]:
        """Return the solids in each filter, kg, and the water passed for its life, m³, at the start, each (F,)."""
        share = self.holding.started(self.clean, case.late)[0]
        caught = np.where(self.by_solids, share * self.holding.capacity[0], 0.0)
        counted = ~self.by_solids & (
            self.holding.passed[0] == 0.0
        )  # a loading stated of a filter that goes by its life
        through = np.where(counted, np.nan_to_num(share * self.holding.life[0]), 0.0)
        return caught, through

    def solved(self, variation: Mapping[str, Array]) -> State:
        """Return the rig solved with some loadings."""
        return State(solve(self.rig, self.mode, {**self.held, **variation}))


@dataclass(slots=True)
class _Rates:
    """What happens for each cubic metre delivered, at the rows of a grid: water through and solids past each filter."""

    through: Array
    come: Array
    brought: Array
    delivered: Array


def _rates(state: State, filters: list[int]) -> _Rates:
    """Return the rates of a solved state, as far as suction and switches let it deliver."""
    real = usable(state)
    found: Arriving = arriving(real, filters)
    each = real.delivered
    moving = each > 0.0
    whole = np.where(moving, each, 1.0)
    through = np.where(moving[:, None], found.flow / whole[:, None], 0.0)
    return _Rates(
        through=through,
        come=through * found.share,
        brought=np.where(moving, found.brought / whole, 0.0),
        delivered=np.where(moving, found.delivered / whole, 0.0),
    )


def _summed(litres: Array, rate: Array) -> Array:
    """Return the integral of a rate over the litres so far, by trapezium."""
    step = np.diff(litres).reshape(-1, *(1,) * (rate.ndim - 1))
    parts = 0.5 * (rate[1:] + rate[:-1]) * step
    return np.concatenate([np.zeros((1, *rate.shape[1:])), np.cumsum(parts, axis=0)])


def _mean(litres: Array, rate: Array) -> Array:
    return np.asarray(rate[0] if litres[-1] <= 0.0 else _summed(litres, rate)[-1] / litres[-1], np.float64)


def _lasting(loading: Loading, case: Case, rates: _Rates, litres: Array) -> Array:
    """Return the litres until each filter is full, and past its life, (F, 2), at the mean rates of a course."""
    start, used = loading.start(case)
    holding = loading.holding
    caught = case.solids * _mean(litres, rates.come) * np.nan_to_num(holding.keeps[0])
    by_solids = np.array(
        [
            _until_full(float(holding.capacity[0, at]), float(start[at]), float(caught[at]), loading, at)
            if loading.by_solids[at]
            else np.nan
            for at in range(len(loading.filters))
        ]
    )
    left = np.maximum(holding.life[0] - holding.passed[0] - used, 0.0)
    passing = _mean(litres, rates.through)
    by_life = np.divide(left, passing, out=np.full_like(left, np.inf), where=passing > 0.0)
    return np.stack([by_solids, np.where(np.isnan(holding.life[0]), np.nan, by_life)], axis=1)


def _until_full(capacity: float, start: float, rate: float, loading: Loading, at: int) -> float:
    """Return the litres until a filter is full, flushed as it is; infinite where it never is."""
    every, restores = loading.flush_every, float(loading.restores[at])
    if start >= capacity:
        return 0.0
    if rate <= 0.0:
        return np.inf
    if every is None or restores <= 0.0:
        return (capacity - start) / rate
    if max(start, rate * every / restores) <= capacity * (1.0 + 1e-12) and start + rate * every < capacity:
        return np.inf  # each flush takes out what has come since the last, before it is full
    inside, litres = start, 0.0
    while inside + rate * every < capacity:
        inside = (inside + rate * every) * (1.0 - restores)
        litres += every
    return litres + (capacity - inside) / rate


def _grid(loading: Loading, lasts: Array) -> Array:
    """Return the litres of a course: evenly laid out until the first filter is used up, and twice at every flush."""
    known = lasts[np.isfinite(lasts)]
    every = loading.flush_every
    flushed = every is not None and bool(loading.restores.any())
    longest = _MOST_FLUSHES * every if flushed and every is not None else np.inf
    end = float(min(known.min(initial=np.inf), longest))
    if not np.isfinite(end):
        return np.zeros(1)
    grid = np.linspace(0.0, end, _STEPS + 1)
    if not flushed or every is None or end <= every:
        return grid
    flushes = every * np.arange(1, int(np.ceil(end / every - 1e-9)))
    return np.sort(np.concatenate([grid[~np.isin(grid, flushes)], flushes, flushes]))


def _followed(loading: Loading, case: Case, litres: Array, rates: _Rates) -> Course:
    """Return a course along a grid, from the rates at its rows."""
    start, used = loading.start(case)
    keeps = np.nan_to_num(loading.holding.keeps[0])
    gained = np.diff(_summed(litres, case.solids * rates.come * keeps), axis=0)
    caught, flushed = np.empty((len(litres), len(start))), np.zeros((len(litres), len(start)))
    caught[0] = start
    for row in range(1, len(litres)):
        same = litres[row] == litres[row - 1]
        out = loading.restores * caught[row - 1] if same else 0.0
        caught[row] = caught[row - 1] - out + gained[row - 1]
        flushed[row] = flushed[row - 1] + out
    return Course(
        case=case,
        litres=litres,
        caught=caught,
        through=used + _summed(litres, rates.through),
        flushed=flushed,
        brought=_summed(litres, case.solids * rates.brought),
        delivered=_summed(litres, case.solids * rates.delivered),
        lasts=_lasting(loading, case, rates, litres),
    )


def _split(rates: _Rates, ends: list[int]) -> list[_Rates]:
    begins = [0, *ends[:-1]]
    return [
        _Rates(rates.through[a:b], rates.come[a:b], rates.brought[a:b], rates.delivered[a:b])
        for a, b in zip(begins, ends, strict=True)
    ]


def joined(variations: Sequence[Mapping[str, Array]]) -> dict[str, Array]:
    """Return several variations of the same values as one, row after row."""
    return {name: np.concatenate([each[name] for each in variations]) for name in variations[0]}


def _constant(rates: _Rates, rows: int) -> _Rates:
    return _Rates(
        *(np.repeat(each[:1], rows, axis=0) for each in (rates.through, rates.come, rates.brought, rates.delivered))
    )


def _same(one: Course, other: Course) -> bool:
    if one.litres.shape != other.litres.shape:
        return False
    pairs = ((one.litres, other.litres), (one.caught, other.caught), (one.through, other.through))
    return all(
        bool((np.abs(a - b) <= _SETTLED * max(float(np.abs(b).max(initial=0.0)), 1e-30)).all()) for a, b in pairs
    )


def _again(loading: Loading, before: Course, rates: _Rates) -> Course:
    """Return a course anew, from the rates that its own states have."""
    grid = _grid(loading, _lasting(loading, before.case, rates, before.litres))
    if len(grid) != len(before.litres):  # another number of flushes: the rates go along with the share of the way
        ways = (np.linspace(0.0, 1.0, len(before.litres)), np.linspace(0.0, 1.0, len(grid)))
        rates = _stretched(rates, *ways)
    return _followed(loading, before.case, grid, rates)


def loading_of(loading: Loading, cases: Sequence[Case]) -> tuple[tuple[Course, ...], State]:
    """Return the course of every case until its first filter is used up, and the rig solved at all their rows.

    Parameters
    ----------
    loading : Loading
    cases : sequence of Case

    Raises
    ------
    SolverError
        If solids and flows do not agree after many rounds.
    """
    at_start = _rates(loading.clean, loading.filters)
    courses = []
    for case in cases:
        first = _lasting(loading, case, at_start, np.zeros(1))
        grid = _grid(loading, first)
        courses.append(_followed(loading, case, grid, _constant(at_start, len(grid))))
    for _ in range(_ROUNDS):
        state = loading.solved(joined([loading.variation(each.case, each.caught, each.through) for each in courses]))
        ends = np.cumsum([len(each.litres) for each in courses]).tolist()
        split = _split(_rates(state, loading.filters), ends)
        after = [_again(loading, before, rates) for before, rates in zip(courses, split, strict=True)]
        settled = all(_same(a, b) for a, b in zip(courses, after, strict=True))
        if settled:
            return tuple(courses), state
        courses = after
    raise SolverError("the solids in the filters and the flows through them do not settle")


def _stretched(rates: _Rates, way: Array, there: Array) -> _Rates:
    def stretch(each: Array) -> Array:
        if each.ndim == 1:
            return np.interp(there, way, each)
        return np.stack([np.interp(there, way, column) for column in each.T], axis=1)

    return _Rates(*(stretch(each) for each in (rates.through, rates.come, rates.brought, rates.delivered)))
