"""Values to try in turn: single ones, and ranges by step or by count, as text or as numbers.

One text holds any number of items with commas between::

    13 mm, 16 mm, 19 mm
    0.5 m to 3 m step 0.25 m
    0.5 m to 3 m in 11

A range starts at its first value. By step it goes on while it does not pass the last; by count the values lie evenly,
both ends among them. Values of a range are worked out as decimal fractions, so that steps of 0.1 mm lead to 13.3 mm and
to nothing beside it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction
from itertools import chain
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.bounds import Dimension, Spec, require
from hydrokit.errors import InputError, Mistake, RangeError
from hydrokit.parts.reading import read_number, told
from hydrokit.units import show

if TYPE_CHECKING:
    from hydrokit.bounds import Array

__all__ = ["read_values"]

_MOST_VALUES: Final = 1_000_000
"""Values that one address may take; more are a slip of the pen."""
_RANGE: Final = re.compile(r"(?P<first>.+?)\s+to\s+(?P<last>.+?)(?:\s+step\s+(?P<step>.+)|\s+in\s+(?P<count>\d+))")
_HALF_RANGE: Final = re.compile(r"(^|\s)(to|step)(\s|$)|\.\.|…")
_EXAMPLE: Final = "a first and a last value and how to go on: 0.5 m to 3 m step 0.25 m, or 0.5 m to 3 m in 11"
_ROUNDING: Final = 1e-9
"""Share of a step by which a range may miss its last value and still have it among them."""
_DIFFERENCES: Final = {
    Dimension.TEMPERATURE: Dimension.TEMPERATURE_DIFFERENCE,
    Dimension.GAUGE_PRESSURE: Dimension.PRESSURE_DROP,
    Dimension.ABSOLUTE_PRESSURE: Dimension.PRESSURE_DROP,
    Dimension.VACUUM: Dimension.PRESSURE_DROP,
}


def _number(spec: Spec, raw: object) -> float:
    try:
        number = read_number(spec, raw)
    except InputError as error:
        raise type(error)([replace(each, instead=each.instead.replace('"', "")) for each in error.mistakes]) from None
    if number.tolerance:
        raise InputError([Mistake("", f"a tolerance in {told(raw)}", "values without ±")])
    return number.value


def _step_spec(spec: Spec) -> Spec:
    dimension = _DIFFERENCES.get(spec.dimension, spec.dimension)
    return Spec(dimension, "from one value to the next")


def _decimal(value: float) -> Fraction:
    """Return a number as its shortest decimal fraction, which is what was meant."""
    return Fraction(repr(value))


def _by_step(text: str, spec: Spec, first: float, last: float, step: float) -> list[float]:
    dimension = _step_spec(spec).dimension
    if step == 0.0:
        raise InputError([Mistake("", f"a step of nothing in {text!r}", "a step that leads to the last value")])
    if (last - first) * step < 0.0:
        turned = show(-step, dimension)
        raise InputError(
            [Mistake("", f"a step away from the last value in {text!r}", "one that leads to it", f"step {turned}")]
        )
    count = (last - first) / step
    if count >= _MOST_VALUES:
        raise _too_many(f"{count:.3g} values in {text!r}")
    return [float(_decimal(first) + place * _decimal(step)) for place in range(int(count + _ROUNDING) + 1)]


def _by_count(text: str, first: float, last: float, count: int) -> list[float]:
    if count < 2:
        raise InputError([Mistake("", f"{count} in {text!r}", "at least 2 values, the first and the last")])
    if count > _MOST_VALUES:
        raise _too_many(f"{count} values in {text!r}")
    step = (_decimal(last) - _decimal(first)) / (count - 1)
    return [float(_decimal(first) + place * step) for place in range(count)]


def _too_many(found: str) -> RangeError:
    return RangeError([Mistake("", found, f"at most {_MOST_VALUES} for one address")])


def _read_item(spec: Spec, item: str) -> list[float]:
    match = _RANGE.fullmatch(item)
    if match is None:
        if not item:
            raise InputError([Mistake("", "nothing between two commas", "a value, or a range")])
        if _HALF_RANGE.search(item):
            raise InputError([Mistake("", repr(item), _EXAMPLE)])
        return [_number(spec, item)]
    first, last = _number(spec, match["first"]), _number(spec, match["last"])
    if match["count"] is not None:
        return _by_count(item, first, last, int(match["count"][:20]))
    return _by_step(item, spec, first, last, _number(_step_spec(spec), match["step"]))


def _from_text(spec: Spec, text: str) -> list[float]:
    if not text.strip():
        raise InputError([Mistake("", "no value at all", f"values with commas between, or {_EXAMPLE}")])
    found: list[float] = []
    mistakes: list[Mistake] = []
    for item in text.split(","):
        try:
            found += _read_item(spec, " ".join(item.split()))
        except InputError as error:
            mistakes += error.mistakes
    if mistakes:
        raise InputError(mistakes)
    return found


def _from_number(spec: Spec, raw: Any) -> list[float]:
    """Return a plain number, which is SI, as every number inside the library."""
    if isinstance(raw, (bool, np.bool_)):
        raise InputError([Mistake("", told(bool(raw)), f"a number: {spec.doc}")])
    try:
        return [float(raw)]
    except (TypeError, ValueError, OverflowError):
        raise InputError([Mistake("", f"{type(raw).__name__} {str(raw)[:40]!r}", f"a number: {spec.doc}")]) from None


def _gathered(spec: Spec, raw: object) -> list[float] | Array:
    if isinstance(raw, str):
        return _from_text(spec, raw)
    if isinstance(raw, np.ndarray):
        if raw.dtype.kind in "fiu":
            return np.array(raw, np.float64).ravel()
        raw = raw.ravel().tolist()
    if isinstance(raw, Iterable):
        each = (_from_text(spec, item) if isinstance(item, str) else _from_number(spec, item) for item in raw)
        return list(chain.from_iterable(each))
    return _from_number(spec, raw)


def _twice(values: Array) -> Array:
    ordered = np.sort(values)
    double: Array = ordered[1:][ordered[1:] == ordered[:-1]]
    return double


def read_values(spec: Spec, raw: object) -> Array:
    """Return the values that one address is to take in turn, SI, in the order in which they are written.

    Parameters
    ----------
    spec : Spec
        What each may be.
    raw : str, float or iterable of them
        Numbers are SI; texts have units, and may hold several values and ranges.

    Returns
    -------
    array, shape (n,)

    Raises
    ------
    InputError
        If a text cannot be read, a value is not possible or stands there twice, or there is none; the place is left to
        the caller.

    Examples
    --------
    >>> bore = Spec(Dimension.LENGTH, "of a hose", low=1e-4, high=3.0)
    >>> read_values(bore, "13 mm, 3/4 in, 20 mm to 30 mm step 5 mm").tolist()
    [0.013, 0.01905, 0.02, 0.025, 0.03]
    >>> read_values(bore, "10 mm to 20 mm in 3").tolist()
    [0.01, 0.015, 0.02]
    """
    values = np.array(_gathered(spec, raw), np.float64)
    if not values.size:
        raise InputError([Mistake("", "no value at all", "at least one")])
    if values.size > _MOST_VALUES:
        raise _too_many(f"{values.size} values")
    require("", values, spec.low, spec.high, spec.dimension.si_unit)
    double = _twice(values)
    if double.size:
        raise InputError([Mistake("", f"{show(double[0], spec.dimension)} twice", "each value once")])
    return values
