"""Writing: answers to standard output, all else to standard error; colour on a terminal only."""

from __future__ import annotations

import codecs
import os
import re
import sys
from contextlib import suppress
from io import TextIOWrapper
from pathlib import Path
from shutil import get_terminal_size
from typing import TYPE_CHECKING, Final, NamedTuple, TextIO

import click

from hydrokit.errors import OutputError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hydrokit.errors import Mistake

__all__ = ["Screen", "Unprinted", "emit", "emit_json", "note", "prompt", "screen", "settle_streams", "tell_mistakes"]

_WIDTH: Final = 80
_NARROWEST: Final = 20
"""Columns below which no word would fit; a terminal may say that it has one."""
_WIDEST: Final = 100
"""Columns beyond which lines of text are hard to read."""


_PLAINER: Final = "plainer"
_PLAIN: Final = {
    "─": "-", "°": "deg ", "²": "2", "³": "3", "µ": "u", "Ω": "ohm", "±": "+/-", "…": "...", "−": "-", "·": ".", "×": "x",
    "é": "e", "ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss",
}  # fmt: skip
"""What stands for letters of units and tables where they cannot be shown."""

_STEERING: Final = re.compile(
    r"\x1b\[[0-9;]*m|[\x00-\x09\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]"
)
"""Colour, and letters that would steer a terminal or turn its text round."""


class Unprinted(OutputError):
    """Standard output did not take an answer."""


class Screen(NamedTuple):
    """What a stream can show."""

    width: int
    colour: bool


def screen(stream: TextIO) -> Screen:
    """Return the width of a terminal, 20 to 100 and 80 where there is none, and whether to colour it; ``NO_COLOR`` forbids it."""
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    columns = get_terminal_size((_WIDTH, 24)).columns
    return Screen(min(max(columns, _NARROWEST), _WIDEST), stream.isatty() and not plain)


def settle_streams() -> None:
    """Let text that a terminal or pipe cannot show degrade to what it can: a rule of dashes, 9 deg C, m3."""
    codecs.register_error(_PLAINER, _plainer)
    for name in ("stdin", "stdout", "stderr"):
        if getattr(sys, name) is None:  # it was closed before we came
            setattr(sys, name, Path(os.devnull).open("r" if name == "stdin" else "w", encoding="utf-8"))  # noqa: SIM115
        stream = getattr(sys, name)
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace" if name == "stdin" else _PLAINER)


def _plainer(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return "".join(_PLAIN.get(letter, "?") for letter in error.object[error.start : error.end]), error.end


def _harmless(text: str, *, colour: bool = False) -> str:
    """Return a text with whatever would steer a terminal spelled out, as in a file's name; colour stays where wanted."""

    def spelled(match: re.Match[str]) -> str:
        return match[0] if colour and len(match[0]) > 1 else "".join(f"\\u{ord(letter):04x}" for letter in match[0])

    return _STEERING.sub(spelled, text)


def _put(data: str | bytes, stream: TextIO) -> None:
    """Write to a stream as it is set up; click would write UTF-8 where ASCII was asked for."""
    if isinstance(data, str):
        data = _harmless(data, colour=screen(stream).colour)
    if isinstance(data, str) and "ascii" in (stream.encoding or "").lower():
        stream.write(data)
    else:
        click.echo(data, nl=False, file=stream)


def _write(data: str | bytes) -> None:
    try:
        _put(data, sys.stdout)
        sys.stdout.flush()
    except OSError as error:  # what is left goes nowhere
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)
        if not isinstance(error, BrokenPipeError):  # else the reader has seen enough
            told = (error.strerror or str(error)).lower()
            raise Unprinted(f"standard output cannot be written: {told}") from error


def emit(text: str) -> None:
    """Write an answer to standard output."""
    _write(text)


def emit_json(text: str) -> None:
    """Write a JSON document to standard output, in UTF-8 whatever the terminal's encoding."""
    _write(f"{_harmless(text)}\n".encode("utf-8", "backslashreplace"))  # both as JSON spells letters


def note(text: str) -> None:
    """Write a remark to standard error."""
    prompt(f"{text}\n")


def prompt(text: str) -> None:
    """Write to standard error, without a break at the end."""
    with suppress(OSError):  # where it cannot be written there is nowhere left to say so
        _put(text, sys.stderr)
        sys.stderr.flush()


def tell_mistakes(mistakes: Iterable[Mistake], *, file: str, undone: str, as_json: bool) -> None:
    """Write mistakes, in a file if one is named, to standard error.

    Where JSON was asked for, standard output gets one document of them as well.
    """
    from dataclasses import asdict
    from json import dumps

    from hydrokit.answers import FORMAT
    from hydrokit.sheets import render_mistakes

    found = list(mistakes)
    width, colour = screen(sys.stderr)
    prompt(render_mistakes(found, file=file, undone=undone, width=width, colour=colour))
    if as_json:
        document = {"format": FORMAT, "file": file or None, "mistakes": [asdict(mistake) for mistake in found]}
        emit_json(dumps(document, indent=2, ensure_ascii=False))
