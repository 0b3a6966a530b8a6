"""Readings in words: what is read, where, and with what."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Protocol

from hydrokit.sheets.places import said

if TYPE_CHECKING:
    from hydrokit.bounds import Dimension
    from hydrokit.sheets.view import View

__all__ = ["SHUTTING", "reading_words", "value_words"]

SHUTTING: Final = (
    "A dead-head pressure is read with the pump's outlet shut for a few seconds only, and only where every part behind the"
    " pump is rated for it."
)


class _Read(Protocol):
    """Anything that says what is read, and where."""

    @property
    def kind(self) -> str: ...
    @property
    def at(self) -> str: ...
    @property
    def side(self) -> str: ...


_WORDS: Final = {
    "vacuum": "vacuum at the inlet of {at}",
    "dead_head": "pressure after {at}, shut",
    "volts": "volts at the motor of {at}",
    "battery_volts": "volts at the battery of {at}",
    "amps": "amps of {at}",
    "bubbles": "bubbles after {at}",
}


def reading_words(reading: _Read) -> str:
    """Return what is read and where."""
    if reading.kind == "flow":
        return f"flow into {reading.at}" if reading.at else "flow, all together"
    if reading.kind == "pressure":
        return said(f"pressure {reading.side} {reading.at}")
    return said(_WORDS[reading.kind].format(at=reading.at))


def value_words(reading: _Read, value: float | None, dimension: Dimension, view: View) -> str:
    """Return a value that is read; yes or no for what the eye sees, nothing where it is not known."""
    if value is None:
        return ""
    if reading.kind == "bubbles":
        return "yes" if value >= 0.5 else "no"
    return view.show(value, dimension)
