"""Where a function of one number is nought, by bracketing."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from hydrokit.errors import SolverError

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["root_between"]

_STEPS: Final = 1000
"""Beside the bend of a curve Brent's method halves, and as it asks for more than the last digit it may halve for long."""


def root_between(
    function: Callable[[float], float], low: float, high: float, *, xtol: float = 1e-20, rtol: float = 1e-15
) -> float:
    """Return where a function that differs in sign at two places is nought between them.

    Raises
    ------
    SolverError
        If it is not found.
    """
    from scipy.optimize import brentq

    found, how = brentq(function, low, high, xtol=xtol, rtol=rtol, maxiter=_STEPS, full_output=True, disp=False)
    if not how.converged:
        raise SolverError(f"no flow, head or voltage was found between {low:g} and {high:g} in {_STEPS} steps")
    return float(found)
