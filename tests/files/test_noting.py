"""Mistakes of one file: where each stands, what it is called, and that all are told."""

from __future__ import annotations

import pytest

from hydrokit.errors import InputError, Mistake
from hydrokit.files.noting import LONGEST_ADDRESS, Notes, joined

TEXT = 'format = 1\r\n[lines.intake]\r\nparts = [\r\n  { part = "hose", bore = "2 kg" },\r\n]\r\n'
WRONG = Mistake("", "'2 kg'", "a length")


def test_a_mistake_is_called_by_its_route_and_stands_at_its_line() -> None:
    notes = Notes(TEXT)
    notes.note(WRONG, "lines", "intake", "parts", 0, "bore")
    assert [(each.place, each.line) for each in notes.mistakes] == [("lines.intake.parts.bore", 4)]


def test_an_address_stands_in_place_of_the_route() -> None:
    notes = Notes(TEXT)
    notes.note(WRONG, "lines", "intake", "parts", 0, "bore", address="lines.intake.hose-1.bore")
    assert notes.mistakes[0].place == "lines.intake.hose-1.bore"


def test_a_mistake_with_a_place_of_its_own_goes_on_from_there() -> None:
    notes = Notes(TEXT)
    notes.note(Mistake("parts", "1", "a list"), "lines", "intake")
    assert [(each.place, each.line) for each in notes.mistakes] == [("lines.intake.parts", 3)]


def test_all_are_raised_in_the_order_of_the_file_and_none_is_no_error() -> None:
    notes = Notes(TEXT)
    notes.settle()
    notes.note(WRONG, "lines", "intake", "parts")
    notes.note(WRONG, "format")
    with pytest.raises(InputError) as caught:
        notes.settle()
    assert [each.line for each in caught.value.mistakes] == [1, 3]


def test_what_cannot_be_printed_or_is_endless_is_shown_in_short() -> None:
    assert joined("lines", "", "a\x1bb") == "lines.a\\x1bb"
    assert len(joined("x" * (LONGEST_ADDRESS + 1))) < LONGEST_ADDRESS
