"""The walk along each line: head, pressures, velocity and Reynolds number at every stop."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, Final

from hydrokit.bounds import Dimension
from hydrokit.rules.naming import listed
from hydrokit.sheets.columns import column

if TYPE_CHECKING:
    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View
    from hydrokit.studies.facts.stops import Stop

__all__ = ["WALK", "lay_walk"]

WALK: Final = "walk"
"""Name of this section."""


def lay_walk(page: Page, stops: tuple[Stop, ...], view: View) -> None:
    """Write one table for each line that carries water; the pressures are those in the moving water."""
    page.heading("The walk along the lines")
    still = []
    for line, group in groupby(stops, key=lambda stop: stop.line):
        own = list(group)
        if not any(stop.velocity for stop in own):
            still.append(line)
            continue
        page.say(f"Line {line}")
        page.columns(
            ("after", [stop.after for stop in own]),
            column("height", [stop.height for stop in own], Dimension.LENGTH, view.system),
            column("head", [stop.head for stop in own], Dimension.LENGTH, view.system),
            column("gauge", [stop.gauge_pressure for stop in own], Dimension.GAUGE_PRESSURE, view.system),
            column("pressure", [stop.absolute_pressure for stop in own], Dimension.ABSOLUTE_PRESSURE, view.system),
            column("speed", [stop.velocity for stop in own], Dimension.VELOCITY, view.system),
            ("Reynolds", [view.show(stop.reynolds, Dimension.NUMBER) for stop in own]),
        )
        page.gap()
    if still:
        page.say(f"Nothing flows in {'line' if len(still) == 1 else 'lines'} {listed(still)}.")
