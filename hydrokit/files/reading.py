"""A rig file in: text to a rig, or every mistake in it at once, each with its address and line."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Spec, specs_of
from hydrokit.errors import InputError, Mistake, NetworkError
from hydrokit.files.frames import check_name, is_name
from hydrokit.files.models import checked
from hydrokit.files.noting import LONGEST_ADDRESS, Notes, joined
from hydrokit.files.owners import Owned, PartsList, as_table, blank, owned
from hydrokit.files.toml import parsed, text_at
from hydrokit.parts import END_KINDS, Part
from hydrokit.parts.reading import read_number, told
from hydrokit.rig import ASIDE, SINGLES, Line, Mode, Rig
from hydrokit.rig.addresses import nearest_address

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from hydrokit.units import Gallon

__all__ = ["load_rig", "read_rig"]

_GROUPS: Final = {f"{kind}s": cls for kind, cls in END_KINDS.items()}
_STRUCTURE: Final = frozenset({*_GROUPS, "lines", "from", "to", "parts"})


class _Reader(Notes):
    """Goes through the tables of one file in turn, and notes what is wrong as it goes."""

    def __init__(self, text: str, place: str) -> None:
        self.raw: dict[str, Any] = parsed(text, place=place)
        super().__init__(text)
        self.origins: dict[str, str] = {}
        self.tolerances: dict[str, float] = {}
        self.specs: dict[str, Spec] = {}
        self.others: set[str] = set()  # addresses of values that are no numbers
        self.torn = False  # something is missing, so that what meets what cannot be judged
        self.unkind = False  # a part's kind is not known, so that what a mode says of it cannot be judged
        self.gallon: Gallon | None = None
        self.routes: dict[str, tuple[str | int, ...]] = {}
        self.parts_list = PartsList()

    def frame(self, cls: type[Any], raw: dict[str, Any], *route: str) -> dict[str, Any]:
        """Return the good values of a table that holds others."""
        done = checked(cls, raw)
        for key, mistake in [*done.faults, *done.missing]:
            self.note(mistake, *route, key)
            self.torn = self.torn or key in _STRUCTURE or isinstance(raw.get(key), (dict, list))
        return done.values

    def rig(self) -> Rig:
        """Return the rig.

        Raises
        ------
        InputError
            Carrying every mistake, in the order of the file.
        """
        frame = self.frame(Rig, self.raw)
        self.gallon = self.parts_list.gallon = frame.get("gallon")
        singles = {
            name: self.owner(name, owned(cls, frame.get(name, {}), self.gallon), name) for name, cls in SINGLES.items()
        }
        things = {group: self.things(group, cls, frame.get(group, {})) for group, cls in {**_GROUPS, **ASIDE}.items()}
        for name, raw in self.named("parts", frame.get("parts", {})):
            for key, mistake in self.parts_list.add(name, raw):
                self.note(mistake, "parts", name, key)
        lines = {name: self.line(name, raw) for name, raw in self.named("lines", frame.get("lines", {}))}
        modes = {name: self.mode(name, raw) for name, raw in self.named("modes", frame.get("modes", {}))}
        texts: dict[str, Any] = {key: frame[key] for key in ("title", "note") if key in frame}
        known = {"origins": self.origins, "tolerances": self.tolerances}
        return self.settled({**texts, **singles, **things, "lines": lines, "modes": modes, **known})

    def settled(self, pieces: dict[str, Any]) -> Rig:
        """Put the pieces together, or raise everything that is wrong with them and with how they meet."""
        rig = None
        if not self.torn:
            try:
                rig = Rig(**pieces)
            except NetworkError as error:
                self.mistakes += [
                    replace(each, line=self.line_of(each.place))
                    for each in error.mistakes
                    if not (self.unkind and each.place.startswith("modes."))
                ]
        self.settle()
        assert rig is not None  # else something is torn, and that is noted
        return rig

    def line_of(self, address: str) -> int:
        """Return the line in the file of what an address names, or of the nearest thing around it."""
        above = address.split(".")
        while above and ".".join(above) not in self.routes:
            above.pop()
        words = address.split(".")
        return self.places.line(*self.routes.get(".".join(above), ()), *words[len(above) :])

    def named(self, group: str, tables: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
        """Yield the tables of a group that have a proper name."""
        for name, raw in tables.items():
            if is_name(name) and isinstance(raw, dict):
                yield name, raw
                continue
            self.torn = True
            try:
                check_name(name)
            except InputError as error:
                self.note(error.mistakes[0], group, name, address=group)
            else:
                self.note(Mistake("", told(raw), "a table", f"[{group}.{name}]"), group, name)

    def owner(self, address: str, read: Owned, *route: str | int) -> Any:
        """Take over what was read under an address."""
        for key, mistake in read.faults:
            self.note(mistake, *route, key, address=joined(address, key))
        self.tolerances |= {f"{address}.{name}": value for name, value in read.tolerances.items()}
        self.origins |= {f"{address}.{name}": word for name, word in read.origins.items()}
        numbers = {name: spec for name, spec in specs_of(read.cls).items() if isinstance(spec, Spec)}
        self.specs |= {f"{address}.{name}": spec for name, spec in numbers.items()}
        self.others |= {f"{address}.{name}" for name in specs_of(read.cls) if name not in numbers}
        return read.made

    def things(self, group: str, cls: type[Any], tables: dict[str, Any]) -> dict[str, Any]:
        """Return the ends or loads of a group by name."""
        return {
            name: self.owner(f"{group}.{name}", owned(cls, raw, self.gallon), group, name)
            for name, raw in self.named(group, tables)
        }

    def line(self, name: str, raw: dict[str, Any]) -> Line:
        """Return a line, with blanks for the parts that cannot be made."""
        frame = self.frame(Line, raw, "lines", name)
        items = frame.get("parts", [])
        uses = Counter(item["use"] for item in items if isinstance(item, dict) and isinstance(item.get("use"), str))
        taken = {item["name"] for item in items if isinstance(item, dict) and isinstance(item.get("name"), str)}
        alone = {word for word, count in uses.items() if count == 1 and word not in taken and is_name(word)}
        reads = [self.part(item, alone, number) for number, item in enumerate(items, start=1)]
        line = Line(
            start=frame.get("from", ""),
            end=frame.get("to", ""),
            parts=tuple(read.made for read in reads),
            enters=frame.get("enters", ""),
            note=frame.get("note", ""),
        )
        for index, (label, read) in enumerate(zip(line.labels(), reads, strict=True)):
            self.routes[f"lines.{name}.{label}"] = ("lines", name, "parts", index)
            self.owner(f"lines.{name}.{label}", read, "lines", name, "parts", index)
        return line

    def part(self, item: object, alone: set[str], number: int) -> Owned:
        """Return one part of a line; one that uses another goes by that name if no other part of the line does.

        One whose kind is not known goes by its number in the line.
        """
        if not isinstance(item, dict):
            self.torn = True
            mistake = Mistake("", told(item), "a table", as_table(item))
            return Owned(Part, blank(Part, {"name": f"part-{number}"}), faults=[("", mistake)])
        found = self.parts_list.resolve(item)
        if found.cls is None:  # where its line runs from and to can be judged all the same
            self.unkind = True
            return Owned(Part, blank(Part, {"name": f"part-{number}", **found.fields}), faults=found.faults)
        fields = found.fields
        if item.get("use") in alone:
            fields = {"name": item["use"], **fields}
        read = owned(found.cls, fields, self.gallon, also=("part", "use"))
        read.faults = [(key, mistake) for key, mistake in read.faults if key not in found.told]
        return read

    def mode(self, name: str, raw: dict[str, Any]) -> Mode:
        """Return a mode."""
        frame = self.frame(Mode, raw, "modes", name)
        values: dict[str, float] = {}
        for path, text in _flat(frame.get("set", {})):
            address = ".".join(path)
            try:
                values[address] = self.setting(address, text)
            except InputError as error:
                for mistake in error.mistakes:
                    self.note(mistake, "modes", name, "set", *path)
        return Mode(
            closed=tuple(frame.get("closed", ())),
            off=tuple(frame.get("off", ())),
            values=values,
            note=frame.get("note", ""),
        )

    def setting(self, address: str, raw: object) -> float:
        """Return the value that a mode sets at an address; any if the address may be that of a part not yet known."""
        if address not in self.specs:
            if self.torn:
                return 0.0
            close = f"lines.{address}" if f"lines.{address}" in self.specs else ""
            if not close and len(address) <= LONGEST_ADDRESS:
                close = nearest_address(address, self.specs)
            expected = "the address of a number in this rig"
            found = "a value that is no number" if address in self.others else "no such value"
            raise InputError([Mistake("", found, expected, f'"{close}"' if close else "")])
        number = read_number(self.specs[address], raw, self.gallon)
        if number.tolerance:
            raise InputError([Mistake("", f"a tolerance in {told(raw)}", "a value without ±")])
        return number.value


def _flat(table: dict[str, Any], *above: str) -> Iterator[tuple[tuple[str, ...], object]]:
    """Yield the addresses of a table, whether they stand in quotes or as dotted keys, and their values."""
    for key, value in table.items():
        if isinstance(value, dict):
            yield from _flat(value, *above, key)
        else:
            yield (*above, key), value


@as_annotated
def read_rig(text: str, *, place: str = "") -> Rig:
    """Return the rig that a text describes.

    Parameters
    ----------
    text : str
        A rig file, TOML.
    place : str
        What the text is called in messages that are about no single value: its path, usually.

    Returns
    -------
    Rig
        In SI, tolerances and origins beside it.

    Raises
    ------
    InputError
        Listing every mistake, with address, line, what was found, what was expected and what to write instead.

    Examples
    --------
    >>> rig = read_rig('''
    ... format = 1
    ... [sources.pond]
    ... surface = "0 m"
    ... [outlets.end]
    ... height = "-1 m"
    ... [lines.siphon]
    ... from = "pond"
    ... to = "end"
    ... parts = [{ part = "hose", bore = "19 mm", length = "5.0 ± 0.5 m" }]
    ... ''')
    >>> rig.lines["siphon"].parts[0].length, rig.tolerances["lines.siphon.hose-1.length"]
    (5.0, 0.5)
    """
    return _Reader(text, place).rig()


@as_annotated
def load_rig(path: str | Path) -> Rig:
    """Return the rig that a file describes.

    Parameters
    ----------
    path : str or Path
        A file of at most 1 MiB, UTF-8.

    Returns
    -------
    Rig
        In SI, tolerances and origins beside it.

    Raises
    ------
    InputError
        If it cannot be read, or listing every mistake in it.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import TemporaryDirectory
    >>> from hydrokit.files import starter
    >>> with TemporaryDirectory() as folder:
    ...     path = Path(folder) / "rig.toml"
    ...     _ = path.write_text(starter(), encoding="utf-8")
    ...     load_rig(path).title
    'My rig'
    """
    return read_rig(text_at(path), place=str(path))
