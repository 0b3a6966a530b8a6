"""Every case in which a rig may wear: solids from least to most, drops that rise early or late."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from hydrokit.rules.lasting import holding_of, lacking
from hydrokit.rules.solids import LAWS, raw_solids
from hydrokit.studies.filters.loading import Case, Loading, loading_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from hydrokit.bounds import Array
    from hydrokit.rig import Rig
    from hydrokit.rules import State
    from hydrokit.studies.filters.loading import Course

__all__ = ["WearCases", "assumed", "cases_of", "solids_imbalance", "unknown_of"]


@dataclass(frozen=True, slots=True)
class WearCases:
    """All cases of one rig, followed: those with the least solids first, of each the one whose drops rise early first."""

    loading: Loading
    courses: tuple[Course, ...]
    state: State
    lates: tuple[int, ...]

    @property
    def likely(self) -> tuple[Course, ...]:
        """The courses with the likely solids, drops that rise early first."""
        return self._with(1)

    @property
    def worst(self) -> tuple[Course, ...]:
        """The courses with the most solids."""
        return self._with(2)

    @property
    def best(self) -> tuple[Course, ...]:
        """The courses with the least solids."""
        return self._with(0)

    def _with(self, place: int) -> tuple[Course, ...]:
        count = len(self.lates)
        level = min(place, len(self.courses) // count - 1)
        return self.courses[level * count : (level + 1) * count]

    def ends(self, courses: Sequence[Course], *, latest: bool = False) -> Array:
        """Return the litres until each filter is used up in the earliest, or latest, of some courses, (F,); NaN where nothing tells."""
        both = np.stack([course.lasts for course in courses])
        known = ~np.isnan(both).all(axis=(0, 2))
        each = np.where(np.isnan(both), np.inf, both).min(axis=2, initial=np.inf)
        of = each.max(axis=0) if latest else each.min(axis=0)
        return np.asarray(np.where(known, of, np.nan), np.float64)

    def earliest(self, courses: Sequence[Course]) -> Course:
        """Return that of some courses in which a filter is used up first; the first of them where none ever is."""
        return min(courses, key=lambda course: float(np.nanmin(self.ends([course]), initial=np.inf)))

    def first(self, courses: Sequence[Course]) -> str:
        """Return the place of the filter that is used up first; empty where none is."""
        ends = self.ends(courses)
        if not np.isfinite(ends).any():
            return ""
        return self.loading.places[int(np.nanargmin(ends))]


def cases_of(rig: Rig, mode: str | None, held: Mapping[str, float], flush: float | None) -> WearCases | None:
    """Return every case followed; None where nothing tells how long any filter lasts."""
    loading = Loading(rig, mode, held, flush)
    if not loading.known():
        return None
    raw = raw_solids(loading.clean)
    levels = [0.0] if raw is None else [float(each) for each in np.unique(raw)]
    apart = any(
        len(set(LAWS[part.element])) > 1 and part.end_drop is not None and (solids or part.life is not None)
        for part, solids in zip(loading.parts, loading.by_solids, strict=True)
    )
    lates = (0, 1) if apart else (0,)
    courses, state = loading_of(loading, [Case(solids, late) for solids in levels for late in lates])
    return WearCases(loading, courses, state, lates)


def solids_imbalance(courses: Sequence[Course]) -> float:
    """Return solids that came less those caught, flushed out and passed on, over those that came; the worst of courses."""
    worst = 0.0
    for course in courses:
        caught = (course.caught[-1] - course.caught[0] + course.flushed[-1]).sum()
        came = course.brought[-1]
        if came > 0.0:
            worst = max(worst, abs(float(came - caught - course.delivered[-1])) / float(came))
    return worst


def assumed(state: State, followed: WearCases | None) -> tuple[str, ...]:
    """Return what the courses rest on that nobody stated."""
    site, values = state.rig.site, state.plan.values
    told = []
    solids = followed is not None and bool(followed.loading.by_solids.any())
    if solids and values.of("site", site, "solids_per_ntu") is None:
        told.append("the water carries 1.5 mg/L of solids for each NTU, within 0.5 to 3: common practice, no source")
    if solids:
        told.append("nothing settles in tanks, and the water stays as cloudy as it is now")
    if followed is None:
        return tuple(told)
    for place, part, by_solids in zip(
        followed.loading.places, followed.loading.parts, followed.loading.by_solids, strict=True
    ):
        if part.retains is None:
            told.append(f"{place} lets all solids through to what follows")
        if not by_solids and part.life is not None and part.end_drop is not None:
            told.append(f"{place} comes to its end drop with its stated life")
        if part.element == "unknown" and part.end_drop is not None:
            told.append(f"{place} clogs as a cake or pore by pore, which is not stated")
    return tuple(told)


def unknown_of(state: State, followed: WearCases | None) -> tuple[str, ...]:
    """Return what cannot be told of the filters in use."""
    held = holding_of(state)
    told = []
    for index in held.filters:
        element = state.plan.elements[index]
        part: Any = element.part
        if lacking(state, part) and part.life is None:
            told.append(f"how long {element.address} lasts: {', '.join(lacking(state, part))} not stated")
    if followed is not None:
        told += [
            f"how the drop of {place} rises: its end_drop is not stated"
            for place, part in zip(followed.loading.places, followed.loading.parts, strict=True)
            if part.end_drop is None
        ]
    return tuple(told)
