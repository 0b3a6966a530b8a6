"""What a rig weighs on its vehicle, and what the two supports carry, in every state of its tanks.

Loads are linear in the water of each tank, and the share of one support falls or rises steadily with it. So the greatest
and least of each, over all fills, are among those in which the tanks ahead of some point are full and the rest empty, or
the other way round: no other fill need be looked at.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from hydrokit.laws.statics import Balance, SupportLoads, balance, support_loads
from hydrokit.network.ends import brim_volume, tank_level
from hydrokit.network.values import columns
from hydrokit.parts import Filter, Hose, Tank
from hydrokit.rules.naming import listed
from hydrokit.rules.state import made_once

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = ["Fill", "Weighing", "weighed_of"]

_VEHICLE = ("mass", "position", "front_position", "rear_position")


@dataclass(frozen=True, slots=True)
class Fill:
    """One state of the tanks: what it is called, and the water in each, shape (n, T), kg.

    It has no name where some tanks are full and the rest empty: which are full differs with where they stand.
    """

    name: str
    water: Array


@dataclass(frozen=True)
class Weighing:
    """Masses and positions of all that is weighed; arrays of shape (n, things) or (n, T), kg and m.

    ``missing`` lists what would have to be stated to weigh it at all, by place; while there is any, weigh nothing.
    ``left_out`` are the addresses of parts that state neither mass nor position.
    """

    masses: Array
    positions: Array
    tanks: tuple[str, ...]
    tank_positions: Array
    full: Array
    now: Array
    front: Array
    rear: Array
    missing: tuple[tuple[str, str], ...]
    left_out: tuple[str, ...]

    @property
    def known(self) -> bool:
        """Whether all that it takes is stated."""
        return not self.missing

    def balance(self, water: Array) -> Balance:
        """Return total mass and centre of gravity with so much water in each tank, shape (n, T), kg."""
        pieces = (self.masses, water, self.positions, self.tank_positions)
        rows = max(len(piece) for piece in pieces)
        dry, wet, dry_at, wet_at = (np.broadcast_to(piece, (rows, piece.shape[1])) for piece in pieces)
        return balance(masses=np.concatenate([dry, wet], axis=1), positions=np.concatenate([dry_at, wet_at], axis=1))

    def loads(self, water: Array) -> SupportLoads:
        """Return what both supports carry on level ground with so much water in each tank, shape (n, T), kg."""
        whole = self.balance(water)
        return support_loads(mass=whole.mass, centre=whole.centre, first=self.front, second=self.rear)

    @cached_property
    def fills(self) -> tuple[Fill, ...]:
        """The fills among which every greatest and least load lies: all empty, as now, all full, and part-full."""
        full = np.broadcast_to(self.full, np.broadcast_shapes(self.full.shape, self.tank_positions.shape))
        order = np.argsort(np.argsort(np.broadcast_to(self.tank_positions, full.shape), axis=1), axis=1)
        fills = [Fill("empty", 0.0 * full), Fill("as filled now", self.now + 0.0 * full), Fill("full", 1.0 * full)]
        count = len(self.tanks)
        for ahead in range(1, count):
            for mask in (order < ahead, order >= ahead):
                fills.append(Fill("", np.where(mask, full, 0.0)))
        return tuple(fills)

    def called(self, fill: Fill, row: int) -> str:
        """Return what a fill is called in a row."""
        water = fill.water[row % len(fill.water)].tolist()
        full = (tank for tank, held in zip(self.tanks, water, strict=True) if held > 0.0)
        return fill.name or f"{listed(full)} full, the rest empty"


def _things(state: State) -> Iterator[tuple[str, Any]]:
    """Yield address and object of everything that may have a mass, save the vehicle and what stands on the ground."""
    for address, thing in state.rig.by_address.items():
        if hasattr(thing, "mass") and address != "vehicle" and getattr(thing, "carried", True):
            yield address, thing


def _own_mass(state: State, address: str, thing: Any) -> Any:
    """Return the mass of a thing without water; None where it is not stated."""
    of = state.plan.values.of
    mass = of(address, thing, "mass")
    if mass is None and isinstance(thing, Hose):
        each = of(address, thing, "mass_per_length")
        return None if each is None else each * of(address, thing, "length")
    return mass


def _held_water(state: State, address: str, thing: Any) -> Any:
    """Return the mass of the water in a part."""
    of = state.plan.values.of
    if isinstance(thing, Hose):
        volume = np.pi / 4.0 * of(address, thing, "bore") ** 2 * of(address, thing, "length")
    else:
        volume = of(address, thing, "holds") if hasattr(thing, "holds") else None
    return 0.0 if volume is None else volume * state.conditions.density


def _count(state: State, address: str, thing: Any) -> Any:
    """Return how many of a thing there are: filters stand side by side."""
    return state.plan.values.of(address, thing, "side_by_side") if isinstance(thing, Filter) else 1.0


@dataclass
class _Scales:
    """Gathers what is weighed, and what is missing."""

    masses: list[Any]
    positions: list[Any]
    missing: list[tuple[str, str]]
    left_out: list[str]

    def put(self, state: State, address: str, thing: Any) -> None:
        mass, position = _own_mass(state, address, thing), state.plan.values.of(address, thing, "position")
        must = isinstance(thing, Tank) or mass is not None or position is not None
        if not must:
            self.left_out.append(address)
            return
        word = "tank" if isinstance(thing, Tank) else "part"
        for name, value in (("mass", mass), ("position", position)):
            if value is None:
                self.missing.append((address, f"{name} of the {word}"))
        if mass is not None and position is not None:
            self.masses.append(_count(state, address, thing) * (mass + _held_water(state, address, thing)))
            self.positions.append(position)


def _vehicle(state: State, scales: _Scales) -> tuple[Any, Any]:
    """Put the vehicle on, and return where its supports stand."""
    vehicle = state.rig.vehicle
    mass, position, front, rear = (state.plan.values.of("vehicle", vehicle, name) for name in _VEHICLE)
    for name, value in zip(_VEHICLE, (mass, position, front, rear), strict=True):
        if value is None:
            scales.missing.append(("vehicle", f"{name} of the vehicle"))
    scales.masses.append(mass)
    scales.positions.append(position)
    return front, rear


@made_once
def weighed_of(state: State) -> Weighing | None:
    """Return what a rig weighs in a state's variants; None where it says nothing of its vehicle."""
    if all(getattr(state.rig.vehicle, name) is None for name in _VEHICLE):
        return None
    scales = _Scales([], [], [], [])
    front, rear = _vehicle(state, scales)
    for address, thing in _things(state):
        scales.put(state, address, thing)
    of, density = state.plan.values.of, state.conditions.density
    tanks = {f"tanks.{name}": tank for name, tank in state.rig.tanks.items() if tank.carried}
    full, now = [], []
    for address, tank in tanks.items():
        name, volume, depth = address.partition(".")[2], of(address, tank, "volume"), of(address, tank, "depth")
        full.append(density * brim_volume(state.rig, name, state.plan.values))
        now.append(density * volume * (tank_level(state.rig, name, state.plan.values) / depth))
    return Weighing(
        masses=columns(scales.masses),
        positions=columns(scales.positions),
        tanks=tuple(address.partition(".")[2] for address in tanks),
        tank_positions=columns([of(address, tank, "position") for address, tank in tanks.items()]),
        full=columns(full),
        now=columns(now),
        front=np.asarray(np.nan if front is None else front, np.float64),
        rear=np.asarray(np.nan if rear is None else rear, np.float64),
        missing=tuple(scales.missing),
        left_out=tuple(scales.left_out),
    )
