"""Addresses and names of fields as people say them: ``lines.intake.membrane.dirt_capacity`` is said as dirt capacity of membrane (intake)."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, Final

from hydrokit.parts import END_KINDS, PART_KINDS, Battery, Load
from hydrokit.parts.describing import described
from hydrokit.rig import SINGLES

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hydrokit.studies.facts.heads import HeadShare

__all__ = ["first_address", "first_field", "limit_and_place", "lowered", "said", "spent_on"]

_ADDRESS: Final = re.compile(
    r"\b(lines|sources|tanks|outlets|joints|loads|batteries)\.([\w-]+)(?:\.([\w-]+))?(?:\.([\w-]+))?"
)
_SINGLE: Final = re.compile(r"\b(site|vehicle|targets)\.(\w+)")
_JOINED: Final = re.compile(r"(?<![\w.-])[a-z]+(?:_[a-z]+)+(?![\w.-]*\w)")
_ABBREVIATIONS: Final = {"npsh": "NPSH", "ph": "pH"}


@cache
def _examples() -> dict[str, str]:
    """Return every field of a rig file whose name is made of several words, with an example of its value."""
    kinds = (*PART_KINDS.values(), *END_KINDS.values(), Battery, Load, *SINGLES.values())
    fields = [each for kind in kinds for each in described(kind) if "_" in each.name]
    return {each.name: each.example for each in reversed(fields)}  # the first kind that has it gives the example


def _field(name: str) -> str:
    return " ".join(_ABBREVIATIONS.get(word, word) for word in name.split("_")) if name in _examples() else name


def _words(match: re.Match[str]) -> str:
    group, name, third, fourth = match.groups()
    if group == "lines":
        if third is None:
            return f"line {name}"
        return f"{third} ({name})" if fourth is None else f"{_field(fourth)} of {third} ({name})"
    kind = "battery" if group == "batteries" else group[:-1]
    end = f"the {kind}" if name == kind else f"{kind} {name}"
    return end if third is None else f"{_field(third)} of {end}"


def said(text: str) -> str:
    """Return a text with every address and every name of a field in it as people say it.

    Examples
    --------
    >>> said("lines.intake.membrane passes more than tanks.near holds.")
    'membrane (intake) passes more than tank near holds.'
    >>> said("State vacuum_rating or npsh_required of the pump.")
    'State vacuum rating or NPSH required of the pump.'
    """
    addressed = _SINGLE.sub(lambda match: f"{_field(match[2])} of the {match[1]}", _ADDRESS.sub(_words, text))
    return _JOINED.sub(lambda match: _field(match[0]), addressed)


def first_field(texts: Iterable[str]) -> str:
    """Return the first single value that some texts name in several words, as a rig file states it; else an empty text.

    Examples
    --------
    >>> first_field(["State the dry_lift of the pump."])
    'dry_lift = "2.4 m"'
    """
    named = (match[0] for text in texts for match in _JOINED.finditer(text))
    return next((f"{name} = {_examples()[name]}" for name in named if _examples().get(name, "").startswith('"')), "")


def limit_and_place(name: str) -> tuple[str, str]:
    """Return the limit and the place of what a study calls "limit at place"; the limit's own name may hold an "at".

    Examples
    --------
    >>> limit_and_place("voltage at the pump at lines.intake.lift-pump")
    ('voltage at the pump', 'lines.intake.lift-pump')
    >>> limit_and_place("no limit")
    ('no limit', '')
    """
    limit, at, place = name.rpartition(" at ")
    return (limit, place) if at else (name, "")


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


def spent_on(share: HeadShare) -> str:
    """Return what a share of the head is spent on, as people say it."""
    return "the height gained" if share.place == share.kind else said(share.place)
