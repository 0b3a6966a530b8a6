"""A plan whose tanks can fill and empty: each tank that a line meets under water becomes a joint.

From that joint a storage line leads to the tank's own level. Over one implicit step of time the level is the level so
far plus a share of the net inflow, so the storage line's law is linear in its flow and rises with it: the step is the
same convex problem as the steady one, with one line more for each such tank. Water that falls in from above the surface
does not feel the level; it is put in at the joint as a known flow and the step repeated until it no longer changes, and
so is how far a float valve is open. A tank drawn down to its lowest outlet passes on what arrives and no more: its
storage line may then take water in but gives none. Air lies on its water all the same: a line that brings water in from
below ends at the tank's level, as one out of the water does at its own, and feels nothing of what draws at the outlet.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.bounds import require
from hydrokit.network.ends import brim_depth
from hydrokit.network.plan import Layout, Losses, Plan
from hydrokit.network.ports import Index, Mask, Ports, ports_of
from hydrokit.network.tolerances import STANDSTILL
from hydrokit.network.values import columns
from hydrokit.parts import FloatValve
from hydrokit.parts.stores import LEAST_DEPTH

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hydrokit.bounds import Array

__all__ = ["Floats", "Stage", "Storage", "storage_of"]

_STIFFEST: Final = 1e-9
"""s/m²; least rise of level per inflow: a nanometre for a litre a second, so that no storage line is without a slope."""
_DROP: Final = 1e-10
"""m³/s; less does a tank at its lowest outlet not give: 6 µL/min."""
_ALMOST_SHUT: Final = 1e-6
"""Opening of a float valve below which its loss grows no further; it is shut at none."""
_STEEPEST: Final = 1e6
"""m; head by which the tangent of a float valve may miss at no flow. A steeper one would lose in rounding what is asked of energy."""


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

    def most_gain(self, opening: Array, level: Array) -> Array:
        """Return the rise (n, V) of each one's tank from a level (n, T) that leaves a valve just so far open, m."""
        gain: Array = self.shut_level - opening * self.band - level[:, self.tank]
        return gain

    def take(self, rows: Index) -> Floats:
        """Return the float valves of some of the variants."""
        names = ("square", "shut_level", "band")
        some = {name: value[rows] for name in names if (value := getattr(self, name)).shape[0] > 1}
        return replace(self, **some)


@dataclass(frozen=True, slots=True)
class Stage:
    """One implicit stage: each tank ends with ``base`` (n, T) plus ``share`` (n, 1) seconds of its own net inflow.

    ``shut`` lines (n, L) carry nothing, ``pinned`` tanks (n, T) are brim-full, ``dry`` ones stand at their lowest
    outlet and give no more than they get; ``injected`` (n, T) is what falls in from above, ``openings`` (n, V) how
    far the float valves are open when they pass ``through`` (n, V), and ``guess`` the flows to start from, storage lines
    included.
    """

    base: Array
    share: Array
    shut: Mask
    pinned: Mask
    dry: Mask
    injected: Array
    openings: Array
    through: Array
    guess: Array

    def take(self, rows: Index) -> Stage:
        """Return the stage of some of the variants."""
        return Stage(*(getattr(self, item.name)[rows] for item in fields(self)))


