"""The sheet of ``fill``: how long, which tank first and what spills in sentences, then tanks, levels and litres."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from hydrokit.bounds import Dimension
from hydrokit.rules.naming import capital, tanks_named
from hydrokit.sheets.columns import column, percent
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
    from hydrokit.studies.filling import Fill, FilledTank

__all__ = ["lay_out"]

_DROP: Final = 1e-7
"""m³; less is not worth a word."""
_TRICKLE: Final = 1e-6
"""Share of the first flow; less is nothing, or rounding."""
_WHY: Final = {
    "nothing moves": "nothing moves any more",
    "time is up": "the time allowed is up",
    "first full": "the first is full, as asked",
}


def _wanted(answer: Fill) -> list[FilledTank]:
    return [tank for tank in answer.tanks if tank.to_be_filled or tank.full_after is not None]


def _how_long(answer: Fill, view: View) -> str:
    tanks = _wanted(answer)
    if not tanks:
        nothing = "No open line leads to a tank: nothing is filled."
        return f"{nothing} The rig runs dry, {_since(answer, view)}." if answer.ends == "runs dry" else nothing
    time = view.show(answer.full_after, Dimension.TIME)
    if answer.full_after == 0.0:
        return "Everything is full from the start."
    if answer.full_after is not None:
        return f"{_subject([tank.tank for tank in tanks])} full after {time}."
    return _how_short(answer, [tank.tank for tank in tanks if tank.full_after is None], view)


def _subject(names: list[str]) -> str:
    return f"{capital(tanks_named(names))} {'is' if len(names) == 1 else 'are'}"


def _how_short(answer: Fill, never: list[str], view: View) -> str:
    """Return the sentence that says why some tanks are not full."""
    after = view.show(answer.followed_for, Dimension.TIME)
    if answer.ends == "runs dry":
        return f"{_subject(never)} not full when the rig runs dry, {_since(answer, view)}."
    if answer.followed_for == 0.0:
        return f"{_subject(never)} never full: no water arrives."
    spills = " but what spills" if answer.ends == "nothing moves" and answer.spilled > _DROP else ""
    return f"{_subject(never)} not full after {after}, when {_WHY.get(answer.ends, answer.ends)}{spills}."


def _since(answer: Fill, view: View) -> str:
    """Return when a rig ran dry, and which joints lack water then."""
    after = f"after {view.show(answer.followed_for, Dimension.TIME)}" if answer.followed_for > 0.0 else "from the start"
    return f"{after}: {short_of(answer.lacking)}"


def _which_first(answer: Fill, view: View) -> str:
    if answer.first_full is None or answer.first_full_after == 0.0 or len(_wanted(answer)) == 1:
        return ""
    told = f"{_subject([answer.first_full])} full first, after {view.show(answer.first_full_after, Dimension.TIME)}"
    if answer.aboard_then is not None:
        told += f", with {view.show(answer.aboard_then, Dimension.VOLUME)} aboard in all"
    if answer.difference_then and answer.difference_then > _DROP:
        told += f" and {view.show(answer.difference_then, Dimension.VOLUME)} between the fullest tank and the emptiest"
    return told + "."


def _what_spills(answer: Fill, view: View) -> str:
    if answer.spilled <= _DROP:
        return "Nothing spills." if answer.full_after else ""
    spills = [tank.tank for tank in answer.tanks if tank.spilled > _DROP]
    verb = "runs" if len(spills) == 1 else "run"
    told = (
        f"{capital(tanks_named(spills))} {verb} over meanwhile: {view.show(answer.spilled, Dimension.VOLUME)} in all."
    )
    if answer.first_brim is not None and answer.first_brim_after is not None and answer.first_brim != answer.first_full:
        told = f"{_subject([answer.first_brim])} brim-full after {view.show(answer.first_brim_after, Dimension.TIME)}. {told}"
    return told


def _flows(answer: Fill, view: View) -> str:
    if answer.first_flow <= 0.0:
        return ""
    first, last = (view.show(flow, Dimension.FLOW) for flow in (answer.first_flow, answer.last_flow))
    if answer.last_flow <= _TRICKLE * answer.first_flow:
        last = "nothing"
    return f"{first} flows in all the time." if first == last else f"{first} flows in at first, {last} at the end."


def _energy(answer: Fill, view: View) -> str:
    if answer.energy is None or answer.energy <= 0.0:
        return ""
    told = f"That takes {view.show(answer.energy, Dimension.ENERGY)}"
    for battery in answer.batteries:
        if battery.charge is not None:
            told += f", {view.show(battery.charge, Dimension.CHARGE)} out of battery {battery.name}"
        if battery.charge is not None and battery.end_charge is not None:
            told += f", which leaves {_left(battery.end_charge)} in it"
        if battery.fills_per_charge is not None:
            told += f"; full, it is good for {battery.fills_per_charge:.3g} such fills"
        if battery.fills_per_day is not None and battery.fills_per_day > 0.0:
            told += f"; what comes in makes up for {battery.fills_per_day:.3g} a day"
    return told + "."


def _left(charge: float) -> str:
    return percent(charge) if charge > 0.0 else "nothing"


def _run_down(answer: Fill) -> str:
    """Return which batteries do not last, and at what charge they are to be left."""
    down = [each for each in answer.batteries if each.lasts is False]
    return " ".join(
        f"Battery {each.name} does not last: it starts at {percent(each.start_charge)} and ends at"
        f" {percent(each.end_charge or 0.0)}, where {percent(each.least_charge or 0.0)} must be left in it."
        for each in down
    )


def _lay_batteries(page: Page, answer: Fill) -> None:
    if not answer.batteries:
        return
    page.heading("Batteries")

    def share(value: float | None) -> str:
        return "not known" if value is None else percent(value)

    lasts = {True: "yes", False: "no", None: "not known"}
    page.table(
        ["", "charge at\nthe start", "charge at\nthe end", "to be left", "lasts"],
        [
            [each.name, share(each.start_charge), share(each.end_charge), share(each.least_charge), lasts[each.lasts]]
            for each in answer.batteries
        ],
    )
    if any(each.lasts is None for each in answer.batteries):
        page.say("State capacity and chemistry of a battery, and what its pumps draw, to know whether it lasts.")


def _lay_answer(page: Page, answer: Fill, view: View) -> None:
    page.say(f"{answer.title}, {answer.mode}", "heading")
    page.gap()
    sentences = [
        *held_back(answer, "how long it takes is", view), _how_long(answer, view), _which_first(answer, view), _what_spills(answer, view), _flows(answer, view),
        _energy(answer, view), _run_down(answer), *caveats(answer, view),
    ]  # fmt: skip
    page.say(" ".join(text for text in sentences if text))


def _lay_tanks(page: Page, answer: Fill, view: View) -> None:
    page.heading("Tanks")
    lay_held_back(page, answer)
    tanks = answer.tanks
    columns = [
        column("from", [tank.start_level for tank in tanks], Dimension.LENGTH, view.system),
        column("full after", [tank.full_after for tank in tanks], Dimension.TIME, view.system),
        column("brim after", [tank.brims_after for tank in tanks], Dimension.TIME, view.system),
        column("to", [tank.end_level for tank in tanks], Dimension.LENGTH, view.system),
        column("holds then", [tank.end_volume for tank in tanks], Dimension.VOLUME, view.system),
    ]
    if answer.spilled > _DROP:
        columns.append(column("spilled", [tank.spilled for tank in tanks], Dimension.VOLUME, view.system))
    shares = [percent(tank.share, 1) if len(_wanted(answer)) > 1 else "" for tank in tanks]
    page.columns(("", [tank.tank for tank in tanks]), *columns, ("share", shares))
    if any(shares):
        page.say("The share is that of all that had arrived when the first tank was full.")


def lay_out(answer: Fill, page: Page, view: View) -> None:
    """Write the whole sheet."""
    _lay_answer(page, answer, view)
    _lay_tanks(page, answer, view)
    curves = [(tank.tank, tank.levels, Dimension.LENGTH) for tank in answer.tanks if len(set(tank.levels)) > 1]
    if answer.weights is not None:
        curves += [
            (f"on {answer.weights.front}", answer.weights.front_loads, Dimension.MASS),
            (f"on {answer.weights.rear}", answer.weights.rear_loads, Dimension.MASS),
        ]
    lay_curves(page, answer.times, curves, view)
    lay_passed(page, answer.lines, answer.filters, view)
    _lay_batteries(page, answer)
    lay_findings(page, answer, view)
    lay_trust(page, answer.trust, answer.surroundings, view)
    lay_closing(page, answer, view)
    lay_cautions(page, answer.kinds)
