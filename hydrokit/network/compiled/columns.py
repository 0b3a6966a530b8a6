"""Where each number stands in the arrays of the compiled search.

The first axis of every array is the variant, unless it belongs to one variant alone. Arrays are passed one by one, because
compiled code that takes them bundled counts references all the time.

Shapes, with L lines, P hoses, U running pumps, J joints, K currents stated and S pieces of a curve: lines (n, L, 11), hoses
(n, P, 4), pumps (n, U, 6), currents of motors (n, U, K + 1, 3), curves (U, S, 6), pump_index (U, 2), demand (n, J), scale
(n, 3) the head and the flow that count at least, and the largest stated head; ends (L, 2) the joints at start and end of each line, stores (L,) whether
it stands for what a tank takes in; of one variant: work (9, L), sides (4, L), heads (3, J), matrix (J, J), told (4,).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final, TypeVar

from numba import njit

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = [
    "AHEAD",
    "BACKWARD",
    "BASE",
    "BEGINS",
    "CONDUCTANCE",
    "CONSTANT",
    "CRACKING",
    "DISPLACEMENT",
    "DRIVE",
    "ENERGY",
    "ERROR",
    "FACTOR",
    "FIRST",
    "FIXED",
    "FLOW",
    "FLOW_SCALE",
    "FORWARD",
    "FREED",
    "HEAD",
    "HEAD_SCALE",
    "HIGH",
    "HIGHEST",
    "KNOT",
    "LEAST_FLOW",
    "LINEAR",
    "LOOP",
    "LOSS",
    "LOW",
    "MASS",
    "MOVING",
    "NOMINAL",
    "NOMINAL_LOSS",
    "NOMINAL_SLOPE",
    "ORIGIN",
    "PER_FLOW",
    "PER_GROUP",
    "PULL",
    "PUMP_LINE",
    "RATED",
    "REST",
    "RISE",
    "ROTODYNAMIC",
    "ROUGH",
    "SECOND",
    "SHIFT",
    "SIDE",
    "SIZE",
    "SLOPE",
    "SPAN",
    "SUPPLY",
    "THIRD",
    "TRIAL",
    "TRIAL_LOSS",
    "TRIAL_SIDE",
    "TRIAL_SLOPE",
    "WAY",
    "WINDING",
    "inlined",
    "kept",
    "shared",
]

Function = TypeVar("Function", bound="Callable[..., Any]")

# Columns of lines: bounds, fixed head at the start less that at the end, losses; the flow to begin with and the law there,
# its slope NaN where it is not known.
LOW, HIGH, FIXED, LINEAR, FORWARD, BACKWARD, CRACKING, REST, NOMINAL, NOMINAL_LOSS, NOMINAL_SLOPE = range(11)
# Columns of hoses; FACTOR is NaN where the friction factor is to be computed.
PER_FLOW, ROUGH, PER_GROUP, FACTOR = range(4)
# Columns of pumps, of the currents of their motors, and of the pieces of their curves.
HEAD_SCALE, FLOW_SCALE, SUPPLY, LOOP, WINDING, RATED = range(6)
KNOT, BASE, RISE = range(3)
CONSTANT, FIRST, SECOND, THIRD, ORIGIN, BEGINS = range(6)
# Columns of pump_index; DRIVE is one of the words after it, or 0.
PUMP_LINE, DRIVE = range(2)
ROTODYNAMIC, DISPLACEMENT = 1, 2
# Rows of work: where the search stands, and what it tries.
FLOW, LOSS, SLOPE, ERROR, TRIAL, TRIAL_LOSS, TRIAL_SLOPE, CONDUCTANCE, WAY = range(9)
# Rows of sides: at which bound a line is held (-1, 1), or would be; whether it can move at all; how often it was let go.
SIDE, TRIAL_SIDE, MOVING, FREED = range(4)

# Rows of heads: at the joints, by how much they are to change, where they are then.
HEAD, SHIFT, AHEAD = range(3)
# Columns of scale, and of what is told about where the search stands.
SPAN, LEAST_FLOW, HIGHEST = range(3)
SIZE, ENERGY, MASS, PULL = range(4)

_OPTIONS: Final[dict[str, Any]] = {"error_model": "numpy", "nogil": True}


def inlined(function: Function) -> Function:
    """Compile a function into whatever calls it."""
    made: Function = njit(forceinline=True, **_OPTIONS)(function)
    return made


def shared(function: Function) -> Function:
    """Compile a function once for all that call it."""
    made: Function = njit(**_OPTIONS)(function)
    return made


def kept(function: Function) -> Function:
    """Compile a function and keep it on disk for later processes, unless nothing may be written there."""
    made: Function
    try:
        made = njit(cache=True, **_OPTIONS)(function)
    except RuntimeError:  # neither beside the code nor among the user's own files
        made = njit(**_OPTIONS)(function)
    return made
