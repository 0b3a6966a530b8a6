"""Finding a listed unit from the way it is spelled.

An exact spelling comes first. Otherwise any way of writing powers, spaces and dots will do, and any case of the letters,
except that of the first letter where it tells milli from mega.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from hydrokit.units.gallons import Gallon, bare_gallon
from hydrokit.units.listed import LISTED

if TYPE_CHECKING:
    from hydrokit.bounds import Dimension
    from hydrokit.units.unit import Unit

__all__ = ["find_unit", "spellings_of", "tidy"]

_PLAIN: Final = str.maketrans(
    {
        "²": "2", "³": "3", "₂": "2", "·": " ", "⋅": " ", "°": "deg", "º": "deg", "℃": "degC", "℉": "degF",
        "µ": "u", "μ": "u", "Ω": "ohm", "\u2126": "ohm", "′": "'", "’": "'", "‘": "'", "″": '"', "”": '"', "“": '"',
        "⁄": "/", "∕": "/",
    }
)  # fmt: skip
_PER: Final = re.compile(r" ?/ ?| per ")
_BREAKS: Final = re.compile(r"deg |(?<=\w)[.*](?=\w)")


def _unbreak(match: re.Match[str]) -> str:
    return "deg" if match[0] == "deg " else " "


def tidy(text: str) -> str:
    """Return a unit's spelling with powers, spaces, dots and special signs written one way."""
    plain = text.translate(_PLAIN).replace("**", "").replace("^", "")
    plain = " ".join(plain.split())
    return _BREAKS.sub(_unbreak, _PER.sub("/", plain)).removesuffix(".")


def _keep_first(word: str) -> str:
    return word[:1] + word[1:].casefold()


class _Index:
    """Every spelling of one dimension: exact, with any case, and with any case but the first letter's."""

    __slots__ = ("exact", "loose", "strict")

    def __init__(self, units: tuple[Unit, ...]) -> None:
        self.exact: dict[str, Unit] = {}
        self.loose: dict[str, Unit] = {}
        self.strict: dict[str, Unit] = {}
        for unit in units:
            for word in (unit.name, *unit.spellings):
                plain = tidy(word)
                self.exact[word] = self.exact[plain] = unit
                if unit.strict:
                    self.strict[_keep_first(plain)] = unit
                else:
                    self.loose[plain.casefold()] = unit

    def find(self, word: str) -> Unit | None:
        unit = self.exact.get(word)
        if unit is None:
            plain = tidy(word)
            unit = self.exact.get(plain) or self.strict.get(_keep_first(plain)) or self.loose.get(plain.casefold())
        return unit


_BY_UNITS: Final = {units: _Index(units) for units in LISTED.values()}
_INDEX: Final = {dimension: _BY_UNITS[units] for dimension, units in LISTED.items()}


def find_unit(word: str, dimension: Dimension, gallon: Gallon | None = None) -> Unit | None:
    """Return the listed unit of that spelling, or None; a bare gallon is found only where ``gallon`` says which it is."""
    index = _INDEX[dimension]
    unit = index.find(word)
    if unit is None and gallon is not None:
        bare = bare_gallon(tidy(word), dimension)
        unit = index.exact[f"{gallon} {bare}"] if bare else None
    return unit


def spellings_of(dimension: Dimension) -> list[str]:
    """Return every listed spelling of a dimension's units."""
    return [word for unit in LISTED[dimension] for word in (unit.name, *unit.spellings) if word]
