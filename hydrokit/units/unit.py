"""One unit as a ratio of whole numbers, so that every conversion is correctly rounded.

SI = (number × top + add) / bottom. With whole numbers 1 in and 25.4 mm are the same float, and any float can be
written in any unit and read back unchanged. An irrational factor is the ratio of its nearest float.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Unit", "irrational", "unit"]


@dataclass(frozen=True, slots=True)
class Unit:
    """One listed unit: SI = (number × top + add) / bottom, all whole numbers.

    Parameters
    ----------
    name : str
        As it is displayed.
    top, bottom : int
        Factor to SI.
    spellings : tuple of str
        Other ways to write it.
    add : int
        Zero except for scales of temperature.
    strict : bool
        True where the case of the first letter counts, as it does between milli and mega.
    """

    name: str
    top: int
    bottom: int
    spellings: tuple[str, ...] = ()
    add: int = 0
    strict: bool = False

    def si(self, over: int, under: int) -> float:
        """Return the number over/under of this unit in SI, correctly rounded."""
        return (over * self.top + self.add * under) / (under * self.bottom)

    def width(self, over: int, under: int) -> float:
        """Return the difference over/under of this unit in SI, correctly rounded."""
        return (over * self.top) / (under * self.bottom)

    def ratio(self, value: float) -> tuple[int, int]:
        """Return an SI value as an exact number of this unit."""
        over, under = value.as_integer_ratio()
        return over * self.bottom - self.add * under, under * self.top

    def number(self, value: float) -> float:
        """Return an SI value as a number of this unit, correctly rounded."""
        over, under = self.ratio(value)
        return over / under


def unit(name: str, top: int, bottom: int, spellings: str = "", *, add: int = 0, strict: bool = False) -> Unit:
    """Return a unit whose other spellings are given in one text, parted by commas."""
    words = tuple(word.strip() for word in spellings.split(",")) if spellings else ()
    return Unit(name, top, bottom, words, add, strict)


def irrational(name: str, factor: float, spellings: str = "") -> Unit:
    """Return a unit whose factor is a float, taken exactly."""
    return unit(name, *factor.as_integer_ratio(), spellings)
