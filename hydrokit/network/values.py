"""Reading the numbers of a rig: as varied, else as the mode sets them, else as stated."""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np
import numpy.typing as npt

from hydrokit.bounds import Mistakes, require
from hydrokit.errors import InputError
from hydrokit.rig import spec_at
from hydrokit.water import STANDARD_GRAVITY, air_pressure, water

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from hydrokit.bounds import Array, Real
    from hydrokit.rig import Mode, Rig, Site

__all__ = ["Conditions", "Rows", "Values", "columns", "conditions_of", "counted"]

Rows: TypeAlias = npt.NDArray[np.intp] | slice
"""Some of the variants: their numbers, or a stretch from one to before another."""


def counted(rows: Rows) -> int:
    """Return how many variants some rows are."""
    return int(rows.stop) - int(rows.start) if isinstance(rows, slice) else len(rows)


class Values:
    """The numbers of one rig and mode, some of them varied.

    Parameters
    ----------
    rig : Rig
    mode : Mode
        Its values stand in front of those of the rig.
    variation : mapping of address to float or array, shape (n,)
        Stands in front of both. SI.

    Raises
    ------
    InputError
        If an address names nothing, or a value is not possible; every mistake at once.
    """

    def __init__(self, rig: Rig, mode: Mode, variation: Mapping[str, Real]) -> None:
        self.changed: dict[str, Real] = {**mode.values, **variation}
        sizes = {np.size(value) for value in self.changed.values() if np.ndim(value)}
        self.variants = max(sizes, default=1)
        mistakes = Mistakes()
        if len(sizes) > 1:
            mistakes.add("variation", f"arrays of {sorted(sizes)} values", "arrays of one length")
        if 0 in sizes:
            mistakes.add("variation", "an array without values", "one value for each variant")
        for address, value in self.changed.items():
            try:
                spec = spec_at(rig, address)
                require(address, value, spec.low, spec.high, spec.dimension.si_unit)
            except InputError as error:
                mistakes.extend(error)
        mistakes.settle()

    def of(self, address: str, owner: Any, name: str) -> Any:
        """Return the value of a field: a float, an array of shape (n,), or None where it is left out."""
        if self.changed:
            changed = self.changed.get(f"{address}.{name}")
            if changed is not None:
                return changed
        return getattr(owner, name)

    def take(self, rows: Rows) -> Values:
        """Return the values of some of the variants."""
        some = copy(self)
        some.changed = {
            address: value[rows] if isinstance(value, np.ndarray) and value.ndim else value
            for address, value in self.changed.items()
        }
        some.variants = counted(rows)
        return some


@dataclass(frozen=True, slots=True)
class Conditions:
    """The liquid and the air: floats, or arrays of shape (n,)."""

    density: Real
    viscosity: Real
    vapour_pressure: Real
    air_pressure: Real

    @property
    def kinematic_viscosity(self) -> Real:
        """Viscosity over density, in m²/s."""
        return self.viscosity / self.density

    @property
    def weight(self) -> Real:
        """Specific weight: pascals per metre of head."""
        return self.density * STANDARD_GRAVITY

    def take(self, rows: Rows) -> Conditions:
        """Return the conditions of some of the variants."""
        return Conditions(
            *(
                value[rows] if isinstance(value := getattr(self, item.name), np.ndarray) else value
                for item in fields(self)
            )
        )


def conditions_of(site: Site, values: Values) -> Conditions:
    """Return the liquid and the air at a site: stated where stated, else water and the standard atmosphere."""

    def stated(name: str) -> Any:
        return values.of("site", site, name)

    density, viscosity, vapour = stated("density"), stated("viscosity"), stated("vapour_pressure")
    if density is None or viscosity is None or vapour is None:
        liquid = water(stated("water_temperature"))
        density = liquid.density if density is None else density
        viscosity = liquid.viscosity if viscosity is None else viscosity
        vapour = liquid.vapour_pressure if vapour is None else vapour
    air = stated("air_pressure")
    return Conditions(density, viscosity, vapour, air_pressure(stated("altitude")) if air is None else air)


def columns(items: Sequence[Any], missing: float = np.nan) -> Array:
    """Gather floats and arrays of shape (n,) into columns, shape (1, items) or (n, items); None becomes ``missing``."""
    filled = [missing if item is None else item for item in items]
    if not any(np.ndim(item) for item in filled):
        return np.array([filled], dtype=np.float64).reshape(1, len(filled))
    return np.stack(np.broadcast_arrays(*[np.atleast_1d(np.asarray(item, np.float64)) for item in filled]), axis=1)
