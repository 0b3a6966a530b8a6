"""Numbers under each other: one unit for all of them, and as many decimals."""

from __future__ import annotations

from math import floor, isfinite, log10
from typing import TYPE_CHECKING, Final

from hydrokit.units.display import display_unit, in_unit

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.bounds import Dimension

__all__ = ["aligned"]

_DIGITS: Final = 3, 3
"""Significant digits, as many as sentences give, and the most decimals: input to a rig is seldom known better."""
_HEIGHTS: Final = {"m": (4, 2), "ft": (4, 2)}
"""Heads are small differences of large ones, and heights are measured to the centimetre."""


def _fixed(number: float, digits: int, decimals: int) -> str:
    if abs(number) >= 10**digits:
        number = float(f"{number:.{digits}g}")
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
    ('m', ['1.80', '-0.25', ''])
    >>> aligned([1.0, 12.3456], Dimension.VOLUME)
    ('L', ['1000', '12300'])
    """
    known = [value if value is not None and isfinite(value) else None for value in values]
    largest = max((abs(value) for value in known if value is not None), default=0.0)
    unit = display_unit(largest, dimension, system)
    top = abs(in_unit(largest, dimension, unit)) if unit else largest
    whole = floor(log10(top)) + 1 if top >= 1.0 else 1
    digits, most = _HEIGHTS.get(unit, _DIGITS)
    decimals = min(max(digits - whole, 0), most)
    numbers = [value if value is None or not unit else in_unit(value, dimension, unit) for value in known]
    cells = ["" if number is None else _fixed(number, digits, decimals) for number in numbers]
    return unit, cells
