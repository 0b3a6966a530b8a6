"""What every part has in common.

A part is frozen data about one thing bought; it cannot be made wrong. Vary one with ``dataclasses.replace``.
``height`` is metres above the datum that the owner of the rig picked, up positive.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Annotated, Any, ClassVar, Final

from hydrokit.bounds import Dimension, Flag, Spec, Text, check_fields

__all__ = [
    "BORE",
    "DRAINS",
    "HELD_WATER",
    "HIGHEST",
    "HIGHEST_PRESSURE",
    "LOWEST",
    "MASS",
    "POSITION",
    "Part",
    "PointPart",
    "rated_pressure",
    "rated_vacuum",
    "stated",
]

BORE = Spec(
    Dimension.LENGTH,
    "measured inside diameter, not the trade size",
    low=1e-4,
    high=10.0,
    example='"19 mm"',
)

LOWEST: Final = -1e4
HIGHEST: Final = 1e4
"""Between these all heights lie. [m]"""

HIGHEST_PRESSURE: Final = 1e12
"""Beyond all that is built, and small enough to compute with. [Pa]"""

MASS: Final = Spec(Dimension.MASS, "without water", low=0.0, high=1e6, example='"4.5 kg"')
POSITION: Final = Spec(
    Dimension.LENGTH,
    "of its middle along the vehicle, from the datum you pick, positive towards the rear",
    low=-1e3,
    high=1e3,
    example='"2.6 m"',
)
HELD_WATER: Final = Spec(Dimension.VOLUME, "water that it holds when full", low=0.0, high=1e3, example='"1.2 L"')
DRAINS: Final = Flag("true where it is drained or taken out before frost; false where water stays in it")


def rated_pressure(what: str) -> Spec:
    """Return the field for the greatest gauge pressure something is rated for."""
    doc = f"greatest pressure the {what} is rated for"
    return Spec(Dimension.GAUGE_PRESSURE, doc, low=0.0, high=HIGHEST_PRESSURE, example='"6 bar"')


def rated_vacuum(what: str) -> Spec:
    """Return the field for the deepest vacuum something is rated for."""
    return Spec(
        Dimension.VACUUM,
        f"deepest vacuum the {what} is rated for, below the air pressure",
        low=0.0,
        high=101_325.0,
        example='"0.8 bar vacuum"',
    )


def stated(self: Any) -> str:
    """Return what a part states, as it would be made again: what equals its default is left out.

    Parameters
    ----------
    self : Part or End
        Any; this stands in for its ``__repr__``.

    Returns
    -------
    str
        A call in Python.

    Examples
    --------
    >>> from hydrokit.parts import Hose
    >>> Hose(length=6.0, bore=0.019)
    Hose(length=6.0, bore=0.019)
    """
    told = [f"{item.name}={value!r}" for item in fields(self) if (value := getattr(self, item.name)) != item.default]
    return f"{type(self).__name__}({', '.join(told)})"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One thing that water passes; the base of all parts."""

    kind: ClassVar[str] = "part"

    name: Annotated[str, Text("name used in addresses and findings; else the kind and a number")] = ""
    note: Annotated[str, Text("anything worth remembering")] = ""
    mass: Annotated[float | None, MASS] = None
    position: Annotated[float | None, POSITION] = None

    def __init_subclass__(cls) -> None:
        cls.__repr__ = stated  # type: ignore[method-assign]  # one for all, where each data class would make its own

    def __post_init__(self) -> None:
        check_fields(self, self.name if isinstance(self.name, str) and self.name else self.kind)


@dataclass(frozen=True, slots=True, kw_only=True)
class PointPart(Part):
    """A part so short that it sits at one height."""

    height: Annotated[
        float | None,
        Spec(
            Dimension.LENGTH,
            "height above the datum; left out, it lies between its neighbours",
            low=LOWEST,
            high=HIGHEST,
            example='"1.2 m"',
        ),
    ] = None
