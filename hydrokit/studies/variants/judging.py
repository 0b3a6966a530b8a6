"""What every rule that can fail says of many variants at once: margins as arrays, words only for the rows asked for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from hydrokit.rules import RULES, Measure
from hydrokit.rules.suction import NPSH, WHOLE_WATER

if TYPE_CHECKING:
    from hydrokit.answers import Phrase
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
        names = self.names()
        return tuple(names[column] for column in self._failing(row))

    def reasons(self, row: int) -> tuple[Phrase, ...]:
        """Return why each of them fails, the worst first."""
        return tuple(self.reason(row, column) for column in self._failing(row))

    def names(self) -> tuple[str, ...]:
        """Return every measure as "rule at place"."""
        return tuple(f"{rule.name} at {measure.place}" for rule, measure in self.measures)

    def reason(self, row: int, column: int) -> Phrase:
        """Return what one measure says of one variant."""
        return self.measures[column][1].word(row)[0]

    def ranked(self) -> list[list[int]]:
        """Return the columns of the measures that are passed, for every variant, the worst first."""
        passed = self.margins < 0.0
        order = np.argsort(np.where(passed, self.margins, np.inf), axis=1, kind="stable")
        pairs = zip(order.tolist(), np.count_nonzero(passed, axis=1).tolist(), strict=True)
        return [columns[:count] for columns, count in pairs]

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
        return Judged(self.measures, self.margins[row : row + 1]).ranked()[0]


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
