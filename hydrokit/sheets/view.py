"""How the reader wants it: system of units, and which further sections."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hydrokit.answers.phrases import told
from hydrokit.sheets.places import said

if TYPE_CHECKING:
    from hydrokit.answers import Phrase
    from hydrokit.bounds import Dimension

__all__ = ["View"]


@dataclass(frozen=True, slots=True)
class View:
    """System of units, and the names of the sections that are only written when asked for."""

    system: str = "metric"
    also: frozenset[str] = frozenset()

    def show(self, value: float | None, dimension: Dimension, unknown: str = "", digits: int = 3) -> str:
        """Return a value in the reader's units, or what stands for one that is not known."""
        return unknown if value is None else told(value, dimension, self.system, digits)

    def said(self, phrase: Phrase) -> str:
        """Return a sentence in the reader's units, addresses as people say them."""
        return said(phrase.said(self.system))
