"""One rig as pure data: site, ends, lines of parts, modes, and what is known about each value."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING, Annotated, Final, TypeVar

from hydrokit.bounds import Dimension, Mistakes, Spec, Text, check_fields, nearest
from hydrokit.errors import InputError, NetworkError
from hydrokit.parts import Joint, Outlet, Part, Pump, Source, Tank

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hydrokit.parts import End

__all__ = ["AS_DRAWN", "Line", "Mode", "Rig", "Site"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """Where the rig stands and what water it draws."""

    altitude: Annotated[
        float, Spec(Dimension.LENGTH, "of the site above the sea", low=-500.0, high=9000.0, example='"140 m"')
    ] = 0.0
    water_temperature: Annotated[
        float, Spec(Dimension.TEMPERATURE, "of the water", low=273.15, high=372.0, example='"9 °C"')
    ] = 288.15
    turbidity: Annotated[
        float | None, Spec(Dimension.TURBIDITY, "cloudiness of the raw water", low=0.0, high=1e5, example='"6 NTU"')
    ] = None
    density: Annotated[
        float | None, Spec(Dimension.DENSITY, "of the liquid, where it is not water", low=1.0, high=2e4)
    ] = None
    viscosity: Annotated[
        float | None, Spec(Dimension.VISCOSITY, "of the liquid, where it is not water", low=1e-6, high=1e3)
    ] = None
    vapour_pressure: Annotated[
        float | None, Spec(Dimension.ABSOLUTE_PRESSURE, "of the liquid, where it is not water", low=0.0, high=1e6)
    ] = None
    air_pressure: Annotated[
        float | None,
        Spec(Dimension.ABSOLUTE_PRESSURE, "as measured, instead of that of the altitude", low=1e3, high=2e5),
    ] = None

    def __post_init__(self) -> None:
        check_fields(self, "site")


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A run of parts between two ends, in the order the water meets them."""

    start: str
    end: str
    parts: tuple[Part, ...] = ()
    note: Annotated[str, Text("anything worth remembering")] = ""

    def labels(self) -> tuple[str, ...]:
        """Return each part's word in addresses: its name, else its kind and ordinal from 1."""
        counts: Counter[str] = Counter()
        words = []
        for part in self.parts:
            if part.name:
                words.append(part.name)
            else:
                kind = part.kind.replace(" ", "-")
                counts[kind] += 1
                words.append(f"{kind}-{counts[kind]}")
        return tuple(words)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mode:
    """One way of using the rig: which lines are shut, which pumps stand still, which values differ."""

    closed: tuple[str, ...] = ()
    off: tuple[str, ...] = ()
    values: Mapping[str, float] = field(default_factory=dict)
    note: Annotated[str, Text("anything worth remembering")] = ""


_Value = TypeVar("_Value")

AS_DRAWN: Final = "as drawn"
"""The mode of a rig that states none: everything open, every pump on."""


def _frozen(mapping: Mapping[str, _Value]) -> Mapping[str, _Value]:
    return MappingProxyType(dict(mapping))


@dataclass(frozen=True, kw_only=True)
class Rig:
    """A portable filtration rig.

    Parameters
    ----------
    title : str
        What the rig is called.
    site : Site
        Altitude, water temperature and the like.
    sources, tanks, outlets, joints : mapping of name to part
        The ends that lines run between; a name used by lines but listed nowhere is a plain joint.
    lines : mapping of name to Line
        At least one.
    modes : mapping of name to Mode
        The first is the default.
    origins : mapping of address to word
        Where a value comes from: measured, data sheet, guess, …
    tolerances : mapping of address to float
        Half-width in SI units of the range within which the value may lie.
    note : str
        Anything worth remembering.

    Raises
    ------
    NetworkError
        If a line runs from or to nothing, or names clash; every mistake at once.
    """

    title: str = "untitled rig"
    site: Site = field(default_factory=Site)
    sources: Mapping[str, Source] = field(default_factory=dict)
    tanks: Mapping[str, Tank] = field(default_factory=dict)
    outlets: Mapping[str, Outlet] = field(default_factory=dict)
    joints: Mapping[str, Joint] = field(default_factory=dict)
    lines: Mapping[str, Line] = field(default_factory=dict)
    modes: Mapping[str, Mode] = field(default_factory=dict)
    origins: Mapping[str, str] = field(default_factory=dict)
    tolerances: Mapping[str, float] = field(default_factory=dict)
    note: str = ""

    def __post_init__(self) -> None:
        for name in ("sources", "tanks", "outlets", "joints", "lines", "modes", "origins", "tolerances"):
            object.__setattr__(self, name, _frozen(getattr(self, name)))
        mistakes = Mistakes()
        _check_names(self, mistakes)
        _check_lines(self, mistakes)
        _check_modes(self, mistakes)
        mistakes.settle(NetworkError)

    def __getstate__(self) -> dict[str, object]:
        return {
            name: dict(value) if isinstance(value, MappingProxyType) else value for name, value in vars(self).items()
        }

    def __setstate__(self, state: dict[str, object]) -> None:
        for name, value in state.items():
            object.__setattr__(self, name, _frozen(value) if isinstance(value, dict) else value)

    def ends(self) -> dict[str, End]:
        """Return every stated end and every plain joint by name, in the order met."""
        found: dict[str, End] = {**self.sources, **self.tanks, **self.outlets, **self.joints}
        for line in self.lines.values():
            for name in (line.start, line.end):
                found.setdefault(name, Joint())
        return found

    def pumps(self) -> dict[str, Pump]:
        """Return every pump by the address of the part."""
        return {
            f"lines.{name}.{label}": part
            for name, line in self.lines.items()
            for label, part in zip(line.labels(), line.parts, strict=True)
            if isinstance(part, Pump)
        }

    def mode_names(self) -> tuple[str, ...]:
        """Return the names of the modes, the default first."""
        return tuple(self.modes) or (AS_DRAWN,)

    def mode(self, name: str | None = None) -> tuple[str, Mode]:
        """Return a mode and its name; the default one where none is named.

        Raises
        ------
        InputError
            If the rig has no mode of that name.
        """
        names = self.mode_names()
        if name is None or (name == AS_DRAWN and not self.modes):
            return names[0], self.modes.get(names[0], Mode())
        if name not in self.modes:
            mistakes = Mistakes()
            mistakes.add("mode", repr(name), f"one of {', '.join(names)}", nearest(name, names))
            mistakes.settle(InputError)
        return name, self.modes[name]


