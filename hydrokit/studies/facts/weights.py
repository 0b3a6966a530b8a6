"""What the vehicle carries: empty, as filled now, full, part-full at its worst; and while the tanks fill."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any

import numpy as np

from hydrokit.bounds import Dimension, Spec
from hydrokit.laws.statics import level_difference
from hydrokit.rules.weighing import weighed_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.bounds import Array
    from hydrokit.rules import State
    from hydrokit.rules.weighing import Weighing

__all__ = ["TankApart", "WeighedFill", "WeightCurve", "Weights", "weights_along", "weights_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighedFill:
    """What is weighed with the tanks in one state; below 0 a support is lifted."""

    tanks: str
    mass: Annotated[float, Spec(Dimension.MASS, "of all that is loaded, the vehicle included")]
    centre: Annotated[float, Spec(Dimension.LENGTH, "of gravity, behind the vehicle's datum")]
    front: Annotated[float, Spec(Dimension.MASS, "that the front support carries")]
    rear: Annotated[float, Spec(Dimension.MASS, "that the rear support carries")]
    front_share: Annotated[float, Spec(Dimension.FRACTION, "of the whole mass on the front support")]


@dataclass(frozen=True, slots=True, kw_only=True)
class TankApart:
    """Two tanks joined by water on the slope where the vehicle stands."""

    low: str
    high: str
    difference: Annotated[float, Spec(Dimension.LENGTH, "that the water stands higher in the lower one")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Weights:
    """What the two supports carry in every state of the tanks; on level ground.

    ``left_out`` counts the parts that state neither mass nor position; ``apart`` tells, for each pair of tanks, how far a
    cross-link would set their levels apart on the slope of the site.
    """

    front: str
    rear: str
    fills: tuple[WeighedFill, ...]
    left_out: int
    apart: tuple[TankApart, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightCurve:
    """What the supports carry at the times told while tanks fill."""

    front: str
    rear: str
    masses: Annotated[tuple[float, ...], Spec(Dimension.MASS, "of all that is loaded")]
    centres: Annotated[tuple[float, ...], Spec(Dimension.LENGTH, "of gravity, behind the vehicle's datum")]
    front_loads: Annotated[tuple[float, ...], Spec(Dimension.MASS, "that the front support carries")]
    rear_loads: Annotated[tuple[float, ...], Spec(Dimension.MASS, "that the rear support carries")]


def _weighed(weighing: Weighing, name: str, water: Array, row: int) -> WeighedFill:
    whole, loads = weighing.balance(water), weighing.loads(water)

    def of(value: Any) -> float:
        each = np.ravel(value)
        return float(each[row % len(each)])

    return WeighedFill(
        tanks=name,
        mass=of(whole.mass),
        centre=of(whole.centre),
        front=of(loads.first),
        rear=of(loads.second),
        front_share=of(np.asarray(loads.first) / np.asarray(whole.mass)),
    )


def _apart(state: State, weighing: Weighing, row: int) -> tuple[TankApart, ...]:
    slope = float(np.ravel(state.plan.values.of("site", state.rig.site, "slope"))[0])
    if slope == 0.0:
        return ()
    places = weighing.tank_positions[row % len(weighing.tank_positions)]
    order = sorted(range(len(weighing.tanks)), key=lambda tank: places[tank] * np.sign(slope))
    return tuple(
        TankApart(
            low=weighing.tanks[low],
            high=weighing.tanks[high],
            difference=float(level_difference(distance=abs(places[high] - places[low]), slope=np.tan(slope))),
        )
        for at, low in enumerate(order)
        for high in order[at + 1 :]
        if places[high] != places[low]
    )


def weights_of(state: State, row: int = 0) -> Weights | None:
    """Return what the supports carry in one variant; None where too little is stated to weigh it."""
    weighing = weighed_of(state)
    if weighing is None or not weighing.known:
        return None
    vehicle = state.rig.vehicle
    return Weights(
        front=vehicle.front,
        rear=vehicle.rear,
        fills=tuple(_weighed(weighing, weighing.called(fill, row), fill.water, row) for fill in weighing.fills),
        left_out=len(weighing.left_out),
        apart=_apart(state, weighing, row),
    )


def weights_along(state: State, tanks: Sequence[str], volumes: Array) -> WeightCurve | None:
    """Return what the supports carry along a course; None where too little is stated to weigh it.

    Parameters
    ----------
    state : State
        Of one variant.
    tanks : sequence of str
        Whose water is told; any other stays as it is now.
    volumes : array, shape (times, tanks)
        Of water. [m^3]
    """
    weighing = weighed_of(state)
    if weighing is None or not weighing.known:
        return None
    water = np.repeat(weighing.now[:1], len(volumes), axis=0)
    density = float(np.ravel(state.conditions.density)[0])
    for column, name in enumerate(tanks):
        if name in weighing.tanks:
            water[:, weighing.tanks.index(name)] = volumes[:, column] * density
    whole, loads = weighing.balance(water), weighing.loads(water)

    def listed(value: Any) -> tuple[float, ...]:
        return tuple(np.ravel(value).tolist())

    return WeightCurve(
        front=state.rig.vehicle.front,
        rear=state.rig.vehicle.rear,
        masses=listed(whole.mass),
        centres=listed(whole.centre),
        front_loads=listed(loads.first),
        rear_loads=listed(loads.second),
    )
