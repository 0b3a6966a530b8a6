"""How the reader wants it: system of units, and which further sections."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hydrokit.bounds import Dimension
from hydrokit.sheets.columns import ROUNDING, percent
from hydrokit.sheets.places import said
from hydrokit.units import show

if TYPE_CHECKING:
    from hydrokit.answers import Phrase

__all__ = ["View"]


@dataclass(frozen=True, slots=True)
class View:
    """System of units, and the names of the sections that are only written when asked for."""

    system: str = "metric"
    also: frozenset[str] = frozenset()

    def show(self, value: float | None, dimension: Dimension, unknown: str = "", digits: int = 3) -> str:
        """Return a value in the reader's units, or what stands for one that is not known."""
        if value is None:
            return unknown
        text = show(value, dimension, self.system, digits)
        nearly_all = dimension is Dimension.FRACTION and text == "100 %"
        return percent(value, max(digits - 2, 0)) if nearly_all and value < 1.0 - ROUNDING else text

    def said(self, phrase: Phrase) -> str:
        """Return a sentence in the reader's units, addresses as people say them."""
        return said(phrase.said(self.system))
