r"""Motors on batteries, as part of the law of their pumps: supply, cable and motor eliminated.

A point (q, y) of the data sheet, at which the motor draws the current I(q) at its rated voltage, becomes (s q, y) for a
displacement pump and (s q, s² y) for a rotodynamic one, *s* being the speed that supply and cable leave
(:func:`hydrokit.laws.electricity.loaded_speed_ratio`). Currents run straight between their points and stay at the last
one beyond, I = a + b q; with x = s q, the flow, each piece then has a closed form:

.. math::

    \text{displacement: } b R q^2 - (V_s - a R + b R_w x) q + (V_r - a R_w) x = 0, \qquad
    \text{rotodynamic: } a R s^2 + (b R x + V_r - a R_w) s - (V_s + b R_w x) = 0

with R the whole loop: battery, cable out and back, contacts and winding. Value and slope follow in one go, for all
variants at once, so that Newton's method on the network solves hydraulics and electricity together.

Shapes: the first axis is the variant; then motors alike (D) and points of their currents (K).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import numpy.typing as npt

from hydrokit.laws.electricity import loaded_speed_ratio
from hydrokit.laws.pump_curve import gain
from hydrokit.network.tolerances import LEAST_ROOT

if TYPE_CHECKING:
    from hydrokit.bounds import Array, Mistakes
    from hydrokit.laws.pump_curve import CurveTable
    from hydrokit.network.values import Rows

__all__ = ["Drive", "Point", "sheet_points", "wired"]

Index = npt.NDArray[np.intp]

_RISE: Final = 1e-7
"""Share of the greatest gain by which a curve may rise from rounding alone."""
_GRID: Final = 33


@dataclass(frozen=True, slots=True)
class Drive:
    """Motors of one kind on batteries, among the running pumps of a plan.

    Parameters
    ----------
    kind : {"displacement", "rotodynamic", "constant power"}
        How speed acts; a driver of constant power keeps it.
    place : array of int, shape (D,)
        Among the running pumps.
    batteries : tuple of str
        Name of each one's battery.
    open_voltage, supply : array, shape (n, D)
        Of the battery at rest, and of it with what all its other loads take off it. [V]
    inner, loop : array, shape (n, D)
        Resistance of the battery, and of the whole loop, battery and winding included. [ohm]
    winding, rated : array, shape (n, D)
        Resistance of the motor [ohm] and the data sheet's voltage [V].
    flows : array, shape (K, D)
        Flows at which currents are stated, infinite where a pump has fewer. [m^3/s]
    currents : array, shape (n, K + 1, D, 2)
        Intercept [A] and slope [A s/m^3] of each piece of the current against the data sheet's flow.
    knots : array, shape (n, K, D)
        Flow, over the pump's flow scale, at which each piece but the first begins. [m^3/s]
    known : array of bool, shape (D,)
        Whether the current is known at all; else the voltage of the battery alone acts.
    """

    kind: str
    place: Index
    batteries: tuple[str, ...]
    open_voltage: Array
    supply: Array
    inner: Array
    loop: Array
    winding: Array
    rated: Array
    flows: Array
    currents: Array
    knots: Array
    known: npt.NDArray[np.bool_]

    def take(self, rows: Rows) -> Drive:
        """Return the motors in some of the variants."""
        names = ("open_voltage", "supply", "inner", "loop", "winding", "rated", "currents", "knots")
        some: dict[str, Any] = {name: value[rows] for name in names if len(value := getattr(self, name)) > 1}
        return replace(self, **some)

    def fed(self, supply: Array) -> Drive:
        """Return the same motors on other voltages, shape (n, D)."""
        changed = replace(self, supply=supply)
        return replace(changed, knots=_knots(changed))

    def pieces(self, piece: Index) -> tuple[Array, Array]:
        """Return intercept and slope of the current on some pieces, shape (n, D) or (n, P, D)."""
        row: Any = 0
        if len(self.currents) > 1:
            row = np.arange(len(self.currents)).reshape(-1, *[1] * (piece.ndim - 1))
        found = self.currents[row, piece, np.arange(len(self.place))]
        return found[..., 0], found[..., 1]

    def stated_current(self, sheet_flow: Array) -> Array:
        """Return the data sheet's current at its flows, shape (n, D) or (n, P, D), A."""
        base, rise = self.pieces((sheet_flow[..., None, :] >= self.flows).sum(axis=-2))
        return base + rise * sheet_flow

    def speed_at(self, sheet_flow: Array) -> Array:
        """Return the speed ratio at points of the data sheet by their flows, shape (n, D); 0 where the motor stalls."""
        return self.speeds_at(sheet_flow[:, None, :])[:, 0, :]

    def speeds_at(self, sheet_flow: Array) -> Array:
        """Return the same at several points of each data sheet, shape (n, P, D)."""
        supply, winding = self.supply[:, None, :], self.winding[:, None, :]
        if self.kind == "constant power":
            return np.ones(np.broadcast_shapes(sheet_flow.shape, supply.shape))
        ratio = loaded_speed_ratio(
            supply_voltage=supply,
            resistance=np.maximum(self.loop[:, None, :] - winding, 0.0),
            rated_voltage=self.rated[:, None, :],
            rated_current=self.stated_current(sheet_flow),
            action="displacement" if self.kind == "displacement" else "rotodynamic",
            winding_resistance=winding,
        )
        return np.maximum(np.asarray(ratio, np.float64), 0.0)


