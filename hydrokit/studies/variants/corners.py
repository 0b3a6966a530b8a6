"""The conditions that a rig meets, and every corner between their extremes as one variation."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.network.ends import brim_depth
from hydrokit.parts import Filter, Source, Tank
from hydrokit.rules.supply import usable_share
from hydrokit.water import air_pressure

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from hydrokit.bounds import Array
    from hydrokit.rules import State

__all__ = ["Condition", "Corners", "Met", "Ranges", "conditions_met", "corners_of"]

_LEVEL: Final = 0.5
"""m either way; where no tolerance of the level is stated. Our own choice, listed as assumed."""
_TEMPERATURE: Final = 5.0
"""K either way; where no tolerance of the temperature is stated. Our own choice, listed as assumed."""
_NEARLY_EMPTY: Final = 0.1
"""Share of what stands above a tank's outlet, or of a battery's usable charge, that is left when it is called lowest. Our own choice, listed as assumed."""
_COLDEST, _WARMEST = 273.15, 372.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranges:
    """What was asked for, SI; None where the rig's tolerances are to serve.

    ``levels`` are metres below and above the level as stated, ``loadings`` shares of a filter's life, ``charges`` of a
    battery's charge.
    """

    loadings: tuple[float, ...] = (0.0, 0.5, 1.0)
    temperatures: tuple[float, float] | None = None
    levels: tuple[float, float] | None = None
    altitudes: tuple[float, float] | None = None
    charges: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Condition:
    """One thing that varies: a word for it, a word for each of its settings, and the values that each sets."""

    name: str
    words: tuple[str, ...]
    settings: tuple[Mapping[str, float], ...]


@dataclass(frozen=True, slots=True)
class Met:
    """The conditions that a rig meets, what was assumed of them, and what is not varied and why."""

    conditions: tuple[Condition, ...]
    assumed: tuple[str | Phrase, ...]
    not_varied: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Corners:
    """Every combination of settings: the place of each setting (n, conditions), and the values, shape (n,)."""

    places: tuple[tuple[int, ...], ...]
    values: Mapping[str, Array]

    def between(self, one: int, other: int, shares: Array) -> dict[str, Array]:
        """Return values on the straight way from one corner to another."""
        return {name: each[one] + shares * (each[other] - each[one]) for name, each in self.values.items()}

    def steps(self, one: int) -> Array:
        """Return how many steps of settings every corner lies from one, shape (n,)."""
        places = np.array(self.places, np.float64).reshape(len(self.places), -1)
        return np.asarray(np.abs(places - places[one]).sum(axis=1), np.float64)


def _plain(value: Any) -> float:
    return float(np.ravel(np.asarray(value, np.float64))[0])


def _word_of_loading(loading: float) -> str:
    return {0.0: "new", 0.5: "half", 1.0: "worn"}.get(loading, f"{100.0 * loading:.0f} % loaded")


def _filters(state: State, ranges: Ranges) -> Iterator[Condition | str]:
    loaded = []
    for _, element in state.elements(Filter):
        if getattr(element.part, "end_drop", None) is None:
            yield f"{element.address} is as it stands: its end_drop is not stated"
        else:
            loaded.append(f"{element.address}.loading")
    if loaded:
        yield Condition(
            "filters",
            tuple(_word_of_loading(each) for each in ranges.loadings),
            tuple(dict.fromkeys(loaded, each) for each in ranges.loadings),
        )


def _site(state: State, name: str) -> Any:
    return state.plan.values.of("site", state.rig.site, name)


def _temperatures(state: State, ranges: Ranges, assumed: list[str | Phrase]) -> Condition | str:
    if all(_site(state, name) is not None for name in ("density", "viscosity", "vapour_pressure")):
        return "water temperature: the liquid is stated by its properties"
    span = ranges.temperatures
    if span is None:
        now, stated = _plain(_site(state, "water_temperature")), state.rig.tolerances.get("site.water_temperature")
        if stated is None:
            up_to = (_TEMPERATURE, Dimension.TEMPERATURE_DIFFERENCE)
            assumed.append(phrase("the water is up to {half} colder or warmer than stated", half=up_to))
        half = _TEMPERATURE if stated is None else stated
        span = max(now - half, _COLDEST), min(now + half, _WARMEST)
    return Condition(
        "water temperature", ("coldest", "warmest"), tuple({"site.water_temperature": each} for each in span)
    )


def _altitudes(state: State, ranges: Ranges) -> Condition | str:
    span, now = ranges.altitudes, _plain(_site(state, "altitude"))
    stated = state.rig.tolerances.get("site.altitude")
    if span is None and stated:
        span = max(now - stated, -500.0), min(now + stated, 9000.0)
    if span is None:
        return "altitude: as stated, no range was asked for"
    measured = _site(state, "air_pressure") is not None
    return Condition(
        "altitude",
        ("lowest", "highest"),
        tuple(
            {"site.altitude": each} | ({"site.air_pressure": float(air_pressure(each))} if measured else {})
            for each in span
        ),
    )


def _batteries(state: State, ranges: Ranges, assumed: list[str | Phrase]) -> Condition | str | None:
    """Return the charge of the batteries from which running pumps draw; None where there are none."""
    drives = state.pumps.drives if state.plan.pumps is not None else ()
    names = dict.fromkeys(name for drive in drives for name in drive.batteries)
    falling: dict[str, tuple[float, float]] = {}
    for name in names:
        battery, usable = state.rig.batteries[name], usable_share(state, name)
        if battery.voltage_when_empty < battery.voltage_when_full:
            low, high = ranges.charges or (0.0 if usable is None else 1.0 - (1.0 - _NEARLY_EMPTY) * _plain(usable), 1.0)
            falling[f"batteries.{name}.charge"] = (high, low)
            if usable is None and ranges.charges is None:
                assumed.append(f"batteries.{name} may be drawn empty")
            elif ranges.charges is None:
                assumed.append(f"batteries.{name} is between full and a tenth of its usable share above what must stay")
    if not names:
        return None
    if not falling:
        return "battery: its voltage when full and when empty is not stated"
    return Condition(
        "battery", ("full", "low"), tuple({place: pair[at] for place, pair in falling.items()} for at in (0, 1))
    )


def _drawn_from(state: State) -> dict[str, Source | Tank]:
    """Return the open water from which open lines start, else the tanks: a tank that water fills also feeds others."""
    ends, found = state.rig.ends(), {}
    for shut, line in zip(state.closed, state.rig.lines.values(), strict=True):
        end = ends[line.start]
        if not shut and isinstance(end, (Source, Tank)):
            found[line.start] = end
    open_water: dict[str, Source | Tank] = {name: end for name, end in found.items() if isinstance(end, Source)}
    return open_water or found


def _source_levels(
    state: State, name: str, end: Source, ranges: Ranges, assumed: list[str | Phrase]
) -> tuple[str, list[float]]:
    address = f"sources.{name}.surface"
    now = _plain(state.plan.values.of(f"sources.{name}", end, "surface"))
    half = state.rig.tolerances.get(address)
    if ranges.levels is None and half is None:
        told = f"the water of sources.{name} stands up to {{half}} lower or higher than stated"
        assumed.append(phrase(told, half=(_LEVEL, Dimension.LENGTH)))
    half = _LEVEL if half is None else half
    low, high = (-half, half) if ranges.levels is None else ranges.levels
    return address, [now + low, now + high]


def _tank_levels(
    state: State, name: str, end: Tank, ranges: Ranges, assumed: list[str | Phrase]
) -> tuple[str, list[float]]:
    place, address = f"tanks.{name}", f"tanks.{name}.level"
    floor, level, outlet = (state.plan.values.of(place, end, field) for field in ("floor", "level", "outlet_height"))
    full = _plain(brim_depth(state.rig, name, state.plan.values))
    now = 0.5 * full if level is None else _plain(level)
    half = state.rig.tolerances.get(address)
    if ranges.levels is not None or half is not None:
        low, high = ranges.levels or (-float(half or 0.0), float(half or 0.0))
        return address, [min(max(now + low, 0.0), full), min(max(now + high, 0.0), full)]
    bare = 0.0 if outlet is None else _plain(outlet) - _plain(floor)
    assumed.append(f"{place} is between full and a tenth full above its outlet")
    return address, [bare + _NEARLY_EMPTY * (full - bare), full]


def _levels(state: State, ranges: Ranges, assumed: list[str | Phrase]) -> Condition | str:
    settings: list[dict[str, float]] = [{}, {}]
    for name, end in _drawn_from(state).items():
        if isinstance(end, Source):
            address, pair = _source_levels(state, name, end, ranges, assumed)
        else:
            address, pair = _tank_levels(state, name, end, ranges, assumed)
        for setting, value in zip(settings, pair, strict=True):
            setting[address] = value
    if not settings[0]:
        return "level: no open line starts at open water or a tank"
    return Condition("level", ("lowest", "highest"), tuple(settings))


def conditions_met(state: State, ranges: Ranges) -> Met:
    """Return the conditions that a rig meets in one mode.

    Parameters
    ----------
    state : State
        Of the rig as it stands.
    ranges : Ranges
    """
    assumed: list[str | Phrase] = []
    told: Sequence[Condition | str | None] = [
        *_filters(state, ranges),
        _temperatures(state, ranges, assumed),
        _levels(state, ranges, assumed),
        _altitudes(state, ranges),
        _batteries(state, ranges, assumed),
    ]
    return Met(
        tuple(each for each in told if isinstance(each, Condition)),
        tuple(assumed),
        tuple(each for each in told if isinstance(each, str)),
    )


def corners_of(conditions: tuple[Condition, ...]) -> Corners:
    """Return every corner between the settings of some conditions."""
    places = tuple(product(*(range(len(condition.settings)) for condition in conditions)))
    values: dict[str, list[float]] = {}
    for chosen in places:
        for condition, place in zip(conditions, chosen, strict=True):
            for address, value in condition.settings[place].items():
                values.setdefault(address, []).append(value)
    return Corners(places, {address: np.array(each) for address, each in values.items()})
