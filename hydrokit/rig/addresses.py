"""One address names a value everywhere: in errors, findings, modes, edits, sweeps, origins and JSON.

``lines.intake.hose-1.bore``, ``tanks.near.floor``, ``site.altitude``: group, name, then for a line the part's own
name, else its kind and ordinal from 1, and last the field. Never an index.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Mistakes, Spec, nearest, specs_of
from hydrokit.errors import InputError
from hydrokit.rig.model import SINGLES
from hydrokit.rig.soundness import ASIDE, GROUPS

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from hydrokit.rig.model import Rig

__all__ = ["in_force", "nearest_address", "owners", "replaced", "spec_at", "value_at", "values_of"]


def owners(rig: Rig) -> Iterator[tuple[str, Any]]:
    """Yield the address and the object of everything that holds values: site, vehicle, ends, loads and parts."""
    yield from rig.by_address.items()


def values_of(rig: Rig) -> dict[str, float]:
    """Return every stated number of a rig by its address, SI."""
    return {
        f"{address}.{name}": float(value)
        for address, owner in owners(rig)
        for name, spec in specs_of(type(owner)).items()
        if isinstance(spec, Spec) and (value := getattr(owner, name)) is not None
    }


def _unknown(rig: Rig, address: str) -> InputError:
    listed = [
        f"{owner_address}.{name}"
        for owner_address, owner in owners(rig)
        for name, spec in specs_of(type(owner)).items()
        if isinstance(spec, Spec)
    ]
    owner_address, _, field = address.rpartition(".")
    owner = rig.by_address.get(owner_address)
    is_other = owner is not None and field in specs_of(type(owner))
    found = "a value that is no number" if is_other else "no such value"
    mistakes = Mistakes()
    mistakes.add(address, found, "the address of a number in this rig", nearest_address(address, listed))
    return InputError(mistakes.found)


def nearest_address(address: str, listed: Iterable[str]) -> str:
    """Return the listed address that is probably meant, or an empty text: of the same thing, where there is that thing.

    Examples
    --------
    >>> nearest_address("tanks.near.flor", ["tanks.near.floor", "tanks.far.floor"])
    'tanks.near.floor'
    >>> nearest_address("near.floor", ["tanks.near.floor", "tanks.far.floor"])
    'tanks.near.floor'
    >>> nearest_address("floor", ["tanks.near.floor", "tanks.far.floor"])
    ''
    """
    owner, _, field = address.rpartition(".")
    split = [each.rpartition(".") for each in listed]
    of_owner = [name for other, _, name in split if other == owner]
    if of_owner:
        close = nearest(field, of_owner)
        return f"{owner}.{close}" if close else ""
    if owner:
        return nearest(address, ["".join(each) for each in split])
    meant = ["".join(each) for each in split if each[2] == field]
    return meant[0] if len(meant) == 1 else ""  # a field of many things names none of them


def _owner(rig: Rig, address: str) -> tuple[str, Any, str]:
    owner_address, _, name = address.rpartition(".")
    owner = rig.by_address.get(owner_address)
    if owner is not None and isinstance(specs_of(type(owner)).get(name), Spec):
        return owner_address, owner, name
    raise _unknown(rig, address)


def spec_at(rig: Rig, address: str) -> Spec:
    """Return the specification of the number at an address.

    Raises
    ------
    InputError
        If there is no such value; names the nearest that there is.
    """
    _, owner, name = _owner(rig, address)
    spec = specs_of(type(owner))[name]
    assert isinstance(spec, Spec)
    return spec


def value_at(rig: Rig, address: str) -> float | None:
    """Return the number at an address, SI; None where it is left out.

    Raises
    ------
    InputError
        If there is no such value.
    """
    _, owner, name = _owner(rig, address)
    value = getattr(owner, name)
    return None if value is None else float(value)


@as_annotated
def replaced(rig: Rig, values: Mapping[str, float]) -> Rig:
    """Return a rig in which the numbers at the given addresses differ.

    Parameters
    ----------
    rig : Rig
        Stays as it is.
    values : mapping of address to float
        In SI.

    Returns
    -------
    Rig
        A new one.

    Raises
    ------
    InputError
        If an address names nothing, or a value is not possible; every mistake at once.

    Examples
    --------
    >>> from hydrokit.files import demonstration
    >>> longer = replaced(demonstration(), {"lines.intake.suction-hose.length": 12.0})
    >>> value_at(longer, "lines.intake.suction-hose.length")
    12.0
    """
    mistakes = Mistakes()
    changes: dict[str, dict[str, float]] = {}
    for address, value in values.items():
        try:
            owner_address, _, name = _owner(rig, address)
        except InputError as error:
            mistakes.extend(error)
        else:
            changes.setdefault(owner_address, {})[name] = value
    made: dict[str, Any] = {}
    for address, fields in changes.items():
        try:
            made[address] = replace(rig.by_address[address], **fields)
        except InputError as error:  # the part knows its field, not where it stands
            mistakes.found += [
                replace(found, place=f"{address}.{found.place.rpartition('.')[2]}") for found in error.mistakes
            ]
    mistakes.settle()
    lines = {
        name: replace(
            line,
            parts=tuple(
                made.get(f"lines.{name}.{label}", part) for label, part in zip(line.labels(), line.parts, strict=True)
            ),
        )
        for name, line in rig.lines.items()
    }
    groups: dict[str, Any] = {
        group: {name: made.get(f"{group}.{name}", end) for name, end in getattr(rig, group).items()}
        for group in (*GROUPS, *ASIDE)
    }
    singles = {name: made.get(name, getattr(rig, name)) for name in SINGLES}
    return replace(rig, lines=lines, **groups, **singles)


def in_force(rig: Rig, mode: str | None = None, changed: Mapping[str, float] | None = None) -> Rig:
    """Return a rig with the values that hold in a mode, and in front of them what is changed, put in.

    Raises
    ------
    InputError
        If a mode or an address is unknown, or a value is not possible.
    """
    return replaced(rig, {**rig.mode(mode)[1].values, **(changed or {})})
