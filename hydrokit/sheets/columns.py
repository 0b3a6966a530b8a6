"""A column of numbers under its head and unit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hydrokit.units import aligned

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.bounds import Dimension

__all__ = ["column", "percent"]


def column(
    head: str, values: Sequence[float | None], dimension: Dimension, system: str = "metric"
) -> tuple[str, list[str]]:
    r"""Return the head of a column, its unit in a second line, and its cells; empty where a value is not known.

    Examples
    --------
    >>> from hydrokit.bounds import Dimension
    >>> column("head", [1.8, -0.25, None], Dimension.LENGTH)
    ('head\nm', ['1.80', '-0.25', ''])
    """
    unit, cells = aligned(values, dimension, system)
    return f"{head}\n{unit}" if unit else head, cells


def percent(share: float, decimals: int = 0, sign: str = "") -> str:
    """Return a share as a percentage; a ``sign`` of ``+`` shows that of what is not below nothing as well.

    Examples
    --------
    >>> percent(0.4131, 1), percent(0.05, sign="+")
    ('41.3 %', '+5 %')
    """
    return f"{100.0 * share:{sign}.{decimals}f} %"
