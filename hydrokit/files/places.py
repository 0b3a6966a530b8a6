"""Where things stand in the text of a rig file: the line of every table, key and item of a list.

The parser of the standard library tells values only. This scanner tells places; it reads text that the parser has
already accepted, so it may trust the grammar (TOML 1.0, https://toml.io/en/v1.0.0). :func:`check_bounds` comes before
the parser and therefore trusts nothing.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from typing import Final, TypeAlias

from hydrokit.errors import InputError, Mistake

__all__ = ["DEEPEST", "MOST_VALUES", "Places", "check_bounds"]

Path: TypeAlias = tuple[str | int, ...]

DEEPEST: Final = 32
"""Brackets within brackets, or parts of a dotted key, that a rig file may have."""
MOST_VALUES: Final = 100_000
"""Values with a comma behind them that a file may have; the parser takes a second for a few times as many."""

_STRING: Final = (
    r'"""(?:[^\\]|\\.)*?"{3,5}'
    r"|'''.*?'{3,5}"
    r'|"(?!"")(?:[^"\\\n]|\\.)*"'
    r"|'(?!'')[^'\n]*'"
)
_TOKENS: Final = re.compile(rf"(?P<string>{_STRING})|(?P<torn>[\"'])|(?P<comment>#[^\n]*)|[\[\]{{}}=,.\n]", re.DOTALL)
_BLANK: Final = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACE: Final = re.compile(r"[ \t]*")
_WORD: Final = re.compile(rf"{_STRING}|[A-Za-z0-9_-]+", re.DOTALL)
_NUMBERS: Final = re.compile(r"\[[0-9,. \t\r\n_+-]{1000,}\]")
"""A very long list of numbers alone, of which nobody asks where each stands."""
_SCALAR: Final = re.compile(rf"{_STRING}|[^,\]}}#\r\n]+", re.DOTALL)


def check_bounds(text: str, *, place: str = "") -> None:
    """Refuse text nested so deeply, or with so many values, that parsing it could exhaust the stack or take for ever.

    Raises
    ------
    InputError
        If brackets or dotted keys go deeper than ``DEEPEST``, or there are more than ``MOST_VALUES`` between commas.
    """
    depth = dots = commas = 0
    for token in _TOKENS.finditer(text):
        word = token.group()
        if token["torn"]:  # a string without an end: the parser says so, and reads no further either
            return
        depth += (word in "[{") - (word in "]}") if len(word) == 1 else 0
        commas += word == ","
        if word == ".":
            dots += 1
        elif not token["string"]:
            dots = 0
        if depth > DEEPEST or dots > DEEPEST:
            found = "brackets within brackets" if depth > DEEPEST else "a dotted key of so many words"
            raise _beyond(text, token.start(), place, found, f"nesting no deeper than {DEEPEST}")
        if commas > MOST_VALUES:
            raise _beyond(text, token.start(), place, "so many values", f"at most {MOST_VALUES:,}")


def _beyond(text: str, at: int, place: str, found: str, expected: str) -> InputError:
    return InputError([Mistake(place, found, expected, line=text.count("\n", 0, at) + 1)])


class Places:
    r"""The line, from 1, at which each table, key and item of a parsed text stands.

    Parameters
    ----------
    text : str
        TOML that the parser accepts.

    Examples
    --------
    >>> places = Places('[lines.intake]\nparts = [\n  { part = "hose" },\n]')
    >>> places.line("lines", "intake", "parts", 0, "part")
    3
    >>> places.line("lines", "intake", "from")  # not there: the table it belongs to
    1
    """

    def __init__(self, text: str) -> None:
        self._text = text
        self._at = 0
        self._newlines = [match.start() for match in re.finditer("\n", text)]
        self._counts: dict[Path, int] = {}
        self._lines: dict[Path, int] = {}
        self._table: Path = ()
        while self._skip(_BLANK) < len(text):
            if text[self._at] == "[":
                self._header()
            else:
                self._pair(self._table)

    def line(self, *path: str | int) -> int:
        """Return the line of what the path names, or of the nearest thing around it; 0 where there is none."""
        while path:
            if path in self._lines:
                return self._lines[path]
            path = path[:-1]
        return 0

    def _skip(self, pattern: re.Pattern[str]) -> int:
        match = pattern.match(self._text, self._at)
        self._at = match.end() if match else self._at
        return self._at

    def _note(self, path: Path, at: int) -> None:
        for size in range(1, len(path) + 1):
            self._lines.setdefault(path[:size], bisect_right(self._newlines, at - 1) + 1)

    def _key(self) -> tuple[str, ...]:
        words: list[str] = []
        while not words or self._text.startswith(".", self._at):
            self._at += 1 if words else 0
            start = self._skip(_SPACE)
            word = self._text[start : self._skip(_WORD)]
            words.append(tomllib.loads(f"word = {word}")["word"] if word[0] in "\"'" else word)
            self._skip(_SPACE)
        return tuple(words)

    def _header(self) -> None:
        start = self._at
        many = self._text.startswith("[[", start)
        self._at += 1 + many
        path: Path = ()
        key = self._key()
        for word in key[:-1]:
            path = self._latest((*path, word))
        path = (*path, key[-1])
        if many:
            self._counts[path] = self._counts.get(path, -1) + 1
            path = self._latest(path)
        self._table = path
        self._at += 1 + many
        self._note(path, start)

    def _latest(self, path: Path) -> Path:
        return (*path, self._counts[path]) if path in self._counts else path

    def _pair(self, table: Path) -> None:
        start = self._at
        path = (*table, *self._key())
        self._note(path, start)
        self._at += 1  # the sign =
        self._skip(_SPACE)
        self._value(path)

    def _value(self, path: Path) -> None:
        opening = self._text[self._at]
        if opening == "[":
            start = self._at
            if self._skip(_NUMBERS) == start:
                self._members("]", path)
        elif opening == "{":
            self._members("}", path)
        else:
            self._skip(_SCALAR)

    def _members(self, closing: str, path: Path) -> None:
        self._at += 1
        count = 0
        while self._text[self._skip(_BLANK)] != closing:
            if self._text[self._at] == ",":
                self._at += 1
            elif closing == "}":
                self._pair(path)
            else:
                self._note((*path, count), self._at)
                self._value((*path, count))
                count += 1
        self._at += 1
