"""What an answer is for: the air, the water, and what kinds of things are in use."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any

import numpy as np

from hydrokit.bounds import Dimension, Spec
from hydrokit.parts import Filter, Part

if TYPE_CHECKING:
    from hydrokit.network import Solution
    from hydrokit.rules import State

__all__ = ["Surroundings", "kinds_of", "surroundings_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """The air and the water that the answer is for."""

    altitude: Annotated[float, Spec(Dimension.LENGTH, "of the site")]
    air_pressure: Annotated[float, Spec(Dimension.ABSOLUTE_PRESSURE, "at the site")]
    water_temperature: Annotated[float, Spec(Dimension.TEMPERATURE, "of the water")]
    density: Annotated[float, Spec(Dimension.DENSITY, "of the water")]
    viscosity: Annotated[float, Spec(Dimension.VISCOSITY, "of the water")]
    vapour_pressure: Annotated[float, Spec(Dimension.ABSOLUTE_PRESSURE, "of the water")]


def surroundings_of(solution: Solution, row: int = 0) -> Surroundings:
    """Return the air and the water of one variant."""
    conditions, values, site = solution.plan.conditions, solution.plan.values, solution.plan.rig.site

    def of(value: Any) -> float:
        return float(np.broadcast_to(value, (solution.variants,))[row])

    return Surroundings(
        altitude=of(values.of("site", site, "altitude")),
        air_pressure=of(conditions.air_pressure),
        water_temperature=of(values.of("site", site, "water_temperature")),
        density=of(conditions.density),
        viscosity=of(conditions.viscosity),
        vapour_pressure=of(conditions.vapour_pressure),
    )


def kinds_of(state: State) -> tuple[str, ...]:
    """Return the kinds of parts and ends in use, a filter with its medium before it; the cautions go by them."""
    rig = state.rig
    ends = rig.ends()
    found = {
        ends[name].kind
        for shut, line in zip(state.closed, rig.lines.values(), strict=True)
        for name in (line.start, line.end)
        if not shut
    }
    for _, element in state.elements(Part):
        part = element.part
        found.add(f"{part.medium} filter" if isinstance(part, Filter) else getattr(part, "kind", ""))
    return tuple(sorted(found))
