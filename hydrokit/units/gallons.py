"""US and imperial gallons, and what to do about a gallon that does not say which it is.

The US gallon is 231 in³ (3.785 L), the imperial 4.54609 L, which is 20 % more; both are exact by definition
(NIST SP 811, 2008, appendix B, from memory). A bare gal or gpm is never guessed.
"""

from __future__ import annotations

from typing import Final, Literal, TypeAlias

from hydrokit.bounds import Dimension
from hydrokit.units.unit import Unit

__all__ = ["CUBIC_METRES", "GALLONS", "Gallon", "bare_gallon", "gallon_units"]

Gallon: TypeAlias = Literal["US", "imperial"]
GALLONS: Final[tuple[Gallon, ...]] = ("US", "imperial")
CUBIC_METRES: Final[dict[Gallon, tuple[int, int]]] = {"US": (3_785_411_784, 10**12), "imperial": (454_609, 10**8)}
"""What each holds, as a ratio of whole numbers. [m^3]"""
_WHICH: Final[dict[Gallon, tuple[str, ...]]] = {
    "US": ("US", "U.S.", "us"),
    "imperial": ("imperial", "imp", "imp.", "UK"),
}
_INITIALS: Final[dict[Gallon, str]] = {"US": "US", "imperial": "i"}
_BARE: Final[dict[Dimension, dict[str, tuple[int, tuple[str, ...]]]]] = {  # seconds, and other spellings
    Dimension.VOLUME: {"gal": (1, ("gals", "gallon", "gallons"))},
    Dimension.FLOW: {
        "gpm": (60, ("gal/min", "gals/min", "gallon/min", "gallons/min", "gallon/minute", "gallons/minute")),
        "gph": (3600, ("gal/h", "gal/hr", "gal/hour", "gallon/h", "gallons/h", "gallon/hour", "gallons/hour")),
        "gpd": (86_400, ("gal/d", "gal/day", "gallon/day", "gallons/day")),
    },
}


def gallon_units(dimension: Dimension, gallon: Gallon) -> tuple[Unit, ...]:
    """Return the volume or flow units of one gallon, spelled in every usual order of words."""
    top, bottom = CUBIC_METRES[gallon]
    units = []
    for name, (seconds, words) in _BARE[dimension].items():
        spellings = [
            spelling
            for word in (name, *words)
            for which in _WHICH[gallon]
            for spelling in (f"{which} {word}", f"{which}{word}", f"{word} {which}", f"{word} ({which})")
        ]
        spellings.append(_INITIALS[gallon] + (name if name != "gal" else "G"))
        units.append(Unit(f"{gallon} {name}", top, bottom * seconds, tuple(spellings)))
    return tuple(units)


_BY_WORD: Final[dict[Dimension, dict[str, str]]] = {
    dimension: {word: name for name, (_, words) in names.items() for word in (name, *words)}
    for dimension, names in _BARE.items()
}


def bare_gallon(word: str, dimension: Dimension) -> str:
    """Return ``gal``, ``gpm``, ``gph`` or ``gpd`` where a word leaves open which gallon is meant, else an empty text."""
    return _BY_WORD.get(dimension, {}).get(word.casefold(), "")
