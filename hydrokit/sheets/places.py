"""Addresses as people say them: ``lines.intake.membrane`` is said as membrane (intake)."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["first_address", "lowered", "said"]

_ADDRESS: Final = re.compile(
    r"\b(lines|sources|tanks|outlets|joints|loads|batteries)\.([\w-]+)(?:\.([\w-]+))?(?:\.([\w-]+))?"
)
_SINGLE: Final = re.compile(r"\b(site|vehicle|targets)\.(\w+)")


def _words(match: re.Match[str]) -> str:
    group, name, third, fourth = match.groups()
    if group == "lines":
        if third is None:
            return f"line {name}"
        return f"{third} ({name})" if fourth is None else f"{fourth} of {third} ({name})"
    end = f"{'battery' if group == 'batteries' else group[:-1]} {name}"
    return end if third is None else f"{third} of {end}"


def said(text: str) -> str:
    """Return a text with every address in it as people say it.

    Examples
    --------
    >>> said("lines.intake.membrane passes more than tanks.near holds.")
    'membrane (intake) passes more than tank near holds.'
    """
    return _SINGLE.sub(r"\2 of the \1", _ADDRESS.sub(_words, text))


def lowered(text: str) -> str:
    """Return a sentence as it goes on after a colon; an abbreviation keeps its capitals.

    Examples
    --------
    >>> lowered("The pump stops."), lowered("NPSH is short.")
    ('the pump stops.', 'NPSH is short.')
    """
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


def first_address(texts: Iterable[str]) -> str:
    """Return the first address of a part among some texts; empty where there is none."""
    for text in texts:
        for match in _ADDRESS.finditer(text):
            if match[1] == "lines" and match[3] and not match[4]:
                return match[0]
    return ""
