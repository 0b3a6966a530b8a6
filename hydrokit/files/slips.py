"""What is probably meant by a line that TOML cannot read: slips of the hand, habits of other formats, marks of inches.

Each hint says in few words what stands there, and what to write instead.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, TypeAlias

from hydrokit.files.other_words import english

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["Hint", "slip_above", "slip_in"]

Hint: TypeAlias = tuple[str, str]
"""What stands there, and what to write."""

_END: Final = r"(?=\s*(?:[,}\]#]|$))"
_NUMBER: Final = r"[0-9][0-9 /.]*"
_LITERAL: Final = re.compile(rf"([\w-]+)\s*=\s*'([^'\"]*)\"{_END}")
_TRUE: Final = ("true", "yes", "on")
_FALSE: Final = ("false", "no", "off")


def _key_and(match: re.Match[str], value: str, what: str) -> Hint:
    """Return a hint for a key and its value, shown as they stand from the key on."""
    return f"{match[0].lstrip('{, ').strip()}, {what}", f"{match[1]} = {value}"


def _quantity(match: re.Match[str]) -> Hint:
    value = match[2].strip()
    return f"{match[1]} = {value}, a value with a unit but without quotes", f'{match[1]} = "{value.replace(",", ".")}"'


def _word(match: re.Match[str]) -> Hint:
    value = match[2].strip()
    if value.lower() in _TRUE + _FALSE:
        flag = "true" if value.lower() in _TRUE else "false"
        return f"{match[1]} = {value}, which is neither true nor false", f"{match[1]} = {flag}"
    return f"{match[1]} = {value}, a text without quotes", f'{match[1]} = "{value}"'


def _comma(match: re.Match[str]) -> Hint:
    what = "a comma in a number; a decimal point is a dot"
    return _key_and(match, f'"{match[2]}.{match[3]}", with its unit behind the number', what)


def _inches(match: re.Match[str]) -> Hint:
    number = next(each for each in match.groups()[1:] if each).strip()
    return _key_and(match, f'"{number} in"', "where the mark of inches is a quote to TOML")


def _feet(match: re.Match[str]) -> Hint:
    inches = f" {match[3].strip()} in" if match[3] else ""
    return _key_and(match, f'"{match[2]} ft{inches}"', "where the marks of feet and inches are quotes to TOML")


def _mixed(match: re.Match[str]) -> Hint:
    return _key_and(match, f'"{match[2]}"', "a text that begins with one kind of quote and ends with another")


def _colon(match: re.Match[str]) -> Hint:
    value = match[2].strip().rstrip(",")
    bare = value if value[:1] in tuple("\"'[{+-0123456789") or value in {"true", "false"} else f'"{value}"'
    return f"{match[1]}: {value}, a colon behind the key", f"{match[1]} = {bare}"


def _only_feet(match: re.Match[str]) -> Hint:
    return _key_and(match, f'"{match[2] or match[3]} ft"', "where the mark of feet is a quote to TOML")


def _no_value(match: re.Match[str]) -> Hint:
    return f"{match[1]} = with nothing behind it", f"a value behind {match[1]} =, or leave it out"


def _no_comma(match: re.Match[str]) -> Hint:
    return f"no comma in front of {match[1]}", f", {match[1]} = …"


def _foreign_key(match: re.Match[str]) -> Hint:
    return f"{match[1]}, a key with letters that TOML takes in quotes only", english(match[1])


def _blank_in_key(match: re.Match[str]) -> Hint:
    return f"{match[1]}, a key with a blank in it", f"{re.sub(' +', '_', match[1])} = …"


def _heading(match: re.Match[str]) -> Hint:
    if re.fullmatch(r"\s*\[[\w.-]+\]\s*(?:#.*)?", match[0]):  # nothing is wrong with it
        return f"a list that is not closed before [{match[1]}]", "] behind its last item"
    name = re.sub(r"\s+", "-", match[1].strip())
    return f"{match[0].strip()}, which is no heading of a table", f"[{name}]"


def _said(found: str, instead: str) -> Callable[[re.Match[str]], Hint]:
    return lambda _: (found, instead)


_HINTS: Final[tuple[tuple[re.Pattern[str], Callable[[re.Match[str]], Hint]], ...]] = (
    (re.compile(rf"([\w-]+)\s*=\s*['\"]?([0-9]+)' ?({_NUMBER})\"['\"]?{_END}"), _feet),
    (re.compile(rf"([\w-]+)\s*=\s*(?:'([0-9]+)''|([0-9]+)'()){_END}"), _only_feet),
    (re.compile(rf"([\w-]+)\s*=\s*(?:({_NUMBER})\"|\"({_NUMBER})\"\"){_END}"), _inches),
    (_LITERAL, _mixed),
    (re.compile(rf"([\w-]+)\s*=\s*\"([^'\"]*)'{_END}"), _mixed),
    (re.compile(rf"([\w-]+)\s*=\s*([+-]?[0-9]+),([0-9]+){_END}"), _comma),
    (re.compile(r"([\w-]+)\s*=\s*([+-]?[0-9][0-9.,/ ]*(?:±[ 0-9.]+)?[A-Za-zµ°%Ω][^,}\]#\"';]*)"), _quantity),
    (re.compile("[“”„‘’]"), _said("curly quotes", 'straight ones: "')),
    (re.compile(r"(?:^|[\"'\d\]}]|true|false)\s*//"), _said("a remark behind //", "# in front of a remark")),
    (re.compile(r";\s*(?:#.*)?$"), _said("a semicolon at the end", "nothing behind the value")),
    (re.compile(r"^\s*\"?([\w-]+)\"?\s*:\s*([^\s=][^=]*)$"), _colon),
    (re.compile(r"\{\s*\"?([\w-]+)\"?\s*:\s*([^,}=]+)"), _colon),
    (re.compile(r"^\s*([\w-]+)\s*=\s*([^\W\d][\w -]*?)\s*(?:#.*)?$"), _word),
    (re.compile(r"[{,]\s*([\w-]+)\s*=\s*(?!(?:true|false)\s*[,}])([^\W\d][\w -]*?)\s*(?=[,}])"), _word),
    (re.compile(r"(?:^|[{,])\s*([\w-]+)\s*=\s*(?:[,}#]|$)"), _no_value),
    (re.compile(r"(?:^|[{,])\s*([\w-]*[^\W\x00-\x7f][\w-]*)\s*="), _foreign_key),
    (re.compile(r"(?:^|[{,])\s*([\w-]+(?: +[\w-]+)+)\s*="), _blank_in_key),
    (re.compile(r"^.*=\s*\"[^\"]*$"), lambda match: ("a text whose closing quote is missing", f'{match[0].strip()}"')),
    (re.compile(r",\s*\}"), _said("a comma behind the last key in braces", "no comma before }")),
    (re.compile(r"[{,]\s*[\w-]+\s*=\s*\"[^\"]*\"\s+([\w-]+)\s*="), _no_comma),
    (re.compile(r"^[^{}#]*\{[^{}#]*$"), _said("braces that are not closed on their own line", "} on the same line")),
    (re.compile(r"^\s*\[+([\w .-]+)\]*\s*(?:#.*)?$"), _heading),
)
"""From the surest to the most general."""


def slip_in(line: str) -> Hint:
    """Return what a line probably is that TOML cannot read, and what to write instead; empty texts where nobody knows.

    Examples
    --------
    >>> slip_in('bore = 3/4"')
    ('bore = 3/4", where the mark of inches is a quote to TOML', 'bore = "3/4 in"')
    """
    return next((told(match) for pattern, told in _HINTS if (match := pattern.search(line))), ("", ""))


def slip_above(lines: list[str], number: int, stopped: str) -> tuple[int, Hint]:
    """Return the line and the hint for a slip that is found out only further down: a quote or a comma amiss.

    Parameters
    ----------
    lines : list of str
        Of the file.
    number : int
        Of the line at which reading stopped, from 1.
    stopped : str
        Why, as the reader has it.
    """
    if stopped.startswith('Expected "\'"'):
        for place, line in enumerate(lines[:number], start=1):
            if match := _LITERAL.search(line):
                return place, _mixed(match)
    before = next((place for place in range(number - 1, 0, -1) if lines[place - 1].strip()), 0)
    if "Unclosed array" in stopped and before and lines[before - 1].rstrip().endswith("}"):
        return before, ("no comma behind a part", "}, at the end of the line")
    return number, ("", "")
