from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hydrokit import check
from hydrokit.parts import DiaphragmPump, Elbow, Filter, Hose, HoseTail, Outlet, Source, Valve
from hydrokit.rig import Line, Rig
from hydrokit.sheets.schematic import rig_drawing

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.parts import Part

LPM = 1.0 / 60_000.0


def line_of_parts(count: int, low: float = 0.0, high: float = 1.0, name: str = "") -> Rig:
    """Return an invented rig of one line of so many parts, one of them a pump, from one height to another."""

    def made(place: int) -> Part:
        own = f"{name}{place}" if name else ""
        if place == min(1, count - 1):
            return DiaphragmPump(name="pump", points=((0.0, 4e5), (11 * LPM, 0.0)))
        kinds = [
            Hose(name=own, bore=0.019, length=2.0), HoseTail(name=own, bore=0.015), Valve(name=own, bore=0.019),
            Elbow(name=own, bore=0.019), Filter(name=own, points=((5 * LPM, 4e3), (15 * LPM, 18e3))),
        ]  # fmt: skip
        return kinds[place % len(kinds)]

    return Rig(
        title=f"{count} parts",
        sources={"pond": Source(surface=low)},
        outlets={"tap": Outlet(height=high)},
        lines={"only": Line(start="pond", end="tap", parts=tuple(made(place) for place in range(count)))},
    )


@pytest.fixture(scope="session")
def single() -> Callable[..., Rig]:
    """Return the function that makes a rig of one line."""
    return line_of_parts


@pytest.fixture(scope="session")
def drawn() -> Callable[..., str]:
    """Return the function that draws a rig as it is checked."""

    def draw(rig: Rig, system: str = "metric", mode: str | None = None) -> str:
        return rig_drawing(rig, check(rig, mode), system=system)

    return draw
