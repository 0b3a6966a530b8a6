"""From a path or a text to a table: size, encoding, grammar; each refused with its line and what to write instead."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from hydrokit.bounds import nearest
from hydrokit.errors import InputError, Mistake
from hydrokit.files.places import check_bounds
from hydrokit.files.slips import slip_above, slip_in

if TYPE_CHECKING:
    from hydrokit.files.slips import Hint

__all__ = ["LARGEST", "parsed", "text_at"]

LARGEST: Final = 1 << 20
"""Bytes a rig file may have."""

_POSITION: Final = re.compile(r" ?\(at (?:line (\d+), column (\d+)|end of document)\)")
_WINDOW: Final = 200  # characters before and after a mistake that are searched for what was meant
_HALF_LETTER: Final = re.compile("[\ud800-\udfff]")
_KEY: Final = re.compile(r"\s*([\w.-]+)\s*=")
_QUOTED: Final = re.compile(r"'([\w.-]+)'")
_NAMED: Final = re.compile(r"\('(.+)',?\)")
_TWICE: Final = re.compile(r"Cannot overwrite|twice|Duplicate|Cannot (?:mutate|redefine|declare)", re.IGNORECASE)


def _refuse(place: str, found: str, expected: str, instead: str = "", line: int = 0) -> InputError:
    """Return the error; what cannot be printed is spelled out, or not said to be written."""
    instead = instead if instead.isprintable() else ""
    return InputError([Mistake(_spelled(place), _spelled(found), expected, instead, line)])


def _spelled(text: str) -> str:
    return "".join(letter if letter.isprintable() else ascii(letter)[1:-1] for letter in text)


def text_at(path: str | Path, what: str = "a rig file") -> str:
    """Return the text of a file in TOML.

    Parameters
    ----------
    path : str or Path
        A regular file of at most 1 MiB, UTF-8.
    what : str
        What kind of file is expected, for messages.

    Raises
    ------
    InputError
        If there is no such file, or it cannot be one.
    """
    path = Path(path)
    place = str(path)
    try:
        if not path.exists():
            others = [other.name for other in path.parent.glob("*.toml")] if path.parent.is_dir() else []
            close = nearest(path.name, others)
            raise _refuse(place, "no such file", what, str(path.with_name(close)) if close else "")
        if not path.is_file():
            found = "a directory" if path.is_dir() else "neither a file nor a directory"
            raise _refuse(place, found, what)
        with path.open("rb") as file:
            data = file.read(LARGEST + 1)
    except OSError as error:
        raise _refuse(place, (error.strerror or str(error)).lower(), "a file that can be read") from error
    except ValueError as error:
        if isinstance(error, InputError):
            raise
        raise _refuse(place, str(error), "a path") from error
    if len(data) > LARGEST:
        raise _refuse(place, "more than 1 MiB", f"{what} of at most 1 MiB")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        found = f"the byte 0x{data[error.start]:02X}, which is not UTF-8"
        raise _refuse(place, found, "a text file in UTF-8", "it again with the editor set to UTF-8", line) from error


def _twice(message: str, line: str) -> str:
    """Return what is written twice, as it stands in the file."""
    if named := _NAMED.search(message):
        return f"[{'.'.join(named[1].split(chr(39) + ', ' + chr(39)))}]"
    key = _QUOTED.search(message) or _KEY.match(line)
    return key[1] if key else "a key or table"


def _grammar(error: ValueError, text: str, place: str) -> InputError:
    message = str(error)
    position = _POSITION.search(message)
    lines = text.split("\n")
    number, column = (int(position[1]), int(position[2])) if position and position[1] else (len(lines), 0)
    start = max(column - _WINDOW, 0)
    what = _POSITION.sub("", message)
    what = what[:1].lower() + what[1:120]
    if _TWICE.search(what):
        found = f"{_twice(message, lines[number - 1])}, which is written twice"
        return _refuse(place, found, "each key and table once", "the right one only", number)
    number, (found, instead) = _meant(lines, number, slice(start, start + 2 * _WINDOW), message)
    if not found:
        found = f"a line that cannot be read ({what}{f', column {column}' if column else ''})"
    if "integer string conversion" in what:
        found = "a whole number of thousands of digits"
    return _refuse(place, found, "TOML (https://toml.io)", instead, number)


def _meant(lines: list[str], number: int, window: slice, stopped: str) -> tuple[int, Hint]:
    """Return the line at which something is amiss, and what is probably meant there."""
    if len(lines) == 1 and "\r" in lines[0]:
        return 1, ("line ends that are carriage returns alone", "it again with the editor set to line ends of LF")
    elsewhere, hint = slip_above([line[: 2 * _WINDOW] for line in lines], number, stopped)
    return (elsewhere, hint) if hint[0] else (number, slip_in(lines[number - 1][window]))


def parsed(
    text: str, *, place: str = "", what: str = "a rig", example: str = "format = 1 and at least one line"
) -> dict[str, Any]:
    """Return the table that a text in TOML holds.

    Parameters
    ----------
    text : str
        At most 1 MiB when written as UTF-8.
    place : str
        What the text is called in messages: a path, usually.
    what, example : str
        What it should hold, and how that begins, for the message on an empty one.

    Raises
    ------
    InputError
        If it is empty, too large, nested deeply or not TOML.
    """
    if len(text) > LARGEST:
        raise _refuse(place, "more than 1 MiB", "a file of at most 1 MiB")
    if half := _HALF_LETTER.search(text):
        line = text.count("\n", 0, half.start()) + 1
        raise _refuse(place, f"{half[0]}, which is half a letter of UTF-16", "a text in Unicode", line=line)
    text = text.replace("\r\n", "\n")
    if not text.strip():
        raise _refuse(place, "nothing, the file is empty", what, example)
    check_bounds(text, place=place)
    try:
        return tomllib.loads(text)
    except ValueError as error:  # also for numbers and dates that cannot be
        raise _grammar(error, text, place) from error
