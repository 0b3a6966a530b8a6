"""What the solver finds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from hydrokit.bounds import Array

__all__ = ["Flows"]


@dataclass(frozen=True, slots=True)
class Flows:
    """The answer of the solver, row by row a variant.

    ``flow`` (n, L) in m³/s; ``head`` (n, J) in m; ``held`` (n, L) True where a line stands at a bound;
    ``mass_residual`` and ``energy_residual`` (n,) relative; ``steps`` (n,) Newton steps taken.
    """

    flow: Array
    head: Array
    held: npt.NDArray[np.bool_]
    mass_residual: Array
    energy_residual: Array
    steps: npt.NDArray[np.intp]