@dataclass(frozen=True, slots=True)
class Storage:
    """Tanks (T) of a plan, and how its lines (L) meet them.

    ``depth`` (n, T) is that of the water when it runs over: the brim, or the mouth of an overflow below it.
    ``lowest`` (n, T) is the volume below which a tank gives no water, -inf where nothing is drawn from it; ``node``
    (T,) is the tank's joint in ``plan``, or -1 where no line can ever be under its water; ``upper`` ports (n, P) are
    those that falling water can leave behind.
    """

    plan: Plan
    tanks: tuple[str, ...]
    area: Array
    floor: Array
    depth: Array
    start_level: Array
    ports: Ports
    lowest: Array
    upper: Mask
    node: Index
    floats: Floats
    into: Array
    layouts: dict[bytes, Layout] = field(default_factory=dict, repr=False)
    """How lines meet joints, made once for each set of ports that are out of the water."""

    @property
    def lines(self) -> int:
        """How many lines the rig has; the plan's further ones are storage."""
        return len(self.into)

    @property
    def full(self) -> Array:
        """Each tank's volume when it runs over, shape (n, T), m³."""
        return self.area * self.depth

    def take(self, rows: Index) -> Storage:
        """Return the storage of some of the variants."""
        names = ("area", "floor", "depth", "start_level", "lowest", "upper")
        some: dict[str, Any] = {name: value[rows] for name in names if (value := getattr(self, name)).shape[0] > 1}
        plan, ports, floats = self.plan.take(rows), self.ports.take(rows), self.floats.take(rows)
        return replace(self, plan=plan, ports=ports, floats=floats, **some)

    def falls(self, exposed: Mask) -> Array:
        """Return which lines bring water from above the surface, shape (L, T), where some ports (P,) are exposed."""
        return self.ports.into(self.lines, len(self.tanks), exposed)

    def step_plan(self, exposed: Mask, stage: Stage) -> Plan:
        """Return the plan of one implicit stage, for variants in which the same ports (P,) are out of the water.

        Ports under the water of a dry tank are among them where lines bring water in that meets air.
        """
        plan, count = self.plan, self.lines
        noded = self.node >= 0
        joints, columns_ = (len(stage.base), len(plan.layout.joints)), (len(stage.base), len(plan.layout.lines))
        ends, losses = plan.ends, plan.losses
        rise = stage.share / self.area
        level = self.floor + np.where(stage.pinned, self.depth, stage.base / self.area)
        fixed_start, fixed_end = _copied(ends.fixed_start, columns_), _copied(ends.fixed_end, columns_)
        low, high = _copied(ends.low, columns_), _copied(ends.high, columns_)
        least = self.least(stage)
        self._end_at_ports(exposed, self._dry_level(stage, least), fixed_start, fixed_end)
        fixed_end[:, count:] = level[:, noded]
        linear, square = _copied(losses.linear, columns_), _copied(losses.square_forward, columns_)
        linear[:, count:] = np.maximum(np.where(stage.pinned, 0.0, rise), _STIFFEST)[:, noded]
        out, back = self.ports.line[exposed & ~self.ports.ends], self.ports.line[exposed & self.ports.ends]
        high[:, out] = np.minimum(high[:, out], 0.0)
        low[:, back] = np.maximum(low[:, back], 0.0)
        low[:, count:] = least[:, noded]
        cracking, closed = losses.cracking, stage.shut.copy()
        if self.floats.line.size:
            cracking = _copied(cracking, columns_)
            self._throttle(stage, closed, square, linear, cracking)
        low[:, :count][closed], high[:, :count][closed] = 0.0, 0.0
        demand = _copied(ends.demand, joints)
        demand[:, self.node[noded]] = -stage.injected[:, noded]
        return replace(
            plan,
            nominal_law=None,
            variants=len(stage.base),
            layout=self._layout(exposed),
            losses=replace(losses, linear=linear, square_forward=square, cracking=cracking),
            ends=replace(
                ends,
                fixed_start=fixed_start,
                fixed_end=fixed_end,
                fixed_drop=np.nan_to_num(fixed_start) - np.nan_to_num(fixed_end),
                low=low,
                high=high,
                demand=demand,
                nominal=stage.guess,
            ),
        )

    def _throttle(self, stage: Stage, closed: Mask, square: Array, linear: Array, cracking: Array) -> None:
        """Add what float valves cost, and how it grows with the flow that fills their own tank, as a tangent."""
        floats = self.floats
        for place, (line, tank) in enumerate(zip(floats.line, floats.tank, strict=True)):
            opening, through = stage.openings[:, place], stage.through[:, place]
            held = np.maximum(opening, _ALMOST_SHUT)
            lost = floats.square[:, place] * held**-2.0
            shuts = stage.share[:, 0] / (self.area[:, tank] * floats.band[:, place])  # share of its way per flow
            moving = (opening > 0.0) & (opening < 1.0)
            steeper = np.where(moving, 2.0 * lost / held * shuts * through**2, 0.0)
            steeper = np.minimum(steeper, _STEEPEST / np.maximum(through, STANDSTILL))
            closed[:, line] |= opening <= 0.0
            square[:, line] += lost - floats.square[:, place]
            linear[:, line] += steeper
            cracking[:, line] -= steeper * through

    def _layout(self, exposed: Mask) -> Layout:
        """Return which lines meet which joints where some ports (P,) are out of the water."""
        key = exposed.tobytes()
        if key in self.layouts:
            return self.layouts[key]
        layout, ports = self.plan.layout, self.ports
        start, end = layout.start.copy(), layout.end.copy()
        place = np.where(exposed, len(layout.joints), self.node[ports.tank])
        end[ports.line[ports.ends]] = place[ports.ends]
        start[ports.line[~ports.ends]] = place[~ports.ends]
        self.layouts[key] = replace(layout, start=start, end=end)
        return self.layouts[key]

    def _end_at_ports(self, exposed: Mask, dry_level: Array, fixed_start: Array, fixed_end: Array) -> None:
        """Write the head at every port that is out of the water or brings it into a dry tank, and none at the others."""
        ports = self.ports
        depth = np.maximum(ports.depth, dry_level[:, ports.tank])
        head = np.where(exposed, self.floor[:, ports.tank] + depth, np.nan)
        fixed_end[:, ports.line[ports.ends]] = head[:, ports.ends]
        fixed_start[:, ports.line[~ports.ends]] = head[:, ~ports.ends]

    def _dry_level(self, stage: Stage, least: Array) -> Array:
        """Return the depth of water (n, T) that tanks at their lowest outlet are left with; none in the others."""
        left = stage.base + stage.share * np.where(stage.dry, least, 0.0)
        return np.where(stage.dry, left / self.area, 0.0)

    def least(self, stage: Stage) -> Array:
        """Return the least net inflow (n, T): what is left above its lowest outlet is all that a tank can lose."""
        left = np.where(stage.dry, stage.base - self.lowest, 0.0)
        most = np.divide(left, stage.share, out=np.zeros_like(left), where=stage.share > 0.0)
        most = np.where(most > _DROP, most, 0.0)  # the solver takes less than a drop for nothing
        return np.where(stage.dry & ~stage.pinned, -most, -np.inf)


