"""Generic parts by name, read from the tables beside this file on first use.

No entry is a product. Every figure comes with its source, or is marked invented: data/README.md explains each table.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Mistakes, nearest
from hydrokit.parts import PART_KINDS, Part
from hydrokit.parts.reading import read_fields

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["DATA", "Entry", "entry", "generic_parts", "part"]

DATA: Final = Path(__file__).with_name("data")
_TABLES: Final = ("hoses", "fittings", "valves", "filters", "pumps")
_LONGEST_WORD: Final = 60


@dataclass(frozen=True)
class Entry:
    """One generic part.

    Parameters
    ----------
    name : str
        As ``use`` in a rig file names it.
    kind : str
        One of the kinds of part.
    fields : mapping of str to object
        What the table says about each field, as text.
    source : str
        Where the figures come from, or that they are invented.
    """

    name: str
    kind: str
    fields: Mapping[str, Any]
    source: str


def _table(name: str) -> dict[str, Any]:
    return tomllib.loads((DATA / f"{name}.toml").read_text(encoding="utf-8"))


@cache
def generic_parts() -> Mapping[str, Entry]:
    """Return every generic part by name, in the order of the tables.

    Returns
    -------
    mapping of str to Entry
        Kind, fields and source of each.

    Examples
    --------
    >>> generic_parts()["hose-19"].kind
    'hose'
    """
    found: dict[str, Entry] = {}
    for table in _TABLES:
        for name, raw in _table(table).items():
            fields = {key: value for key, value in raw.items() if key not in {"part", "source"}}
            found[name] = Entry(name, raw["part"], MappingProxyType(fields), raw["source"])
    return MappingProxyType(found)


@as_annotated
def entry(name: str) -> Entry:
    """Return one generic part as its table states it.

    Raises
    ------
    InputError
        If there is no such part; names the nearest.
    """
    entries = generic_parts()
    if name not in entries:
        close = nearest(name, list(entries)) if len(name) <= _LONGEST_WORD else ""
        mistakes = Mistakes()
        mistakes.add("name", repr(name[:_LONGEST_WORD]), "the name of a part in the catalogue", close)
        mistakes.settle()
    return entries[name]


@as_annotated
def part(name: str, /, **more: object) -> Part:
    """Return a generic part.

    Parameters
    ----------
    name : str
        One of ``generic_parts()``.
    **more
        Fields to add or to change, as a rig file writes them; a hose needs its ``length``.

    Returns
    -------
    Part
        Frozen, in SI.

    Raises
    ------
    InputError
        If there is no such part, or a field is wrong or missing; every mistake at once.

    Examples
    --------
    >>> part("hose-19", length="6 m").bore
    0.019
    """
    stated = entry(name)
    return read_fields(PART_KINDS[stated.kind], {**stated.fields, **more}, name)
