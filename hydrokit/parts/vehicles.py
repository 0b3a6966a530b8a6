"""What carries the rig: the vehicle or trailer on its two supports, and what else lies on it.

Positions run along the vehicle from a datum that the owner picks, positive towards the rear: the hitch of a trailer, the
front axle of a van. They have nothing to do with the heights of a rig.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final

from hydrokit.bounds import Dimension, Mistakes, Spec, Text, check_fields
from hydrokit.errors import RangeError
from hydrokit.parts.base import MASS, POSITION, stated

__all__ = ["Load", "Vehicle"]

_RATING: Final = Spec(
    Dimension.MASS, "greatest load that this support is rated for", low=0.0, high=1e6, example='"75 kg"'
)
_SHARE: Final = Spec(Dimension.FRACTION, "of the whole mass, on the front support", low=0.0, high=1.0, example='"7 %"')


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """One thing that the vehicle carries and no water passes: a battery, a tool box.

    Examples
    --------
    >>> Load(mass=20.0, position=1.2).mass
    20.0
    """

    mass: Annotated[float, MASS]
    position: Annotated[float, POSITION]
    note: Annotated[str, Text("anything worth remembering")] = ""

    __repr__ = stated

    def __post_init__(self) -> None:
        check_fields(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Vehicle:
    """The vehicle or trailer, empty, on two supports: two axles, or hitch and axle.

    Examples
    --------
    >>> Vehicle(mass=250.0, position=2.0, front_position=0.0, rear_position=2.2, rear="axle").rear
    'axle'
    """

    mass: Annotated[
        float | None,
        Spec(
            Dimension.MASS, "of the vehicle, empty of all that this rig lists", low=1e-3, high=1e6, example='"240 kg"'
        ),
    ] = None
    position: Annotated[float | None, POSITION] = None
    rating: Annotated[
        float | None, Spec(Dimension.MASS, "greatest mass of all that is loaded", low=0.0, high=1e6, example='"750 kg"')
    ] = None
    front: Annotated[str, Text("what the front support is called: hitch, front axle")] = "front support"
    front_position: Annotated[float | None, POSITION] = None
    front_rating: Annotated[float | None, _RATING] = None
    rear: Annotated[str, Text("what the rear support is called: axle, rear axle")] = "rear support"
    rear_position: Annotated[float | None, POSITION] = None
    rear_rating: Annotated[float | None, _RATING] = None
    least_front_share: Annotated[float | None, _SHARE] = None
    greatest_front_share: Annotated[float | None, _SHARE] = None
    note: Annotated[str, Text("anything worth remembering")] = ""

    __repr__ = stated

    def __post_init__(self) -> None:
        check_fields(self, "vehicle")
        mistakes = Mistakes()
        front, rear = self.front_position, self.rear_position
        if front is not None and rear is not None and not front < rear:
            mistakes.add("vehicle.rear_position", f"{rear:g} m", f"behind the front support, which is at {front:g} m")
        least, greatest = self.least_front_share, self.greatest_front_share
        if least is not None and greatest is not None and least > greatest:
            mistakes.add("vehicle.greatest_front_share", f"{greatest:g}", f"at least the least share, {least:g}")
        mistakes.settle(RangeError)
