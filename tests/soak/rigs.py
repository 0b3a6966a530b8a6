"""Rigs for the long run: invented ones given batteries, wear, air and float valves, and varied over all that a rig can meet."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.errors import InputError
from hydrokit.network import build_plan
from hydrokit.parts import (
    Battery,
    DiaphragmPump,
    Filter,
    Fitting,
    FloatValve,
    FootValve,
    Hose,
    HoseTail,
    NonReturnValve,
    Outlet,
    PoweredPump,
    Source,
    Strainer,
    Tank,
)
from hydrokit.rig import Site, owners

if TYPE_CHECKING:
    from hydrokit.parts import Part
    from hydrokit.rig import Rig

    Random = np.random.Generator

__all__ = ["dressed", "levelled", "varied"]

ROUGHEST: Final = 0.05  # of a bore; the end of Moody's diagram
RANGES: Final[dict[type[Any], dict[str, tuple[float, float]]]] = {
    Site: {"water_temperature": (273.15, 333.15), "altitude": (0.0, 5000.0)},
    Hose: {"bore": (3e-3, 0.15), "length": (0.05, 300.0), "friction_multiplier": (0.5, 3.0)},
    HoseTail: {"bore": (3e-3, 0.15)},
    Fitting: {"bore": (3e-3, 0.15), "k": (0.0, 100.0)},
    FootValve: {"cracking_pressure": (0.0, 2e4)},
    NonReturnValve: {"cracking_pressure": (0.0, 2e4)},
    Strainer: {"blockage": (0.0, 0.99)},
    Filter: {"side_by_side": (1.0, 4.0)},
    Source: {"surface": (-20.0, 20.0)},
    Outlet: {"height": (-20.0, 20.0)},
    Tank: {"floor": (-20.0, 20.0), "depth": (1e-3, 20.0), "volume": (1e-6, 1e4)},
    DiaphragmPump: {"speed": (0.3, 1.5), "wear": (0.0, 1.0), "air": (0.0, 0.5)},
    Battery: {"charge": (0.0, 1.0), "inner_resistance": (0.0, 0.1)},
}
"""What is varied, evenly between the ends, or evenly in the logarithm where the low end is above 0."""

NEAREST: Final = (1e-15, 1e-9)
"""m; between which ends are apart where they are nearly level."""

_LOGARITHMIC: Final = {"bore", "length", "depth", "volume"}


def _wired(pump: PoweredPump, random: Random, batteries: list[str]) -> PoweredPump:
    """Return a pump on a battery, with a cable, and currents that rise with its load."""
    open_flow = pump.curve[-1][0]
    most = float(random.uniform(2.0, 12.0))
    shares = (1.0, 0.6) if pump.displacement else (0.5, 1.0)
    wiring: dict[str, Any] = {
        "battery": str(random.choice(batteries)),
        "cable_area": float(random.choice([1.5e-6, 2.5e-6, 6e-6])),
        "cable_length": float(random.uniform(0.5, 12.0)),
        "rated_voltage": 12.0,
    }
    if random.random() < 0.8:
        wiring["currents"] = tuple(
            (place * open_flow, share * most) for place, share in zip((0.0, 1.0), shares, strict=True)
        )
    elif random.random() < 0.5:
        wiring["efficiency"] = 0.4
    if random.random() < 0.3:
        wiring["winding_resistance"] = float(random.uniform(0.05, 0.3))
    if random.random() < 0.2:
        wiring["driver"] = "constant power"
    return replace(pump, **wiring)


def _aged(part: Part, random: Random, batteries: list[str], *, worn: bool) -> Part:
    if not isinstance(part, PoweredPump):
        return part
    if worn and random.random() < 0.6:
        part = replace(part, wear=float(random.uniform(0.0, 0.6)))  # type: ignore[call-arg]
    if random.random() < 0.3:
        part = replace(part, air=float(random.uniform(0.0, 0.4)))
    return _wired(part, random, batteries) if batteries and random.random() < 0.7 else part


def dressed(rig: Rig, random: Random) -> Rig:
    """Return a rig some of whose pumps are worn, draw air and run on one or two batteries, and some tanks have a float valve.

    As it was where that makes a pump's curve rise, which is refused.
    """
    batteries = {
        f"battery-{number}": Battery(
            nominal_voltage=12.0,
            full_voltage=13.0,
            empty_voltage=11.5,
            inner_resistance=float(random.uniform(0.0, 0.05)),
        )
        for number in range(1, int(random.integers(0, 3)) + 1)
    }
    lines, worn = {}, bool(random.random() < 0.5)
    for name, line in rig.lines.items():
        parts = tuple(_aged(part, random, [*batteries], worn=worn) for part in line.parts)
        if line.end in rig.tanks and random.random() < 0.3:
            valve = FloatValve(
                bore=0.02, kv=float(random.uniform(0.5, 5.0)) / 3600.0, band=float(random.uniform(0.02, 0.4))
            )
            parts = (*parts, valve)
        lines[name] = replace(line, parts=parts)
    made = replace(rig, lines=lines, batteries=batteries)
    try:
        build_plan(made)
    except InputError:
        return rig
    return made


def _drawn(name: str, limits: tuple[float, float], random: Random, count: int) -> Any:
    low, high = limits
    if name in _LOGARITHMIC:
        return np.exp(random.uniform(np.log(low), np.log(high), count))
    return random.uniform(low, high, count)


def varied(rig: Rig, random: Random, count: int, share: float = 0.5) -> dict[str, Any]:
    """Return a variation, shape (count,) each, of about a share of all that can vary; walls up to the roughest there are."""
    found: dict[str, Any] = {}
    for address, owner in owners(rig):
        for name, limits in RANGES.get(type(owner), {}).items():
            tight = name == "wear" and owner.wear == 0.0  # stays so: most pumps are
            if random.random() < share and not tight:
                found[f"{address}.{name}"] = _drawn(name, limits, random, count)
        if isinstance(owner, Hose) and owner.friction_factor is None and random.random() < share:
            bore = found.get(f"{address}.bore", owner.bore)
            found[f"{address}.roughness"] = bore * np.exp(random.uniform(np.log(1e-6), np.log(ROUGHEST), count))
        if isinstance(owner, Tank) and f"{address}.depth" in found and owner.level is not None:
            found[f"{address}.level"] = found[f"{address}.depth"] * random.uniform(0.0, 1.0, count)
    return found or {"site.water_temperature": random.uniform(273.15, 333.15, count)}


def levelled(rig: Rig, changes: dict[str, Any], random: Random) -> tuple[Rig, dict[str, Any]]:
    """Return a rig and a variation of it in which all open water is nearly level: what drives it hardly differs from rounding.

    In half of such rigs no joint asks for water, so that nothing else drives it but pumps.
    """
    count = len(next(iter(changes.values())))
    nearest, farthest = np.log(NEAREST)
    base = np.where(random.random(count) < 0.25, 0.0, random.uniform(-20.0, 20.0, count))
    apart = np.exp(random.uniform(nearest, farthest, count))

    def heights() -> Any:
        return base + apart * random.uniform(-1.0, 1.0, count)

    found = {f"sources.{name}.surface": heights() for name in rig.sources}
    found |= {f"outlets.{name}.height": heights() for name in rig.outlets}
    for name, tank in rig.tanks.items():
        level = changes.get(f"tanks.{name}.level", tank.level)
        if level is None:
            level = 0.5 * changes.get(f"tanks.{name}.depth", tank.depth)  # as is taken where none is stated
        found[f"tanks.{name}.floor"] = heights() - level
    if random.random() < 0.5:
        rig = replace(rig, joints={name: replace(joint, demand=0.0) for name, joint in rig.joints.items()})
    return rig, {**changes, **found}
