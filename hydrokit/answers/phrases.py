"""A sentence with quantities in it, that can be said in any system of units."""

from __future__ import annotations

from dataclasses import dataclass
from math import isclose
from typing import Final

from hydrokit.bounds import Dimension
from hydrokit.units import show

__all__ = ["Phrase", "phrase", "told"]


_DIGITS: Final = {Dimension.FRACTION: 2}
"""Significant digits in a sentence where they are not three: per cents of what is only estimated."""

_NOTHING: Final = {
    Dimension.LENGTH: 1e-9, Dimension.FLOW: 1e-12, Dimension.VOLUME: 1e-12, Dimension.VELOCITY: 1e-9, Dimension.TIME: 1e-9,
    Dimension.GAUGE_PRESSURE: 1e-6, Dimension.VACUUM: 1e-6, Dimension.PRESSURE_DROP: 1e-6,
}  # fmt: skip
"""SI; less than that is what rounding leaves of nothing."""
_MORE_DIGITS: Final = 3
"""Digits that are tried, from the usual ones on, where two values of a sentence would look the same."""
_SAME: Final = 1e-9
_NEARLY_ALL: Final = 1.0 - 1e-9


def told(value: float, dimension: Dimension, system: str = "metric", digits: int = 3) -> str:
    """Return a value in a system of units as a sentence or table tells it: rounding is nothing, nearly all not all.

    Examples
    --------
    >>> told(-1e-16, Dimension.LENGTH), told(0.9996, Dimension.FRACTION, digits=2)
    ('0 m', '>99 %')
    """
    text = show(0.0 if abs(value) < _NOTHING.get(dimension, 0.0) else value, dimension, system, digits)
    if dimension is Dimension.FRACTION and text == "100 %" and value < _NEARLY_ALL:
        return f">{100.0 - 10.0 ** (2 - digits):.{max(digits - 2, 0)}f} %"
    return text


@dataclass(frozen=True, slots=True)
class Phrase:
    """Text with named gaps, and the SI value and dimension that fills each."""

    text: str
    values: tuple[tuple[str, float, Dimension], ...] = ()

    def said(self, system: str = "metric") -> str:
        """Return the sentence in a system of units."""
        shown = {name: self._told(value, what, system) for name, value, what in self.values}
        return self.text.format(**shown)

    def _told(self, value: float, what: Dimension, system: str) -> str:
        """Return a value with as many digits as tell it from others of its kind in the sentence, where a few more do."""
        others = [other for _, other, kind in self.values if kind is what and not isclose(other, value, rel_tol=_SAME)]
        least = _DIGITS.get(what, 3)
        for digits in range(least, least + _MORE_DIGITS):
            text = told(value, what, system, digits)
            if all(told(other, what, system, digits) != text for other in others):
                return text
        return told(value, what, system, least)

    def __str__(self) -> str:
        return self.said()

    def __bool__(self) -> bool:
        return bool(self.text)


def phrase(text: str, **values: tuple[float, Dimension]) -> Phrase:
    """Return a sentence whose gaps, such as ``{lift}``, are filled by (SI value, dimension)."""
    return Phrase(text, tuple((name, float(value), dimension) for name, (value, dimension) in values.items()))
