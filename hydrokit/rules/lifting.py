"""How high a pump could stand above its water and still keep a limit: found by solving the rig again at other heights."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.network import solve
from hydrokit.rules.drawing import pump_height, static_lift
from hydrokit.rules.state import State

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.bounds import Array

    Margin = Callable[[State, int], Array]

__all__ = ["greatest_lift", "lowered", "to_be_safe"]

_CENTIMETRE: Final = 0.01
_HEIGHTS: Final = 17
_ROUNDS: Final = 4
"""Each round looks at 17 heights between two: after four the height is known to a 65,536th of the lift."""


def to_be_safe(height: float) -> float:
    """Return a height rounded down to the centimetre, so that what is said still holds.

    Examples
    --------
    >>> to_be_safe(2.418), to_be_safe(-0.001)
    (2.41, -0.01)
    """
    return math.floor(height / _CENTIMETRE) * _CENTIMETRE


def greatest_lift(state: State, pump: int, margin: Margin, row: int) -> float | None:
    """Return the greatest height of a pump above its water, m, up to its own, at which a margin is not below 0.

    Only the pump moves; hoses keep their lengths. None where the limit is not kept even level with the water.

    Parameters
    ----------
    state : State
    pump : int
        Its element index.
    margin : function of a state and a pump
        Of the limit, shape (n,); taken to fall as the pump rises.
    row : int
        The variant.
    """
    lift = static_lift(state, pump)
    if lift is None or lift[row] <= 0.0:
        return None
    address = state.plan.elements[pump].address
    water = float(pump_height(state, pump)[row] - lift[row])
    fixed = {key: float(np.ravel(value)[row % np.size(value)]) for key, value in state.plan.values.changed.items()}
    low, high = 0.0, float(lift[row])
    for _ in range(_ROUNDS):
        lifts = np.linspace(low, high, _HEIGHTS)
        varied: dict[str, Any] = {**fixed, f"{address}.height": water + lifts}
        moved = State(solve(state.rig, state.plan.mode, varied))
        kept = margin(moved, _running_at(moved, address)) >= 0.0
        if not kept[0]:
            return None
        last = int(np.flatnonzero(kept).max())
        if last == _HEIGHTS - 1:
            return high
        low, high = float(lifts[last]), float(lifts[last + 1])
    return low


def lowered(state: State, pump: int, margin: Margin, otherwise: str, row: int) -> Phrase:
    """Return the advice to lower a pump as far as a limit asks for, or to do something else."""
    height = greatest_lift(state, pump, margin, row)
    if height is None:
        return phrase(f"Lowering the pump to the water would not be enough: {otherwise}.")
    return phrase(
        f"Lower {state.named(state.plan.elements[pump].address)} to {{height}} above the water, no more, or {otherwise}.",
        height=(to_be_safe(height), Dimension.LENGTH),
    )


def _running_at(state: State, address: str) -> int:
    """Return the index of the pump at an address; one variant alone may have fewer changes of bore before it."""
    return next(index for index in state.running if state.plan.elements[index].address == address)
