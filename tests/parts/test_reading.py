from __future__ import annotations

import datetime
import re

import pytest

from hydrokit.bounds import Curve, Dimension, Spec, specs_of
from hydrokit.errors import InputError
from hydrokit.parts import (
    END_KINDS,
    PART_KINDS,
    Battery,
    CentrifugalPump,
    DiaphragmPump,
    Filter,
    Hose,
    Outlet,
    Source,
    Strainer,
    Tank,
    read_part,
)
from hydrokit.parts.describing import described
from hydrokit.parts.reading import plain, read_field, read_number, read_text, required, told
from hydrokit.rig import ASIDE, SINGLES, Site
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


EVERY_KIND = (*PART_KINDS.values(), *END_KINDS.values(), *ASIDE.values(), *SINGLES.values())


def test_limits_have_no_exponents_and_no_numbers_that_nobody_meets() -> None:
    limits = {(cls, each.name): each.limits for cls in EVERY_KIND for each in described(cls)}
    assert [told for told in limits.values() if re.search(r"\de[-+]\d", told)] == []
    assert limits[PART_KINDS["coupler"], "kv"] == "more than 0 Kv"
    assert limits[Tank, "volume"] == "more than 0 L"
    assert limits[PART_KINDS["valve"], "closing_time"] == "at least 0 s"
    assert limits[PART_KINDS["lamp"], "age"] == "0 h to 1000000 h"
    assert limits[Hose, "bore"] == "0.1 mm to 10 m"


@pytest.mark.parametrize(
    ("cls", "name", "raw", "expected"),
    [
        (Hose, "length", "20000 km", "at most 1000000 m"),
        (Tank, "volume", "-60 L", "more than 0 L"),
        (Tank, "volume", "0.000001 mL", "at least 0.001 mL"),
        (Hose, "bore", "20 m", "0.1 mm to 10 m"),
        (Battery, "capacity", "0 Ah", "more than 0 Ah, at most 277800 Ah"),
    ],
)
def test_the_limit_that_is_passed_is_told(cls: type, name: str, raw: str, expected: str) -> None:
    with pytest.raises(InputError) as caught:
        read_field(cls, name, raw)
    (mistake,) = caught.value.mistakes
    assert mistake.expected.startswith(f"{expected} (")


@pytest.mark.parametrize("cls", EVERY_KIND)
def test_every_example_is_a_value_that_is_taken(cls: type) -> None:
    for name, spec in specs_of(cls).items():
        for each in (spec.x, spec.y) if isinstance(spec, Curve) else (spec,):
            if isinstance(each, Spec) and each.example:
                read_number(each, each.example.strip('"'))
            else:
                assert not isinstance(each, Spec) or not isinstance(spec, Curve), (cls, name)


def test_the_example_of_npsh_is_one_of_a_small_pump() -> None:
    example = next(each.example for each in described(CentrifugalPump) if each.name == "npsh_required")
    assert example == '[["8 L/min", "2.5 m"]]'


@pytest.mark.parametrize(
    ("cls", "name", "raw", "instead"),
    [
        (Outlet, "height", 2, '"2 m", or with another unit'),
        (Outlet, "height", 1.5, '"1.5 m", or with another unit'),
        (Hose, "bore", 19, '"19 mm", or with another unit'),
        (Hose, "bore", 0.019, '"0.019 m", or with another unit'),  # as many mm no hose has
        (Hose, "bore", "3/4", '"3/4 in", or with another unit'),
        (Hose, "bore", "19 ± 1", '"19 ± 1 mm", or with another unit'),
        (Hose, "length", "4-6", '"5 ± 1 m"'),
        (Hose, "length", "6,5", '"6.5 m"'),
        (Hose, "length", "1,500", '"1500 m" or "1.500 m", whichever is meant'),
        (Hose, "length", -6, '"6 m"'),  # with no unit is that a length
        (Hose, "length", [6, "m"], '"6 m"'),
        (Hose, "vacuum_rating", 0.8, '"0.8 bar vacuum", or with another unit'),
        (Site, "water_temperature", 9, '"9 °C", or with another unit'),
        (Site, "turbidity", 6, '"6 NTU"'),  # there is but one unit
        (Site, "air_pressure", 95, '"95 kPa absolute", or with another unit'),
        (Filter, "loading", 250, '"50 %"'),
        (Filter, "loading", 35, '"35 %"'),
        (Battery, "capacity", 75, '"75 Ah", or with another unit'),
        (CentrifugalPump, "cable_area", 2.5, '"2.5 mm²", or with another unit'),
        (CentrifugalPump, "npsh_required", [[8, "2.5 m"]], '"8 L/min", or with another unit'),
        (CentrifugalPump, "npsh_required", [["8 L/min", "2 to 3"]], '"2.5 m"'),  # points take no ±
        (CentrifugalPump, "npsh_required", [["8 L/min ± 1", "2 m"]], '"8 L/min"'),
        (Hose, "length", "6 m ± 1", '"6 m ± 1 m"'),
        (Hose, "length", 1e-3, '"0.001 m", or with another unit'),
    ],
)
def test_a_number_without_its_unit_is_advised_with_the_number_that_was_found(
    cls: type, name: str, raw: object, instead: str
) -> None:
    with pytest.raises(InputError) as caught:
        read_field(cls, name, raw)
    assert [mistake.instead for mistake in caught.value.mistakes] == [instead]


def test_what_is_advised_for_a_bare_number_can_be_read_in_every_dimension() -> None:
    seen = set()
    for spec in (each for cls in EVERY_KIND for each in specs_of(cls).values()):
        if not isinstance(spec, Spec) or spec.dimension in {Dimension.NUMBER, Dimension.FRACTION}:
            continue
        with pytest.raises(InputError) as caught:
            read_number(spec, 1)
        advised = re.match(r'"([^"]+)"', caught.value.mistakes[0].instead)
        assert advised is not None, spec
        read_number(spec, advised[1])
        seen.add(spec.dimension)
    assert len(seen) > 20


def test_a_class_that_is_no_part_is_refused() -> None:
    with pytest.raises(InputError, match="kind: found the class int, expected a part, such as Hose"):
        read_part(int, x="3")
