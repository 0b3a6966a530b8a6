"""A rig out: the text of a rig file that reads back to an equal rig."""

from __future__ import annotations

import json
import math
import re
from dataclasses import fields, replace
from typing import TYPE_CHECKING, Any, Final

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Curve, Dimension, FieldSpec, Mistakes, Spec, specs_of
from hydrokit.errors import InputError, Mistake, RangeError
from hydrokit.files.frames import check_name
from hydrokit.files.saving import save_text
from hydrokit.parts import END_KINDS, PART_KINDS
from hydrokit.parts.reading import read_text
from hydrokit.rig import ASIDE, SINGLES, Rig, owners
from hydrokit.units import Measured, in_unit, measured, text_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping
    from pathlib import Path

    from hydrokit.rig import Line, Mode

__all__ = ["quantity_text", "quoted", "save_rig", "write_rig"]

_BARE_KEY: Final = re.compile(r"[A-Za-z0-9_-]+")
_NUMBER_AND_UNIT: Final = re.compile(r"(\S+) (.+)")
_GROUPS: Final = tuple(f"{kind}s" for kind in END_KINDS)


def quoted(raw: object) -> str:
    """Return a text, or a list of texts, as TOML writes it; control characters are not allowed."""
    return json.dumps(raw, ensure_ascii=False)  # JSON's quotes, escapes and brackets are TOML's


def _key(word: str) -> str:
    return word if _BARE_KEY.fullmatch(word) else quoted(word)


def _list(texts: Iterable[str]) -> str:
    return f"[{', '.join(texts)}]"


def _table(pairs: Mapping[str, str]) -> str:
    return f"{{ {', '.join(f'{_key(key)} = {value}' for key, value in pairs.items())} }}"


def quantity_text(value: float, dimension: Dimension, tolerance: float = 0.0) -> str:
    """Return a text with a unit that reads back to exactly the same value and tolerance.

    Parameters
    ----------
    value, tolerance : float
        In SI; a tolerance of a temperature is a difference.
    dimension : Dimension
        What it is.

    Raises
    ------
    RangeError
        If no text reads back so, or a number is not finite.

    Examples
    --------
    >>> quantity_text(6.0, Dimension.LENGTH, 0.2)
    '6 ± 0.2 m'
    """
    if not tolerance:
        return text_of(value, dimension)
    if not 0.0 < tolerance < math.inf:
        raise RangeError([Mistake("", f"a tolerance of {tolerance:g}", "a tolerance of nothing or more")])
    for text in _with_tolerance(value, dimension, tolerance):
        try:
            if measured(text, dimension) == Measured(value, tolerance):
                return text
        except InputError:
            continue
    found = f"{value:g} ± {tolerance:g}"
    raise RangeError([Mistake("", found, f"a {dimension.value} and a tolerance that can be written as text")])


def _with_tolerance(value: float, dimension: Dimension, tolerance: float) -> Iterator[str]:
    """Yield ways to write a value and its tolerance, the shortest first; not all read back."""
    difference = Dimension.TEMPERATURE_DIFFERENCE if dimension is Dimension.TEMPERATURE else dimension
    text = text_of(value, dimension)
    split = _NUMBER_AND_UNIT.fullmatch(text)
    if split is not None:
        yield f"{split[1]} ± {in_unit(tolerance, difference, split[2]):.6g} {split[2]}"
    yield f"{text} ± {text_of(tolerance, difference)}"
    yield f"{value!r} ± {tolerance!r}"  # where the dimension has no unit


