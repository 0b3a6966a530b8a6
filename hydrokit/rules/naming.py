"""Addresses as one says them: ``lines.intake.lift-pump`` is the lift-pump, ``lines.to-near.hose-1`` the hose of line to-near."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from hydrokit.rig import Rig

__all__ = ["capital", "listed", "named", "tanks_named"]

_SINGULAR: Final = {"batteries": "battery"}


def named(rig: Rig, address: str) -> str:
    """Return what a sentence calls the part, line or end at an address.

    A part goes by its own name, with that of its line where another line has one of that name; a part without a name
    by its kind, counted where its line has several.

    Examples
    --------
    >>> from hydrokit.files import demonstration
    >>> for address in ("lines.intake.lift-pump", "lines.to-near.hose-1", "lines.intake.hose-tail-2", "tanks.near"):
    ...     print(named(demonstration(), address))
    the lift-pump
    the hose of line to-near
    hose tail 2 of line intake
    tank near
    """
    group, name, *rest = address.split(".")
    if group != "lines" or not rest:
        kind = _SINGULAR.get(group, group.removesuffix("s"))
        return f"the {kind}" if name == kind else f"{kind} {name}"
    line, label = rig.lines[name], rest[0]
    part = rig.by_address[f"lines.{name}.{label}"]
    if part.name:
        others = sum(f"lines.{other}.{label}" in rig.by_address for other in rig.lines)
        return f"the {label}" if others == 1 else f"the {label} of line {name}"
    alike = Counter(other.kind for other in line.parts if not other.name)[part.kind]
    number = label.rpartition("-")[2]
    return f"the {part.kind} of line {name}" if alike == 1 else f"{part.kind} {number} of line {name}"


def capital(text: str) -> str:
    """Return a text with its first letter large, as a sentence begins."""
    return text[:1].upper() + text[1:]


def listed(words: Iterable[str]) -> str:
    """Return words as a list in a sentence.

    Examples
    --------
    >>> listed(["near", "far", "tap"])
    'near, far and tap'
    """
    *most, last = words
    return f"{', '.join(most)} and {last}" if most else last


def tanks_named(names: Sequence[str]) -> str:
    """Return what a sentence calls one tank or several.

    Examples
    --------
    >>> tanks_named(["near", "far"]), tanks_named(["near"]), tanks_named(["tank"])
    ('tanks near and far', 'tank near', 'the tank')
    """
    if len(names) > 1:
        return f"tanks {listed(names)}"
    return "the tank" if names[0] == "tank" else f"tank {names[0]}"
