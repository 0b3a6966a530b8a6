"""What a value may be: dimensions, specifications of fields, range checks and the collector of mistakes.

A field of a part is declared once, as ``Annotated[float, Spec(...)]``. The check in the part, the model of the
rig file, the JSON Schema, the reference page and the limits of the solver's columns all derive from that.
Limits refuse only the impossible; what is merely unusual for a rig is a finding.
"""

from __future__ import annotations

import math
import reprlib
from dataclasses import dataclass, field, fields
from enum import StrEnum
from typing import TYPE_CHECKING, Annotated, Any, Final, Literal, TypeAlias, get_args, get_origin, get_type_hints

import numpy as np
import numpy.typing as npt

from hydrokit.errors import InputError, Mistake, RangeError

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = [
    "Array",
    "Choice",
    "Curve",
    "Dimension",
    "FieldSpec",
    "Flag",
    "Mistakes",
    "Real",
    "Spec",
    "Text",
    "check_fields",
    "choices_of",
    "nearest",
    "nearest_few",
    "number_of",
    "pairs_of_numbers",
    "require",
    "require_word",
    "specs_of",
]

Array: TypeAlias = npt.NDArray[np.float64]
Real: TypeAlias = float | Array
"""A float, or a float64 array whose first axis is the variant; a float in gives a float out."""


class Dimension(StrEnum):
    """What kind of quantity a value is; ``hydrokit.units`` lists the units it may be written in.

    Examples
    --------
    >>> Dimension.FLOW.si_unit
    'm^3/s'
    """

    NUMBER = "number"
    FRACTION = "fraction"
    ANGLE = "angle"
    LENGTH = "length"
    AREA = "area"
    WIRE_AREA = "wire cross-section"
    VOLUME = "volume"
    FLOW = "flow"
    FLOW_COEFFICIENT = "flow coefficient"
    VELOCITY = "velocity"
    TIME = "time"
    ROTATION = "rotation speed"
    MASS = "mass"
    MASS_PER_LENGTH = "mass per length"
    DENSITY = "density"
    VISCOSITY = "dynamic viscosity"
    PRESSURE_DROP = "pressure drop"
    GAUGE_PRESSURE = "gauge pressure"
    ABSOLUTE_PRESSURE = "absolute pressure"
    VACUUM = "vacuum"
    TEMPERATURE = "temperature"
    TEMPERATURE_DIFFERENCE = "temperature difference"
    VOLTAGE = "voltage"
    CURRENT = "current"
    RESISTANCE = "electrical resistance"
    POWER = "power"
    ENERGY = "energy"
    CHARGE = "electric charge"
    ENERGY_PER_VOLUME = "energy per volume"
    CHARGE_PER_VOLUME = "electric charge per volume"
    TURBIDITY = "turbidity"
    CONCENTRATION = "concentration"
    DOSE = "ultraviolet dose"
    FORCE = "force"

    @property
    def si_unit(self) -> str:
        """The SI unit, ``1`` where it has none."""
        return _SI_UNITS[self]


_SI_UNITS: Final[dict[Dimension, str]] = {
    Dimension.NUMBER: "1",
    Dimension.FRACTION: "1",
    Dimension.ANGLE: "rad",
    Dimension.LENGTH: "m",
    Dimension.AREA: "m^2",
    Dimension.WIRE_AREA: "m^2",
    Dimension.VOLUME: "m^3",
    Dimension.FLOW: "m^3/s",
    Dimension.FLOW_COEFFICIENT: "m^3/s at 1 bar",
    Dimension.VELOCITY: "m/s",
    Dimension.TIME: "s",
    Dimension.ROTATION: "rad/s",
    Dimension.MASS: "kg",
    Dimension.MASS_PER_LENGTH: "kg/m",
    Dimension.DENSITY: "kg/m^3",
    Dimension.VISCOSITY: "Pa s",
    Dimension.PRESSURE_DROP: "Pa",
    Dimension.GAUGE_PRESSURE: "Pa",
    Dimension.ABSOLUTE_PRESSURE: "Pa",
    Dimension.VACUUM: "Pa",
    Dimension.TEMPERATURE: "K",
    Dimension.TEMPERATURE_DIFFERENCE: "K",
    Dimension.VOLTAGE: "V",
    Dimension.CURRENT: "A",
    Dimension.RESISTANCE: "ohm",
    Dimension.POWER: "W",
    Dimension.ENERGY: "J",
    Dimension.CHARGE: "C",
    Dimension.ENERGY_PER_VOLUME: "J/m^3",
    Dimension.CHARGE_PER_VOLUME: "C/m^3",
    Dimension.TURBIDITY: "NTU",
    Dimension.CONCENTRATION: "kg/m^3",
    Dimension.DOSE: "J/m^2",
    Dimension.FORCE: "N",
}


