from __future__ import annotations

import datetime
import re

import pytest

from hydrokit.errors import InputError
from hydrokit.parts import PART_KINDS, Battery, DiaphragmPump, Filter, Hose, Source, Strainer, Tank, read_part
from hydrokit.parts.describing import described
from hydrokit.parts.reading import plain, read_field, read_text, required, told
from hydrokit.rig import Site
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


def test_a_part_is_made_by_its_kind_or_its_class() -> None:
    made = read_part("hose", length="20 ft", bore="3/4 in")
    assert made == read_part(Hose, length="20 ft", bore="3/4 in") == Hose(length=6.096, bore=0.01905)
    assert read_part(Tank, volume="60 L", depth="350 mm", floor="1.2 m") == Tank(volume=0.06, depth=0.35, floor=1.2)


@pytest.mark.parametrize("pair", [list, tuple])
def test_points_are_lists_or_tuples_of_texts(pair: type) -> None:
    points = pair([pair(["15 L/min", "0 bar"]), pair(["9 L/min", "40 psi"])])
    pump = read_part("diaphragm pump", points=points)
    assert isinstance(pump, DiaphragmPump)
    assert pump.points == (
        (0.00025, 0.0),
        (0.00015, pytest.approx(275_790.29, abs=0.01)),
    )  # NIST SP 811: 1 psi = 6894.757 Pa


def test_everything_wrong_with_a_part_is_told_at_once() -> None:
    with pytest.raises(InputError) as caught:
        read_part("hose", bore=0.019, lenth="6 m", roughness="-1 mm", height="1 m")
    assert [mistake.place for mistake in caught.value.mistakes] == [
        "hose.bore", "hose.lenth", "hose.roughness", "hose.height", "hose.length",
    ]  # fmt: skip
    assert "a number without a unit" in str(caught.value)


def test_a_part_holds_no_tolerance() -> None:
    with pytest.raises(InputError, match=r"hose.length: found a tolerance in '6 ± 1 m', expected a value without ±"):
        read_part("hose", length="6 ± 1 m", bore="19 mm")


def test_an_unknown_kind_names_the_nearest() -> None:
    with pytest.raises(InputError, match="write diaphragm pump"):
        read_part("diafragm pump", points=[])


@pytest.mark.parametrize(
    ("cls", "name", "raw"),
    [
        (Site, "water_temperature", "20 °C ± 200 °C"),
        (Site, "water_temperature", "2 ± 3 °C"),
        (Hose, "bore", "19 ± 20 mm"),
        (Tank, "depth", "0.4 m ± 110 %"),
    ],
)
def test_a_tolerance_that_reaches_beyond_what_can_be_is_refused(cls: type, name: str, raw: str) -> None:
    with pytest.raises(InputError) as caught:
        read_field(cls, name, raw)
    (mistake,) = caught.value.mistakes
    assert mistake.found == repr(raw)
    assert "its ± included" in mistake.expected


@pytest.mark.parametrize(
    ("cls", "name", "raw"),
    [
        (Site, "water_temperature", "5 ± 5 °C"),
        (Site, "water_temperature", "41 ± 9 °F"),
        (Source, "surface", "0 ± 0.3 m"),
        (Filter, "loading", "50 ± 50 %"),
        (Filter, "loading", "0.9 ± 0.1"),
    ],
)
def test_a_tolerance_may_reach_the_limits(cls: type, name: str, raw: str) -> None:
    assert read_field(cls, name, raw).tolerance > 0.0


def test_limits_have_no_more_digits_than_one_reads() -> None:
    for kind in (*PART_KINDS.values(), Battery, Site):
        for each in described(kind):
            for number in re.findall(r"\d+\.\d+(?! °C)(?![\d.]* °C)", each.limits):
                assert len(number.replace(".", "").strip("0")) <= 4, each
