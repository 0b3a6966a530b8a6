"""How the reader wants it: system of units, and which further sections."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from hydrokit.answers.phrases import told
from hydrokit.bounds import Dimension
from hydrokit.sheets.places import said
from hydrokit.units import display_unit, show

if TYPE_CHECKING:
    from hydrokit.answers import Phrase

__all__ = ["View"]

_DIFFERENCE: Final = {
    Dimension.TEMPERATURE: Dimension.TEMPERATURE_DIFFERENCE,
    Dimension.GAUGE_PRESSURE: Dimension.PRESSURE_DROP,
    Dimension.ABSOLUTE_PRESSURE: Dimension.PRESSURE_DROP,
    Dimension.VACUUM: Dimension.PRESSURE_DROP,
}
"""What a difference of two values is, where it is not the same."""
_PER: Final = {"metric": "100 L", "US": "10 US gal", "imperial": "10 imperial gal"}


@dataclass(frozen=True, slots=True)
class View:
    """System of units, and the names of the sections that are only written when asked for."""

    system: str = "metric"
    also: frozenset[str] = frozenset()

    def show(self, value: float | None, dimension: Dimension, unknown: str = "", digits: int = 3) -> str:
        """Return a value in the reader's units, or what stands for one that is not known."""
        return unknown if value is None else told(value, dimension, self.system, digits)

    def width(self, width: float, value: float, dimension: Dimension, digits: int = 3) -> str:
        """Return a difference in the unit in which the value beside it is shown.

        Examples
        --------
        >>> View().width(0.1, 1.8, Dimension.LENGTH), View("US").width(700.0, 17e3, Dimension.VACUUM, 2)
        ('0.1 m', '0.21 inHg')
        >>> View("US").show(0.0, Dimension.LENGTH), View("US").width(0.3, 0.0, Dimension.LENGTH)
        ('0 ft', '0.984 ft')
        """
        difference = _DIFFERENCE.get(dimension, dimension)
        if difference is Dimension.TEMPERATURE_DIFFERENCE:
            return show(width, difference, self.system, digits)
        unit = display_unit(value, dimension, self.system)
        return show(
            width, difference, self.system, digits, unit=unit.partition(" vacuum")[0].partition(" absolute")[0] or None
        )

    @property
    def per(self) -> str:
        """The volume by which energy and charge are told."""
        return _PER[self.system]

    def said(self, phrase: Phrase) -> str:
        """Return a sentence in the reader's units, addresses as people say them."""
        return said(phrase.said(self.system))
