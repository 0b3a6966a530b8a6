"""The door: text, pairs and quantities come in as SI floats.

A value comes in as text (``"2.8 bar"``), as a pair (``(2.8, "bar")``) or as a pint quantity of any registry. A bare
number is let in only where the dimension has no unit, for a number without its unit is how rigs get built wrong.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from numbers import Integral
from numbers import Real as RealNumber
from typing import TYPE_CHECKING, Any

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Dimension, nearest
from hydrokit.errors import InputError, Mistake, RangeError, UnitError
from hydrokit.units.gallons import GALLONS, Gallon
from hydrokit.units.grammar import PURE, read
from hydrokit.units.refusals import wanted, with_units

if TYPE_CHECKING:
    import pint

__all__ = ["Measured", "measured", "quantity", "si", "unit_of"]


@dataclass(frozen=True, slots=True)
class Measured:
    """A value and its tolerance, both in SI; the tolerance is 0 where none was stated."""

    value: float
    tolerance: float = 0.0


def _is_number(value: object) -> bool:
    return isinstance(value, RealNumber) and not isinstance(value, bool)


def _as_float(value: Any) -> float:
    try:
        return float(value)
    except OverflowError:
        return math.inf


def _from_number(value: Any, dimension: Dimension) -> float:
    if dimension not in PURE:
        instead = with_units(str(value), dimension) if math.isfinite(_as_float(value)) else ""
        raise UnitError([Mistake("", f"{value}, a number without a unit", wanted(dimension), instead)])
    number = _as_float(value)
    if not math.isfinite(number):
        raise RangeError([Mistake("", f"{number}", "a finite number")])
    return number


def _read(value: object, dimension: Dimension, gallon: Gallon | None) -> Measured:
    if isinstance(value, str):
        return Measured(*read(value, dimension, gallon))
    if isinstance(value, (tuple, list)) and len(value) == 2 and _is_number(value[0]) and isinstance(value[1], str):
        return Measured(*read(f"{_plain(value[0])} {value[1]}", dimension, gallon))
    if _is_number(value):
        return Measured(_from_number(value, dimension))
    if hasattr(value, "magnitude") and hasattr(value, "units"):
        from hydrokit.units.pint_door import from_quantity

        return Measured(from_quantity(value, dimension))
    raise UnitError([Mistake("", f"{type(value).__name__} {str(value)[:40]!r}", wanted(dimension))])


def _plain(number: Any) -> str:
    """Write a number so that the pair (0.1, "mm") is the very same length as the text "0.1 mm"."""
    return str(number) if isinstance(number, Integral) else repr(float(number))


def measured(
    value: object, dimension: Dimension, *, place: str = "", gallon: Gallon | None = None, line: int = 0
) -> Measured:
    """Return a value and its tolerance in SI.

    Parameters
    ----------
    value : str, pair of number and str, pint quantity, or float where the dimension has no unit
        What was written.
    dimension : Dimension
        What is wanted.
    place : str
        Address or argument, for the message.
    gallon : {"US", "imperial"}, optional
        Which gallon a bare ``gal`` or ``gpm`` is.
    line : int
        Line number in the file, for the message.

    Raises
    ------
    UnitError
        If the value is no quantity of that dimension.
    RangeError
        If the number is beyond all measure.

    Examples
    --------
    >>> measured("3.0 ± 0.5 m", Dimension.LENGTH)
    Measured(value=3.0, tolerance=0.5)
    """
    try:
        if gallon is not None and gallon not in GALLONS:
            raise UnitError([Mistake("gallon", repr(gallon), "US or imperial", nearest(str(gallon), list(GALLONS)))])
        return _read(value, dimension, gallon)
    except InputError as error:
        mistakes = [replace(each, place=each.place or place, line=line) for each in error.mistakes]
        raise type(error)(mistakes) from None


@as_annotated
def si(value: object, dimension: Dimension, *, place: str = "", gallon: Gallon | None = None, line: int = 0) -> float:
    """Return a value in SI; a tolerance is checked but left out (``measured`` gives it).

    Parameters
    ----------
    value : str, pair of number and str, pint quantity, or float where the dimension has no unit
        What was written.
    dimension : Dimension
        What is wanted.
    place : str
        Address or argument, for the message.
    gallon : {"US", "imperial"}, optional
        Which gallon a bare ``gal`` or ``gpm`` is.
    line : int
        Line number in the file, for the message.

    Returns
    -------
    float
        In the SI unit of the dimension.

    Raises
    ------
    UnitError
        If the value is no quantity of that dimension.
    RangeError
        If the number is beyond all measure.

    Examples
    --------
    >>> si("3/4 in", Dimension.LENGTH)
    0.01905
    >>> si("0.3 bar vacuum", Dimension.GAUGE_PRESSURE)
    -30000.0
    """
    return measured(value, dimension, place=place, gallon=gallon, line=line).value


def unit_of(dimension: Dimension) -> str:
    """Return the SI unit of a dimension, ``1`` where it has none.

    Examples
    --------
    >>> unit_of(Dimension.FLOW)
    'm^3/s'
    """
    return dimension.si_unit


@as_annotated
def quantity(value: float, dimension: Dimension) -> pint.Quantity[float]:
    """Return an SI float as a pint quantity of our own registry, which is made on first use.

    Parameters
    ----------
    value : float
        In SI.
    dimension : Dimension
        What it is.

    Returns
    -------
    pint.Quantity
        In the SI unit of the dimension.

    Examples
    --------
    >>> f"{quantity(0.019, Dimension.LENGTH).to('mm').magnitude:.1f}"
    '19.0'
    """
    from hydrokit.units.pint_door import to_quantity

    return to_quantity(value, dimension)