@dataclass(frozen=True, slots=True)
class Spec:
    """What one number may be: dimension, limits (SI, both ends allowed), meaning and source of its default."""

    dimension: Dimension
    doc: str
    low: float = -math.inf
    high: float = math.inf
    source: str = ""
    example: str = ""


@dataclass(frozen=True, slots=True)
class Curve:
    """Pairs of numbers, such as flow against pressure; at least ``least`` of them, at most ``most`` unless that is None."""

    x: Spec
    y: Spec
    doc: str
    least: int = 2
    most: int | None = None

    def wanted(self) -> str:
        """Return how many points it takes, in words."""
        if self.most == self.least:
            return "one pair" if self.least == 1 else f"{self.least} points"
        return f"at least {self.least} point{'s' if self.least != 1 else ''}"


@dataclass(frozen=True, slots=True)
class Choice:
    """One word out of those that the field's ``Literal`` lists."""

    doc: str


@dataclass(frozen=True, slots=True)
class Text:
    """Free text."""

    doc: str


@dataclass(frozen=True, slots=True)
class Flag:
    """True or false."""

    doc: str


FieldSpec: TypeAlias = Spec | Curve | Choice | Text | Flag
_SHORT_WORD: Final = 5
_CLOSE_SHORT: Final = 0.62  # likeness that counts as close, 0 to 1, for words of _SHORT_WORD letters or fewer
_CLOSE: Final = 0.7  # for longer words, which share letters by chance
_SPECS: Final[dict[type[Any], dict[str, FieldSpec]]] = {}  # reading annotations is slow
_CHOICES: Final[dict[tuple[type[Any], str], tuple[str, ...]]] = {}


def specs_of(cls: type[Any]) -> dict[str, FieldSpec]:
    """Return the specification of each annotated field of a data class, in the order of declaration."""
    if cls in _SPECS:
        return _SPECS[cls]
    found: dict[str, FieldSpec] = {}
    for name, hint in get_type_hints(cls, include_extras=True).items():
        candidates = [hint, *get_args(hint)] if get_origin(hint) is not Annotated else [hint]
        for candidate in candidates:
            if get_origin(candidate) is Annotated:
                marks = [mark for mark in get_args(candidate)[1:] if isinstance(mark, FieldSpec)]
                if marks:
                    found[name] = marks[0]
    _SPECS[cls] = found
    return found


def choices_of(cls: type[Any], name: str) -> tuple[str, ...]:
    """Return the words that a ``Choice`` field accepts."""

    def words(hint: Any) -> tuple[str, ...]:
        if get_origin(hint) is Literal:
            return tuple(str(word) for word in get_args(hint))
        return tuple(word for inner in get_args(hint) for word in words(inner))

    if (cls, name) not in _CHOICES:
        _CHOICES[cls, name] = words(get_type_hints(cls, include_extras=True)[name])
    return _CHOICES[cls, name]


@dataclass(slots=True)
class Mistakes:
    """Collects everything that is wrong, so that it can be told in one go."""

    found: list[Mistake] = field(default_factory=list)

    def add(self, place: str, found: str, expected: str, instead: str = "", line: int = 0) -> None:
        """Note one mistake."""
        self.found.append(Mistake(place, found, expected, instead, line))

    def extend(self, error: InputError) -> None:
        """Take over the mistakes another check has raised."""
        self.found.extend(error.mistakes)

    def settle(self, error: type[InputError] = InputError) -> None:
        """Raise if anything was noted.

        Raises
        ------
        InputError
            Of the class given, carrying every mistake noted so far.
        """
        if self.found:
            raise error(self.found)