@dataclass(frozen=True, slots=True)
class Point:
    """Where pumps work on their data sheets: its flow and the speed ratio, and the slopes of both against flow."""

    sheet_flow: Array
    sheet_slope: Array
    speed: Array
    speed_slope: Array


def _knots(drive: Drive) -> Array:
    """Return the flow at each stated current: 0 where the motor stalls there, and such a pump lets nothing back."""
    missing = np.isinf(drive.flows)
    stated = np.where(missing, 0.0, drive.flows)
    speed = drive.speeds_at(stated[None, :, :])
    found: Array = np.where(missing, np.inf, speed * stated)
    return found


def wired(drive: Drive, table: CurveTable, places: tuple[str, ...], mistakes: Mistakes) -> Drive:
    """Return motors with their knots found; note those whose curve would rise.

    Parameters
    ----------
    drive : Drive
        Its knots are of no account.
    table : CurveTable
        Of all running pumps.
    places : tuple of str
        Address of each motor's pump.
    mistakes : Mistakes
        Where what is wrong is noted.
    """
    back = drive.rated - _greatest_current(drive) * drive.winding
    for column, place in enumerate(places):
        if np.any(back[:, column] <= 0.0):
            expected = "less than the rated voltage over the largest current"
            mistakes.add(f"{place}.winding_resistance", f"{float(np.max(drive.winding[:, column])):g} Ω", expected)
    if mistakes.found:
        return drive
    whole = replace(drive, knots=_knots(drive))
    rises = _rises(whole, table)
    for column, place in enumerate(places):
        if rises[:, column].any():
            found = "currents and voltages for which its head or pressure rises with flow"
            expected = "an electric drive that leaves a falling curve: check currents, voltage and winding_resistance"
            mistakes.add(place, found, expected)
    return whole


def _greatest_current(drive: Drive) -> Array:
    stated = np.where(np.isinf(drive.flows), 0.0, drive.flows)
    greatest: Array = drive.stated_current(stated[None, :, :]).max(axis=1)
    return greatest


def _rises(drive: Drive, table: CurveTable) -> npt.NDArray[np.bool_]:
    """Return whether the curve rises anywhere between shut-off and the end of what is stated, shape (n, D)."""
    ends = np.minimum(table.flow_limit, table.open_flow)[drive.place]
    stated = np.where(np.isfinite(drive.flows), drive.flows, 0.0)
    grid = np.sort(np.concatenate([np.linspace(0.0, 1.0, _GRID)[:, None] * ends, np.minimum(stated, ends)]), axis=0)
    sheet = np.zeros((len(grid), len(table.shut_off)))
    sheet[:, drive.place] = grid
    heads = gain(table, sheet)[0][:, drive.place]
    speeds = drive.speeds_at(grid[None, :, :])
    flows = speeds * grid
    gains = heads * speeds**2 if drive.kind == "rotodynamic" else np.broadcast_to(heads, flows.shape)
    slack = _RISE * np.abs(heads).max(axis=0)
    turning = speeds[:, 1:] > 0.0
    back = (np.diff(flows, axis=1) < -_RISE * ends) & turning
    rises: npt.NDArray[np.bool_] = (back | (np.diff(gains, axis=1) > slack) & turning).any(axis=1)
    return rises


def _displacement(drive: Drive, flow: Array) -> Point:
    base, rise = drive.pieces((flow[:, None, :] >= drive.knots).sum(axis=1))
    back = drive.rated - base * drive.winding
    spare = drive.supply - base * drive.loop + rise * drive.winding * flow
    bend = rise * drive.loop
    root = np.sqrt(np.maximum(spare**2 - 4.0 * bend * back * flow, 0.0))
    root = np.maximum(root, LEAST_ROOT * drive.supply)
    turns = spare > 0.0
    sheet = 2.0 * back * flow / np.where(turns, spare + root, 1.0)
    if not turns.all():  # at no flow the motor stalls at some pressure; it turns from there on
        stalled = (spare - root) / np.where(bend < 0.0, 2.0 * bend, 1.0)
        sheet = np.where(turns, sheet, np.where(bend < 0.0, stalled, flow))
    current = base + rise * sheet
    emf, rated_emf = drive.supply - current * drive.loop, drive.rated - current * drive.winding
    slope = rated_emf / root
    speed_slope = rise * slope * (emf * drive.winding / rated_emf - drive.loop) / rated_emf
    return Point(sheet, slope, emf / rated_emf, speed_slope)


def _rotodynamic(drive: Drive, flow: Array) -> Point:
    base, rise = drive.pieces((flow[:, None, :] >= drive.knots).sum(axis=1))
    linear = rise * drive.loop * flow + drive.rated - base * drive.winding
    supply = drive.supply + rise * drive.winding * flow
    root = np.sqrt(np.maximum(linear**2 + 4.0 * base * drive.loop * supply, 0.0))
    root = np.maximum(root, LEAST_ROOT * drive.supply)
    speed = 2.0 * supply / (linear + root)
    speed_slope = -rise * (drive.loop * speed - drive.winding) / root
    sheet = flow / speed
    return Point(sheet, (1.0 - sheet * speed_slope) / speed, speed, speed_slope)


def sheet_points(drive: Drive, flow: Array) -> Point:
    """Return where pumps work on their data sheets at flows over their flow scales, shape (n, D)."""
    if drive.kind == "displacement":
        return _displacement(drive, flow)
    if drive.kind == "rotodynamic":
        return _rotodynamic(drive, flow)
    one = np.ones_like(flow)
    return Point(flow, one, one, np.zeros_like(flow))
