"""Reads what a file says about a field and returns the field's value, checked against the field's specification.

The catalogue and the rig file are both read by it.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import MISSING, fields, is_dataclass, replace
from typing import TYPE_CHECKING, Any, Final, TypeAlias, TypeVar, overload

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Choice, Curve, Dimension, Flag, Mistakes, Spec, choices_of, nearest, require_word, specs_of
from hydrokit.errors import InputError, Mistake, RangeError
from hydrokit.parts.kinds import PART_KINDS
from hydrokit.units import Measured, listed_units, measured, show

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from hydrokit.parts.base import Part
    from hydrokit.units import Gallon

__all__ = [
    "Value",
    "limits_of",
    "plain",
    "read_field",
    "read_fields",
    "read_number",
    "read_part",
    "read_text",
    "required",
    "told",
]

Value: TypeAlias = Measured | tuple[tuple[float, float], ...] | str | bool
Made = TypeVar("Made")

_SHOWN = 60
_SHORT = 10**15
_TOO_SMALL: Final = 1e-4  # a lower limit under this share of the example is told as "more than 0"
_TOO_LARGE: Final = 1e4  # a limit over this multiple of the example is not told
_ROUNDING: Final = 1e-9
"""Share of a limit by which a value with its tolerance may exceed it, for rounding into SI."""
_TOLERANCE: Final = re.compile(r" ± [0-9.]+(?:e[-+]?[0-9]+)?")
_TOLERANCE_AND_UNIT: Final = re.compile(r'("[^"±]*[^\W\d_][^"±]*) ± [^"]*(?=")')
_HAS_UNIT: Final = re.compile(r"[0-9.] ?(?![eE][-+]?[0-9])[^\W\d_]")
_NUMBER: Final = re.compile(r"^[-+]?[0-9./ ]+")
_QUANTITY: Final = re.compile(r'([-+−]?[0-9][^,"]*?)(?=, | or |$)')


def told(raw: object) -> str:
    """Return in a few words what was read, whatever its size."""
    if isinstance(raw, bool):
        return "true" if raw else "false"
    if isinstance(raw, str):
        return repr(raw if len(raw) <= _SHOWN else raw[:_SHOWN] + "…")
    if isinstance(raw, dict):
        return "a table"
    if isinstance(raw, (list, tuple)):
        return f"a list of {len(raw)}"
    if isinstance(raw, int):
        return str(raw) if abs(raw) < _SHORT else "a very large whole number"
    return str(raw)  # a float, a date or a time


def read_text(raw: object) -> str:
    """Return a text that is safe to print.

    Raises
    ------
    InputError
        If it is no text, or holds control characters.
    """
    if not isinstance(raw, str):
        raise InputError([Mistake("", told(raw), "text in quotes")])
    for letter in raw:
        if unicodedata.category(letter) in {"Cc", "Cf", "Cs"} and letter not in "\n\t":
            raise InputError([Mistake("", f"the control character U+{ord(letter):04X}", "text that can be printed")])
    return raw


def _scale(spec: Spec) -> float:
    """Return the size of what is usual, by the example; 0 where there is none."""
    return abs(measured(spec.example.strip('"'), spec.dimension).value) if spec.example else 0.0


def _usual_unit(spec: Spec) -> str:
    """Return the unit of the example; an empty text where there is none."""
    return _NUMBER.sub("", spec.example.strip('"'))


def _limit(spec: Spec, limit: float) -> str:
    own = spec.dimension is Dimension.TIME and not 0.0 < limit < _scale(spec)  # 1000000 h, not so many days
    unit = _usual_unit(spec) if own else ""
    digits = 6 if spec.dimension is Dimension.TEMPERATURE else 4
    return show(limit, spec.dimension, digits=digits, unit=unit or None)


def limits_of(spec: Spec) -> str:
    """Return the limits of a number in the trade's units; an empty text where it has none.

    A limit far beyond all that is usual, there only to keep the arithmetic safe, is not told; a tiny lower one reads
    ``more than 0 L``.
    """
    scale = _scale(spec)
    above = 0.0 < spec.low < _TOO_SMALL * scale and spec.dimension is not Dimension.TEMPERATURE
    low, high = (
        "" if math.isinf(limit) or (scale and abs(limit) > _TOO_LARGE * scale) else _limit(spec, limit)
        for limit in (spec.low, spec.high)
    )
    if above:
        nothing = f"more than 0 {_usual_unit(spec)}".rstrip()
        return f"{nothing}, at most {high}" if high else nothing
    if low and high:
        return f"{low} to {high}"
    if low:
        return f"at least {low}"
    return f"at most {high}" if high else ""


def read_number(spec: Spec, raw: object, gallon: Gallon | None = None) -> Measured:
    """Return a number and its tolerance, SI, within the limits of its specification.

    Parameters
    ----------
    spec : Spec
        What it may be.
    raw : object
        A text with a unit; a bare number only where the dimension has no unit.
    gallon : {"US", "imperial"}, optional
        Which gallon a bare ``gal`` is.

    Raises
    ------
    InputError
        If it is not such a number.
    """
    pure = spec.dimension in {Dimension.NUMBER, Dimension.FRACTION}
    if isinstance(raw, bool) or not isinstance(raw, (str, int, float)):
        expected = f"a {'number' if pure else 'text with a number and a unit'} ({spec.doc})"
        raise InputError([Mistake("", told(raw), expected, _joined(raw) or spec.example)])
    if isinstance(raw, int) and abs(raw) > _SHORT:
        raise RangeError([Mistake("", told(raw), f"{spec.dimension.value} of a sensible size ({spec.doc})")])
    try:
        number = measured(raw, spec.dimension, gallon=gallon)
    except InputError as error:
        meaning = "" if spec.doc == spec.dimension.value else f" ({spec.doc})"
        bare = _with_unit(spec, raw, gallon)
        raise type(error)(
            [
                Mistake(
                    "",
                    each.found,
                    f"{each.expected}{meaning}",
                    bare or _quoted(each.instead, spec, gallon) or spec.example,
                )
                for each in error.mistakes
            ]
        ) from None
    if not spec.low <= number.value <= spec.high:
        percent = spec.dimension is Dimension.FRACTION and number.value > spec.high
        instead = (_with_unit(spec, raw, gallon) if percent else "") or spec.example
        raise RangeError([Mistake("", told(raw), f"{_limit_passed(spec, number.value)} ({spec.doc})", instead)])
    for end in (number.value - number.tolerance, number.value + number.tolerance):
        if number.tolerance and not spec.low - _ROUNDING * abs(spec.low) <= end <= spec.high * (1.0 + _ROUNDING):
            expected = f"{_limit_passed(spec, end)}, its ± included ({spec.doc})"
            raise RangeError([Mistake("", told(raw), expected, spec.example)])
    return number


def _joined(raw: object) -> str:
    """Return a number and its unit that stand in a list as the one text that is meant."""
    if not isinstance(raw, list) or len(raw) != 2 or not isinstance(raw[1], str):
        return ""
    return f'"{raw[0]} {raw[1]}"' if isinstance(raw[0], (int, float)) and raw[1].isprintable() else ""


def _units(spec: Spec, text: str) -> Iterator[str]:
    """Yield the units in which a number may have been meant: inches for a fraction, that of the example, all others."""
    if spec.dimension is Dimension.LENGTH and ("/" in text or not text.isascii()) and "±" not in text:
        yield "in"
    yield _usual_unit(spec)
    yield from listed_units(spec.dimension)


def _possible(spec: Spec, text: str, gallon: Gallon | None) -> bool:
    try:
        return spec.low <= measured(text, spec.dimension, gallon=gallon).value <= spec.high
    except InputError:
        return False


def _completed(spec: Spec, text: str, gallon: Gallon | None) -> tuple[str, str]:
    """Return a quantity with the likeliest unit that makes it possible, and that unit; no unit where it needs none."""
    if not _possible(spec, text, gallon):
        for unit in _units(spec, text):
            if unit and _possible(spec, f"{text} {unit}", gallon):
                return f"{text} {unit}", unit
    return text, ""


def _with_unit(spec: Spec, raw: str | float, gallon: Gallon | None) -> str:
    """Return how to write a number that lacks only its unit; an empty text where more than the unit is wrong."""
    text, unit = _completed(spec, str(raw).strip(), gallon)
    if not unit or _HAS_UNIT.search(str(raw)):
        return ""
    others = len(listed_units(spec.dimension)) > 1 and spec.dimension is not Dimension.FRACTION
    return f'"{text}", or with another unit' if others else f'"{text}"'


def _quoted(instead: str, spec: Spec, gallon: Gallon | None) -> str:
    """Return an advice as a file has it: each quantity with a unit and in quotes; nothing where none is possible."""
    if spec.dimension is Dimension.NUMBER and "±" not in instead:
        return instead
    completed = [_completed(spec, text, gallon)[0] for text in _QUANTITY.findall(instead)]
    if completed and not any(_possible(spec, text, gallon) for text in completed):
        return ""
    left = iter(completed)
    return _QUANTITY.sub(lambda _: f'"{next(left)}"', instead)


def _limit_passed(spec: Spec, value: float) -> str:
    """Return the limits of a number; where they leave out the one that it exceeds, that one alone."""
    told = limits_of(spec)
    word, limit = ("at least", spec.low) if value < spec.low else ("at most", spec.high)
    said = _limit(spec, limit) in told or (told.startswith("more than 0") and value <= 0.0)
    return told if said else f"{word} {show(limit, spec.dimension, digits=6)}"


def _pair(curve: Curve, raw: object, gallon: Gallon | None) -> tuple[float, float]:
    if not isinstance(raw, (list, tuple)) or len(raw) != 2:
        raise InputError([Mistake("", told(raw), f"pairs of {_pair_form(curve)}", _curve_example(curve))])
    x, y = _of_pair(curve.x, raw[0], gallon), _of_pair(curve.y, raw[1], gallon)
    if x.tolerance or y.tolerance:
        raise InputError([Mistake("", f"a tolerance in {told(raw[0])}, {told(raw[1])}", "points without ±")])
    return x.value, y.value


def _of_pair(spec: Spec, raw: object, gallon: Gallon | None) -> Measured:
    """Return one number of a point of a curve; its error advises nothing with ±, which points may not have."""
    try:
        return read_number(spec, raw, gallon)
    except InputError as error:
        bare = [_TOLERANCE.sub("", _TOLERANCE_AND_UNIT.sub(r"\1", each.instead)) for each in error.mistakes]
        raise type(error)(
            [replace(each, instead=text) for each, text in zip(error.mistakes, bare, strict=True)]
        ) from None


def _pair_form(curve: Curve) -> str:
    return f"{curve.x.doc} and {curve.y.doc}"


def _curve_example(curve: Curve) -> str:
    pair = f"[{curve.x.example or '1'}, {curve.y.example or '1'}]"
    return f"[{pair}]" if curve.least == 1 else f"[{pair}, …]"


def _read_curve(curve: Curve, raw: object, gallon: Gallon | None) -> tuple[tuple[float, float], ...]:
    if not isinstance(raw, (list, tuple)):
        expected = f"a list of pairs of {_pair_form(curve)}"
        raise InputError([Mistake("", told(raw), expected, _curve_example(curve))])
    pairs = [raw] if len(raw) == 2 and not any(isinstance(each, (list, tuple)) for each in raw) else raw
    points: list[tuple[float, float]] = []
    mistakes: list[Mistake] = []
    for pair in pairs:
        try:
            points.append(_pair(curve, pair, gallon))
        except InputError as error:
            mistakes.extend(error.mistakes)
    if not mistakes and not curve.least <= len(points) <= (len(points) if curve.most is None else curve.most):
        found = f"{len(points)} point{'s' if len(points) != 1 else ''}"
        expected = f"{curve.wanted()}: {curve.doc}"
        mistakes.append(Mistake("", found, expected, _curve_example(curve)))
    if mistakes:
        raise InputError(mistakes)
    return tuple(points)


def read_field(cls: type[Any], name: str, raw: object, gallon: Gallon | None = None) -> Value:
    """Return the value of one field of a part, an end or the site.

    Parameters
    ----------
    cls : type
        The data class that declares the field.
    name : str
        One of ``specs_of(cls)``.
    raw : object
        What the file says.
    gallon : {"US", "imperial"}, optional
        Which gallon a bare ``gal`` is.

    Returns
    -------
    Measured, tuple of pairs, str or bool
        By the kind of the specification: number, curve, choice or text, flag.

    Raises
    ------
    InputError
        If it is not what the specification wants; the place is left to the caller.

    Examples
    --------
    >>> from hydrokit.parts import Hose
    >>> read_field(Hose, "bore", "3/4 in")
    Measured(value=0.01905, tolerance=0.0)
    """
    spec = specs_of(cls)[name]
    if isinstance(spec, Spec):
        return read_number(spec, raw, gallon)
    if isinstance(spec, Curve):
        return _read_curve(spec, raw, gallon)
    if isinstance(spec, Flag):
        if not isinstance(raw, bool):
            raise InputError([Mistake("", told(raw), f"true or false ({spec.doc})", "true, without quotes")])
        return raw
    if isinstance(spec, Choice):
        words = choices_of(cls, name)
        if raw not in words:
            close = nearest(raw, words) if isinstance(raw, str) and len(raw) <= _SHOWN else ""
            expected = f"one of {', '.join(words)} ({spec.doc})"
            raise InputError([Mistake("", told(raw), expected, f'"{close}"' if close else "")])
        return str(raw)
    return read_text(raw)


def plain(values: Mapping[str, Value]) -> dict[str, Any]:
    """Return the values as a data class takes them: numbers without their tolerances."""
    return {name: value.value if isinstance(value, Measured) else value for name, value in values.items()}


def required(cls: type[Any]) -> tuple[str, ...]:
    """Return the names of the fields that have no default."""
    return tuple(each.name for each in fields(cls) if each.default is MISSING and each.default_factory is MISSING)


def _without_tolerance(value: Value, raw: object) -> Value:
    if isinstance(value, Measured) and value.tolerance:
        expected = "a value without ±; the rig keeps tolerances, by address"
        raise InputError([Mistake("", f"a tolerance in {told(raw)}", expected)])
    return value


def read_fields(cls: type[Made], raw: Mapping[str, object], place: str) -> Made:
    """Return a part, an end, the site or the like, made from what is written about its fields.

    Parameters
    ----------
    cls : type
        The data class that declares the fields.
    raw : mapping of str to object
        As a rig file writes them.
    place : str
        Address in front of the field's name in messages.

    Raises
    ------
    InputError
        If a field is wrong, unknown or missing; every mistake at once.
    """
    specs = specs_of(cls)
    mistakes = Mistakes()
    values: dict[str, Value] = {}
    for key, text in raw.items():
        if key not in specs:
            mistakes.add(f"{place}.{key}", f"the key {key!r}", f"one of {', '.join(specs)}", nearest(key, list(specs)))
            continue
        try:
            values[key] = _without_tolerance(read_field(cls, key, text), text)
        except InputError as error:
            mistakes.found.extend(replace(each, place=f"{place}.{key}") for each in error.mistakes)
    for key in required(cls):
        if key not in raw:
            spec = specs[key]
            example = spec.example if isinstance(spec, Spec) else ""
            mistakes.add(f"{place}.{key}", "nothing", f"{key} ({spec.doc})", example)
    mistakes.settle()
    return cls(**plain(values))


@overload
def read_part(kind: str, /, **fields: object) -> Part: ...
@overload
def read_part(kind: type[Made], /, **fields: object) -> Made: ...
@as_annotated
def read_part(kind: str | type[Any], /, **fields: object) -> Any:
    """Return a part made from texts with units, as a rig file writes them.

    Parameters
    ----------
    kind : str or type
        A kind of part, such as ``"hose"``; or the class itself, such as ``Hose`` or ``Tank``.
    **fields
        Its fields.

    Returns
    -------
    Part
        Or whatever the class makes; frozen, in SI.

    Raises
    ------
    InputError
        If there is no such kind, or a field is wrong, unknown or missing; every mistake at once.

    Examples
    --------
    >>> read_part("hose", length="6 m", bore="3/4 in").bore
    0.01905
    >>> pump = read_part("diaphragm pump", points=[["15 L/min", "0 bar"], ["9 L/min", "2.8 bar"]], cut_out="2.8 bar")
    >>> pump.points[1]
    (0.00015, 280000.0)
    """
    if isinstance(kind, type):
        if not is_dataclass(kind):
            raise InputError([Mistake("kind", f"the class {kind.__name__}", "a part, such as Hose")])
        return read_fields(kind, fields, getattr(kind, "kind", kind.__name__.lower()))
    require_word("kind", kind, PART_KINDS)
    return read_fields(PART_KINDS[kind], fields, kind)