class _Writer:
    """Writes one rig, and notes what no file can say as it goes."""

    def __init__(self, rig: Rig) -> None:
        self.rig = rig
        self.mistakes = Mistakes()
        self.texts: list[str] = []
        self.stated: dict[str, tuple[FieldSpec, Any]] = {
            f"{address}.{name}": (spec, getattr(owner, name))
            for address, owner in owners(rig)
            for name, spec in specs_of(type(owner)).items()
        }

    def tried(self, address: str, make: Callable[[], str]) -> str:
        """Return what is made, or note why it cannot be."""
        try:
            return make()
        except InputError as error:
            self.mistakes.found.extend(replace(each, place=address) for each in error.mistakes)
            return '""'

    def text(self, address: str, text: str) -> str:
        """Return a text in quotes."""
        return self.tried(address, lambda: quoted(read_text(text)))

    def name(self, address: str, name: str) -> str:
        """Return a name in quotes."""
        return self.tried(address, lambda: quoted(check_name(name)))

    def value(self, address: str, value: Any, spec: FieldSpec) -> str:
        """Return the value of a field."""
        if isinstance(spec, Spec):
            return self.tried(address, lambda: self.number(address, value, spec))
        if isinstance(spec, Curve):
            return self.tried(
                address,
                lambda: _list(
                    _list((quoted(text_of(x, spec.x.dimension)), quoted(text_of(y, spec.y.dimension))))
                    for x, y in value
                ),
            )
        if isinstance(value, bool):
            return "true" if value else "false"
        return self.name(address, value) if address.endswith(".name") else self.text(address, value)

    def number(self, address: str, value: float, spec: Spec) -> str:
        """Return a number: bare where it has no unit and no tolerance."""
        tolerance = self.rig.tolerances.get(address, 0.0)
        if spec.dimension is Dimension.NUMBER and not tolerance:
            return repr(float(value))
        return quoted(quantity_text(value, spec.dimension, tolerance))

    def fields(self, address: str, owner: Any) -> dict[str, str]:
        """Return the fields that differ from what is taken when they are left out, and the origins of all."""
        defaults = {each.name: each.default for each in fields(owner)}
        pairs: dict[str, str] = {}
        origins: dict[str, str] = {}
        for name, spec in specs_of(type(owner)).items():
            value, where = getattr(owner, name), f"{address}.{name}"
            if value is not None and (value != defaults[name] or self.rig.tolerances.get(where)):
                pairs[name] = self.value(where, value, spec)
            if where in self.rig.origins:
                origins[name] = self.text(where, self.rig.origins[where])
        return {**pairs, "origin": _table(origins)} if origins else pairs

    def table(self, header: str, pairs: Mapping[str, str]) -> None:
        """Write one table."""
        lines = [f"[{header}]"] if header else []
        self.texts.append("\n".join([*lines, *(f"{_key(key)} = {value}" for key, value in pairs.items())]))

    def part(self, address: str, part: Any) -> str:
        """Return a part as an item of a line's list."""
        if PART_KINDS.get(part.kind) is not type(part):
            self.mistakes.add(address, f"a {type(part).__name__}", f"a part: {', '.join(PART_KINDS)}")
        return _table({"part": quoted(part.kind), **self.fields(address, part)})

    def line(self, name: str, line: Line) -> None:
        """Write a line."""
        address = f"lines.{name}"
        pairs = {"from": self.name(f"{address}.from", line.start), "to": self.name(f"{address}.to", line.end)}
        if line.enters:
            pairs["enters"] = quoted(line.enters)
        if line.note:
            pairs["note"] = self.text(f"{address}.note", line.note)
        parts = [
            f"  {self.part(f'{address}.{label}', part)},\n"
            for label, part in zip(line.labels(), line.parts, strict=True)
        ]
        pairs["parts"] = f"[\n{''.join(parts)}]"
        self.table(f"lines.{_key(name)}", pairs)

    def mode(self, name: str, mode: Mode) -> None:
        """Write a mode."""
        pairs: dict[str, str] = {}
        if mode.closed:
            pairs["closed"] = _list(map(quoted, mode.closed))
        if mode.off:
            pairs["off"] = _list(map(quoted, mode.off))
        if mode.values:
            pairs["set"] = _table({each: self.setting(name, each, value) for each, value in mode.values.items()})
        if mode.note:
            pairs["note"] = self.text(f"modes.{name}.note", mode.note)
        self.table(f"modes.{_key(name)}", pairs)

    def setting(self, mode: str, address: str, value: float) -> str:
        """Return a value that a mode sets."""
        spec, _ = self.stated.get(address, (None, None))
        where = f"modes.{mode}.set.{address}"
        if not isinstance(spec, Spec):
            self.mistakes.add(where, "no such value", "the address of a number in this rig")
            return '""'
        return self.tried(where, lambda: quoted(text_of(value, spec.dimension)))

    def check_known(self) -> None:
        """Note every origin and tolerance that is of no value of the rig."""
        for address in self.rig.origins:
            if address not in self.stated:
                self.mistakes.add(address, "an origin of no such value", "the address of a value in this rig")
        for address in self.rig.tolerances:
            spec, value = self.stated.get(address, (None, None))
            if not isinstance(spec, Spec):
                self.mistakes.add(address, "a tolerance of no such value", "the address of a number in this rig")
            elif value is None:
                self.mistakes.add(address, "a tolerance of a value that is left out", "a value as well")

    def written(self) -> str:
        """Return the whole text.

        Raises
        ------
        InputError
            Listing everything that no file can say.
        """
        rig = self.rig
        self.check_known()
        head = {"format": "1", "title": self.text("title", rig.title)}
        self.table("", {**head, "note": self.text("note", rig.note)} if rig.note else head)
        for name in SINGLES:
            if values := self.fields(name, getattr(rig, name)):
                self.table(name, values)
        for group in (*_GROUPS, *ASIDE, "lines", "modes"):
            for name, each in getattr(rig, group).items():
                self.name(f"{group}.{name}", name)
                if group in _GROUPS or group in ASIDE:
                    self.table(f"{group}.{_key(name)}", self.fields(f"{group}.{name}", each))
                elif group == "lines":
                    self.line(name, each)
                else:
                    self.mode(name, each)
        self.mistakes.settle()
        return "\n\n".join(self.texts) + "\n"


@as_annotated
def write_rig(rig: Rig) -> str:
    """Return the text of a rig file that :func:`read_rig` reads back to an equal rig.

    Parameters
    ----------
    rig : Rig
        Any.

    Returns
    -------
    str
        TOML. Values are in trade units, tolerances with ±, origins kept; what equals its default is left out.

    Raises
    ------
    InputError
        Listing everything that no rig file can say, such as a name with a blank in it.

    Notes
    -----
    Remarks of a file that the rig was read from are not kept; a tolerance of nothing is left out.

    Examples
    --------
    >>> from hydrokit.files import hand_check
    >>> write_rig(hand_check()).splitlines()[0]
    'format = 1'
    """
    return _Writer(rig).written()


@as_annotated
def save_rig(rig: Rig, path: str | Path, *, force: bool = False) -> None:
    """Write a rig file, whole or not at all.

    Parameters
    ----------
    rig : Rig
        Any.
    path : str or Path
        In a folder that exists.
    force : bool
        Write over a file that is there.

    Raises
    ------
    InputError
        If no rig file can say what the rig is.
    OutputError
        If the file is there, or cannot be written; whatever stood there before is unchanged.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import TemporaryDirectory
    >>> from hydrokit.files import demonstration, load_rig
    >>> with TemporaryDirectory() as folder:
    ...     save_rig(demonstration(), Path(folder) / "rig.toml")
    ...     load_rig(Path(folder) / "rig.toml") == demonstration()
    True
    """
    save_text(write_rig(rig), path, force=force)