def _tail(unit: str) -> str:
    return "" if unit in {"", "1"} else f" {unit}"


def _range_text(low: float, high: float, unit: str) -> str:
    unit = _tail(unit)
    if math.isinf(low) and math.isinf(high):
        return "a finite number"
    if math.isinf(high):
        return f"at least {low:g}{unit}"
    if math.isinf(low):
        return f"at most {high:g}{unit}"
    return f"{low:g} to {high:g}{unit}"


def require(name: str, value: Real, low: float, high: float, unit: str = "") -> None:
    """Refuse a value outside its limits, NaN and infinity included.

    Parameters
    ----------
    name : str
        The argument's name, for the message.
    value : float or array
        In SI units.
    low, high : float
        Both ends are allowed.
    unit : str
        SI unit, for the message; none, or ``1``, for plain numbers.

    Raises
    ------
    RangeError
        If any element is outside or not finite.
    """
    if type(value) is float and low <= value <= high and math.isfinite(value):
        return  # by far the most frequent case; this way is twenty times as fast
    try:
        values = np.asarray(value, dtype=np.float64)
    except (TypeError, ValueError, OverflowError) as error:
        raise RangeError([Mistake(name, repr(value), "a number, or an array of numbers")]) from error
    bad = ~((values >= low) & (values <= high) & np.isfinite(values))
    if bad.any():
        worst = float(values[bad].flat[0]) if values.ndim else float(values)
        raise RangeError([Mistake(name, f"{worst:g}{_tail(unit)}", _range_text(low, high, unit))])


def require_word(name: str, word: object, known: Iterable[str]) -> None:
    """Refuse a word that is not listed, naming the nearest that is.

    Raises
    ------
    InputError
        If it is none of them.
    """
    words = tuple(known)
    if not isinstance(word, str) or word not in words:
        raise InputError([Mistake(name, repr(word), f"one of {', '.join(words)}", nearest(str(word), words))])


def number_of(value: object) -> float | None:
    """Return a number as a float, infinite where it is too large for one; None where it is no number, or True or False."""
    if isinstance(value, bool) or not isinstance(value, (int, float, np.floating, np.integer)):
        return None
    try:
        return float(value)
    except OverflowError:
        return math.inf if value > 0 else -math.inf


def pairs_of_numbers(place: str, pairs: Iterable[object]) -> Array:
    """Return pairs of numbers as an array of shape (n, 2).

    NaN and infinity pass, and a number too large for a float becomes infinite: the caller says what may be.

    Raises
    ------
    RangeError
        Listing every pair that is not one of two numbers.

    Examples
    --------
    >>> pairs_of_numbers("points", [(0, 12.0), (0.001, 8.0)])
    array([[0.e+00, 1.2e+01],
           [1.e-03, 8.e+00]])
    """
    mistakes = Mistakes()
    rows: list[list[float]] = []
    for pair in pairs:
        found = [number_of(each) for each in pair] if isinstance(pair, tuple | list) else []
        numbers = [number for number in found if number is not None]
        if len(found) == len(numbers) == 2:
            rows.append(numbers)
        else:
            mistakes.add(place, reprlib.repr(pair), "a pair of numbers")
    mistakes.settle(RangeError)
    return np.array(rows, np.float64).reshape(-1, 2)


def _check_number(place: str, value: object, spec: Spec, mistakes: Mistakes) -> None:
    number = number_of(value)
    if number is None:
        mistakes.add(place, repr(value), f"a number: {spec.doc}", spec.example)
    elif not (spec.low <= number <= spec.high and math.isfinite(number)):
        unit = spec.dimension.si_unit
        expected = f"{_range_text(spec.low, spec.high, unit)} ({spec.doc})"
        mistakes.add(place, f"{number:g}{_tail(unit)}", expected, spec.example)


