"""What is stated of a rig: every value with its tolerance and origin, and the hoses to cut with what they weigh."""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING, Any, Final

from hydrokit.bounds import Curve, Dimension, Flag, Spec, Text, specs_of
from hydrokit.parts import Hose, Part
from hydrokit.rig import owners, spec_at
from hydrokit.sheets.places import said
from hydrokit.studies.bores.hose_mass import catalogue_hoses, mass_per_length
from hydrokit.units import show

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from hydrokit.bounds import FieldSpec
    from hydrokit.rig import Rig
    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View

__all__ = ["lay_data", "lay_hoses", "lay_parts"]

_DIGITS: Final = 6
_UNTOLD: Final = frozenset({"name", "note"})


def _number(value: float, dimension: Dimension, view: View) -> str:
    return show(value, dimension, view.system, _DIGITS)


def _value(value: Any, spec: FieldSpec, view: View) -> str:
    if isinstance(spec, Spec):
        return _number(value, spec.dimension, view)
    if isinstance(spec, Curve):
        points = [f"{_number(y, spec.y.dimension, view)} at {_number(x, spec.x.dimension, view)}" for x, y in value]
        return ", ".join(points)
    return ("yes" if value else "no") if isinstance(spec, Flag) else str(value)


class _Stated:
    """Tells what is stated of anything in a rig."""

    def __init__(self, rig: Rig, changed: Mapping[str, float], view: View) -> None:
        self.rig, self.changed, self.view = rig, changed, view

    def _origin(self, address: str) -> str:
        word = "changed for this report" if address in self.changed else self.rig.origins.get(address, "")
        return f" ({word})" if word else ""

    def _tolerance(self, address: str, value: Any, spec: FieldSpec) -> str:
        width = self.rig.tolerances.get(address)
        if not width or not isinstance(spec, Spec):
            return ""
        return f" ± {self.view.width(width, value, spec.dimension, _DIGITS)}"

    def _fields(self, address: str, owner: Any) -> Iterator[str]:
        defaults = {each.name: each.default for each in fields(owner)}
        for name, spec in specs_of(type(owner)).items():
            value, where = getattr(owner, name), f"{address}.{name}"
            told = value != defaults[name] or where in self.rig.origins or where in self.rig.tolerances
            if value is not None and told and name not in _UNTOLD:
                shown = _value(value, spec, self.view)
                yield f"{name.replace('_', ' ')} {shown}{self._tolerance(where, value, spec)}{self._origin(where)}"

    def told(self, address: str, owner: Any) -> str:
        """Return every value stated of something, with tolerance and origin, and its note."""
        values = "; ".join(self._fields(address, owner))
        note = getattr(owner, "note", "") if isinstance(specs_of(type(owner)).get("note"), Text) else ""
        return f"{values}{_noted(note) if values else note.strip()}"


def lay_parts(page: Page, rig: Rig, changed: Mapping[str, float], view: View) -> None:
    """Write every part of the rig, those that are alike in one row, with every value stated of it."""
    stated = _Stated(rig, changed, view)
    alike: dict[tuple[str, str], list[str]] = {}
    for address, owner in owners(rig):
        if isinstance(owner, Part):
            alike.setdefault((owner.kind, stated.told(address, owner)), []).append(address)
    page.heading("Parts, with what is stated of each")
    rows = [
        [str(len(places)), kind, ", ".join(said(place) for place in places), told]
        for (kind, told), places in alike.items()
    ]
    page.table(["", "kind", "which", "stated (where from)"], rows)


def _noted(note: str) -> str:
    return f". {note.strip()}" if note.strip() else ""


def _mode(rig: Rig, name: str, view: View) -> str:
    """Return what a mode shuts, stops and sets."""
    mode = rig.modes[name]
    shut = [f"{said(address)} shut" for address in mode.closed]
    still = [f"{said(address)} off" for address in mode.off]
    values = [
        f"{said(address)} {_number(value, spec_at(rig, address).dimension, view)}"
        for address, value in mode.values.items()
    ]
    return f"{'; '.join([*shut, *still, *values]) or 'all open, every pump on'}{_noted(mode.note)}"


def lay_data(page: Page, rig: Rig, changed: Mapping[str, float], view: View) -> None:
    """Write what is stated of the site, the ends of the lines, the vehicle and all else that is no part."""
    stated = _Stated(rig, changed, view)
    rows = []
    for address, owner in owners(rig):
        told = "" if isinstance(owner, Part) else stated.told(address, owner)
        if told:
            rows.append([said(address), told])
    runs = [f"{name} from {line.start} to {line.end}{_noted(line.note)}" for name, line in rig.lines.items()]
    rows.append(["lines", "; ".join(runs)])
    rows += [[f"mode {name}", _mode(rig, name, view)] for name in rig.modes]
    page.heading("Site, ends, lines and modes, with what is stated of each")
    page.table(["", "stated (where from)"], rows)


def _mass(hose: Hose) -> tuple[float | None, bool]:
    """Return what a hose weighs without water, and whether that is told by the catalogue and not by the rig."""
    each = mass_per_length(hose, hose.bore, catalogue_hoses())
    own = hose.mass is not None or hose.mass_per_length is not None
    return (None if each is None else each * hose.length), not own and each is not None


def lay_hoses(page: Page, rig: Rig, view: View) -> None:
    """Write the hoses to cut, those of one bore and material together."""
    groups: dict[tuple[float, str], list[tuple[str, Hose]]] = {}
    for address, owner in owners(rig):
        if isinstance(owner, Hose):
            groups.setdefault((owner.bore, owner.material), []).append((address, owner))
    if not groups:
        return
    page.heading("Hoses to cut")
    rows, listed = [], False
    for (bore, material), hoses in sorted(groups.items()):
        masses = [_mass(hose) for _, hose in hoses]
        listed |= any(generic for _, generic in masses)
        rows += [
            [
                f"{material}, {_number(bore, Dimension.LENGTH, view)}" if not place else "",
                said(address),
                _number(hose.length, Dimension.LENGTH, view),
                "not known" if mass is None else f"{view.show(mass, Dimension.MASS)}{' *' if generic else ''}",
            ]
            for place, ((address, hose), (mass, generic)) in enumerate(zip(hoses, masses, strict=True))
        ]
        if len(hoses) > 1:
            known = [mass for mass, _ in masses if mass is not None]
            whole = view.show(sum(known), Dimension.MASS) if len(known) == len(masses) else "not known"
            length = _number(sum(hose.length for _, hose in hoses), Dimension.LENGTH, view)
            rows.append(["", "together", length, whole])
    page.table(["hose", "piece", "length", "mass, empty"], rows)
    page.say(
        "Lengths are those of the water's way: add what goes onto the tails, and measure on the vehicle before cutting."
    )
    if listed:
        page.say("* By the mass of a generic hose of that bore and kind in the catalogue, as none is stated.")
