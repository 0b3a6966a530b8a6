"""Numbers under each other: one unit for all of them, and as many decimals."""

from __future__ import annotations

from math import floor, isfinite, log10
from typing import TYPE_CHECKING, Final

from hydrokit.units.display import display_unit, in_unit

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.bounds import Dimension

__all__ = ["aligned"]

_DIGITS: Final = 4
_MOST_DECIMALS: Final = 3


def _fixed(number: float, decimals: int) -> str:
    text = f"{number:.{decimals}f}"
    return text.lstrip("-") if float(text) == 0.0 else text


def aligned(values: Sequence[float | None], dimension: Dimension, system: str = "metric") -> tuple[str, list[str]]:
    """Return the unit that suits the largest of some values, and the numbers; empty where a value is not known.

    Parameters
    ----------
    values : sequence of float or None
        In SI; what is not finite is not known.
    dimension : Dimension
        What they are.
    system : {"metric", "US", "imperial"}
        Whose units.

    Raises
    ------
    UnitError
        If there is no such system.

    Examples
    --------
    >>> from hydrokit.bounds import Dimension
    >>> aligned([1.8, -0.25, None], Dimension.LENGTH)
    ('m', ['1.800', '-0.250', ''])
    """
    known = [value if value is not None and isfinite(value) else None for value in values]
    largest = max((abs(value) for value in known if value is not None), default=0.0)
    unit = display_unit(largest, dimension, system)
    top = abs(in_unit(largest, dimension, unit)) if unit else largest
    whole = floor(log10(top)) + 1 if top >= 1.0 else 1
    decimals = min(max(_DIGITS - whole, 0), _MOST_DECIMALS)
    cells = [
        "" if value is None else _fixed(in_unit(value, dimension, unit) if unit else value, decimals) for value in known
    ]
    return unit, cells
