"""The moment at which most flows: filters and pumps new, batteries full, water high and warm. What barriers are rated for is judged then.

A rig is stated as it is on some day; what a barrier is rated for must hold at the worst moment of any day that its
tolerances allow. Delivery is judged as stated; only ratings are judged here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from hydrokit.network import solve
from hydrokit.rig import values_of
from hydrokit.rules.state import State, made_once

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["at_highest_flow", "at_highest_flow_in"]

_AS_NEW: Final = {"loading": 0.0, "blockage": 0.0, "wear": 0.0, "air": 0.0, "charge": 1.0}
"""Conditions of parts, and the values at which most flows."""
_RISES: Final = ("surface", "water_temperature")
"""Values whose tolerance counts upwards."""


def _kept(state: State, mode: str) -> dict[str, Any]:
    """Return the values that a state varies, with those of another mode in place of its own."""
    own, other = state.mode.values, state.rig.mode(mode)[1].values
    varied = {
        address: value
        for address, value in state.plan.values.changed.items()
        if address not in own or value is not own[address]
    }
    return {**other, **varied}


def _raised(state: State, kept: Mapping[str, Any]) -> dict[str, Any]:
    """Return what differs at the moment of the highest flow from the values of a mode."""
    found: dict[str, Any] = {}
    for address, stated in values_of(state.rig).items():
        name = address.rpartition(".")[2]
        value = kept.get(address, stated)
        if name in _AS_NEW and not (isinstance(value, float) and value == _AS_NEW[name]):
            found[address] = _AS_NEW[name]
        elif name in _RISES and (width := state.rig.tolerances.get(address, 0.0)):
            found[address] = value + width
    return found


@made_once
def at_highest_flow(state: State) -> State:
    """Return a state's own mode at the moment of the highest flow; itself where it was solved for that moment."""
    return at_highest_flow_in(state, state.plan.mode)


def at_highest_flow_in(state: State, mode: str) -> State:
    """Return a mode of a state's rig at the moment of the highest flow, in every variant of the state."""
    kept = _kept(state, mode)
    raised = _raised(state, kept)
    if not raised and mode == state.plan.mode:
        return state
    variation = {**kept, **raised}
    return State(solve(state.rig, mode, {address: state.full(value) for address, value in variation.items()}))
