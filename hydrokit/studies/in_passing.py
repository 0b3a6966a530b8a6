"""The time to fill, asked in passing by studies of something else."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from hydrokit.errors import SolverError
from hydrokit.studies.filling import fill_times

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hydrokit.bounds import Array
    from hydrokit.rig import Rig

__all__ = ["fill_times_if_known"]


def fill_times_if_known(
    rig: Rig, mode: str, variation: Mapping[str, Any], variants: int, unknown: dict[str, None]
) -> Array:
    """Return how long all tanks take to fill, s, shape (n,); NaN where some never is full, or none is filled.

    Parameters
    ----------
    rig : Rig
    mode : str
    variation : mapping of address to float or array, shape (n,)
    variants : int
        How many answers are wanted.
    unknown : dict
        Where the filling does not settle, why is added to its keys, and all times are NaN: the steady answer stands.
    """
    try:
        times = fill_times(rig, mode, variation)
    except SolverError as error:
        unknown[f"the time to fill: {error}"] = None
        return np.full(variants, np.nan)
    return np.broadcast_to(np.where(np.isfinite(times), times, np.nan), (variants,))
