"""What the ends of a line impose on it: fixed heads, heights, and whether water may pass one way only.

Discharge to the air, and into a tank from the top, is one way: the head there is the height of the lip, and a branch
below its lip stands still. A line out of a tank starts at the tank's level and gives nothing once its outlet is bare.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from hydrokit.parts import Outlet, Source, Tank

if TYPE_CHECKING:
    from hydrokit.bounds import Real
    from hydrokit.network.values import Conditions, Values
    from hydrokit.rig import Line, Rig

__all__ = ["LineEnds", "fixed_ends", "tank_level"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LineEnds:
    """Heads in m where fixed, else None; heights in m where known, else None."""

    start: Real | None
    end: Real | None
    start_height: Real | None
    end_height: Real | None
    inward_only: bool
    uncovered: Any = False


def brim_depth(rig: Rig, name: str, values: Values) -> Any:
    """Return the depth of water at which a tank runs over, in m: when full, else at the mouth of an overflow below that."""
    tank, place = rig.tanks[name], f"tanks.{name}"
    depth, floor, mouth, bore = (
        values.of(place, tank, field) for field in ("depth", "floor", "overflow_height", "overflow_bore")
    )
    if mouth is None:
        return depth
    brim = np.minimum(depth, mouth - floor)
    return brim if bore is None else np.where(np.asarray(bore) > 0.0, brim, depth)[()]


def brim_volume(rig: Rig, name: str, values: Values) -> Any:
    """Return the volume that a tank holds when it runs over, in m³."""
    volume, depth = (values.of(f"tanks.{name}", rig.tanks[name], field) for field in ("volume", "depth"))
    return volume * (brim_depth(rig, name, values) / depth)


def tank_level(rig: Rig, name: str, values: Values) -> Any:
    """Return the depth of water in a tank, in m: as stated, else half full."""
    stated = values.of(f"tanks.{name}", rig.tanks[name], "level")
    return 0.5 * brim_depth(rig, name, values) if stated is None else stated


def _start(rig: Rig, name: str, values: Values, weight: Real) -> tuple[Any, Any, Any]:
    """Return head, height and bareness of a line's start."""
    end = rig.ends()[name]
    if isinstance(end, Source):
        surface = values.of(f"sources.{name}", end, "surface")
        return surface + values.of(f"sources.{name}", end, "pressure") / weight, surface, False
    if isinstance(end, Tank):
        floor = values.of(f"tanks.{name}", end, "floor")
        stated = values.of(f"tanks.{name}", end, "outlet_height")
        outlet = floor if stated is None else stated
        surface = floor + tank_level(rig, name, values)
        return np.maximum(surface, outlet), outlet, surface <= outlet
    return None, None, False


def _end(rig: Rig, line: Line, values: Values, weight: Real) -> tuple[Any, Any, bool]:
    """Return head, height and whether water enters only, of a line's end."""
    name = line.end
    end = rig.ends()[name]
    if isinstance(end, Source):
        surface = values.of(f"sources.{name}", end, "surface")
        return surface + values.of(f"sources.{name}", end, "pressure") / weight, surface, False
    if isinstance(end, Outlet):
        height = values.of(f"outlets.{name}", end, "height")
        return height + values.of(f"outlets.{name}", end, "pressure") / weight, height, True
    if isinstance(end, Tank):
        floor = values.of(f"tanks.{name}", end, "floor")
        top = rig.falls_in(line)
        own = top == (end.inlet == "top")
        stated = values.of(f"tanks.{name}", end, "inlet_height") if own else None
        usual = floor + values.of(f"tanks.{name}", end, "depth") if top else floor
        lip = usual if stated is None else stated
        return np.maximum(floor + tank_level(rig, name, values), lip), lip, top
    return None, None, False


def fixed_ends(rig: Rig, line: str, values: Values, conditions: Conditions, *, levels_apart: bool = False) -> LineEnds:
    """Return what both ends of a line impose on it; where levels are kept apart, no outlet counts as bare."""
    weight = conditions.weight
    start, start_height, bare = _start(rig, rig.lines[line].start, values, weight)
    end, end_height, inward = _end(rig, rig.lines[line], values, weight)
    return LineEnds(
        start=start,
        end=end,
        start_height=start_height,
        end_height=end_height,
        inward_only=inward,
        uncovered=bare if not levels_apart else False,
    )
