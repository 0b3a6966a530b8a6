"""What every rule that can fail says of many variants at once: margins as arrays, words only for the rows asked for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.rules import RULES, Measure
from hydrokit.rules.suction import NPSH, WHOLE_WATER

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.rules import Rule, State

__all__ = ["Judged", "judged"]


@dataclass(frozen=True, slots=True)
class Judged:
    """What the rules measure; ``margins`` has shape (n, measures), negative where a limit is passed."""

    measures: tuple[tuple[Rule, Measure], ...]
    margins: Array

    def failing(self, row: int) -> tuple[str, ...]:
        """Return what fails in one variant as "rule at place", the worst first."""
        return tuple(self._name(column) for column in self._failing(row))

    def reason(self, row: int) -> Phrase:
        """Return why the worst of them fails; empty where nothing does."""
        columns = self._failing(row)
        return self.measures[columns[0]][1].word(row)[0] if columns else phrase("")

    def reasons(self, row: int) -> tuple[Phrase, ...]:
        """Return why each of them fails, the worst first."""
        return tuple(self.measures[column][1].word(row)[0] for column in self._failing(row))

    def least(self, *rules: str) -> Array:
        """Return the least margin of some rules in every variant, shape (n,); NaN where none of them was judged."""
        columns = [column for column, (rule, _) in enumerate(self.measures) if rule.name in rules]
        if not columns:
            return np.full(len(self.margins), np.nan)
        chosen = np.where(np.isnan(self.margins[:, columns]), np.inf, self.margins[:, columns]).min(axis=1)
        return np.where(np.isinf(chosen), np.nan, chosen)

    def suction(self) -> Array:
        """Return the least margin of NPSH and of pressure above that at which water falls apart, shape (n,)."""
        return self.least(NPSH.name, WHOLE_WATER.name)

    def _failing(self, row: int) -> list[int]:
        margins = self.margins[row]
        columns = np.flatnonzero(margins < 0.0)
        return [int(column) for column in columns[np.argsort(margins[columns], kind="stable")]]

    def _name(self, column: int) -> str:
        rule, measure = self.measures[column]
        return f"{rule.name} at {measure.place}"


def judged(state: State) -> Judged:
    """Return what every rule that can fail measures; rules of comfort are left out."""
    measures = tuple(
        (rule, measure)
        for rule in RULES
        if not rule.advisory
        for measure in rule.measure(state)
        if isinstance(measure, Measure)
    )
    columns = [measure.margin for _, measure in measures]
    margins = np.stack(columns, axis=1) if columns else np.empty((state.variants, 0))
    return Judged(measures, margins)
