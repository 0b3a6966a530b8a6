"""Where lines meet tanks, and at what depth.

Water that arrives above the surface falls in, whatever the level; a line's end under water feels it. An end that the
water does not reach can bring water in but takes none out.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from hydrokit.network.values import columns

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.bounds import Array
    from hydrokit.network.values import Values
    from hydrokit.rig import Rig

__all__ = ["Index", "Mask", "Ports", "ports_of"]

Index = npt.NDArray[np.intp]
Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Ports:
    """Line ends in tanks (P of them).

    ``line`` and ``tank`` (P,) say where; ``ends`` (P,) is True where the line ends there, False where it starts from
    there; ``depth`` (n, P) is how much water the tank holds when the surface is level with it, in m; ``inward`` (P,)
    marks top inlets, which let water in only.
    """

    line: Index
    tank: Index
    ends: Mask
    depth: Array
    inward: Mask

    def take(self, rows: Index) -> Ports:
        """Return the ports of some of the variants."""
        return replace(self, depth=self.depth[rows]) if len(self.depth) > 1 else self

    def into(self, lines: int, tanks: int, chosen: Mask | None = None) -> Array:
        """Return +1 where a line ends in a tank and -1 where it starts from one, of some ports, shape (L, T)."""
        sense = np.where(self.ends, 1.0, -1.0)
        if chosen is not None:
            sense = np.where(chosen, sense, 0.0)
        matrix = np.zeros((lines, tanks))
        np.add.at(matrix, (self.line, self.tank), sense)
        return matrix


def ports_of(rig: Rig, values: Values, tanks: Sequence[str], *, open_lines: Mask) -> Ports:
    """Return every place where a line (L,) that may carry water meets one of the tanks."""
    line: list[int] = []
    tank: list[int] = []
    ends: list[bool] = []
    inward: list[bool] = []
    depth: list[Any] = []

    def add(number: int, name: str, *, arrives: bool, top: bool = False) -> None:
        own, address = rig.tanks[name], f"tanks.{name}"
        floor = values.of(address, own, "floor")
        usual_way = not arrives or top == (own.inlet == "top")
        stated = values.of(address, own, "inlet_height" if arrives else "outlet_height") if usual_way else None
        usual: Any = values.of(address, own, "depth") if top else 0.0
        line.append(number)
        tank.append(tanks.index(name))
        ends.append(arrives)
        inward.append(top)
        depth.append(usual if stated is None else np.maximum(stated - floor, 0.0))

    for number, stretch in enumerate(rig.lines.values()):
        if not open_lines[number]:
            continue
        if stretch.start in tanks:
            add(number, stretch.start, arrives=False)
        if stretch.end in tanks:
            add(number, stretch.end, arrives=True, top=rig.falls_in(stretch))
    return Ports(
        np.array(line, np.intp),
        np.array(tank, np.intp),
        np.array(ends, np.bool_),
        columns(depth),
        np.array(inward, np.bool_),
    )
