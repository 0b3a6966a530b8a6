"""How long tanks take to fill, for studies of something else: times alone, of every variant at once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from hydrokit.bounds import Mistakes
from hydrokit.errors import InputError, SolverError
from hydrokit.network import build_plan
from hydrokit.studies.course.passed import metering_of
from hydrokit.studies.course.tanks import MONTH, Tanks, tanks_of
from hydrokit.studies.facts.usable import runs_full

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hydrokit.bounds import Array, Real
    from hydrokit.rig import Rig
    from hydrokit.rules import State
    from hydrokit.timeline import Course

__all__ = ["Fills", "fill_times", "fill_times_if_known", "fills_of", "tanks_to_fill"]


@dataclass(frozen=True, slots=True)
class Fills:
    """Fills of n variants: whether any tank is filled at all, how long they take, and what their pumps take.

    ``time`` (n,), s, is infinite where some tank never is full; ``energy`` (n,), J, NaN there and where it is not known;
    ``unknown`` says why.
    """

    wanted: bool
    time: Array
    energy: Array
    unknown: tuple[str, ...]


def tanks_to_fill(rig: Rig, mode: str | None, varied: Mapping[str, Real]) -> Tanks:
    """Return the tanks in the mode that was named, else in the first that fills one.

    Raises
    ------
    InputError
        If no mode fills a tank.
    """
    for name in rig.mode_names() if mode is None else (mode,):
        tanks = tanks_of(build_plan(rig, name, varied, levels_apart=True))
        if tanks.filled or mode is not None:
            return tanks
    mistakes = Mistakes()
    mistakes.add("modes", "none in which an open line leads to a tank", "a mode that fills a tank")
    raise InputError(mistakes.found)


def fill_times(rig: Rig, mode: str | None = None, variation: Mapping[str, Real] | None = None) -> Array:
    """Return how long all tanks take to fill in every variant, shape (n,), s; infinite where some never is full.

    Parameters
    ----------
    rig : Rig
        Its tanks start as in :func:`fill`.
    mode : str, optional
        Name of a mode; the first that fills a tank where none is named.
    variation : mapping of address to float or array, shape (n,), optional
        Values that stand in front of the rig's own, SI.

    Raises
    ------
    InputError
        If a mode or an address is unknown, a value is not possible, or no mode fills a tank.
    SolverError
        If the network does not settle, or tanks change to and fro without end.

    Examples
    --------
    >>> from hydrokit.files import demonstration
    >>> times = fill_times(demonstration(), variation={"sources.pond.surface": np.array([0.0, -0.5])})
    >>> (times / 60.0).tolist()
    [16.4, 16.6]
    """
    tanks = tanks_to_fill(rig, mode, variation or {})
    goal = tanks.full_volumes()
    return _last_full(goal, tanks.follow(goal, time_limit=MONTH))


def fills_of(rig: Rig, mode: str | None = None, variation: Mapping[str, Real] | None = None) -> Fills:
    """Return how long all tanks take to fill and what that takes, in every variant; as :func:`fill_times`.

    Raises
    ------
    InputError
        If a mode or an address is unknown, a value is not possible, or no mode fills a tank.
    SolverError
        If the network does not settle, or tanks change to and fro without end.
    """
    tanks = tanks_to_fill(rig, mode, variation or {})
    goal, metering = tanks.full_volumes(), metering_of(tanks.plan)
    course = tanks.follow(goal, time_limit=MONTH, meter=metering.meter)
    times = _last_full(goal, course)
    energy = course.metered[:, : len(metering.batteries)].sum(axis=1)
    known = np.isfinite(times) & (metering.meter is not None) & (not metering.unknown)
    return Fills(bool(np.isfinite(goal).any()), times, np.where(known, energy, np.nan), metering.unknown)


def _last_full(goal: Array, course: Course) -> Array:
    wanted = np.isfinite(goal)
    latest: Array = np.where(wanted, course.reached, -np.inf).max(axis=1, initial=-np.inf)
    return np.where(wanted.any(axis=1), latest, np.inf)


def fill_times_if_known(state: State, real: State, variation: Mapping[str, Any], unknown: dict[str, None]) -> Array:
    """Return how long all tanks take to fill, s, shape (n,).

    NaN where some never is full or none is filled; where suction or a switch holds the flow back, as tanks are
    followed with pumps that run on; and where the water does not stay whole.

    Parameters
    ----------
    state : State
        Of n variants, solved.
    real : State
        The same as far as suction and switches allow, :func:`hydrokit.studies.facts.usable.usable`.
    variation : mapping of address to float or array, shape (n,)
        What they were solved with.
    unknown : dict
        Where the filling does not settle, why is added to its keys, and all times are NaN: the steady answer stands.
    """
    times = np.full(state.variants, np.nan)
    free = runs_full(state, real)
    if not free.any():
        return times
    try:
        found = fill_times(state.rig, state.plan.mode, variation)
    except SolverError as error:
        unknown[f"the time to fill: {error}"] = None
        return times
    return np.where(free & np.isfinite(found), found, times)
