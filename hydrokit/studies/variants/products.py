"""Every combination of values, numbered: any run of them is worked out from its numbers, the whole is never built."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from math import prod
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.bounds import Mistakes, Spec
from hydrokit.errors import InputError
from hydrokit.rig import replaced, spec_at
from hydrokit.studies.variants.value_lists import read_values

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    import numpy.typing as npt

    from hydrokit.bounds import Array
    from hydrokit.rig import Rig

__all__ = ["Axis", "Product", "product_of"]

_MOST_VARIANTS: Final = 1_000_000_000
"""More would take weeks."""


@dataclass(frozen=True, slots=True)
class Axis:
    """One value that is varied: its address, what it may be, and what it is in turn, shape (m,), SI."""

    address: str
    spec: Spec
    values: Array

    def __len__(self) -> int:
        return len(self.values)


@dataclass(frozen=True, slots=True)
class Product:
    """Every combination of the values of some axes; the last axis changes from each variant to the next."""

    axes: tuple[Axis, ...]

    def __len__(self) -> int:
        return prod(len(axis) for axis in self.axes)

    def places(self, first: int, last: int) -> npt.NDArray[np.intp]:
        """Return which value each axis has in the variants numbered from ``first`` up to ``last``, shape (n, axes)."""
        numbers = np.arange(first, last)
        places = np.empty((last - first, len(self.axes)), np.intp)
        for column in reversed(range(len(self.axes))):
            numbers, places[:, column] = np.divmod(numbers, len(self.axes[column]))
        return places

    def variation(self, places: npt.NDArray[np.intp]) -> dict[str, Array]:
        """Return the values of some variants by address, each of shape (n,), SI."""
        return {axis.address: axis.values[places[:, column]] for column, axis in enumerate(self.axes)}


def _axes(rig: Rig, wanted: Mapping[str, Any], held: Sequence[str], mistakes: Mistakes) -> Iterator[Axis]:
    for address, raw in wanted.items():
        try:
            spec = spec_at(rig, address)
            values = read_values(spec, raw)
        except InputError as error:
            for each in error.mistakes:
                mistakes.add(each.place or address, each.found, each.expected, each.instead)
        else:
            if address in held:
                mistakes.add(address, "a value that is set, and values to try", "one or the other")
            yield Axis(address, spec, values)


def _check_parts(rig: Rig, axes: Sequence[Axis], held: Mapping[str, float], mistakes: Mistakes) -> None:
    """Note values of one part that cannot stand together, such as a cut-in above the cut-out.

    One is less than the other in every combination where the largest of the one is less than the smallest of the other.
    """
    by_owner: dict[str, list[Axis]] = {}
    for axis in axes:
        by_owner.setdefault(axis.address.rpartition(".")[0], []).append(axis)
    for owner, own in by_owner.items():
        fixed = {address: value for address, value in held.items() if address.rpartition(".")[0] == owner}
        ends = [dict.fromkeys((float(axis.values.min()), float(axis.values.max()))) for axis in own]
        for values in product(*ends):
            chosen = dict(zip((axis.address for axis in own), values, strict=True))
            try:
                replaced(rig, {**fixed, **chosen})
            except InputError as error:
                mistakes.extend(error)
                break


def product_of(rig: Rig, mode: str, wanted: Mapping[str, Any], held: Mapping[str, float]) -> Product:
    """Return the product of the values that are to be tried on a rig.

    Parameters
    ----------
    rig : Rig
    mode : str
    wanted : mapping of address to values
        As :func:`read_values` takes them.
    held : mapping of address to float
        What is set in every variant, SI.

    Raises
    ------
    InputError
        If an address names nothing, values cannot be read or are not possible, alone or together in one part, or there
        are too many; every mistake at once.
    """
    mistakes = Mistakes()
    if not wanted:
        mistakes.add("variation", "nothing to vary", "the address of at least one value, and what to try for it")
    axes = tuple(_axes(rig, wanted, list(held), mistakes))
    mistakes.settle()
    count = prod(len(axis) for axis in axes)
    if count > _MOST_VARIANTS:
        mistakes.add("variation", f"{count} variants", f"at most {_MOST_VARIANTS}")
    _check_parts(rig, axes, {**rig.mode(mode)[1].values, **held}, mistakes)
    mistakes.settle()
    return Product(axes)
