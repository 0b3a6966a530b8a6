"""Numbers under each other: one unit for a whole column, named in its head, and as many decimals for all."""

from __future__ import annotations

from math import floor, log10
from typing import TYPE_CHECKING, Final

from hydrokit.units import display_unit, in_unit

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.bounds import Dimension

__all__ = ["column"]

_DIGITS: Final = 4
_MOST_DECIMALS: Final = 3


def _fixed(number: float, decimals: int) -> str:
    text = f"{number:.{decimals}f}"
    return text.lstrip("-") if float(text) == 0.0 else text


def column(
    head: str, values: Sequence[float | None], dimension: Dimension, system: str = "metric"
) -> tuple[str, list[str]]:
    r"""Return the head of a column, its unit in a second line, and its cells; empty where a value is not known.

    Examples
    --------
    >>> from hydrokit.bounds import Dimension
    >>> column("head", [1.8, -0.25, None], Dimension.LENGTH)
    ('head\nm', ['1.800', '-0.250', ''])
    """
    largest = max((abs(value) for value in values if value is not None), default=0.0)
    unit = display_unit(largest, dimension, system)
    top = abs(in_unit(largest, dimension, unit)) if unit else largest
    whole = floor(log10(top)) + 1 if top >= 1.0 else 1
    decimals = min(max(_DIGITS - whole, 0), _MOST_DECIMALS)
    cells = [
        "" if value is None else _fixed(in_unit(value, dimension, unit) if unit else value, decimals)
        for value in values
    ]
    return f"{head}\n{unit}" if unit else head, cells
