"""What limits a lift: each rule of the suction side, and the flow wanted, searched for the depth at which it gives way."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Final

import numpy as np

from hydrokit.bounds import Dimension, Spec
from hydrokit.laws.suction import barometric_limit
from hydrokit.rules import Measure, Missing
from hydrokit.rules.allowed import allows
from hydrokit.rules.priming import PRIMES
from hydrokit.rules.suction import HOSE_VACUUM, NPSH, PUMP_VACUUM, WHOLE_WATER
from hydrokit.studies.variants.searching import Reach, last_held

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy.typing as npt

    from hydrokit.answers import Finding
    from hydrokit.bounds import Array
    from hydrokit.rules import Rule, State
    from hydrokit.studies.suction.drawn import Drawn

__all__ = [
    "DEEPEST",
    "FLOW",
    "LiftLimit",
    "Searched",
    "limits_of",
    "searched",
    "speaks_of",
    "what_is_left",
]

FLOW: Final = "enough flow"
_REACHES: Final = "hose reaches the water"
_NOT_KNOWN: Final = "not known"
_SUCTION_RULES: Final = (PRIMES, NPSH, WHOLE_WATER, PUMP_VACUUM, HOSE_VACUUM)
"""The rules that judge the suction side."""

_MOST_FLOODED: Final = -5.0
"""m; lift at which the search begins."""
_GRID: Final = 0.5
"""m between the lifts first looked at."""
_HIGH: Final = 20.0
"""m; air pushes water no higher, and what is lighter so much farther that the lifts looked at stand as far apart."""
DEEPEST: Final = 9900.0
"""m below the pump at which water is looked at; a file may hold heights down to -10 km."""

_ORDER: Final = (*(rule.name for rule in _SUCTION_RULES), FLOW)


@dataclass(frozen=True, slots=True, kw_only=True)
class LiftLimit:
    """One limit of the lift; ``lift`` is None where the search found none, and ``reach`` says why.

    ``reach`` is ``found``, ``beyond`` (holds as high as air can push water), ``never`` (not even flooded by 5 m) or
    ``not known`` (what it takes is not stated). A limit that does not bind is told but governs nothing.
    """

    limit: str
    place: str
    lift: Annotated[float | None, Spec(Dimension.LENGTH, "greatest height of the pump above the water")]
    surface: Annotated[float | None, Spec(Dimension.LENGTH, "deepest height of the water")]
    reach: str
    binds: bool
    source: str


def _suction_places(drawn: Drawn) -> dict[str, set[str]]:
    """Return the places on the suction side that each rule may speak of."""
    own = drawn.address
    lines = {f"lines.{drawn.state.line_of(index)}" for index in (*drawn.upstream, drawn.pump)}
    hoses = {*drawn.hoses()}
    places = {rule.name: {own} for rule in _SUCTION_RULES}
    return places | {WHOLE_WATER.name: lines, HOSE_VACUUM.name: hoses}


def speaks_of(drawn: Drawn, finding: Finding) -> bool:
    """Return whether a finding is one of a rule of the suction side, at a place on the way to this pump."""
    places = _suction_places(drawn).get(finding.rule, set())
    return bool(places & set(finding.place.split(", ")))


def _measures(rule: Rule, state: State, places: set[str]) -> list[Measure]:
    """Return what a rule measures; of priming nothing where a dry lift that some variants ask for is not stated."""
    items = [item for item in rule.measure(state) if item.place in places]
    lacking = {
        item.place for item in items if isinstance(item, Missing) and (item.applies is None or item.applies.any())
    }
    judged = [item for item in items if isinstance(item, Measure)]
    return [item for item in judged if rule is not PRIMES or item.place not in lacking]


def _left(rule: Rule, measure: Measure) -> Array:
    """Return what is left of one limit, below 0 where it is passed; where nothing flows there is nothing to pass."""
    if rule is PRIMES:  # asked of the empty hose, whether or not a valve below keeps it full
        left = measure.limit - measure.value
    elif rule is NPSH:  # with what is wanted for safety; where the data sheet ends, it is not shown to be kept
        hand = 0.0 if measure.hand is None else measure.hand
        left = measure.margin - hand
        return np.where(np.isnan(left), -np.inf, left)
    else:
        left = measure.margin
    return np.where(np.isnan(left), np.inf, left)


def what_is_left(drawn: Drawn, state: State, wanted_flow: float | None) -> dict[str, Array]:
    """Return, for each limit by name, what is left of it in each variant; limits that were not judged are left out.

    Parameters
    ----------
    drawn : Drawn
    state : State
        Of the same rig, varied.
    wanted_flow : float or None
        Through the pump, m³/s; None asks for any flow.

    Returns
    -------
    dict of str to array, shape (n,)
        Below 0 where a limit is passed; the measure differs from limit to limit.
    """
    pump, places, found = drawn.pump_in(state), _suction_places(drawn), {}
    for rule in _SUCTION_RULES:
        left = [_left(rule, measure) for measure in _measures(rule, state, places[rule.name])]
        if left:
            found[rule.name] = np.minimum.reduce(left)
    wanted = np.full(state.variants, wanted_flow or 0.0)
    flow = state.flow_at(pump)
    enough = flow - wanted if wanted_flow is not None else np.where(state.stands_still(flow), -1.0, flow)
    found[FLOW] = np.where(allows(state, pump, wanted), enough, -np.inf)
    return found


def _table(drawn: Drawn, state: State, wanted_flow: float | None) -> Array:
    found = what_is_left(drawn, state, wanted_flow)
    return np.stack([found.get(name, np.full(state.variants, np.inf)) for name in _ORDER], axis=1)


@dataclass(frozen=True, slots=True)
class Searched:
    """The edge of every limit in every case; ``lift`` has NaN where none was found, ``reach`` says why."""

    lift: Mapping[str, Array]
    reach: Mapping[str, npt.NDArray[np.object_]]
    binds: Mapping[str, bool]

    def governing(self, case: int) -> tuple[str, float | None]:
        """Return the limit that gives way first, and the greatest lift; empty where nothing limits it."""
        never = [name for name, reach in self.reach.items() if reach[case] == Reach.NEVER and self.binds[name]]
        if never:
            return never[0], None
        found = {
            name: float(lift[case])
            for name, lift in self.lift.items()
            if self.binds[name] and self.reach[name][case] == Reach.FOUND
        }
        if not found:
            return "", None
        governs = min(found, key=lambda name: found[name])
        return governs, found[governs]


def searched(drawn: Drawn, cases: Mapping[str, Array], heights: Array, wanted_flow: float | None) -> Searched:
    """Return the edge of every limit in every case.

    Parameters
    ----------
    drawn : Drawn
    cases : mapping of address to array, shape (cases,)
        What differs from case to case.
    heights : array, shape (cases,)
        Height of the pump's inlet in each case, m.
    wanted_flow : float or None
        Through the pump, m³/s.
    """

    def slack(rows: npt.NDArray[np.intp], lifts: Array) -> Array:
        state = drawn.solved(cases, rows, heights[rows] - lifts)
        return _table(drawn, state, wanted_flow)

    air = drawn.state.conditions
    top = float(np.max(barometric_limit(air_pressure=air.air_pressure, density=air.density)))
    apart = _GRID * max(1.0, top / _HIGH)
    grid = np.arange(_MOST_FLOODED, min(top + 2.0 * apart, max(float(heights.min()) + DEEPEST, _HIGH)), apart)
    edges = last_held(slack, cases=len(heights), values=grid)
    whole = drawn.solved({}, np.zeros(len(grid), np.intp), drawn.pump_height - grid)
    unknown = {*_ORDER} - {*what_is_left(drawn, whole, wanted_flow)}
    lift = {name: edges.value[:, column] for column, name in enumerate(_ORDER)}
    reach = {
        name: np.full(len(heights), _NOT_KNOWN, object) if name in unknown else edges.reach[:, column]
        for column, name in enumerate(_ORDER)
    }
    binds = dict.fromkeys(_ORDER, True) | {PRIMES.name: not drawn.held}
    lengths = [
        cases.get(f"{address}.length", np.full(len(heights), drawn.value(f"{address}.length")))
        for address in drawn.hoses()
    ]
    if lengths:
        lift[_REACHES] = np.sum(lengths, axis=0)
        reach[_REACHES] = np.full(len(heights), Reach.FOUND, object)
        binds[_REACHES] = True
    return Searched(lift, reach, binds)


def limits_of(drawn: Drawn, found: Searched, case: int = 0) -> tuple[LiftLimit, ...]:
    """Return the limits of one case, in the order in which a builder meets them."""
    sources = {rule.name: rule.source for rule in _SUCTION_RULES}
    sources |= {FLOW: "conservation of energy, as far as suction allows", _REACHES: "length of the suction hose"}
    places = _suction_places(drawn)
    limits = []
    for name, reach in found.reach.items():
        known = reach[case] == Reach.FOUND
        lift = float(found.lift[name][case]) if known else None
        limits.append(
            LiftLimit(
                limit=name,
                place=", ".join(sorted(places.get(name, {drawn.address}))),
                lift=lift,
                surface=None if lift is None else drawn.pump_height - lift,
                reach=str(reach[case]),
                binds=found.binds[name],
                source=sources[name],
            )
        )
    return tuple(limits)
