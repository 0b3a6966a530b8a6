"""The mass of hose by its bore: as stated for the bore that is drawn, else as the catalogue states for one of its kind."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Final

from hydrokit.catalogue import generic_parts, part
from hydrokit.parts import Hose

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["catalogue_hoses", "mass_per_length"]

_SAME_SIZE: Final = 0.02
"""Bores closer than this are the same size by two names, such as 12.5 mm and half an inch."""
_SAME: Final = 1e-6


@cache
def catalogue_hoses() -> tuple[Hose, ...]:
    """Return every hose of the catalogue, a metre of each."""
    made = [part(name, length="1 m") for name, entry in generic_parts().items() if entry.kind == Hose.kind]
    return tuple(hose for hose in made if isinstance(hose, Hose))


def _alike(hose: Hose, other: Hose) -> bool:
    """Return whether another hose is of the same kind: material, and whether it is made for suction."""
    return hose.material == other.material and bool(hose.vacuum_rating) == bool(other.vacuum_rating)


def mass_per_length(hose: Hose, bore: float, listed: Sequence[Hose]) -> float | None:
    """Return what a metre of hose of some bore weighs without water, kg/m; None where nothing states it.

    Parameters
    ----------
    hose : Hose
        As drawn.
    bore : float
        That it is to have instead. [m]
    listed : sequence of Hose
        Generic hoses, one of which may be of its kind and of that bore.
    """
    if abs(bore - hose.bore) <= _SAME * hose.bore:
        if hose.mass is not None and hose.length > 0.0:
            return hose.mass / hose.length
        if hose.mass_per_length is not None:
            return hose.mass_per_length
    found = (
        other.mass_per_length
        for other in listed
        if other.mass_per_length is not None and abs(other.bore - bore) <= _SAME_SIZE * bore and _alike(hose, other)
    )
    return next(found, None)