def _copied(values: Array, shape: tuple[int, int]) -> Array:
    return np.array(np.broadcast_to(values, shape))


def _floats(plan: Plan, tanks: tuple[str, ...]) -> Floats:
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


def _start_levels(plan: Plan, tanks: tuple[str, ...], shares: Mapping[str, float]) -> list[Any]:
    rig, values = plan.rig, plan.values
    begins: list[Any] = []
    for name in tanks:
        depth = brim_depth(rig, name, values)
        level = values.of(f"tanks.{name}", rig.tanks[name], "level")
        begins.append(shares[name] * depth if level is None else np.minimum(level, depth))
    return begins


def _brims(plan: Plan, tanks: tuple[str, ...]) -> Array:
    """Return the depths of water (n, T) at which tanks run over."""
    depths = [brim_depth(plan.rig, name, plan.values) for name in tanks]
    for name, depth in zip(tanks, depths, strict=True):
        require(f"overflow_height of tanks.{name} above its floor", depth, LEAST_DEPTH, np.inf, "m")
    return columns(depths)


def _giving(plan: Plan, ports: Ports) -> Mask:
    """Return which ports (P,) could take water out of their tank in some variant, were they under water."""
    forward = (plan.ends.high[:, ports.line] > 0.0).any(axis=0)
    backward = (plan.ends.low[:, ports.line] < 0.0).any(axis=0)
    return np.where(ports.ends, backward, forward)


