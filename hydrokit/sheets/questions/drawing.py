"""The sheet of ``draw``: what comes out of the tap and how long it lasts, then tanks, flow against time and litres."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from hydrokit.bounds import Dimension
from hydrokit.rules.naming import capital, listed, tanks_named
from hydrokit.sheets.columns import column
from hydrokit.sheets.findings import lay_findings
from hydrokit.sheets.questions.tanked import (
    caveats,
    held_back,
    lay_closing,
    lay_curves,
    lay_held_back,
    lay_passed,
    short_of,
)
from hydrokit.sheets.trust import lay_cautions, lay_trust

if TYPE_CHECKING:
    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View
    from hydrokit.studies.drawing import Draw

__all__ = ["lay_out"]

_DROP: Final = 1e-7
"""m³; less is not worth a word."""
_WHY: Final = {"nothing moves": "nothing moves any more", "time is up": "the time allowed is up"}


def _comes_out(answer: Draw, view: View) -> str:
    if not answer.outlets or answer.first_flow <= 0.0:
        return "Nothing comes out of any outlet."
    first, last = (view.show(flow, Dimension.FLOW) for flow in (answer.first_flow, answer.last_flow))
    where = listed([outlet.outlet for outlet in answer.outlets])
    if first == last:
        return f"{first} comes out of {where} all the time."
    return f"{first} comes out of {where} at first, {last} at the last."


def _how_long(answer: Draw, view: View) -> str:
    if answer.ends == "runs dry":
        if answer.followed_for == 0.0:
            return f"It is dry from the start: {short_of(answer.lacking)}."
        return f"It runs dry after {view.show(answer.followed_for, Dimension.TIME)}: {short_of(answer.lacking)}."
    drawn = [tank.tank for tank in answer.tanks if tank.drawn_from]
    if not drawn:
        return "No tank gives any water."
    if answer.empty_after is None:
        after = view.show(answer.followed_for, Dimension.TIME)
        left = tanks_named([tank.tank for tank in answer.tanks if tank.drawn_from and tank.empty_after is None])
        return f"After {after} {_WHY.get(answer.ends, answer.ends)}, and there is still water to be drawn in {left}."
    time = view.show(answer.empty_after, Dimension.TIME)
    told = f"Drawn without a pause it lasts {time}"
    if len(drawn) == 1 or answer.first_empty is None or answer.first_empty_after is None:
        return f"{told}."
    first, tank = view.show(answer.first_empty_after, Dimension.TIME), capital(tanks_named([answer.first_empty]))
    return (
        f"{told}. {tank} is empty first, after {first}; from then on air can come in through its outlet"
        " unless its valve is shut."
    )


def _usable(answer: Draw, view: View) -> str:
    if answer.usable <= 0.0:
        return ""
    told = f"{view.show(answer.usable, Dimension.VOLUME)} stands above the outlets and can be drawn"
    if answer.days is None or answer.use is None:
        return f"{told}."
    days = f"{answer.days / 86_400.0:.3g}"
    daily = view.show(answer.use * 86_400.0, Dimension.VOLUME)
    return f"{told}; at {daily} a day that is water for {days} {'day' if days == '1' else 'days'}."


def _spilled(answer: Draw, view: View) -> str:
    if answer.spilled <= _DROP:
        return ""
    return f"{view.show(answer.spilled, Dimension.VOLUME)} runs over the brim of a lower tank and is lost."


def _energy(answer: Draw, view: View) -> str:
    if answer.energy is None or answer.energy <= 0.0:
        return ""
    return f"Pumping takes {view.show(answer.energy, Dimension.ENERGY)}."


def _lay_answer(page: Page, answer: Draw, view: View) -> None:
    page.say(f"{answer.title}, {answer.mode}", "heading")
    page.gap()
    chosen = f"The default mode draws from no tank; {answer.mode} is the first that does." if answer.mode_chosen else ""
    sentences = [
        *held_back(answer, "what comes out and how long it lasts are", view), _comes_out(answer, view), _how_long(answer, view), _usable(answer, view), _spilled(answer, view), _energy(answer, view), chosen,
        *caveats(answer, view),
    ]  # fmt: skip
    page.say(" ".join(text for text in sentences if text))


def _lay_tanks(page: Page, answer: Draw, view: View) -> None:
    page.heading("Tanks")
    lay_held_back(page, answer)
    tanks = answer.tanks
    page.columns(
        ("", [tank.tank for tank in tanks]),
        column("from", [tank.start_level for tank in tanks], Dimension.LENGTH, view.system),
        column("outlet at", [tank.outlet_level for tank in tanks], Dimension.LENGTH, view.system),
        column("usable", [tank.usable for tank in tanks], Dimension.VOLUME, view.system),
        column("empty after", [tank.empty_after for tank in tanks], Dimension.TIME, view.system),
        column("left", [tank.end_volume for tank in tanks], Dimension.VOLUME, view.system),
    )


def lay_out(answer: Draw, page: Page, view: View) -> None:
    """Write the whole sheet."""
    _lay_answer(page, answer, view)
    _lay_tanks(page, answer, view)
    curves = [(tank.tank, tank.levels, Dimension.LENGTH) for tank in answer.tanks if len(set(tank.levels)) > 1]
    flows = [(outlet.outlet, outlet.flows, Dimension.FLOW) for outlet in answer.outlets]
    lay_curves(page, answer.times, [*curves, *flows], view)
    lay_passed(page, answer.lines, answer.filters, view)
    lay_findings(page, answer, view)
    lay_trust(page, answer.trust, answer.surroundings, view)
    lay_closing(page, answer, view)
    lay_cautions(page, answer.kinds)
