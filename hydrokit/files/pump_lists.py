"""A list of pumps to choose from: the pumps under ``[parts]`` of a file written like a rig file, or of a rig file."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hydrokit.arguments import as_annotated
from hydrokit.errors import InputError, Mistake
from hydrokit.files.frames import check_name
from hydrokit.files.models import checked
from hydrokit.files.noting import Notes
from hydrokit.files.owners import PartsList, owned
from hydrokit.files.toml import parsed, text_at
from hydrokit.parts import Pump
from hydrokit.parts.reading import told
from hydrokit.rig import Rig

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["load_pumps", "read_pumps"]

_EXAMPLE = '[parts.small-pump] with part = "diaphragm pump" and points'


class _Reader(Notes):
    """Goes through the parts of one file, and notes what is wrong as it goes."""

    def __init__(self, text: str, place: str) -> None:
        self.raw = parsed(text, place=place, what="pumps", example=_EXAMPLE)
        super().__init__(text)
        self.place = place

    def pumps(self) -> dict[str, Pump]:
        frame = checked(Rig, self.raw)
        for key, mistake in frame.faults:
            self.note(mistake, key)
        for key, mistake in frame.missing:
            if key != "lines":  # a list of pumps has none
                self.note(mistake, key)
        entries = PartsList(frame.values.get("gallon"))
        parts: dict[str, Any] = frame.values.get("parts", {})
        for name, raw in parts.items():
            self.entry(entries, name, raw)
        found = {name: self.pump(entries, name) for name in entries.rig}
        pumps = {name: pump for name, pump in found.items() if pump is not None}
        if not (pumps or self.mistakes):
            self.mistakes.append(Mistake(self.place, "no pump under [parts]", "at least one", _EXAMPLE))
        self.settle()
        return pumps

    def entry(self, entries: PartsList, name: str, raw: object) -> None:
        """Take in one table of ``[parts]``."""
        try:
            check_name(name)
        except InputError as error:
            self.note(error.mistakes[0], "parts", name)
            return
        if not isinstance(raw, dict):
            self.note(Mistake("", told(raw), "a table", f"[parts.{name}]"), "parts", name)
            return
        for key, mistake in entries.add(name, raw):
            self.note(mistake, "parts", name, key)

    def pump(self, entries: PartsList, name: str) -> Pump | None:
        """Return the pump of that name; None where it is another part, or its mistakes are told already."""
        entry = entries.rig[name]
        if entry.cls is None or not issubclass(entry.cls, Pump):
            return None
        read = owned(entry.cls, {key: value for key, value in entry.fields.items() if key != "name"}, entries.gallon)
        for key, mistake in read.faults:
            if key not in entry.told:
                self.note(mistake, "parts", name, key)
        return None if read.faults else read.made


def read_pumps(text: str, *, place: str = "") -> dict[str, Pump]:
    """Return the pumps that a text describes under ``[parts]``, by name; other parts are passed over.

    Parameters
    ----------
    text : str
        Written like a rig file, or one; it needs no lines.
    place : str
        What the text is called in messages that are about no single value: its path, usually.

    Raises
    ------
    InputError
        Listing every mistake, with address, line, what was found, what was expected and what to write instead.

    Examples
    --------
    >>> pumps = read_pumps('''
    ... format = 1
    ... [parts.small]
    ... part = "diaphragm pump"
    ... points = [["0 L/min", "2 bar"], ["6 L/min", "0 bar"]]
    ... ''')
    >>> pumps["small"].points[1]
    (0.0001, 0.0)
    """
    return _Reader(text, place).pumps()


@as_annotated
def load_pumps(path: str | Path) -> dict[str, Pump]:
    r"""Return the pumps that a file describes under ``[parts]``, by name.

    Parameters
    ----------
    path : str or Path
        A file of at most 1 MiB, UTF-8.

    Returns
    -------
    dict of str to Pump
        In the order of the file.

    Raises
    ------
    InputError
        If it cannot be read, or listing every mistake in it.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import TemporaryDirectory
    >>> pump = 'part = "diaphragm pump"\npoints = [["0 L/min", "2.8 bar"], ["11 L/min", "0 bar"]]'
    >>> with TemporaryDirectory() as folder:
    ...     path = Path(folder) / "pumps.toml"
    ...     _ = path.write_text(f"format = 1\n[parts.mine]\n{pump}", encoding="utf-8")
    ...     list(load_pumps(path))
    ['mine']
    """
    return read_pumps(text_at(path, "a file of pumps"), place=str(path))
