"""A plan whose tanks can fill and empty: each tank that water enters or leaves under its surface becomes a joint.

From that joint a storage line leads to the tank's own level. Over one implicit step of time the level is the level so
far plus a share of the net inflow, so the storage line's law is linear in its flow and rises with it: the step is the
same convex problem as the steady one, with one line more for each such tank. Water that falls in from the top does not
feel the level; it is put in at the joint as a known flow and the step repeated until it no longer changes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from hydrokit.network.plan import Layout, Losses, Plan
from hydrokit.network.values import columns
from hydrokit.parts import FloatValve

if TYPE_CHECKING:
    from hydrokit.bounds import Array

__all__ = ["Floats", "Storage", "storage_of"]

Index = npt.NDArray[np.intp]
Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Floats:
    """Float valves (V of them): where they stand, and head per flow squared when wide open, s²/m⁵."""

    line: Index
    tank: Index
    square: Array
    shut_level: Array
    band: Array

    def opening(self, level: Array) -> Array:
        """Return how far each is open, 0 to 1, shape (n, V), at depths of water, shape (n, T)."""
        return np.clip((self.shut_level - level[:, self.tank]) / self.band, 0.0, 1.0)


@dataclass(frozen=True, slots=True)
class Storage:
    """Tanks (T) of a plan, and how its lines (L) meet them.

    ``into`` (L, T) is +1 where a line ends in a tank and -1 where it starts from one; ``falls`` (L, T) marks lines
    that end above the water; ``outlet`` (n, L) is the depth in the tank at which a line that starts from it is bare;
    ``node`` (T,) is the tank's joint in ``plan``, or -1 where nothing meets its water.
    """

    plan: Plan
    tanks: tuple[str, ...]
    area: Array
    floor: Array
    depth: Array
    start_level: Array
    into: Array
    falls: Mask
    outlet: Array
    node: Index
    floats: Floats

    @property
    def lines(self) -> int:
        """How many lines the rig has; the plan's further ones are storage."""
        return len(self.into)

    def take(self, rows: Index) -> Storage:
        """Return the storage of some of the variants."""
        return replace(
            self,
            plan=self.plan.take(rows),
            **{
                name: value[rows]
                for name in ("area", "floor", "depth", "start_level", "outlet")
                if (value := getattr(self, name)).shape[0] > 1
            },
        )

    def step_plan(
        self, *, level: Array, rise: Array, injected: Array, shut: Mask, pinned: Mask, openings: Array, guess: Array
    ) -> Plan:
        """Return the plan of one implicit step, shapes (n, T) and (n, L).

        ``level`` is each tank's depth before the step's own inflow [m] and ``rise`` the depth gained per net inflow
        [s/m²]; ``injected`` what falls in from the top [m³/s]; ``shut`` lines carry nothing; ``pinned`` tanks are
        brim-full; ``openings`` (n, V) of float valves; ``guess`` flows to start from, storage lines included.
        """
        plan, count = self.plan, self.lines
        noded = self.node >= 0
        shape = (len(level), len(plan.layout.lines))
        ends, losses = plan.ends, plan.losses
        fixed_end = np.array(np.broadcast_to(ends.fixed_end, shape))
        fixed_end[:, count:] = (self.floor + np.where(pinned, self.depth, level))[:, noded]
        linear = np.array(np.broadcast_to(losses.linear, shape))
        linear[:, count:] = np.where(pinned, 0.0, rise)[:, noded]
        square = np.array(np.broadcast_to(losses.square_forward, shape))
        closed = np.zeros(shape, np.bool_)
        closed[:, :count] = shut
        for place, line in enumerate(self.floats.line):
            opening = openings[:, place]
            closed[:, line] |= opening <= 0.0
            square[:, line] += self.floats.square[:, place] * (np.maximum(opening, 1e-6) ** -2.0 - 1.0)
        start = np.broadcast_to(ends.fixed_start, shape)
        demand = np.array(np.broadcast_to(ends.demand, (len(level), len(plan.layout.joints))))
        demand[:, self.node[noded]] = -injected[:, noded]
        return replace(
            plan,
            variants=len(level),
            losses=replace(losses, linear=linear, square_forward=square),
            ends=replace(
                ends,
                fixed_end=fixed_end,
                fixed_drop=np.nan_to_num(start) - np.nan_to_num(fixed_end),
                low=np.where(closed, 0.0, ends.low),
                high=np.where(closed, 0.0, ends.high),
                demand=demand,
                nominal=guess,
            ),
        )


def _floats(plan: Plan, tanks: list[str]) -> Floats:
    found = [(index, element) for index, element in enumerate(plan.elements) if isinstance(element.part, FloatValve)]
    line = [int(plan.element_line[index]) for index, _ in found]
    ends = [plan.rig.lines[plan.layout.lines[number]].end for number in line]

    def read(name: str) -> list[Any]:
        return [plan.values.of(element.address, element.part, name) for _, element in found]

    depths = [plan.values.of(f"tanks.{end}", plan.rig.tanks[end], "depth") for end in ends]
    shut = [depth if stated is None else stated for stated, depth in zip(read("shut_level"), depths, strict=True)]
    return Floats(
        line=np.array(line, np.intp),
        tank=np.array([tanks.index(end) for end in ends], np.intp),
        square=columns([element.float_square for _, element in found]),
        shut_level=columns(shut),
        band=columns(read("band")),
    )


