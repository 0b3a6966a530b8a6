"""A sentence with quantities in it, that can be said in any system of units."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from hydrokit.bounds import Dimension
from hydrokit.units import show

__all__ = ["Phrase", "phrase"]


_DIGITS: Final = {Dimension.FRACTION: 2}
"""Significant digits in a sentence where they are not three: per cents of what is only estimated."""


@dataclass(frozen=True, slots=True)
class Phrase:
    """Text with named gaps, and the SI value and dimension that fills each."""

    text: str
    values: tuple[tuple[str, float, Dimension], ...] = ()

    def said(self, system: str = "metric") -> str:
        """Return the sentence in a system of units."""
        shown = {name: show(value, what, system, _DIGITS.get(what, 3)) for name, value, what in self.values}
        return self.text.format(**shown)

    def __str__(self) -> str:
        return self.said()

    def __bool__(self) -> bool:
        return bool(self.text)


def phrase(text: str, **values: tuple[float, Dimension]) -> Phrase:
    """Return a sentence whose gaps, such as ``{lift}``, are filled by (SI value, dimension)."""
    return Phrase(text, tuple((name, float(value), dimension) for name, (value, dimension) in values.items()))
