"""Hoses, pipes and tails of a plan: everything along whose wall water rubs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from hydrokit.network.plan import Hoses
from hydrokit.network.values import columns
from hydrokit.water import STANDARD_GRAVITY

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.bounds import Real
    from hydrokit.network.elements import Element

__all__ = ["hoses_of", "put_together", "runs"]


def runs(line: Sequence[int]) -> tuple[Any, Any]:
    """Return where each line's run begins, and the lines that have one; ``line`` is sorted."""
    lines, begins = np.unique(np.array(line, np.intp), return_index=True)
    return begins, lines


def hoses_of(elements: Sequence[Element], line_of: Sequence[int], kinematic_viscosity: Real) -> Hoses:
    """Return everything with a wall, of elements in the order of their lines; ``line_of`` numbers the line of each."""
    kinematic: Any = kinematic_viscosity
    rubbing = [index for index, element in enumerate(elements) if element.has_friction]
    per_flow, rough, per_group, fixed = [], [], [], []
    for index in rubbing:
        element = elements[index]
        bore: Any = element.bore
        per_flow.append(4.0 / (np.pi * bore * kinematic))
        rough.append(0.0 if element.roughness is None else element.roughness / bore)
        per_group.append(
            element.friction_multiplier * kinematic**2 * element.length / (2.0 * STANDARD_GRAVITY * bore**3)
        )
        fixed.append(element.friction_factor)
    line = [line_of[index] for index in rubbing]
    begins, lines = runs(line)
    stated = any(factor is not None for factor in fixed)
    return Hoses(
        line=np.array(line, np.intp),
        begins=begins,
        lines=lines,
        element=np.array(rubbing, np.intp),
        reynolds_per_flow=columns(per_flow),
        relative_roughness=columns(rough),
        head_per_group=columns(per_group),
        fixed_factor=columns(fixed) if stated else np.empty((1, 0)),
    )


def put_together(hoses: Hoses) -> Hoses:
    """Return hoses with those of a line put together that have bore and wall in common, in every variant."""
    stated = hoses.fixed_factor if hoses.fixed_factor.size else None
    kinds: dict[Any, list[int]] = {}
    for place, line in enumerate(hoses.line.tolist()):
        alike = [hoses.reynolds_per_flow[:, place], hoses.relative_roughness[:, place]]
        alike += [] if stated is None else [stated[:, place]]
        kinds.setdefault((line, *(column.tobytes() for column in alike)), []).append(place)
    if len(kinds) == len(hoses.line):
        return hoses
    first = [places[0] for places in kinds.values()]
    begins, lines = runs(hoses.line[first].tolist())
    return Hoses(
        line=hoses.line[first],
        begins=begins,
        lines=lines,
        element=hoses.element[first],
        reynolds_per_flow=np.ascontiguousarray(hoses.reynolds_per_flow[:, first]),
        relative_roughness=np.ascontiguousarray(hoses.relative_roughness[:, first]),
        head_per_group=np.stack([hoses.head_per_group[:, places].sum(axis=1) for places in kinds.values()], axis=1),
        fixed_factor=hoses.fixed_factor if stated is None else np.ascontiguousarray(stated[:, first]),
    )
