from __future__ import annotations

import datetime

import pytest

from hydrokit.errors import InputError
from hydrokit.parts import Hose, Source, Strainer, Tank
from hydrokit.parts.reading import plain, read_field, read_text, required, told
from hydrokit.units import Measured


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (True, "true"),
        ("x" * 100, f"'{'x' * 60}…'"),
        ({"a": 1}, "a table"),
        ([1, 2], "a list of 2"),
        (10**400, "a very large whole number"),
        (-3, "-3"),
        (1.5, "1.5"),
        (datetime.date(2024, 5, 1), "2024-05-01"),
    ],
)
def test_what_was_read_is_told_in_few_words(raw: object, words: str) -> None:
    assert told(raw) == words


@pytest.mark.parametrize(
    ("cls", "name", "raw", "value"),
    [
        (Hose, "bore", "3/4 in", Measured(0.01905)),
        (Hose, "length", "6 ± 1 m", Measured(6.0, 1.0)),
        (Hose, "friction_multiplier", 2, Measured(2.0)),
        (Strainer, "blockage", "30 %", Measured(0.3)),
        (Hose, "material", "copper", "copper"),
        (Source, "treated", True, True),
        (Tank, "note", "9 °C\n", "9 °C\n"),
    ],
)
def test_fields_are_read_by_their_specification(cls: type, name: str, raw: object, value: object) -> None:
    assert read_field(cls, name, raw) == value


@pytest.mark.parametrize("raw", [10**400, float("nan"), float("inf"), True, None, [], {}, "1e999", -1.0])
def test_numbers_that_are_none_are_refused(raw: object) -> None:
    with pytest.raises(InputError):
        read_field(Hose, "friction_multiplier", raw)


@pytest.mark.parametrize("letter", ["\x00", "\x1b", "\x7f", "\u202e", "\u200b", "\ud800"])
def test_control_characters_are_refused(letter: str) -> None:
    with pytest.raises(InputError, match=r"control character U\+"):
        read_text(f"a{letter}b")


def test_limits_are_told_in_units_of_the_trade() -> None:
    with pytest.raises(InputError, match=r"found '20 m', expected 0\.1 mm to 10 m \(measured inside diameter"):
        read_field(Hose, "bore", "20 m")


def test_tolerances_are_left_beside_the_part() -> None:
    assert plain({"bore": Measured(0.019, 0.001), "material": "copper"}) == {"bore": 0.019, "material": "copper"}


def test_required_fields_are_those_without_a_default() -> None:
    assert required(Hose) == ("length", "bore")
