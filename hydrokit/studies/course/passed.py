"""What passes while tanks fill or empty: litres through each line and filter, energy, and the curves to draw."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, Final

import numpy as np

from hydrokit.bounds import Dimension, Spec
from hydrokit.network.batteries import rated_voltage, stated_currents
from hydrokit.network.supplies import taken
from hydrokit.parts import Filter, PoweredPump

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
    "lacking_in",
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
    """How power and current of the running pumps (U) are read: ``meter`` gives both, (n, 2 U), of a plan and its flows.

    None where no pump runs; ``unknown`` names those whose power is not stated, ``batteries`` (U) what drives each.
    """

    meter: Callable[[Plan, Array], Array] | None
    unknown: tuple[str, ...]
    batteries: tuple[str, ...] = ()


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


def _tells_power(plan: Plan, index: int) -> bool:
    """Return whether the power of a running pump can be told, at flows inside its data sheet."""
    element = plan.elements[index]
    part: Any = element.part
    if not isinstance(part, PoweredPump) or not stated_currents(part)[2]:
        return False
    if part.battery:
        return True
    by_current = part.powers is None and part.efficiency is None
    as_stated = bool(np.all(np.equal(plan.values.of(element.address, part, "speed"), 1.0)))
    return as_stated and not (by_current and rated_voltage(plan.rig, plan.values, element.address, part) is None)


def metering_of(plan: Plan) -> Metering:
    """Return how the energy and charge that the running pumps of a plan take are to be summed."""
    running = [] if plan.pumps is None else plan.pumps.element.tolist()
    unknown = tuple(f"energy of {plan.elements[index].address}" for index in running if not _tells_power(plan, index))
    if not running:
        return Metering(None, ())

    def meter(followed: Plan, flow: Array) -> Array:
        told = taken(followed, flow)
        return np.concatenate([told.power, told.current], axis=1)

    return Metering(meter, unknown, tuple(getattr(plan.elements[index].part, "battery", "") for index in running))


def energy_of(metering: Metering, course: Course) -> tuple[float | None, tuple[str, ...]]:
    """Return the energy that all pumps took, in J, and what is not known; None where any of it is not."""
    if metering.meter is None or metering.unknown:
        return None, metering.unknown
    energy = float(course.metered[0, : len(metering.batteries)].sum())
    if np.isfinite(energy):
        return energy, ()
    return None, ("energy of the pumps, which ran outside their data sheets",)


def imbalance(course: Course, into: Array) -> float:
    """Return what has come and gone less what is there more, over all that has moved; 0 is exact."""
    gained = course.passed @ into - course.spilled - (course.volume - course.start_volume)
    moved = np.abs(course.passed).sum() + np.abs(course.spilled).sum()
    return float(np.abs(gained).max(initial=0.0) / moved) if moved > 0.0 else 0.0


def lacking_in(plan: Plan, course: Course) -> tuple[str, ...]:
    """Return the joints that could not be given what they ask for, which ended a course."""
    return tuple(name for name, lacks in zip(plan.layout.joints, course.lacking[0], strict=True) if lacks)


def moments(course: Course) -> Array:
    """Return when the curves are told, shape (m,), s: evenly spread, and wherever anything began or ended."""
    steps = course.legs.times()
    if not steps.size:
        return np.zeros(1)
    spread = np.linspace(0.0, steps[-1], _MOMENTS)
    times = np.unique(np.concatenate([spread, steps]))
    apart: Array = times[np.concatenate([[True], np.diff(times) > _ALIKE * steps[-1]])]
    return apart
