"""A plan: one rig and mode gathered into arrays, ready for the solver.

Shapes: the first axis is the variant, of length 1 where every variant shares the value; then lines (L), hoses (P),
pumps (U) or elements (E). Flow is positive from a line's start to its end. Heads are metres of the liquid that flows.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from hydrokit.network.values import counted

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.laws.pump_curve import CurveTable
    from hydrokit.network.drives import Drive
    from hydrokit.network.elements import Element
    from hydrokit.network.values import Conditions, Rows, Values
    from hydrokit.rig import Rig

__all__ = ["Ends", "Hoses", "Layout", "Losses", "Plan", "Pumps", "Stations"]

Index = npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """Which lines meet at which joints; the same for every variant.

    ``start`` and ``end`` give each line's joint as an index into ``joints``, or ``len(joints)`` where that end has a
    fixed head. ``stores`` lists lines that stand for the storage of the tank at their start: one for each such joint, and
    what they carry is what balances it.
    """

    lines: tuple[str, ...]
    joints: tuple[str, ...]
    start: Index
    end: Index
    stores: Index = field(default_factory=lambda: np.empty(0, np.intp))


@dataclass(frozen=True, slots=True)
class Hoses:
    """Everything with wall friction, sorted by line; ``begins`` marks where each line's run of hoses begins."""

    line: Index
    begins: Index
    lines: Index
    element: Index
    reynolds_per_flow: Array
    relative_roughness: Array
    head_per_group: Array
    fixed_factor: Array
    """Stated friction factor, NaN where it is to be computed."""


@dataclass(frozen=True, slots=True)
class Pumps:
    """Running pumps, sorted by line: the gain in head is ``head_scale * g(flow / flow_scale)``.

    ``drives`` are the motors among them that batteries feed; they stretch the curve as supply and cable let them.
    ``slip`` is the flow that leaks back inside each for every metre of head that it adds, m²/s; None where none does.
    """

    line: Index
    begins: Index
    lines: Index
    element: Index
    table: CurveTable
    head_scale: Array
    flow_scale: Array
    drives: tuple[Drive, ...] = ()
    slip: Array | None = None

    def take(self, rows: Rows) -> Pumps:
        """Return the pumps in some of the variants."""
        taken: Pumps = _rows(self, rows)
        return replace(taken, drives=tuple(drive.take(rows) for drive in self.drives)) if self.drives else taken


@dataclass(frozen=True, slots=True)
class Losses:
    """Losses of a line other than wall friction, by line (L) for the solver and by element (E) for the walk.

    ``square_forward`` and ``square_backward`` multiply flow squared (s²/m⁵), ``linear`` multiplies flow (s/m²),
    ``cracking`` is the head needed to open a line that lets water through forward only, and ``rest_flow`` is the flow
    below which a square law goes on in proportion.
    """

    square_forward: Array
    square_backward: Array
    linear: Array
    cracking: Array
    rest_flow: Array


@dataclass(frozen=True, slots=True)
class Ends:
    """What the ends of the lines impose.

    ``fixed_drop`` is the fixed head at a line's start less that at its end, each counted 0 where it is a joint;
    ``low`` and ``high`` bound the flow of each line; ``demand`` is the flow taken out at each joint.
    """

    fixed_drop: Array
    fixed_start: Array
    fixed_end: Array
    low: Array
    high: Array
    demand: Array
    nominal: Array


@dataclass(frozen=True, slots=True)
class Stations:
    """Where the walk stops: the start of each line and the end of each of its elements, in order.

    ``height`` and ``bore`` have shape (n, L + E); ``begins`` is each line's first station; ``assumed_joints`` are those
    that state no height of their own.
    """

    height: Array
    bore: Array
    begins: Index
    assumed_joints: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """One rig and mode as arrays; ``variants`` of them at once."""

    rig: Rig
    mode: str
    variants: int
    values: Values
    conditions: Conditions
    layout: Layout
    hoses: Hoses
    """One for each element that has a wall, for the walk."""
    rubbing: Hoses
    """The same for the solver, those of a line that have bore and wall in common put together."""
    pumps: Pumps | None
    losses: Losses
    ends: Ends
    elements: tuple[Element, ...]
    element_losses: Losses
    element_line: Index
    stations: Stations
    nominal_law: tuple[Array, Array] | None = None
    """Loss and slope of every line, shape (n, L), at the flows that the search starts from; None: not worked out."""

    def take(self, rows: Rows) -> Plan:
        """Return the plan of some of the variants."""
        return replace(
            self.take_for_search(rows),
            values=self.values.take(rows),
            hoses=_rows(self.hoses, rows),
            element_losses=_rows(self.element_losses, rows),
            stations=_rows(self.stations, rows),
            conditions=self.conditions.take(rows),
        )

    def take_for_search(self, rows: Rows) -> Plan:
        """Return what the solver needs of some of the variants; all else stays that of all."""
        return replace(
            self,
            variants=counted(rows),
            nominal_law=None if self.nominal_law is None else (self.nominal_law[0][rows], self.nominal_law[1][rows]),
            rubbing=_rows(self.rubbing, rows),
            pumps=None if self.pumps is None else self.pumps.take(rows),
            losses=_rows(self.losses, rows),
            ends=_rows(self.ends, rows),
        )


def _rows(block: Any, rows: Rows) -> Any:
    changes = {
        item.name: value[rows]
        for item in fields(block)
        if isinstance(value := getattr(block, item.name), np.ndarray) and value.ndim == 2 and value.shape[0] > 1
    }
    return replace(block, **changes)
