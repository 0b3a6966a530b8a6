"""The only file that knows pint: quantities of any registry in, quantities of our own registry out.

A caller's quantity is converted by the registry it came from. Our own registry is made on first use; nothing is ever
defined on the registry that pint shares between applications.

pint does not know gauge from absolute pressure, so a quantity is taken to count as its dimension does. What pint would
convert wrongly without a word is refused: a temperature difference for a temperature and the reverse, hertz for a
rotation speed, a pure number for an angle.
"""

from __future__ import annotations

import math
from decimal import Decimal
from functools import cache
from numbers import Real as RealNumber
from typing import TYPE_CHECKING, Any, Final

from hydrokit.bounds import Dimension
from hydrokit.errors import Mistake, RangeError, UnitError
from hydrokit.units.refusals import wanted

if TYPE_CHECKING:
    import pint

__all__ = ["from_quantity", "own_registry", "to_quantity"]

_PINT_UNITS: Final = {dimension: dimension.si_unit for dimension in Dimension} | {
    Dimension.NUMBER: "",
    Dimension.FRACTION: "",
    Dimension.VISCOSITY: "Pa*s",
    Dimension.FLOW_COEFFICIENT: "m^3/s/bar^0.5",
}
_TURNING: Final = frozenset({Dimension.ANGLE, Dimension.ROTATION})
_TEMPERATURES: Final = frozenset({Dimension.TEMPERATURE, Dimension.TEMPERATURE_DIFFERENCE})


@cache
def own_registry() -> pint.UnitRegistry[Any]:
    """Return the registry of our own, which also knows NTU."""
    import pint

    registry: pint.UnitRegistry[Any] = pint.UnitRegistry(cache_folder=None)
    registry.define("nephelometric_turbidity_unit = [turbidity] = NTU")
    return registry


def to_quantity(value: float, dimension: Dimension) -> pint.Quantity[float]:
    """Return an SI float as a quantity of our own registry."""
    registry = own_registry()
    made: pint.Quantity[float] = registry.Quantity(float(value), _PINT_UNITS[dimension])
    return made


def _refuse(value: Any, dimension: Dimension, why: str) -> UnitError:
    return UnitError([Mistake("", f"the quantity {str(value)[:60]!r}, {why}", wanted(dimension))])


def _check_turning(value: Any, dimension: Dimension) -> None:
    """Refuse what pint calls convertible only because it holds an angle to be a pure number."""
    has_angle = "radian" in dict((1 * value.units).to_root_units().unit_items())
    if has_angle and dimension not in _TURNING:
        raise _refuse(value, dimension, "which holds an angle")
    if not has_angle and dimension in _TURNING:
        raise _refuse(value, dimension, "which holds no angle, such as radian or turn")


def _check_temperature(value: Any, dimension: Dimension) -> None:
    """Refuse a difference for a temperature and a temperature for a difference."""
    names = [name for name, _ in value.unit_items()]
    is_difference = any(name.startswith("delta_") for name in names)
    has_offset = not is_difference and type(value)(0.0, value.units).to("kelvin").magnitude != 0.0
    if is_difference and dimension is Dimension.TEMPERATURE:
        raise _refuse(value, dimension, "a difference of temperatures")
    if has_offset and dimension is Dimension.TEMPERATURE_DIFFERENCE:
        raise _refuse(value, dimension, "a temperature and no difference")


def from_quantity(value: Any, dimension: Dimension) -> float:
    """Return a pint quantity of any registry in SI.

    Raises
    ------
    UnitError
        If its units are not of the dimension.
    RangeError
        If it is not finite.
    """
    import pint

    if not isinstance(value, pint.Quantity):
        raise UnitError([Mistake("", f"{type(value).__name__} {str(value)[:40]!r}", wanted(dimension))])
    if isinstance(value.magnitude, bool) or not isinstance(value.magnitude, (RealNumber, Decimal)):
        raise _refuse(value, dimension, "whose magnitude is not one real number")
    try:
        converted = value.to(_PINT_UNITS[dimension])
        if dimension in _TEMPERATURES:
            _check_temperature(value, dimension)
        else:
            _check_turning(value, dimension)
    except pint.PintError as error:
        raise _refuse(value, dimension, f"which pint cannot convert to {dimension.si_unit}") from error
    number = float(converted.magnitude)
    if not math.isfinite(number):
        raise RangeError([Mistake("", str(number), "a finite number")])
    return abs(number) if dimension is Dimension.VACUUM else number
