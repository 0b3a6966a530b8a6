"""One table of the file that holds values, read into the object it describes: the site, an end, a part.

What is wrong is noted, never raised: the reader of the whole file tells it all at once. Where an object cannot be made,
a blank of the same class stands in for it, so that names and lines can still be checked.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Final

from hydrokit.bounds import specs_of
from hydrokit.catalogue import generic_parts
from hydrokit.errors import InputError, Mistake
from hydrokit.files.frames import is_name, near, printable
from hydrokit.files.models import checked
from hydrokit.files.other_words import english
from hydrokit.parts import PART_KINDS, Part
from hydrokit.parts.reading import plain
from hydrokit.units import Measured

if TYPE_CHECKING:
    from hydrokit.units import Gallon

__all__ = ["Owned", "PartsList", "Resolved", "as_table", "blank", "owned"]

_PUMPS: Final = ("pump", "pumpe", "pompe")
_EITHER: Final = (("points", "heads"),)  # stating one in a line takes the other of the used part away


@dataclass(slots=True)
class Owned:
    """An object and what is known about its values; or a blank and, by field, what is wrong with it."""

    cls: type[Any]
    made: Any
    tolerances: dict[str, float] = field(default_factory=dict)
    origins: dict[str, str] = field(default_factory=dict)
    faults: list[tuple[str, Mistake]] = field(default_factory=list)


def blank(cls: type[Any], raw: dict[str, Any]) -> Any:
    """Return an object that has a name, if the table gives a proper one, and nothing else."""
    made = object.__new__(cls)
    if issubclass(cls, Part):
        name = raw.get("name")
        object.__setattr__(made, "name", name if is_name(name) else "")
    return made


def owned(cls: type[Any], raw: dict[str, Any], gallon: Gallon | None, *, also: tuple[str, ...] = ()) -> Owned:
    """Return the object that a table describes, or a blank and every mistake.

    Parameters
    ----------
    cls : type
        What the table describes.
    raw : dict
        As parsed.
    gallon : {"US", "imperial"}, optional
        Which gallon a bare ``gal`` is.
    also : tuple of str
        Further keys that the caller reads, for the message on an unknown one.
    """
    done = checked(cls, raw, gallon, also=also)
    faults = [*done.faults, *done.missing]
    if not faults:
        origins = done.values.pop("origin", {})
        tolerances = {
            name: value.tolerance
            for name, value in done.values.items()
            if isinstance(value, Measured) and value.tolerance
        }
        try:
            return Owned(cls, cls(**plain(done.values)), tolerances, origins)
        except InputError as error:  # fields that do not go together
            faults = [(_field(cls, each.place), replace(each, place="")) for each in error.mistakes]
    return Owned(cls, blank(cls, raw), faults=faults)


def _field(cls: type[Any], place: str) -> str:
    name = place.rpartition(".")[2]
    return name if name in specs_of(cls) else ""


@dataclass(slots=True)
class Resolved:
    """What a table with ``part`` or ``use`` comes to: class, fields with those of the used part, mistakes by key."""

    cls: type[Part] | None
    fields: dict[str, Any]
    faults: list[tuple[str, Mistake]] = field(default_factory=list)
    told: frozenset[str] = frozenset()  # fields whose mistakes are told where the used part is described


class PartsList:
    """The parts that ``use`` may name: those of the rig before those of the catalogue."""

    def __init__(self, gallon: Gallon | None = None) -> None:
        self.gallon = gallon
        self.rig: dict[str, Resolved] = {}

    def add(self, name: str, raw: dict[str, Any]) -> list[tuple[str, Mistake]]:
        """Take in one entry of ``[parts]`` and return its mistakes, to be told even if nothing uses it."""
        found = self._resolved(raw, rig=False)
        faults = list(found.faults)
        if found.cls is not None:
            faults += checked(found.cls, found.fields, self.gallon, also=("part", "use")).faults
        self.rig[name] = replace(found, faults=[], told=frozenset(key for key, _ in faults))
        return faults

    def resolve(self, raw: dict[str, Any]) -> Resolved:
        """Return what an item of a line's parts comes to."""
        return self._resolved(raw, rig=True)

    def _resolved(self, raw: dict[str, Any], *, rig: bool) -> Resolved:
        own = {key: value for key, value in raw.items() if key not in {"part", "use"}}
        if "use" in raw and "part" in raw:
            expected = "either a kind of part or the use of one described elsewhere"
            return Resolved(None, own, [("", Mistake("", "both part and use", expected))])
        if "use" in raw:
            return self._used(raw["use"], own, rig=rig)
        if "part" not in raw:
            mistake = Mistake("", "neither part nor use", f"one of {', '.join(PART_KINDS)}", 'part = "hose"')
            return Resolved(None, own, [("", mistake)])
        kind = raw["part"]
        if isinstance(kind, str) and kind in PART_KINDS:
            return Resolved(PART_KINDS[kind], own)
        return Resolved(None, own, [("part", self._no_such_kind(kind))])

    def _no_such_kind(self, kind: object) -> Mistake:
        expected = f"one of {', '.join(PART_KINDS)}"
        if not isinstance(kind, str):
            return _no_such(kind, [], expected)
        if kind in self.rig or kind in generic_parts():
            return Mistake("", f"{printable(kind)}, which is the name of a part", expected, f'use = "{kind}"')
        if kind.lower() in _PUMPS:
            kinds = [f'"{each}"' for each in PART_KINDS if each.endswith("pump")]
            return Mistake("", printable(kind), expected, f"{', '.join(kinds[:-1])} or {kinds[-1]}")
        if meant := english(kind, PART_KINDS):
            return Mistake("", printable(kind), expected, f'"{meant}"')
        return _no_such(kind, list(PART_KINDS), expected)

    def _used(self, word: object, own: dict[str, Any], *, rig: bool) -> Resolved:
        if isinstance(word, str) and rig and word in self.rig:
            shared = self.rig[word]
            return Resolved(shared.cls, _merged(shared.fields, own), told=shared.told - set(own))
        if isinstance(word, str) and word in generic_parts():
            entry = generic_parts()[word]
            generic = {**entry.fields, "origin": {name: "catalogue" for name in entry.fields if name not in own}}
            return Resolved(PART_KINDS[entry.kind], _merged(generic, own))
        if isinstance(word, str) and word in PART_KINDS:
            expected = "the name of a part"
            mistake = Mistake("", f"{printable(word)}, which is a kind of part", expected, f'part = "{word}"')
            return Resolved(None, own, [("use", mistake)])
        names = [*(self.rig if rig else ()), *generic_parts()]
        expected = "the name of a part under [parts] or in the catalogue" if rig else "the name of a catalogue part"
        return Resolved(None, own, [("use", _no_such(word, names, expected))])


def as_table(item: object) -> str:
    """Return how to write a part that stands in a list by its name or kind alone."""
    if isinstance(item, str) and item in generic_parts():
        return f'{{ use = "{item}" }}'
    kind = item if isinstance(item, str) and item in PART_KINDS else "hose"
    return f'{{ part = "{kind}", … }}'


def _no_such(word: object, names: list[str], expected: str) -> Mistake:
    close = near(word, names) if isinstance(word, str) else ""
    return Mistake("", printable(word), expected, f'"{close}"' if close else "")


def _merged(shared: dict[str, Any], own: dict[str, Any]) -> dict[str, Any]:
    kept = dict(shared)
    for pair in _EITHER:
        for this, other in (pair, pair[::-1]):
            if this in own:
                kept.pop(other, None)
    merged = {**kept, **own}
    if isinstance(kept.get("origin"), dict) and isinstance(own.get("origin"), dict):
        merged["origin"] = {**kept["origin"], **own["origin"]}
    return merged
