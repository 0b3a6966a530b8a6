"""What gives way first while filters load up: the first litre at which each limit that held is lost."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.rules import margins
from hydrokit.studies.facts.usable import usable_flow
from hydrokit.studies.filters.loading import joined

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.bounds import Array
    from hydrokit.rules import State
    from hydrokit.studies.filters.loading import Course, Loading

__all__ = ["WANTED", "losses"]

WANTED: Final = "wanted flow"
"""Name of the limit that is a flow asked for, among those that are "rule at place"."""

_INSIDE: Final = 8
"""States looked at within a stretch at a time."""
_ROUNDS: Final = 5


@dataclass(slots=True)
class _Stretch:
    """A limit of one course: it holds at the litres ``low`` and no longer at ``high``."""

    course: int
    name: str
    low: float
    high: float

    def inside(self) -> Array:
        return np.linspace(self.low, self.high, _INSIDE + 2)[1:-1]


def _slacks(state: State, until_flow: float | None) -> dict[str, Array]:
    """Return what is left of every limit, by its name, (n,); infinite where a rule has nothing to say."""
    found = {
        f"{rule} at {place}": np.where(np.isnan(margin), np.inf, margin)
        for (rule, place), margin in margins(state).items()
    }
    if until_flow is not None:
        found[WANTED] = usable_flow(state) - until_flow
    return found


def _first(slack: Array) -> int | None:
    """Return the first row in which a limit is passed that holds in the first; 0 where it never held."""
    lost = np.flatnonzero(slack < 0.0)
    return int(lost[0]) if lost.size else None


def _at(course: Course, litres: Array) -> tuple[Array, Array]:
    """Return what every filter has caught and passed at some litres within a stretch, each (k, F)."""
    caught, through = (
        np.stack([np.interp(litres, course.litres, column) for column in each.T], axis=1)
        for each in (course.caught, course.through)
    )
    return caught, through


def _closed_in(
    loading: Loading, courses: Sequence[Course], stretches: list[_Stretch], until_flow: float | None
) -> None:
    for _ in range(_ROUNDS):
        litres = [each.inside() for each in stretches]
        variations = [
            loading.variation(courses[each.course].case, *_at(courses[each.course], at))
            for each, at in zip(stretches, litres, strict=True)
        ]
        found = _slacks(loading.solved(joined(variations)), until_flow)
        for place, (each, at) in enumerate(zip(stretches, litres, strict=True)):
            own = found.get(each.name)
            slack = np.full(_INSIDE, np.inf) if own is None else own[place * _INSIDE : (place + 1) * _INSIDE]
            row = _first(slack)
            each.low, each.high = (
                (float(at[-1]), each.high) if row is None else (float(at[row - 1]) if row else each.low, float(at[row]))
            )


def losses(
    loading: Loading, courses: Sequence[Course], state: State, until_flow: float | None
) -> tuple[dict[str, float], ...]:
    """Return for every course the limits that are lost on its way, by name, and after how many m³ delivered each is.

    A rule that fails from the start is left out; a wanted flow that is not reached at the start is lost at 0.

    Parameters
    ----------
    loading : Loading
    courses : sequence of Course
    state : State
        Solved at all their rows, one course after the other.
    until_flow : float or None
        Least flow wanted. [m^3/s]
    """
    slacks = _slacks(state, until_flow)
    found: list[dict[str, float]] = [{} for _ in courses]
    stretches: list[_Stretch] = []
    begin = 0
    for number, course in enumerate(courses):
        end = begin + len(course.litres)
        for name, slack in slacks.items():
            row = _first(slack[begin:end])
            if row == 0 and name == WANTED:
                found[number][name] = 0.0
            elif row:
                stretches.append(_Stretch(number, name, float(course.litres[row - 1]), float(course.litres[row])))
        begin = end
    if stretches:
        _closed_in(loading, courses, stretches, until_flow)
    for each in stretches:
        found[each.course][each.name] = 0.5 * (each.low + each.high)
    return tuple(found)
