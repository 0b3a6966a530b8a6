"""Text to number: decimals, fractions, feet and inches, tolerances and listed units; powers and products are refused.

A text is a number and a unit, with or without ± and a tolerance::

    2.8 bar    3/4 in    1 1/2 in    5 ft 6 in    3.0 ± 0.5 m    10 L/min ± 5 %    2/0 AWG    Kv 5

- The number is exact, a ratio of whole numbers, until its unit is known; then it is rounded once.
- A tolerance in per cent is a share of the value; for fractions it is in percentage points. On a temperature a tolerance is
  a difference.
- A unit behind the tolerance counts for both numbers; a number without a unit is refused unless it is a pure number.
- Decimal commas, spaces between thousands, ranges and powers are refused, each with what to write instead.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, NamedTuple

from hydrokit.bounds import Dimension
from hydrokit.units.listed import LISTED, PRESSURES
from hydrokit.units.pressures import find_pressure, from_mark
from hydrokit.units.refusals import no_number, no_unit, refuse, too_large
from hydrokit.units.spelling import find_unit
from hydrokit.units.wire import read_gauge

if TYPE_CHECKING:
    from hydrokit.units.gallons import Gallon
    from hydrokit.units.unit import Unit

__all__ = ["LONGEST", "PURE", "read"]

LONGEST: Final = 100
"""Characters a quantity may have."""

PURE: Final = frozenset({Dimension.NUMBER, Dimension.FRACTION})
"""Dimensions whose values may stand without a unit."""

_LARGEST_EXPONENT: Final = 30
_SIGNS: Final = str.maketrans(
    {"−": "-", "–": "-", "—": "-", "‐": "-", "‑": "-", "﹣": "-", "－": "-", "＋": "+", "⁄": "/", "∕": "/"}
    | {"′": "'", "’": "'", "‘": "'", "″": '"', "”": '"', "“": '"'}
    | dict.fromkeys("\u200b\u200c\u200d\u2060\ufeff", None)
)
_VULGAR: Final = {
    "½": (1, 2), "⅓": (1, 3), "⅔": (2, 3), "¼": (1, 4), "¾": (3, 4), "⅕": (1, 5), "⅖": (2, 5), "⅗": (3, 5),
    "⅘": (4, 5), "⅙": (1, 6), "⅚": (5, 6), "⅛": (1, 8), "⅜": (3, 8), "⅝": (5, 8), "⅞": (7, 8),
}  # fmt: skip
_NUMBER: Final = re.compile(
    r"(?P<sign>[+-]?) ?(?:"
    rf"(?:(?P<units>[0-9]+)[ -]?)?(?P<vulgar>[{''.join(_VULGAR)}])"
    r"|(?:(?P<wholes>[0-9]+)[ -])?(?P<over>[0-9]+)/(?P<under>[0-9]+)"
    r"|(?P<decimal>[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE](?P<exponent>[+-]?[0-9]+))?)"
)
_SECOND: Final = re.compile(rf"([a-zA-Z'\"]+)\.? ?([0-9./ {''.join(_VULGAR)}-]+) ?([a-zA-Z'\"]+)\.?")
_PARTS: Final = {  # how many of the smaller make one of the larger
    Dimension.LENGTH: {("ft", "in"): 12},
    Dimension.TIME: {("d", "h"): 24, ("h", "min"): 60, ("min", "s"): 60},
    Dimension.MASS: {("lb", "oz"): 16},
}
_COEFFICIENT: Final = re.compile(r"([KkCc][Vv]) ?=? ?([0-9.].*)")


class _Amount(NamedTuple):
    """An exact number, its unit (None where there is none) and the mark of a pressure."""

    over: int
    under: int
    unit: Unit | None
    mark: str


def _ratio(match: re.Match[str], text: str, dimension: Dimension) -> tuple[int, int]:
    decimal = match["decimal"]
    if decimal is not None:
        whole, _, decimals = decimal.partition(".")
        over, under = int(whole + decimals), 10 ** len(decimals)
        if match["exponent"]:
            over, under = _scaled(over, under, match["exponent"], text)
    else:
        over, under = _VULGAR[match["vulgar"]] if match["vulgar"] else (int(match["over"]), int(match["under"]))
        if under == 0:
            raise refuse(text, dimension, why="a division by zero")
        over += int(match["units"] or match["wholes"] or 0) * under
    return (-over, under) if match["sign"] == "-" else (over, under)


def _scaled(over: int, under: int, exponent: str, text: str) -> tuple[int, int]:
    power = int(exponent)
    if abs(power) > _LARGEST_EXPONENT:
        raise too_large(text)
    return (over * 10**power, under) if power >= 0 else (over, under * 10**-power)


def _compound(over: int, under: int, word: str, text: str, dimension: Dimension) -> _Amount | None:
    """Read the rest of ``5 ft 6 in`` or ``1 h 30 min``."""
    parts = _PARTS.get(dimension)
    match = _SECOND.fullmatch(word) if parts else None
    if match is None or parts is None:
        return None
    large, small = find_unit(match[1], dimension), find_unit(match[3], dimension)
    number = _NUMBER.fullmatch(match[2].strip())
    if large is None or small is None or number is None or (large.name, small.name) not in parts:
        return None
    count = parts[large.name, small.name]
    part, of = _ratio(number, text, dimension)
    if under != 1 or part < 0 or part >= count * of:
        why = f"where {large.name} must be whole and {small.name} less than {count}"
        raise refuse(text, dimension, why=why)
    negative = over < 0 or text.startswith("-")
    total = abs(over) * of * count + part
    return _Amount(-total if negative else total, of * count, large, "")


def _wire(text: str, dimension: Dimension) -> _Amount | None:
    area = read_gauge(text)
    if area is None:
        if "awg" in text.lower():
            raise refuse(text, dimension, why="where wire gauges go from 4/0 AWG to 40 AWG in whole numbers")
        return None
    return _Amount(*area.as_integer_ratio(), LISTED[Dimension.WIRE_AREA][0], "")


def _amount(text: str, dimension: Dimension, gallon: Gallon | None) -> _Amount:
    if dimension is Dimension.WIRE_AREA and (wire := _wire(text, dimension)):
        return wire
    if dimension is Dimension.FLOW_COEFFICIENT and (named := _COEFFICIENT.fullmatch(text)):
        text = f"{named[2]} {named[1]}"
    match = _NUMBER.match(text)
    if match is None:
        raise no_number(text, dimension)
    over, under = _ratio(match, text, dimension)
    word = text[match.end() :].lstrip()
    if not word:
        return _Amount(over, under, None, "")
    unit, mark = find_pressure(word) if dimension in PRESSURES else (find_unit(word, dimension, gallon), "")
    if unit is not None:
        return _Amount(over, under, unit, mark)
    compound = _compound(over, under, word, text, dimension)
    if compound is None:
        raise no_unit(match[0], word, text, dimension)
    return compound


def _settle(amount: _Amount, text: str, dimension: Dimension) -> float:
    if amount.unit is None:
        if dimension not in PURE:
            raise no_unit(text, "", text, dimension)
        return amount.over / amount.under
    value = amount.unit.si(amount.over, amount.under)
    return from_mark(value, amount.mark, dimension, text) if dimension in PRESSURES else value


def _per_cent(value: float, right: str, text: str, dimension: Dimension) -> float:
    """Return a tolerance in per cent of the value."""
    if dimension is Dimension.TEMPERATURE:
        raise refuse(text, dimension, "9 ± 3 °C, for instance", why="where a per cent of a temperature means nothing")
    share = _amount(right, Dimension.FRACTION, None)
    return abs(value) * _settle(share, right, Dimension.FRACTION)


def _same_unit(left: _Amount, right: _Amount, text: str, dimension: Dimension) -> tuple[_Amount, _Amount]:
    """Give the value the unit that stands behind the tolerance, and the mark that stands behind either."""
    if (left.unit is None) != (right.unit is None) and left.unit is not None:
        number, _, tolerance = text.partition("±")
        instead = f"{number.strip()} ± {tolerance.strip()} {left.unit.name}"
        raise refuse(text, dimension, instead, why="with a tolerance that has no unit")
    if left.mark and right.mark and left.mark != right.mark:
        raise refuse(text, dimension, why=f"marked both {left.mark} and {right.mark}")
    if (
        left.unit is None
        and right.unit is not None
        and dimension in PURE
        and right.over * left.under > abs(left.over) * right.under
    ):
        raise refuse(text, dimension, "80 % ± 5 %, for instance", why="where the value has no unit but its ± has")
    return left._replace(unit=left.unit or right.unit, mark=left.mark or right.mark), right


def _with_tolerance(text: str, dimension: Dimension, gallon: Gallon | None) -> tuple[float, float]:
    before, _, after = text.partition("±")
    before, after = before.strip(), after.strip()
    if "±" in after or not before or not after or after.startswith(("-", "+")):
        raise refuse(text, dimension, why="where ± stands once, between a value and its tolerance")
    left = _amount(before, dimension, gallon)
    if after.endswith("%") and dimension is not Dimension.FRACTION:
        value = _settle(left, before, dimension)
        return value, _per_cent(value, after, text, dimension)
    if left.unit is None and dimension not in PURE and _NUMBER.fullmatch(after):
        raise no_unit(text, "", text, dimension)
    left, right = _same_unit(left, _amount(after, dimension, gallon), text, dimension)
    unit = right.unit
    tolerance = unit.width(right.over, right.under) if unit is not None else right.over / right.under
    return _settle(left, text if left.unit is not None else before, dimension), tolerance


def read(text: str, dimension: Dimension, gallon: Gallon | None = None) -> tuple[float, float]:
    """Return the value and the tolerance of a text, in SI; the tolerance is 0 where none is written.

    Parameters
    ----------
    text : str
        At most 100 characters.
    dimension : Dimension
        What is wanted.
    gallon : {"US", "imperial"}, optional
        Which gallon a bare ``gal`` or ``gpm`` is.

    Raises
    ------
    UnitError
        If the text is no quantity of that dimension.
    RangeError
        If the number is beyond all measure.

    Examples
    --------
    >>> read("1 1/2 in", Dimension.LENGTH)
    (0.0381, 0.0)
    >>> read("9 ± 3 °C", Dimension.TEMPERATURE)
    (282.15, 3.0)
    """
    if len(text) > LONGEST:
        raise refuse(text, dimension, why=f"a text of {len(text)} characters where {LONGEST} are allowed")
    plain = text if text.isascii() else text.translate(_SIGNS)
    plain = " ".join(plain.replace("+/-", "±").replace("+-", "±").split())
    if "±" in plain:
        return _with_tolerance(plain, dimension, gallon)
    return _settle(_amount(plain, dimension, gallon), plain, dimension), 0.0
