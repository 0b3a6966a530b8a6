"""The surge when a tap, valve or float valve shuts: what stopping the water adds to the pressure before it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension, specs_of
from hydrokit.laws.surge import closing_rise, instant_rise, return_time, wall_wave_speed, wave_speed
from hydrokit.parts import FloatValve, Hose, PoweredPump, Valve
from hydrokit.rules.highest import at_highest_flow
from hydrokit.rules.naming import capital
from hydrokit.rules.rule import Measure, Missing, Rule, margin_below
from hydrokit.water import water

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.laws.surge import Wall
    from hydrokit.network import Element
    from hydrokit.rules.rule import Mask
    from hydrokit.rules.state import State

__all__ = ["SURGE", "Stopped", "hose_wave_speed", "stopped_by"]

_GAUGE, _TIME = Dimension.GAUGE_PRESSURE, Dimension.TIME

_LONGEST: Final = 1e5
"""s; a float valve behind which a tank fills more slowly shuts without any surge."""

_WALLS: Final[dict[str, Wall]] = {"copper": "metal", "stainless steel": "metal", "galvanised steel": "metal"}
"""Kind of wall by material; all others are soft plastic."""


@dataclass(frozen=True, slots=True)
class Stopped:
    """The water that a valve stops: what it adds at once, and in the time that it takes to shut, Pa, shape (n,).

    ``before`` is the gauge pressure in the hose before the valve, ``velocity`` that of its water, m/s, ``back`` the time for the wave to open water or a vessel and back, s;
    ``paths`` are the elements before the valve that feel it, each with the variants in which they do; ``slow`` is ``at_once`` where the time is not stated.
    """

    paths: tuple[tuple[Mask, tuple[int, ...]], ...]
    before: Array
    velocity: Array
    at_once: Array
    slow: Array
    back: Array


def hose_wave_speed(state: State, element: Element) -> Any:
    """Return the speed of a pressure wave in a hose: as stated, else by its wall, else as is usual for its material, m/s."""
    part = element.part
    assert isinstance(part, Hose)
    stated, wall, modulus = (state.of(element, name) for name in ("wave_speed", "wall", "wall_modulus"))
    if stated is not None:
        return stated
    if wall is None or modulus is None:
        return wall_wave_speed(_WALLS.get(part.material, "soft plastic"))
    stiffness = water(state.plan.values.of("site", state.rig.site, "water_temperature")).bulk_modulus
    assert stiffness is not None  # of another liquid nobody states it: that of water at its temperature stands in
    return wave_speed(
        bulk_modulus=stiffness,
        density=state.conditions.density,
        bore=state.of(element, "bore"),
        wall=wall,
        wall_modulus=modulus,
    )


def _feeders(state: State, joint: str, seen: frozenset[int], rows: Mask) -> Iterator[tuple[int, bool, Mask]]:
    """Yield each open line that brings most water to a joint in some variants, whether it does so forward, and in which."""
    brings: list[Array] = []
    found: list[tuple[int, bool]] = []
    for number, line in enumerate(state.rig.lines.values()):
        if number not in seen and not state.closed[number] and joint in {line.start, line.end}:
            forward = line.end == joint
            brings.append(state.solution.flows.flow[:, number] * (1.0 if forward else -1.0))
            found.append((number, forward))
    if not found:
        return
    most, best = np.max(brings, axis=0), np.argmax(brings, axis=0)
    for place, (number, forward) in enumerate(found):
        chosen = rows & (best == place) & (most > 0.0)
        if chosen.any():
            yield number, forward, chosen


def _calms(state: State, index: int) -> Mask:
    """Return in which variants an element is a pump with a vessel for water."""
    element = state.plan.elements[index]
    vessel = state.of(element, "accumulator") if isinstance(element.part, PoweredPump) else None
    return state.full(0.0 if vessel is None else vessel) > 0.0


def _paths(state: State, line: int, before: list[int]) -> Iterator[tuple[Mask, tuple[int, ...]]]:
    """Yield the elements against the flow from a place in a line to open water or a vessel, the nearest first.

    Which they are differs from one variant to another where other lines bring most of the water, or the vessel is another:
    each way comes with the variants in which it is taken.
    """
    lines = [*state.rig.lines.values()]
    every = np.ones(state.variants, np.bool_)
    waiting = [(every, tuple[int, ...](), before[::-1], lines[line].start, frozenset({line}))]
    while waiting:
        rows, path, run, end, seen = waiting.pop()
        for index in run:
            calm = rows & _calms(state, index)
            if calm.any():
                yield calm, path
                rows = rows & ~calm
            path = (*path, index)
        if end in state.plan.layout.joints:
            for number, forward, chosen in _feeders(state, end, seen, rows):
                own = state.own[number][::-1] if forward else state.own[number]
                beyond = lines[number].start if forward else lines[number].end
                waiting.append((chosen, path, own, beyond, seen | {number}))
                rows = rows & ~chosen
        if rows.any():
            yield rows, path


def stopped_by(state: State, line: int, at: int, closing_time: Any) -> Stopped | None:
    """Return what is stopped by shutting a line at one of its elements; None where no hose lies before it.

    Parameters
    ----------
    state : State
    line : int
    at : int
        Place of the element among those of the line.
    closing_time : float, array, or None
        None where it is not stated. [s]
    """
    stopped = [
        one
        for rows, path in _paths(state, line, state.own[line][:at])
        if (one := _stopped(state, line, rows, path, closing_time)) is not None
    ]
    if not stopped:
        return None
    merged = {name: np.zeros(state.variants) for name in ("before", "velocity", "at_once", "slow", "back")}
    for one in stopped:
        ((rows, _),) = one.paths
        merged = {name: np.where(rows, getattr(one, name), values) for name, values in merged.items()}
    return Stopped(tuple(path for one in stopped for path in one.paths), **merged)


def _stopped(state: State, line: int, rows: Mask, path: tuple[int, ...], closing_time: Any) -> Stopped | None:
    """Return what is stopped in some variants, whose water comes along one path; None where no hose lies on it."""
    found = [index for index in path if isinstance(state.plan.elements[index].part, Hose)]
    if not found:
        return None
    hoses = [state.plan.elements[index] for index in found]
    flow = np.maximum(state.solution.flows.flow[:, line], 0.0)
    area = np.pi / 4.0 * np.asarray(hoses[0].bore, np.float64) ** 2
    velocity = np.asarray(flow / area, np.float64)
    # water in a wider hose moves more slowly: as long as it would be in the bore of the first
    alike: Any = sum(np.asarray(each.length) * area / (np.pi / 4.0 * np.asarray(each.bore) ** 2) for each in hoses)
    speed = hose_wave_speed(state, hoses[0])
    water = {"density": state.conditions.density, "wave_speed": speed, "velocity_change": velocity}
    at_once = state.full(instant_rise(**water))
    slow = at_once if closing_time is None else closing_rise(**water, length=alike, closing_time=closing_time)
    back: Any = sum(
        np.asarray(return_time(length=each.length, wave_speed=hose_wave_speed(state, each))) for each in hoses
    )
    pressure, backward = state.walk.gauge_pressure, state.flow_at(found[0]) < 0.0
    before = np.nan_to_num(np.where(backward, pressure[:, state.inlet(found[0])], pressure[:, state.outlet(found[0])]))
    return Stopped(((rows, path),), before, velocity, at_once, state.full(slow), state.full(back))


def _closers(state: State) -> Iterator[tuple[str, int, int, Any]]:
    """Yield address, line, place in it and closing time of all that can be shut while water runs through it."""
    for index, element in state.elements(Valve):
        line = state.line_at(index)
        yield element.address, line, state.own[line].index(index), state.of(element, "closing_time")
    for index, element in state.elements(FloatValve):
        line = state.line_at(index)
        yield element.address, line, state.own[line].index(index), _rise_time(state, index, element)
    for number, drawn in enumerate(state.rig.lines.values()):
        outlet = state.rig.outlets.get(drawn.end)
        if outlet is None or state.closed[number]:
            continue
        time = state.plan.values.of(f"outlets.{drawn.end}", outlet, "closing_time")
        if time is not None:
            yield f"outlets.{drawn.end}", number, len(state.own[number]) - 1, time


def _rise_time(state: State, index: int, element: Element) -> Array:
    """Return the least time in which water rises through the band of a float valve, s; its inflow falls meanwhile."""
    name = [*state.rig.lines.values()][state.line_at(index)].end
    volume, depth = (
        state.plan.values.of(f"tanks.{name}", state.rig.tanks[name], field) for field in ("volume", "depth")
    )
    rises: Any = state.of(element, "band") * np.asarray(volume) / depth
    flow = np.maximum(state.flow_at(index), 0.0)
    time: Array = np.divide(rises, flow, out=np.full(flow.shape, np.inf), where=flow > 0.0)
    return np.minimum(time, _LONGEST)


def _weakest(state: State, stopped: Stopped, line: int, at: int) -> tuple[Array, list[str]]:
    """Return the lowest rating of the parts that feel a surge in each variant, Pa, and whose it is; NaN where none states one."""
    limit, whose = np.full(state.variants, np.nan), [""] * state.variants
    for rows, path in stopped.paths:
        for index in (state.own[line][at], *path):
            element = state.plan.elements[index]
            if element.part is None or "pressure_rating" not in specs_of(type(element.part)):
                continue
            rating = state.of(element, "pressure_rating")
            if rating is None:
                continue
            lower = rows & ~(state.full(rating) >= limit)
            limit = np.where(lower, rating, limit)
            for row in np.flatnonzero(lower).tolist():
                whose[row] = element.address
    return limit, whose


def _word(
    state: State, place: str, stopped: Stopped, weakest: tuple[Array, list[str]], time: Any, row: int
) -> tuple[Phrase, Phrase]:
    limit, parts = weakest
    stated = time is not None
    said = {
        "speed": (stopped.velocity[row], Dimension.VELOCITY),
        "before": (stopped.before[row], _GAUGE),
        "sudden": (stopped.at_once[row], _GAUGE),
        "slow": (stopped.slow[row], _GAUGE),
        "back": (stopped.back[row], _TIME),
        "limit": (limit[row], _GAUGE),
    }
    first = (
        f"Shutting {state.named(place)} stops {{speed}} of water: it adds {{sudden}} to the {{before}} before it if shut"
        " within {back}"
    )
    if stated:
        said["time"] = (float(state.full(time)[row]), _TIME)
        first = f"{first}, about {{slow}} in the {{time}} it takes"
    else:
        first = f"{first}, less if more slowly"
    reason = phrase(f"{first}; {state.named(parts[row])} is rated for {{limit}}.", **said)
    if stopped.before[row] + stopped.slow[row] <= limit[row]:
        return reason, phrase("")
    if not stated:
        return reason, phrase(f"State the closing_time of {state.named(place)}, from wide open to shut.")
    return reason, phrase(
        f"Take a {_slower(state, place)} that shuts more slowly, a wider hose before it, or an accumulator."
    )


def _slower(state: State, place: str) -> str:
    if place.startswith("outlets."):
        return "tap"
    floats = any(isinstance(element.part, FloatValve) for element in state.plan.elements if element.address == place)
    return "float valve" if floats else "valve"


def _surges(state: State) -> Iterator[Measure | Missing]:
    most = at_highest_flow(state)
    for place, line, at, time in _closers(most):
        stopped = stopped_by(most, line, at, time)
        if stopped is None:
            continue
        weakest = _weakest(most, stopped, line, at)
        runs, unrated = stopped.velocity > 0.0, np.isnan(weakest[0])
        if unrated.any():
            yield Missing(
                place=place,
                needed="a pressure_rating",
                applies=runs & unrated,
                reason=f"{capital(state.named(place))} stops the water when it is shut, and no part before it states what"
                " pressure it is rated for.",
                advice="State the pressure_rating of the valve and of the hose before it.",
            )
        if unrated.all():
            continue
        peak = stopped.before + stopped.slow
        margin = margin_below(peak, weakest[0])
        if time is None:  # shut more slowly it may yet hold
            margin = np.where(margin < 0.0, np.nan, margin)
        yield Measure(
            place=place,
            value=peak,
            limit=weakest[0],
            margin=margin,
            word=partial(_word, most, place, stopped, weakest, time),
            applies=runs & ~unrated,
        )


SURGE: Final = Rule(
    name="surge when shut",
    doc="What shutting a tap, a valve or a float valve adds to the pressure before it stays within the ratings of all parts up to open"
    " water or an accumulator, at the highest flow; in the time stated, that in which water rises through a float valve's"
    " band, else as if shut at once.",
    formula="pressure before + rise <= pressure_rating; rise = ρ a v if shut within 2 L / a, else 2 L ρ v /"
    " closing_time; a is the wave speed, L the way to open water or an accumulator; a float valve's closing_time is band x"
    " area of the tank / flow",
    dimension=_GAUGE,
    source="Joukowsky; slow closing by Michaud's rule (Daugherty and Franzini, sec. 13); wave speed as stated, by the wall"
    " (Korteweg), else 300 m/s in plastic and rubber, 1300 in metal: common practice, no source",
    measure=_surges,
    needs=("pressure_rating of the parts before it", "closing_time of the valve or outlet"),
)
