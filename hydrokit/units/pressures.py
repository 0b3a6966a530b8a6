"""Gauge, absolute and vacuum: what a pressure counts from, and which dimension takes which.

Gauge pressure counts from the air outside and is negative in suction. Absolute pressure counts from empty space.
Vacuum is the depth below the air outside and is positive. A drop is the difference of two pressures and has no mark.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from hydrokit.bounds import Dimension
from hydrokit.errors import Mistake, UnitError
from hydrokit.units.spelling import find_unit

if TYPE_CHECKING:
    from hydrokit.units.unit import Unit

__all__ = ["MARKS", "OWN_MARKS", "find_pressure", "from_mark"]

MARKS: Final[dict[Dimension, str]] = {Dimension.ABSOLUTE_PRESSURE: "absolute", Dimension.VACUUM: "vacuum"}
"""The word that must stand behind a unit so that the text says what it is."""

OWN_MARKS: Final = MARKS | {Dimension.GAUGE_PRESSURE: "gauge"}
"""The word that may stand behind a unit of each."""

_WORDS: Final = re.compile(
    r"(?P<base>.+?) ?(?P<open>\(?)(?P<mark>gauge|gage|absolute|abs|vacuum|vac|g|a)\.?\)?", re.IGNORECASE
)
_MEANING: Final = {"gauge": "gauge", "gage": "gauge", "g": "gauge", "absolute": "absolute", "abs": "absolute"}
_MEANING.update({"a": "absolute", "vacuum": "vacuum", "vac": "vacuum"})


def find_pressure(word: str) -> tuple[Unit | None, str]:
    """Return the listed pressure unit in a word such as ``psig`` or ``bar absolute``, and its mark or an empty text."""
    unit = find_unit(word, Dimension.PRESSURE_DROP)
    if unit is not None:
        return unit, ""
    match = _WORDS.fullmatch(word)
    if match is None:
        return None, ""
    unit = find_unit(match["base"], Dimension.PRESSURE_DROP)
    return unit, _MEANING[match["mark"].lower()] if unit is not None else ""


def _refuse(found: str, expected: str, instead: str) -> UnitError:
    return UnitError([Mistake("", found, expected, instead)])


def _gauge(value: float, mark: str, text: str) -> float:
    if mark == "absolute":
        raise _refuse(
            f"{text!r}, an absolute pressure",
            "a gauge pressure, which counts from the air outside and is lower by the air pressure "
            "(1.013 bar at sea level)",
            "what a gauge would read there, such as 2.8 bar",
        )
    return -value if mark == "vacuum" else value


def _absolute(value: float, mark: str, text: str) -> float:
    if mark != "absolute":
        kind = {"gauge": "a gauge pressure", "vacuum": "a vacuum"}.get(mark, "which does not say what it counts from")
        raise _refuse(
            f"{text!r}, {kind}",
            "an absolute pressure, which counts from empty space and says so (101.3 kPa absolute is air at sea level)",
            f"{text} absolute, if it is that" if not mark else "101.3 kPa absolute, for instance",
        )
    return value


def _drop(value: float, mark: str, text: str) -> float:
    if mark:
        raise _refuse(
            f"{text!r}, marked {mark}",
            "a pressure drop: the difference of two pressures, neither gauge nor absolute nor vacuum",
            "18 kPa, for instance",
        )
    return value


def _vacuum(value: float, mark: str, text: str) -> float:
    expected = "a vacuum: how far the pressure is below the air outside"
    if mark == "absolute":
        raise _refuse(f"{text!r}, an absolute pressure", expected, "0.6 bar vacuum or -0.6 bar gauge, for instance")
    if mark == "gauge" and value > 0:
        raise _refuse(f"{text!r}, which is above the air outside", expected, f"-{text.lstrip('+')}, if it is suction")
    return abs(value)


_RULES: Final = {
    Dimension.GAUGE_PRESSURE: _gauge,
    Dimension.ABSOLUTE_PRESSURE: _absolute,
    Dimension.PRESSURE_DROP: _drop,
    Dimension.VACUUM: _vacuum,
}


def from_mark(value: float, mark: str, dimension: Dimension, text: str) -> float:
    """Return a pressure as its dimension counts it.

    Parameters
    ----------
    value : float
        As written. [Pa]
    mark : str
        ``gauge``, ``absolute``, ``vacuum`` or empty.
    dimension : Dimension
        One of the four pressures.
    text : str
        What was written, for the message.

    Raises
    ------
    UnitError
        If the mark does not belong to the dimension, or a vacuum is below zero.
    """
    if mark == "vacuum" and value < 0:
        unsigned = text.lstrip("- ")
        raise _refuse(f"{text!r}", "the depth of a vacuum, without a minus sign", unsigned)
    return _RULES[dimension](value, mark, text)