def storage_of(plan: Plan, *, levels: str) -> Storage:
    """Return a plan's tanks ready to be stepped through time.

    Parameters
    ----------
    plan : Plan
        Built with ``levels_apart=True``, so that no outlet counts as bare and no float valve as shut.
    levels : {"empty", "full"}
        How full a tank starts whose level is not stated.
    """
    rig, values, layout = plan.rig, plan.values, plan.layout
    joined = [name for name in rig.tanks if any(name in (line.start, line.end) for line in rig.lines.values())]

    def read(name: str, field: str) -> Any:
        return values.of(f"tanks.{name}", rig.tanks[name], field)

    depth = [read(name, "depth") for name in joined]
    stated = [
        rig.tanks[name].level if f"tanks.{name}.level" not in values.changed else read(name, "level") for name in joined
    ]
    begins: list[Any] = [
        (0.0 if levels == "empty" else full) if level is None else np.minimum(level, full)
        for level, full in zip(stated, depth, strict=True)
    ]
    into = np.zeros((len(layout.lines), len(joined)))
    falls = np.zeros(into.shape, np.bool_)
    outlet: list[Any] = []
    start, end = layout.start.copy(), layout.end.copy()
    wet = {name for name in joined if any(line.start == name for line in rig.lines.values())}
    wet |= {line.end for line in rig.lines.values() if line.end in rig.tanks and rig.tanks[line.end].inlet == "bottom"}
    joints = [*layout.joints, *(name for name in joined if name in wet)]
    old_fixed, fixed = len(layout.joints), len(joints)
    start[start == old_fixed], end[end == old_fixed] = fixed, fixed
    for number, line in enumerate(rig.lines.values()):
        bare: Any = -np.inf
        if line.end in joined:
            into[number, joined.index(line.end)] += 1.0
            falls[number, joined.index(line.end)] = rig.tanks[line.end].inlet == "top"
            if rig.tanks[line.end].inlet == "bottom":
                end[number] = joints.index(line.end)
        if line.start in joined:
            into[number, joined.index(line.start)] -= 1.0
            start[number] = joints.index(line.start)
            height = read(line.start, "outlet_height")
            bare = 0.0 if height is None else height - read(line.start, "floor")
        outlet.append(bare)
    noded = [name for name in joined if name in wet]
    node = np.array([joints.index(name) if name in wet else -1 for name in joined], np.intp)
    stored = Layout(
        lines=(*layout.lines, *(f"{name} (stored)" for name in noded)),
        joints=tuple(joints),
        start=np.concatenate([start, [joints.index(name) for name in noded]]).astype(np.intp),
        end=np.concatenate([end, np.full(len(noded), fixed)]).astype(np.intp),
        stores=np.arange(len(noded)) + len(layout.lines),
    )
    area = columns([read(name, "volume") / full for name, full in zip(joined, depth, strict=True)])
    return Storage(
        plan=_widened(plan, stored, len(noded)),
        tanks=tuple(joined),
        area=area,
        floor=columns([read(name, "floor") for name in joined]),
        depth=columns(depth),
        start_level=columns(begins),
        into=into,
        falls=falls,
        outlet=columns(outlet),
        node=node,
        floats=_floats(plan, joined),
    )


def _widened(plan: Plan, layout: Layout, more: int) -> Plan:
    """Return the plan with a column for each storage line and tank joint."""

    def wide(values: Array, fill: float) -> Array:
        return np.concatenate([values, np.full((len(values), more), fill)], axis=1)

    ends, losses = plan.ends, plan.losses
    joined = layout.start[: len(plan.layout.lines)] < len(layout.joints)
    met = layout.end[: len(plan.layout.lines)] < len(layout.joints)
    return replace(
        plan,
        layout=layout,
        losses=Losses(
            square_forward=wide(losses.square_forward, 0.0),
            square_backward=wide(losses.square_backward, 0.0),
            linear=wide(losses.linear, 0.0),
            cracking=wide(losses.cracking, 0.0),
            rest_flow=wide(losses.rest_flow, 0.0),
        ),
        ends=replace(
            ends,
            fixed_start=wide(np.where(joined, np.nan, ends.fixed_start), np.nan),
            fixed_end=wide(np.where(met, np.nan, ends.fixed_end), 0.0),
            fixed_drop=wide(ends.fixed_drop, 0.0),
            low=wide(ends.low, -np.inf),
            high=wide(ends.high, np.inf),
            demand=wide(ends.demand, 0.0),
            nominal=wide(ends.nominal, 1e-5),
        ),
    )
