"""A column of numbers under its head and unit."""

from __future__ import annotations

from math import isfinite
from typing import TYPE_CHECKING, Final

from hydrokit.units import aligned

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.bounds import Dimension

__all__ = ["column", "percent"]

_ROUNDING: Final = 1e-9
"""Share that rounding may leave of what is nothing."""


def column(
    head: str, values: Sequence[float | None], dimension: Dimension, system: str = "metric"
) -> tuple[str, list[str]]:
    r"""Return the head of a column, its unit in a second line, and its cells; empty where a value is not known.

    What is less than half of one is told to be less than one, not nothing.

    Examples
    --------
    >>> from hydrokit.bounds import Dimension
    >>> column("head", [1.8, -0.25, None], Dimension.LENGTH)
    ('head\nm', ['1.80', '-0.25', ''])
    >>> column("water", [149.0, 0.15, 0.0], Dimension.MASS)
    ('water\nkg', ['149', '<1', '0'])
    """
    unit, cells = aligned(values, dimension, system)
    largest = max((abs(value) for value in values if value is not None and isfinite(value)), default=0.0)
    for place, value in enumerate(values):
        if cells[place] == "0" and value is not None and abs(value) > _ROUNDING * largest:
            cells[place] = "<1" if value > 0.0 else ">-1"
    return f"{head}\n{unit}" if unit else head, cells


def percent(share: float | None, decimals: int = 0, sign: str = "") -> str:
    """Return a share as a percentage, empty where it is not known; a ``sign`` of ``+`` shows that of what is not below nothing as well.

    What is little is not told to be nothing, nor what is nearly all to be all.

    Examples
    --------
    >>> percent(0.4131, 1), percent(0.05, sign="+"), percent(None)
    ('41.3 %', '+5 %', '')
    >>> percent(0.0004, 1), percent(0.9996), percent(-1e-12)
    ('<0.1 %', '>99 %', '0 %')
    """
    if share is None:
        return ""
    share = 0.0 if abs(share) < _ROUNDING else share
    step, text = 10.0**-decimals, f"{100.0 * share:{sign}.{decimals}f}"
    if share and float(text) == 0.0:
        text = f"{'>-' if share < 0.0 else '<'}{step:.{decimals}f}"
    elif share < 1.0 - _ROUNDING and float(text) == 100.0:
        text = f">{100.0 - step:.{decimals}f}"
    return f"{text} %"
