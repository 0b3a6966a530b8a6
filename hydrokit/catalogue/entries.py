"""Generic parts by name, read from the tables beside this file on first use.

No entry is a product. Every figure comes with its source, or is marked invented: data/README.md explains each table.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

from hydrokit.bounds import Mistakes, Spec, nearest, specs_of
from hydrokit.errors import InputError
from hydrokit.parts import PART_KINDS, Part
from hydrokit.parts.reading import Value, plain, read_field, required

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["DATA", "Entry", "catalogue", "entry", "part"]

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
def catalogue() -> Mapping[str, Entry]:
    """Return every generic part by name, in the order of the tables.

    Examples
    --------
    >>> catalogue()["filter-sediment-5"].source
    'invented, within 5 to 15 kPa at 8 L/min (from memory)'
    """
    found: dict[str, Entry] = {}
    for table in _TABLES:
        for name, raw in _table(table).items():
            fields = {key: value for key, value in raw.items() if key not in {"part", "source"}}
            found[name] = Entry(name, raw["part"], MappingProxyType(fields), raw["source"])
    return MappingProxyType(found)


def entry(name: str) -> Entry:
    """Return one generic part as its table states it.

    Raises
    ------
    InputError
        If there is no such part; names the nearest.
    """
    entries = catalogue()
    if name not in entries:
        close = nearest(name, list(entries)) if len(name) <= _LONGEST_WORD else ""
        mistakes = Mistakes()
        mistakes.add("name", repr(name[:_LONGEST_WORD]), "the name of a part in the catalogue", close)
        mistakes.settle()
    return entries[name]


def part(name: str, /, **more: object) -> Part:
    """Return a generic part.

    Parameters
    ----------
    name : str
        One of ``catalogue()``.
    **more
        Fields to add or to change, as a rig file writes them; a hose needs its ``length``.

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
    cls = PART_KINDS[stated.kind]
    specs = specs_of(cls)
    mistakes = Mistakes()
    values: dict[str, Value] = {}
    for key, raw in {**stated.fields, **more}.items():
        if key not in specs:
            mistakes.add(f"{name}.{key}", f"the key {key!r}", f"one of {', '.join(specs)}", nearest(key, list(specs)))
            continue
        try:
            values[key] = read_field(cls, key, raw)
        except InputError as error:
            mistakes.found.extend(replace(each, place=f"{name}.{key}") for each in error.mistakes)
    for key in required(cls):
        if key not in {*stated.fields, *more}:
            spec = specs[key]
            mistakes.add(
                f"{name}.{key}", "nothing", f"{key} ({spec.doc})", spec.example if isinstance(spec, Spec) else ""
            )
    mistakes.settle()
    return cls(**plain(values))
