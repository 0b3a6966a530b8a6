"""Whether the pieces of a rig fit together: names, ends of lines, modes, and every address that is used."""

from __future__ import annotations

import math
from collections import Counter
from typing import TYPE_CHECKING, Any, Final

from hydrokit.bounds import Spec, nearest, require, specs_of
from hydrokit.errors import InputError
from hydrokit.parts import END_KINDS, Battery, Load, Part, PoweredPump

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from hydrokit.bounds import FieldSpec, Mistakes
    from hydrokit.rig.model import Line, Rig

__all__ = ["ASIDE", "GROUPS", "check_rig"]

GROUPS: Final = ("sources", "tanks", "outlets", "joints")
"""What lines run between, in the order in which a rig lists it; each is the plural of the kind that it holds."""

ASIDE: Final[dict[str, type[Any]]] = {"loads": Load, "batteries": Battery}
"""Groups of named things that no line meets, and what each holds."""


def check_rig(rig: Rig, mistakes: Mistakes) -> None:
    """Note everything in which the pieces of a rig do not fit together."""
    _check_texts(rig, mistakes)
    _check_kinds(rig, mistakes)
    if mistakes.found:  # what is no part at all has no name either
        return
    _check_names(rig, mistakes)
    _check_lines(rig, mistakes)
    _check_batteries(rig, mistakes)
    _check_modes(rig, mistakes)
    _check_known(rig, mistakes)


def _check_texts(rig: Rig, mistakes: Mistakes) -> None:
    for group in (*GROUPS, *ASIDE, "lines", "modes"):
        for name in getattr(rig, group):
            if not isinstance(name, str):
                mistakes.add(group, f"the name {name!r}", "text")


def _check_kinds(rig: Rig, mistakes: Mistakes) -> None:
    for group, wanted in ({group: END_KINDS[group.removesuffix("s")] for group in GROUPS} | ASIDE).items():
        for name, thing in getattr(rig, group).items():
            if not isinstance(thing, wanted):
                mistakes.add(f"{group}.{name}", type(thing).__name__, f"a {wanted.__name__}")
    for name, line in rig.lines.items():
        if not hasattr(line, "parts"):
            mistakes.add(f"lines.{name}", type(line).__name__, "a Line")
            continue
        parts: tuple[object, ...] = line.parts
        for place, part in enumerate(parts, start=1):
            if not isinstance(part, Part):
                mistakes.add(f"lines.{name}", f"{type(part).__name__} as part {place}", "a part, such as Hose")


def _check_name(place: str, name: str, mistakes: Mistakes) -> None:
    if not name or not all(letter.isalnum() or letter in "-_" for letter in name):
        mistakes.add(place, repr(name), "a name of letters, digits, - and _", "lift-pump")


def _check_names(rig: Rig, mistakes: Mistakes) -> None:
    seen: dict[str, str] = {}
    for group in GROUPS:
        for name in getattr(rig, group):
            _check_name(f"{group}.{name}", name, mistakes)
            if name in seen:
                expected = f"a name other than that of {seen[name]}.{name}"
                mistakes.add(f"{group}.{name}", f"a second end called {name}", expected)
            seen[name] = group
    for address in (f"{group}.{name}" for group in ASIDE for name in getattr(rig, group)):
        _check_name(address, address.partition(".")[2], mistakes)
    for name in rig.ends():  # those that are listed nowhere are plain joints
        if name not in seen:
            _check_name(f"joints.{name}", name, mistakes)
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
                new = (
                    f"[sources.{end}] with a surface"
                    if word == "from"
                    else f"[tanks.{end}] with volume, floor and depth"
                )
                mistakes.add(
                    f"lines.{name}.{word}",
                    f"{end!r}, which nothing else meets",
                    "a source, tank, outlet or a joint of at least two lines",
                    nearest(end, others) or new,
                )
    _check_unused(rig, set(used), stated, mistakes)


def _check_unused(rig: Rig, used: set[str], stated: set[str], mistakes: Mistakes) -> None:
    for group in GROUPS:
        for name in getattr(rig, group):
            if name not in used and not nearest(name, used - stated):  # else a line is told to name it
                mistakes.add(f"{group}.{name}", "no line that meets it", "a line from or to it", f'from = "{name}"')


def _check_line(rig: Rig, name: str, line: Line, mistakes: Mistakes) -> None:
    if line.start == line.end:
        mistakes.add(f"lines.{name}", f"both ends at {line.start}", "two different ends")
    if line.start in rig.outlets:
        mistakes.add(f"lines.{name}.from", f"the outlet {line.start}", "an end that water can come from", "it under to")
    if line.enters and line.end not in rig.tanks:
        mistakes.add(f"lines.{name}.enters", f"{line.enters} of {line.end}", "a line that ends in a tank")


def _check_batteries(rig: Rig, mistakes: Mistakes) -> None:
    for address, pump in rig.pumps().items():
        named = getattr(pump, "battery", "")  # a blank that stands for a pump that cannot be read has none
        if isinstance(pump, PoweredPump) and named and named not in rig.batteries:
            listed = [*rig.batteries]
            expected = f"one of {', '.join(listed)}" if listed else "a battery of the rig, such as [batteries.main]"
            mistakes.add(f"{address}.battery", repr(named), expected, nearest(named, listed))


def _check_modes(rig: Rig, mistakes: Mistakes) -> None:
    lines = [f"lines.{name}" for name in rig.lines]
    pumps = [*rig.pumps()]
    for name, mode in rig.modes.items():
        _check_name(f"modes.{name}", name, mistakes)
        _check_addresses(f"modes.{name}.closed", mode.closed, lines, "the address of a line", mistakes)
        _check_addresses(f"modes.{name}.off", mode.off, pumps, "the address of a pump", mistakes)
        _check_numbers(rig, f"modes.{name}.values", mode.values, mistakes)


def _check_addresses(
    place: str, found: Collection[str], listed: Collection[str], expected: str, mistakes: Mistakes
) -> None:
    known = set(listed)
    for address in found:
        if address not in known:
            mistakes.add(place, repr(address), expected, nearest(address, [*listed]))


def _specs(rig: Rig) -> dict[str, FieldSpec]:
    """Return what every field of a rig may be, by address."""
    return {
        f"{address}.{name}": spec
        for address, owner in rig.by_address.items()
        for name, spec in specs_of(type(owner)).items()
    }


def _check_numbers(rig: Rig, place: str, values: Mapping[str, float], mistakes: Mistakes) -> None:
    if not values:
        return
    numbers = {address: spec for address, spec in _specs(rig).items() if isinstance(spec, Spec)}
    _check_addresses(place, values, numbers, "the address of a number in this rig", mistakes)
    for address, value in values.items():
        if address in numbers:
            try:
                spec = numbers[address]
                require(f"{place}.{address}", value, spec.low, spec.high, spec.dimension.si_unit)
            except InputError as error:
                mistakes.extend(error)


def _check_known(rig: Rig, mistakes: Mistakes) -> None:
    """Note what is told about values that the rig does not have."""
    if not (rig.origins or rig.tolerances):
        return
    specs = _specs(rig)
    _check_addresses("origins", rig.origins, specs, "the address of a value in this rig", mistakes)
    numbers = {address: spec for address, spec in specs.items() if isinstance(spec, Spec)}
    _check_addresses("tolerances", rig.tolerances, numbers, "the address of a number in this rig", mistakes)
    for address, width in rig.tolerances.items():
        try:
            unit = numbers[address].dimension.si_unit if address in numbers else ""
            require(f"tolerances.{address}", width, 0.0, math.inf, unit)
        except InputError as error:
            mistakes.extend(error)