def _lowest(ports: Ports, giving: Mask, area: Array, tanks: int) -> Array:
    """Return the volume in each tank when its water stands at the lowest port that gives; -inf where none does."""
    count = max(len(ports.depth), len(area))
    lowest = np.full((count, tanks), np.inf)
    for place in np.flatnonzero(giving):
        tank = ports.tank[place]
        lowest[:, tank] = np.minimum(lowest[:, tank], ports.depth[:, place] * area[:, tank])
    return np.where(np.isinf(lowest), -np.inf, lowest)


def storage_of(plan: Plan, shares: Mapping[str, float]) -> Storage:
    """Return a plan's tanks ready to be stepped through time.

    Parameters
    ----------
    plan : Plan
        Built with ``levels_apart=True``, so that no outlet counts as bare and no float valve as shut.
    shares : mapping of tank to float
        How full each starts, 0 to 1, whose level is not stated.

    Raises
    ------
    RangeError
        If a value that varies puts the mouth of an overflow at the floor or below.
    """
    rig, values, layout = plan.rig, plan.values, plan.layout
    tanks = tuple(rig.tanks)

    def read(field: str) -> Array:
        return columns([values.of(f"tanks.{name}", rig.tanks[name], field) for name in tanks])

    may_flow: Mask = np.asarray(((plan.ends.low < 0.0) | (plan.ends.high > 0.0)).any(axis=0))
    ports, depth = ports_of(rig, values, tanks, open_lines=may_flow), _brims(plan, tanks)
    area = read("volume") / read("depth")
    giving = _giving(plan, ports)
    lowest = _lowest(ports, giving, area, len(tanks))
    wet = {int(ports.tank[place]) for place in np.flatnonzero((ports.depth < depth[:, ports.tank]).any(axis=0))}
    noded = [name for place, name in enumerate(tanks) if place in wet]
    old, fixed = len(layout.joints), len(layout.joints) + len(noded)
    node = np.full(len(tanks), -1, np.intp)
    node[sorted(wet)] = np.arange(old, fixed)
    stored = Layout(
        lines=(*layout.lines, *(f"{name} (stored)" for name in noded)),
        joints=(*layout.joints, *noded),
        start=np.concatenate([np.where(layout.start == old, fixed, layout.start), np.arange(old, fixed)]),
        end=np.concatenate([np.where(layout.end == old, fixed, layout.end), np.full(len(noded), fixed)]),
        stores=np.arange(len(noded)) + len(layout.lines),
    )
    return Storage(
        plan=_widened(plan, stored, len(noded)),
        tanks=tanks,
        area=area,
        floor=read("floor"),
        depth=depth,
        start_level=columns(_start_levels(plan, tanks, shares)),
        ports=ports,
        lowest=lowest,
        upper=(ports.depth > 0.0) & ~(giving & (ports.depth * area[:, ports.tank] <= lowest[:, ports.tank])),
        node=node,
        floats=_floats(plan, tanks),
        into=ports.into(len(layout.lines), len(tanks)),
    )


def _widened(plan: Plan, layout: Layout, more: int) -> Plan:
    """Return the plan with a column for each storage line and tank joint."""

    def wide(values: Array, fill: float) -> Array:
        return np.concatenate([values, np.full((len(values), more), fill)], axis=1)

    ends, losses = plan.ends, plan.losses
    return replace(
        plan,
        nominal_law=None,
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
            fixed_start=wide(ends.fixed_start, np.nan),
            fixed_end=wide(ends.fixed_end, 0.0),
            fixed_drop=wide(ends.fixed_drop, 0.0),
            low=wide(ends.low, -np.inf),
            high=wide(ends.high, np.inf),
            demand=wide(ends.demand, 0.0),
            nominal=wide(ends.nominal, 1e-5),
        ),
    )