def _check_curve(place: str, value: object, spec: Curve, mistakes: Mistakes) -> tuple[tuple[float, float], ...] | None:
    """Note what is wrong with a curve; return it as tuples of pairs where it is made of pairs at all."""
    try:
        points = tuple((x, y) for x, y in value)  # type: ignore[attr-defined]  # what is not iterable is caught below
    except (TypeError, ValueError):
        mistakes.add(place, repr(value), f"pairs of numbers: {spec.doc}")
        return None
    if not spec.least <= len(points) <= (len(points) if spec.most is None else spec.most):
        found = f"{len(points)} point{'s' if len(points) != 1 else ''}"
        mistakes.add(place, found, f"{spec.wanted()}: {spec.doc}")
    for x, y in points:
        _check_number(place, x, spec.x, mistakes)
        _check_number(place, y, spec.y, mistakes)
    return points


def _check_word(place: str, value: object, words: tuple[str, ...], mistakes: Mistakes) -> None:
    if not isinstance(value, str) or value not in words:
        mistakes.add(place, repr(value), f"one of {', '.join(words)}", nearest(str(value), words))


def _check_field(place: str, instance: object, name: str, spec: FieldSpec, mistakes: Mistakes) -> None:
    value = getattr(instance, name)
    if isinstance(spec, Spec):
        _check_number(place, value, spec, mistakes)
    elif isinstance(spec, Curve):
        points = _check_curve(place, value, spec, mistakes)
        if points is not None and not isinstance(value, tuple):
            object.__setattr__(instance, name, points)  # frozen data holds no list
    elif isinstance(spec, Choice):
        _check_word(place, value, choices_of(type(instance), name), mistakes)
    elif isinstance(spec, Flag):
        if not isinstance(value, bool):
            mistakes.add(place, repr(value), f"True or False: {spec.doc}")
    elif not isinstance(value, str):
        mistakes.add(place, repr(value), f"text: {spec.doc}")


def check_fields(instance: object, place: str = "") -> None:
    """Refuse a data class whose annotated fields are outside their specifications.

    None passes where it is the field's default, which means that the field may be left out. A curve given as a list
    becomes a tuple.

    Raises
    ------
    RangeError
        Listing every field that is wrong.
    """
    mistakes = Mistakes()
    cls: type[Any] = type(instance)
    specs = specs_of(cls)
    for item in fields(cls):
        spec = specs.get(item.name)
        if spec is None or (item.default is None and getattr(instance, item.name) is None):
            continue
        _check_field(f"{place}.{item.name}" if place else item.name, instance, item.name, spec, mistakes)
    mistakes.settle(RangeError)


def nearest(word: str, words: Iterable[str]) -> str:
    """Return the listed word closest in spelling, or an empty text where none is close.

    Examples
    --------
    >>> nearest("membrain", ["sediment", "membrane"])
    'membrane'
    """
    return next(iter(nearest_few(word, words, 1)), "")


def nearest_few(word: str, words: Iterable[str], most: int) -> list[str]:
    """Return the listed words that are close in spelling, the closest first.

    Close is a listed word that shares most of its letters, that contains the word typed, or that begins with the same
    five letters.

    Parameters
    ----------
    word : str
        As typed.
    words : iterable of str
        Those that there are.
    most : int
        How many to return at most.

    Examples
    --------
    >>> nearest_few("pressure", ["pressure_rating", "pressure_drop", "bore"], 3)
    ['pressure_drop', 'pressure_rating']
    >>> nearest_few("divides", ["joining", "dividing"], 3)
    ['dividing']
    >>> nearest_few("frobnicate", ["front", "carbonate"], 3)
    []
    """
    from difflib import get_close_matches

    lowered, typed = {listed.lower(): listed for listed in words}, word.lower()
    cutoff = _CLOSE_SHORT if len(typed) <= _SHORT_WORD else _CLOSE
    close = get_close_matches(typed, list(lowered), n=most, cutoff=cutoff)
    holding = [listed for listed in lowered if len(typed) >= _SHORT_WORD - 1 and typed in listed]
    alike = [listed for listed in lowered if len(typed) >= _SHORT_WORD and listed.startswith(typed[:_SHORT_WORD])]
    return [lowered[each] for each in dict.fromkeys([*close, *sorted(holding, key=len), *sorted(alike, key=len)])][
        :most
    ]
