"""Bench readings in: a text to readings, or every mistake in it at once, each with its line.

One reading an item, its kind the key: ``{ flow = "5.0 ± 0.2 L/min" }``, ``{ pressure = "1.2 bar", before = "filters" }``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from hydrokit.arguments import as_annotated
from hydrokit.errors import InputError, Mistake
from hydrokit.files.frames import near, printable
from hydrokit.files.noting import Notes
from hydrokit.files.toml import parsed, text_at
from hydrokit.parts.reading import read_number, read_text, told
from hydrokit.rig import GAUGES, Reading

if TYPE_CHECKING:
    from pathlib import Path

    from hydrokit.units import Gallon

__all__ = ["ReadingsFile", "load_readings", "read_readings"]

_KEYS: Final = ("format", "mode", "gallon", "note", "readings")
_SIDES: Final = ("before", "after")
_EXAMPLE: Final = 'readings = [ { flow = "5.0 L/min" }, { vacuum = "35 kPa" } ]'


@dataclass(frozen=True, slots=True)
class ReadingsFile:
    """What a file of readings holds: the mode of the rig in which they were taken, None where it names none, and they."""

    mode: str | None
    readings: tuple[Reading, ...]


def _as_reading(item: dict[str, object]) -> str:
    """Return how to write a reading whose kind is misspelt, or stands as a value of its own."""
    words = [next(iter(item), ""), *(word for word in item.values() if isinstance(word, str))]
    kind = next(filter(None, (near(word, list(GAUGES)) for word in words)), "")
    return f"{kind} = {GAUGES[kind].spec.example}".rstrip(" =") if kind else '{ flow = "5.0 L/min" }'


class _Reader(Notes):
    """Goes through one file, and notes what is wrong as it goes."""

    def __init__(self, text: str, place: str) -> None:
        self.raw = parsed(text, place=place, what="readings", example=_EXAMPLE)
        super().__init__(text)
        self.gallon: Gallon | None = None

    def file(self) -> ReadingsFile:
        for key in self.raw:
            if key not in _KEYS:
                found = f"the key {printable(key)}"
                self.note(Mistake("", found, f"one of {', '.join(_KEYS)}", near(key, _KEYS)), key)
        if self.raw.get("format") != 1 or isinstance(self.raw.get("format"), bool):
            found = told(self.raw["format"]) if "format" in self.raw else "nothing"
            self.note(Mistake("", found, "1, the one format there is", "format = 1"), "format")
        mode = self.word("mode")
        self.word("note")
        if "gallon" in self.raw:
            if self.raw["gallon"] in ("US", "imperial"):
                self.gallon = self.raw["gallon"]
            else:
                self.note(Mistake("", told(self.raw["gallon"]), "US or imperial", 'gallon = "US"'), "gallon")
        items = self.raw.get("readings")
        if not isinstance(items, list) or not items:
            found = "nothing" if items is None else "an empty list" if items == [] else told(items)
            self.note(Mistake("", found, "a list of readings", _EXAMPLE), "readings")
            items = []
        read = [self.reading(item, at) for at, item in enumerate(items)]
        self.settle()
        return ReadingsFile(mode, tuple(reading for reading in read if reading is not None))

    def word(self, key: str) -> str | None:
        """Return a text of the file; None where it states none."""
        if key not in self.raw:
            return None
        try:
            return read_text(self.raw[key])
        except InputError as error:
            self.note(error.mistakes[0], key)
            return None

    def reading(self, item: object, at: int) -> Reading | None:
        """Return one reading; None where something is wrong with it."""
        if not isinstance(item, dict):
            self.note(Mistake("", told(item), "a table", '{ flow = "5.0 L/min" }'), "readings", at)
            return None
        kinds = [key for key in item if key in GAUGES]
        if len(kinds) != 1:
            keys = ", ".join(printable(key) for key in item) or "an empty table"
            found = " and ".join(kinds) or f"{keys} and no kind of reading"
            close = "" if kinds else _as_reading(item)
            self.note(Mistake("", found, f"exactly one of {', '.join(GAUGES)}", close), "readings", at)
            return None
        kind = kinds[0]
        known = {kind, "note", *(_SIDES if kind == "pressure" else ("at",))}
        for key in item:
            if key not in known:
                mistake = Mistake(
                    "", f"the key {printable(key)}", f"one of {', '.join(sorted(known))}", near(key, known)
                )
                self.note(mistake, "readings", at, key, address=f"readings.{kind}")
        words = {
            key: self.place(item, kind, key, at) for key in ("at", "note", *_SIDES) if key in item and key in known
        }
        number = self.number(item[kind], kind, at)
        side = self.side(item, at) if kind == "pressure" else ""
        if number is None or None in words.values() or side is None:
            return None
        line = self.places.line("readings", at)
        value, uncertainty = number
        place = words.get(side if side else "at") or ""
        return Reading(kind=kind, value=value, uncertainty=uncertainty, at=place, side=side, line=line)

    def place(self, item: dict[str, Any], kind: str, key: str, at: int) -> str | None:
        try:
            return read_text(item[key])
        except InputError as error:
            self.note(error.mistakes[0], "readings", at, key, address=f"readings.{kind}.{key}")
            return None

    def side(self, item: dict[str, Any], at: int) -> str | None:
        sides = [side for side in _SIDES if side in item]
        if len(sides) == 1:
            return sides[0]
        found = "both before and after" if sides else "no place"
        expected = "before or after a part, or the filters"
        self.note(Mistake("", found, expected, 'before = "filters"'), "readings", at, address="readings.pressure")
        return None

    def number(self, raw: object, kind: str, at: int) -> tuple[float, float | None] | None:
        """Return a value and the uncertainty stated with it."""
        if kind == "bubbles":
            if isinstance(raw, bool):
                return float(raw), None
            self.note(Mistake("", told(raw), "true or false, without quotes"), "readings", at, kind)
            return None
        try:
            number = read_number(GAUGES[kind].spec, raw, self.gallon)
        except InputError as error:
            for mistake in error.mistakes:
                self.note(mistake, "readings", at, kind)
            return None
        return number.value, number.tolerance or None


def read_readings(text: str, *, place: str = "") -> ReadingsFile:
    """Return the readings that a text holds; what follows ± is one standard deviation.

    Parameters
    ----------
    text : str
        TOML.
    place : str
        What the text is called in messages that are about no single value: its path, usually.

    Raises
    ------
    InputError
        Listing every mistake, with line, what was found, what was expected and what to write instead.

    Examples
    --------
    >>> file = read_readings('''
    ... format = 1
    ... readings = [
    ...   { flow = "5.0 ± 0.2 L/min", at = "near" },
    ...   { vacuum = "35 kPa" },
    ...   { pressure = "1.2 bar", before = "filters" },
    ...   { bubbles = false },
    ... ]
    ... ''')
    >>> file.readings[2]
    Reading(kind='pressure', value=120000.0, uncertainty=None, at='filters', side='before', line=6)
    """
    return _Reader(text, place).file()


@as_annotated
def load_readings(path: str | Path) -> ReadingsFile:
    r"""Return the readings that a file holds.

    Parameters
    ----------
    path : str or Path
        A file of at most 1 MiB, UTF-8.

    Returns
    -------
    ReadingsFile
        The readings, in SI, and what was set while they were taken.

    Raises
    ------
    InputError
        If it cannot be read, or listing every mistake in it.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     path = Path(folder) / "readings.toml"
    ...     _ = path.write_text('format = 1\nreadings = [{ vacuum = "35 kPa" }]', encoding="utf-8")
    ...     load_readings(path).readings[0].value
    35000.0
    """
    return read_readings(text_at(path, "a file of readings"), place=str(path))
