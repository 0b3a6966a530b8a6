"""A pump that its pressure switch stops: the flow between cut-in and cut-out, and how much of the time it runs.

The switch acts on the gauge pressure at the pump's outlet. While it hunts, what hangs on the outlet is fed at a pressure
between cut-in and cut-out by the little that hoses and air give; so the rig is cut there, both pieces are solved with that
pressure held, and the pump runs for the share of the time in which it delivers what is taken.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.network import solve
from hydrokit.rules.cutting import after_pump, before_pump, circles, outlet_area, values_for

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.rules.cutting import Cut
    from hydrokit.rules.rule import Mask
    from hydrokit.rules.state import State

__all__ = ["Cycle", "cycling", "given_at", "hunts", "relieved", "taken_at"]

_ROUNDS: Final = 4
"""The velocity head at the outlet, a per mille of the whole, is put in by turns."""


@dataclass(frozen=True, slots=True)
class Cycle:
    """What hangs on the pump takes at cut-in, halfway and at cut-out, m³/s; the share of the time that the pump runs."""

    flow_at_cut_in: Array
    mean_flow: Array
    flow_at_cut_out: Array
    run_share: Array


def hunts(state: State, pump: int) -> Mask:
    """Return where a pump's outlet stands at its cut-out or above, so that the switch stops it; no relief valve opens before."""
    pressure, stops, lets_off = _bounds(state, pump)
    return np.asarray((pressure >= stops) & ~(lets_off < stops), np.bool_)


def relieved(state: State, pump: int) -> Mask:
    """Return where a pump's outlet stands at its relief or above, so that flow is let off; its switch does not stop it before."""
    pressure, stops, lets_off = _bounds(state, pump)
    return np.asarray((pressure >= lets_off) & (lets_off < stops), np.bool_)


def _bounds(state: State, pump: int) -> tuple[Array, Array, Array]:
    """Return the gauge pressure at a pump's outlet, and those at which its switch and its relief valve act; infinite for none."""
    element = state.plan.elements[pump]
    stated = [state.of(element, name) if hasattr(element.part, name) else None for name in ("cut_out", "relief")]
    stops, lets_off = (state.full(np.inf if each is None else each) for each in stated)
    return state.walk.gauge_pressure[:, state.outlet(pump)], stops, lets_off


def _flow_held(state: State, pump: int, cut: Cut, pressures: Array) -> Array:
    """Return the flow of the cut line with gauge pressures (k, n) held at the pump's outlet, shape (k, n)."""
    times = len(pressures)
    own = {address: np.tile(value, times) for address, value in cut.values.items()}
    values = {**values_for(state, cut.rig, times), **own}
    density = np.tile(state.full(state.conditions.density), times)
    area = np.tile(outlet_area(state, pump), times)
    flow = np.zeros(times * state.variants)
    for _ in range(_ROUNDS):
        pressure = pressures.ravel() + 0.5 * density * (flow / area) ** 2
        varied: dict[str, Any] = {**values, cut.pressure: pressure}
        flow = solve(cut.rig, None, varied).flow(cut.line)
    return flow.reshape(times, state.variants)


def given_at(state: State, pump: int, pressure: Array) -> Array:
    """Return what a pump delivers against a gauge pressure (n,) held at its outlet, m³/s, shape (n,)."""
    flow: Array = _flow_held(state, pump, before_pump(state, pump), pressure[None])[0]
    return flow


def taken_at(state: State, pump: int, pressure: Array) -> Array:
    """Return what hangs on a pump takes at a gauge pressure (n,) held at its outlet, m³/s, shape (n,); not in a circle."""
    flow: Array = np.maximum(_flow_held(state, pump, after_pump(state, pump), pressure[None])[0], 0.0)
    return flow


def cycling(state: State, pump: int) -> Cycle | None:
    """Return how a pump hunts between the two pressures of its switch.

    None where it states no cut-in, or where it pumps in a circle, so that a cut parts nothing.
    """
    element = state.plan.elements[pump]
    cut_in, cut_out = state.of(element, "cut_in"), state.of(element, "cut_out")
    if cut_in is None or cut_out is None or circles(state, pump):
        return None
    low, high = state.full(cut_in), state.full(cut_out)
    middle = 0.5 * (low + high)
    taken = np.maximum(_flow_held(state, pump, after_pump(state, pump), np.stack([low, middle, high])), 0.0)
    given = given_at(state, pump, middle)
    share = np.divide(taken[1], given, out=np.ones_like(given), where=given > 0.0)
    return Cycle(taken[0], taken[1], taken[2], np.clip(share, 0.0, 1.0))
