"""What passes while tanks fill or empty: litres through each line and filter, energy, and the curves to draw."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, Final

import numpy as np

from hydrokit.bounds import Dimension, Spec
from hydrokit.laws.pump_duty import read_off
from hydrokit.parts import Filter

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.bounds import Array
    from hydrokit.network import Plan
    from hydrokit.timeline import Course

__all__ = [
    "Carried",
    "Metering",
    "Treated",
    "carried_by",
    "energy_of",
    "imbalance",
    "metering_of",
    "moments",
    "treated_by",
]

_MOMENTS: Final = 121
_ALIKE: Final = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """What one line has carried, and its flow at both ends of the time."""

    line: str
    volume: Annotated[float, Spec(Dimension.VOLUME, "carried from its start to its end, in sum")]
    first_flow: Annotated[float, Spec(Dimension.FLOW, "at the start")]
    last_flow: Annotated[float, Spec(Dimension.FLOW, "at the end")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Treated:
    """What one filter has passed."""

    place: str
    volume: Annotated[float, Spec(Dimension.VOLUME, "passed")]


@dataclass(frozen=True, slots=True)
class Metering:
    """How the power of the running pumps is read: ``meter`` from line flows; None where a pump's power is not stated."""

    meter: Callable[[Array], Array] | None
    unknown: tuple[str, ...]


def carried_by(plan: Plan, course: Course) -> tuple[Carried, ...]:
    """Return what each line carried that carried anything."""
    return tuple(
        Carried(
            line=name,
            volume=float(course.passed[0, place]),
            first_flow=float(course.first_flow[0, place]),
            last_flow=float(course.flow[0, place]),
        )
        for place, name in enumerate(plan.rig.lines)
        if course.passed[0, place] != 0.0
    )


def treated_by(plan: Plan, course: Course) -> tuple[Treated, ...]:
    """Return what each filter passed that passed anything."""
    return tuple(
        Treated(place=element.address, volume=abs(float(course.passed[0, line])))
        for line, element in zip(plan.element_line, plan.elements, strict=True)
        if isinstance(element.part, Filter) and course.passed[0, line] != 0.0
    )


def _power(plan: Plan, element: int) -> Any:
    """Return the stated points of power against flow of a pump, None where they do not hold for it."""
    part: Any = plan.elements[element].part
    speed = plan.values.of(plan.elements[element].address, part, "speed") if hasattr(part, "speed") else 1.0
    return getattr(part, "powers", None) if np.all(np.equal(speed, 1.0)) else None


def metering_of(plan: Plan) -> Metering:
    """Return how the energy that the running pumps take is to be summed."""
    running = [] if plan.pumps is None else plan.pumps.element.tolist()
    unknown = tuple(f"energy of {plan.elements[index].address}" for index in running if _power(plan, index) is None)
    if unknown or not running:
        return Metering(None, unknown)

    def meter(flow: Array) -> Array:
        """Return the power of each running pump, shape (n, U), W; NaN outside its data sheet."""
        powers = [
            np.asarray(
                read_off(points=_power(plan, index), flow=np.maximum(flow[:, plan.element_line[index]], 0.0))[0],
                np.float64,
            )
            for index in running
        ]
        return np.stack(powers, axis=1)

    return Metering(meter, ())


def energy_of(metering: Metering, course: Course) -> tuple[float | None, tuple[str, ...]]:
    """Return the energy that all pumps took, in J, and what is not known; None where any of it is not."""
    if metering.meter is None:
        return None, metering.unknown
    energy = float(course.metered[0].sum())
    if np.isfinite(energy):
        return energy, ()
    return None, ("energy of the pumps, which ran outside their data sheets",)


def imbalance(course: Course, into: Array) -> float:
    """Return what has come and gone less what is there more, over all that has moved; 0 is exact."""
    gained = course.passed @ into - course.spilled - (course.volume - course.start_volume)
    moved = np.abs(course.passed).sum() + np.abs(course.spilled).sum()
    return float(np.abs(gained).max(initial=0.0) / moved) if moved > 0.0 else 0.0


def moments(course: Course) -> Array:
    """Return when the curves are told, shape (m,), s: evenly spread, and wherever anything began or ended."""
    steps = course.legs.times()
    if not steps.size:
        return np.zeros(1)
    spread = np.linspace(0.0, steps[-1], _MOMENTS)
    times = np.unique(np.concatenate([spread, steps]))
    return times[np.concatenate([[True], np.diff(times) > _ALIKE * steps[-1]])]
