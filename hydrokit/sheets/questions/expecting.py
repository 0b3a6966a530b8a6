"""The sheet of readings to take: what to expect of the rig as stated, with blanks to fill in."""

from __future__ import annotations

from math import floor, log10
from typing import TYPE_CHECKING, Final

from hydrokit.rig import GAUGES
from hydrokit.sheets.questions.bench import SHUTTING, reading_words, value_words
from hydrokit.sheets.trust import lay_cautions, lay_trust

if TYPE_CHECKING:
    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View
    from hydrokit.studies.expecting import ExpectedReading, ReadingsToTake

__all__ = ["lay_out"]

_BLANK: Final = "________"


def _expected(reading: ExpectedReading, view: View) -> str:
    """Return what is expected, no finer than a tenth of how far the gauge may be off."""
    if reading.kind == "bubbles" or not reading.value or not reading.spread:
        return value_words(reading, reading.value, reading.dimension, view)
    known = floor(log10(abs(reading.value) / reading.spread)) + 2
    return view.show(reading.value, reading.dimension, digits=min(max(known, 1), 3))


def _spread(reading: ExpectedReading, view: View) -> str:
    return "" if reading.kind == "bubbles" else view.width(reading.spread, reading.value, reading.dimension, digits=2)


def _item(reading: ExpectedReading) -> str:
    where = f', {reading.side or "at"} = "{reading.at}"' if reading.at else ""
    value = "false" if reading.kind == "bubbles" else '""'
    return f"  {{ {reading.kind} = {value}{where} }},"


def lay_out(answer: ReadingsToTake, page: Page, view: View) -> None:
    """Write the whole sheet."""
    page.say(f"{answer.title}, {answer.mode}: readings to take", "heading")
    page.gap()
    page.say("Run the rig in this mode until it is steady, hoses full, and fill in what you can.")
    if answer.hunts:
        page.say("Its switch stops the pump again and again: read means.")
    page.table(
        ["reading", "expect", "±", "read", "± if known"],
        [
            [
                reading_words(reading),
                _expected(reading, view),
                _spread(reading, view),
                _BLANK,
                _BLANK,
            ]
            for reading in answer.readings
        ],
    )
    page.points(
        f"{GAUGES[kind].name}: {GAUGES[kind].doc}" for kind in dict.fromkeys(each.kind for each in answer.readings)
    )
    if any(reading.kind == "dead_head" for reading in answer.readings):
        page.say(SHUTTING)
    page.heading("The same as a file, for --readings")
    page.say("Fill in values with their units, and leave out the lines of what was not read.")
    page.gap()
    lines = ["format = 1", f'mode = "{answer.mode}"', "readings = [", *map(_item, answer.readings), "]"]
    for line in lines:
        page.verbatim(line)
    lay_trust(page, answer.trust, answer.surroundings, view)
    lay_cautions(page, answer.kinds)
