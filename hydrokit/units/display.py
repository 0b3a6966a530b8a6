"""SI floats out: shown in the trade's units, converted to a named unit, or written so that they read back unchanged.

Three systems: ``metric``, ``US`` (US gallons, psi, feet, °F) and ``imperial`` (imperial gallons, psi, feet, but °C and
kg). What is shown never states more digits than asked for, and can be read again by ``si``.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Dimension, nearest
from hydrokit.errors import InputError, Mistake, RangeError, UnitError
from hydrokit.units.gallons import bare_gallon
from hydrokit.units.grammar import LONGEST, read
from hydrokit.units.ladders import SYSTEMS, ladder
from hydrokit.units.listed import LISTED, PRESSURES
from hydrokit.units.pressures import MARKS, OWN_MARKS, find_pressure
from hydrokit.units.spelling import find_unit, spellings_of, tidy
from hydrokit.units.wire import gauge_name

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.units.unit import Unit

__all__ = ["display_unit", "in_unit", "listed_units", "show", "text_of"]

_MOST_DIGITS: Final = 17
_FEWER_DIGITS: Final = (12, 15, 16)  # 12 for a temperature: adding 273.15 costs it the last ones
_PLAIN_BELOW: Final = 1e9  # larger numbers, and those under 1e-4, get an exponent


def _finite(value: float) -> float:
    number = float(value)
    if not math.isfinite(number):
        raise RangeError([Mistake("value", str(number), "a finite number")])
    return number


def _check_system(system: str) -> str:
    if system not in SYSTEMS:
        raise UnitError([Mistake("system", repr(system), ", ".join(SYSTEMS), nearest(str(system), SYSTEMS))])
    return system


def _named(word: str, dimension: Dimension) -> Unit:
    unit, mark = find_pressure(word) if dimension in PRESSURES else (find_unit(word, dimension), "")
    if unit is None or mark not in {"", OWN_MARKS.get(dimension, "")}:
        bare = bare_gallon(tidy(word), dimension)
        instead = f"US {bare} or imperial {bare}" if bare else nearest(word[:30], spellings_of(dimension))
        expected = f"a unit of {dimension.value}: {', '.join(listed_units(dimension))}"
        raise UnitError([Mistake("unit", repr(word[:60]), expected, instead)])
    return unit


def _number(unit: Unit, value: float) -> float:
    try:
        return unit.number(value)
    except OverflowError:
        raise RangeError([Mistake("value", f"{value:g}", f"a number that {unit.name} can express")]) from None


def _tail(unit_name: str, dimension: Dimension, value: float) -> str:
    """Return what stands behind the number: the unit and, for a pressure, the word that says what it counts from."""
    if unit_name in {"", "°"}:
        return unit_name
    if dimension is Dimension.VACUUM and value < 0:
        return f" {unit_name} gauge"
    return f" {unit_name} {MARKS[dimension]}" if dimension in MARKS else f" {unit_name}"


def _digits_text(number: float, digits: int) -> str:
    rounded = float(f"{number:.{digits}g}")
    if rounded.is_integer() and abs(rounded) < _PLAIN_BELOW:
        return str(int(rounded))
    return f"{rounded:.{digits}g}" if abs(rounded) >= _PLAIN_BELOW else repr(rounded)


def _temperature_text(number: float, digits: int) -> str:
    """Round a temperature to decimals: where the zero of a scale lies is arbitrary, so its digits mean nothing."""
    rounded = round(number, max(digits - 2, 0))
    return str(int(rounded)) if rounded.is_integer() else repr(rounded)


def display_unit(value: float, dimension: Dimension, system: str = "metric") -> str:
    """Return the unit in which a value is best shown, with the word absolute or vacuum where it belongs.

    Parameters
    ----------
    value : float
        In SI.
    dimension : Dimension
        What it is.
    system : {"metric", "US", "imperial"}
        Whose units.

    Raises
    ------
    UnitError
        If there is no such system.
    RangeError
        If the value is not finite.

    Examples
    --------
    >>> display_unit(0.019, Dimension.LENGTH), display_unit(0.019, Dimension.LENGTH, "US")
    ('mm', 'in')
    """
    name = ladder(_finite(value), dimension, _check_system(system))
    return f"{name} {MARKS[dimension]}" if dimension in MARKS else name


@as_annotated
def show(
    value: float, dimension: Dimension, system: str = "metric", digits: int = 3, *, unit: str | None = None
) -> str:
    """Return a value as the trade writes it, with no more significant digits than asked for.

    Parameters
    ----------
    value : float
        In SI.
    dimension : Dimension
        What it is.
    system : {"metric", "US", "imperial"}
        Whose units.
    digits : int
        Significant digits; for a temperature two fewer is the number of decimals.
    unit : str, optional
        A listed unit to use instead of the best one.

    Returns
    -------
    str
        Number and unit.

    Raises
    ------
    UnitError
        If there is no such system or unit.
    RangeError
        If the value is not finite or the digits are not 1 to 17.

    Examples
    --------
    >>> show(10 / 60_000, Dimension.FLOW), show(10 / 60_000, Dimension.FLOW, "US")
    ('10 L/min', '2.64 US gpm')
    >>> show(21_000.0, Dimension.VACUUM), show(101_325.0, Dimension.ABSOLUTE_PRESSURE)
    ('21 kPa vacuum', '101 kPa absolute')
    """
    number = _finite(value)
    if not 1 <= digits <= _MOST_DIGITS:
        raise RangeError([Mistake("digits", str(digits), f"1 to {_MOST_DIGITS}")])
    _check_system(system)
    if dimension is Dimension.WIRE_AREA and system == "US" and unit is None and (gauge := gauge_name(number)):
        return gauge
    chosen = _named(ladder(number, dimension, system) if unit is None else unit, dimension)
    shown = _number(chosen, abs(number) if dimension is Dimension.VACUUM else number)
    text = _temperature_text(shown, digits) if dimension is Dimension.TEMPERATURE else _digits_text(shown, digits)
    return text + _tail(chosen.name, dimension, number)


def in_unit(value: float, dimension: Dimension, unit: str) -> float:
    """Return an SI float as a number of a listed unit.

    Raises
    ------
    UnitError
        If the unit is not listed for the dimension.
    RangeError
        If the value is not finite.

    Examples
    --------
    >>> in_unit(0.0254, Dimension.LENGTH, "in")
    1.0
    """
    return _number(_named(unit, dimension), _finite(value))


def _candidates(value: float, unit: Unit) -> Iterator[str]:
    """Yield the number in ever more digits; 17 of the exact quotient always tell a float from its neighbours."""
    number = _number(unit, value)
    for digits in _FEWER_DIGITS:
        yield _digits_text(number, digits)
    from decimal import Context, Decimal

    over, under = unit.ratio(value)
    yield str(Context(prec=_MOST_DIGITS).divide(Decimal(over), Decimal(under)))


def _reads_back(text: str, value: float, dimension: Dimension) -> bool:
    if len(text) > LONGEST:
        return False
    try:
        return read(text, dimension)[0] == value
    except InputError:
        return False


def text_of(value: float, dimension: Dimension) -> str:
    """Return a text that ``si`` reads back to exactly the same float, in a trade unit.

    Parameters
    ----------
    value : float
        In SI.
    dimension : Dimension
        What it is.

    Raises
    ------
    RangeError
        If the value is not finite, has a size that text may not have (1e-30 to 1e30 units), or is a vacuum above the air outside.

    Examples
    --------
    >>> text_of(0.019, Dimension.LENGTH), text_of(282.15, Dimension.TEMPERATURE)
    ('19 mm', '9 °C')
    """
    number = _finite(value) + 0.0
    best = _named(ladder(number, dimension, "metric"), dimension)
    plain = [unit for unit in LISTED[dimension] if unit.top == unit.bottom and not unit.add]
    for unit in (best, *plain):
        for candidate in _candidates(number, unit):
            text = candidate + _tail(unit.name, dimension, number)
            if _reads_back(text, number, dimension):
                return text
    raise RangeError([Mistake("value", f"{number:g}", f"a {dimension.value} that can be written as text")])


def listed_units(dimension: Dimension) -> tuple[str, ...]:
    """Return the names of the units a dimension may be written in, with absolute or vacuum where that is required.

    Examples
    --------
    >>> listed_units(Dimension.TEMPERATURE)
    ('°C', '°F', 'K')
    """
    mark = f" {MARKS[dimension]}" if dimension in MARKS else ""
    gauge = ("AWG",) if dimension is Dimension.WIRE_AREA else ()
    return tuple(unit.name + mark for unit in LISTED[dimension] if unit.name) + gauge
