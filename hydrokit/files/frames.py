"""The tables of a rig file that hold others, key by key: the file itself, a line, a mode; and what a name may be."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final, TypeAlias

from hydrokit.bounds import nearest
from hydrokit.errors import InputError, Mistake
from hydrokit.parts.reading import read_text, told
from hydrokit.rig import Line, Mode, Rig

__all__ = ["FRAMES", "Frame", "check_name", "is_name", "near", "printable"]

Reader: TypeAlias = Callable[[object], object]

_NAME: Final = re.compile(r"[\w-]{1,60}")
_LONGEST_WORD: Final = 60


def near(word: str, words: tuple[str, ...] | list[str] | set[str]) -> str:
    """Return the nearest of the words, or an empty text; a very long word is near nothing."""
    return nearest(word, words) if len(word) <= _LONGEST_WORD else ""


def is_name(raw: object) -> bool:
    """Return whether something is a name that can stand in an address."""
    return isinstance(raw, str) and _NAME.fullmatch(raw) is not None


def check_name(raw: object) -> str:
    """Return a name that can stand in an address.

    Raises
    ------
    InputError
        If it holds anything but letters, digits, ``-`` and ``_``.
    """
    if not is_name(raw):
        instead = re.sub(r"[^\w-]+", "-", raw).strip("-")[:_LONGEST_WORD] if isinstance(raw, str) else ""
        raise InputError([Mistake("", printable(raw), "a name of 1 to 60 letters, digits, - and _", instead)])
    return str(raw)


def printable(raw: object) -> str:
    """Return in a few words what was read, control characters escaped."""
    text = told(raw)  # repr has escaped what cannot be printed
    return text if text.isprintable() else ascii(text)


def _table(raw: object) -> object:
    if not isinstance(raw, dict):
        raise InputError([Mistake("", told(raw), "a table of keys and values")])
    return raw


def _list(raw: object) -> object:
    if not isinstance(raw, list):
        raise InputError([Mistake("", told(raw), "a list in square brackets")])
    return raw


def _addresses(raw: object) -> object:
    if not isinstance(raw, list) or not all(isinstance(each, str) for each in raw):
        found = told(raw) if not isinstance(raw, list) else "a list that holds other things than texts"
        instead = f'["{raw}"]' if isinstance(raw, str) and raw.isprintable() else '["lines.to-tap"]'
        raise InputError([Mistake("", found, "a list of addresses", instead)])
    return raw


def _way_in(raw: object) -> object:
    if raw not in ("top", "bottom"):
        raise InputError([Mistake("", told(raw), "top or bottom", near(str(raw), ("top", "bottom")) or "bottom")])
    return raw


def _format(raw: object) -> object:
    if type(raw) is not int or raw != 1:
        raise InputError([Mistake("", told(raw), "1, the one format there is", "format = 1")])
    return raw


def _gallon(raw: object) -> object:
    if raw not in ("US", "imperial"):
        close = near(raw, ["US", "imperial"]) if isinstance(raw, str) else ""
        raise InputError([Mistake("", told(raw), "US or imperial", f'"{close}"' if close else "")])
    return raw


@dataclass(frozen=True)
class Frame:
    """One table that holds others: for each key what reads it, what it means and an example; which keys are required."""

    keys: dict[str, tuple[Reader, str, str]]
    required: frozenset[str]


FRAMES: Final[dict[type[Any], Frame]] = {
    Rig: Frame(
        {
            "format": (_format, "version of the rig file's format", "format = 1"),
            "title": (read_text, "what the rig is called", 'title = "Mill-pond trailer"'),
            "note": (read_text, "anything worth remembering", ""),
            "gallon": (_gallon, "which gallon a bare gal is: US or imperial", 'gallon = "US"'),
            "site": (_table, "where the rig stands and what water it draws", "[site]"),
            "sources": (_table, "where water comes from", "[sources.pond]"),
            "tanks": (_table, "where it is kept", "[tanks.near]"),
            "outlets": (_table, "where it leaves into the air", "[outlets.tap]"),
            "joints": (_table, "where lines meet, if there is more to say", "[joints.split]"),
            "parts": (_table, "parts described once, used by name in lines", "[parts.lift-pump]"),
            "lines": (_table, "runs of parts between two ends", "[lines.intake]"),
            "modes": (_table, "ways of using the rig; the first is the default", "[modes.filling]"),
            "targets": (_table, "log reductions wanted of the water", "[targets]"),
            "vehicle": (_table, "what carries the rig, on two supports", "[vehicle]"),
            "loads": (_table, "what else the vehicle carries", "[loads.battery]"),
            "batteries": (_table, "what drives the pumps", "[batteries.main]"),
        },
        frozenset({"format", "lines"}),
    ),
    Line: Frame(
        {
            "from": (check_name, "the end where the water comes in", 'from = "pond"'),
            "to": (check_name, "the end where it goes", 'to = "near"'),
            "enters": (
                _way_in,
                "how it enters the tank it ends in, if not by the tank's own inlet",
                'enters = "bottom"',
            ),
            "parts": (_list, "in the order the water meets them", "parts = [ { … }, ]"),
            "note": (read_text, "anything worth remembering", ""),
        },
        frozenset({"from", "to"}),
    ),
    Mode: Frame(
        {
            "closed": (_addresses, "addresses of the lines that are shut", 'closed = ["lines.to-tap"]'),
            "off": (_addresses, "addresses of the pumps that stand still", 'off = ["lines.to-tap.tap-pump"]'),
            "set": (_table, "values that differ, by address", 'set = { "tanks.near.level" = "0.1 m" }'),
            "note": (read_text, "anything worth remembering", ""),
        },
        frozenset(),
    ),
}