def _check_name(place: str, name: str, mistakes: Mistakes) -> None:
    if not name or not all(letter.isalnum() or letter in "-_" for letter in name):
        mistakes.add(place, repr(name), "a name of letters, digits, - and _", "lift-pump")


def _check_names(rig: Rig, mistakes: Mistakes) -> None:
    seen: dict[str, str] = {}
    for group in ("sources", "tanks", "outlets", "joints"):
        for name in getattr(rig, group):
            _check_name(f"{group}.{name}", name, mistakes)
            if name in seen:
                expected = f"a name other than that of {seen[name]}.{name}"
                mistakes.add(f"{group}.{name}", f"a second end called {name}", expected)
            seen[name] = group
    for name, line in rig.lines.items():
        _check_name(f"lines.{name}", name, mistakes)
        _check_labels(name, line, mistakes)


def _check_labels(name: str, line: Line, mistakes: Mistakes) -> None:
    for label, count in Counter(line.labels()).items():
        _check_name(f"lines.{name}.{label}", label, mistakes)
        if count > 1:
            mistakes.add(f"lines.{name}", f"{count} parts called {label}", "one name for each part of a line")


def _check_lines(rig: Rig, mistakes: Mistakes) -> None:
    if not rig.lines:
        mistakes.add("lines", "none", "at least one line", "[lines.intake] with from, to and parts")
        return
    if not {*rig.sources, *rig.tanks, *rig.outlets}:
        mistakes.add("sources", "none", "somewhere for water to come from", "[sources.pond] with a surface")
    stated = {*rig.sources, *rig.tanks, *rig.outlets, *rig.joints}
    used = Counter(end for line in rig.lines.values() for end in (line.start, line.end))
    for name, line in rig.lines.items():
        _check_line(rig, name, line, mistakes)
        for word, end in (("from", line.start), ("to", line.end)):
            if end not in stated and used[end] < 2:
                others = {*stated, *used} - {end}
                mistakes.add(
                    f"lines.{name}.{word}",
                    f"{end!r}, which nothing else meets",
                    "a source, tank, outlet or a joint of at least two lines",
                    nearest(end, others),
                )
    _check_unused(rig, set(used), stated, mistakes)


def _check_unused(rig: Rig, used: set[str], stated: set[str], mistakes: Mistakes) -> None:
    for group in ("tanks", "outlets", "sources", "joints"):
        for name in getattr(rig, group):
            if name not in used:
                close = nearest(name, used - stated)
                mistakes.add(f"{group}.{name}", "no line that meets it", "a line from or to it", close)


def _check_line(rig: Rig, name: str, line: Line, mistakes: Mistakes) -> None:
    if line.start == line.end:
        mistakes.add(f"lines.{name}", f"both ends at {line.start}", "two different ends")
    if line.start in rig.outlets:
        mistakes.add(f"lines.{name}.from", f"the outlet {line.start}", "an end that water can come from", "it under to")


def _check_modes(rig: Rig, mistakes: Mistakes) -> None:
    lines = tuple(f"lines.{name}" for name in rig.lines)
    pumps = tuple(rig.pumps())
    for name, mode in rig.modes.items():
        for address in mode.closed:
            if address not in lines:
                mistakes.add(f"modes.{name}.closed", repr(address), "the address of a line", nearest(address, lines))
        for address in mode.off:
            if address not in pumps:
                mistakes.add(f"modes.{name}.off", repr(address), "the address of a pump", nearest(address, pumps))
