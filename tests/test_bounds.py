"""Field specifications, range checks and the collector of mistakes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
import pytest

from hydrokit.bounds import (
    Choice,
    Curve,
    Dimension,
    Flag,
    Mistakes,
    Spec,
    Text,
    check_fields,
    choices_of,
    nearest,
    nearest_few,
    pairs_of_numbers,
    require,
    specs_of,
)
from hydrokit.errors import InputError, NetworkError, RangeError

BORE = Spec(Dimension.LENGTH, "inside diameter", low=1e-4, high=10.0, example='"19 mm"')
PAIR = Curve(Spec(Dimension.FLOW, "flow", low=0.0), Spec(Dimension.PRESSURE_DROP, "drop"), "what it costs")
HUGE = int(1e300) ** 2  # larger than any float
ONE = Curve(PAIR.x, PAIR.y, "one pair", least=1, most=1)


@dataclass(frozen=True)
class Thing:
    bore: Annotated[float, BORE]
    length: Annotated[float | None, Spec(Dimension.LENGTH, "along it", low=0.0)] = None
    points: Annotated[Any, PAIR] = ((0.0, 1.0), (1.0, 2.0))
    end: Annotated[Any, ONE] = None
    colour: Annotated[Literal["red", "green"], Choice("of paint")] = "red"
    note: Annotated[str, Text("anything")] = ""
    treated: Annotated[bool, Flag("fit to drink")] = False

    def __post_init__(self) -> None:
        check_fields(self, "thing")


def places(error: InputError) -> list[str]:
    return [mistake.place for mistake in error.mistakes]


def test_specifications_stand_in_the_order_of_declaration() -> None:
    assert list(specs_of(Thing)) == ["bore", "length", "points", "end", "colour", "note", "treated"]
    assert specs_of(Thing)["bore"] is BORE


def test_the_words_of_a_choice_come_from_its_literal() -> None:
    assert choices_of(Thing, "colour") == ("red", "green")


@pytest.mark.parametrize("bore", [1e-4, 10.0, 1, np.float64(0.02), np.float32(0.5), np.int64(2)])
def test_a_number_within_its_limits_both_ends_included_is_taken(bore: Any) -> None:
    assert Thing(bore=bore).bore == bore


@pytest.mark.parametrize(
    "bore",
    [-0.019, 0.0, 10.1, math.nan, math.inf, -math.inf, HUGE, -HUGE, True, np.True_, None, "19 mm", [0.019], 1j],
    ids=lambda bore: f"{type(bore).__name__} {bore!r}"[:30],
)
def test_what_is_no_such_number_is_refused(bore: Any) -> None:
    with pytest.raises(RangeError) as caught:
        Thing(bore=bore)
    assert places(caught.value) == ["thing.bore"]


def test_a_field_may_be_left_out_only_where_that_is_its_default() -> None:
    assert Thing(bore=0.019, length=None).length is None
    with pytest.raises(RangeError) as caught:
        Thing(bore=0.019, points=None, note=None)  # type: ignore[arg-type]
    assert places(caught.value) == ["thing.points", "thing.note"]


@pytest.mark.parametrize("points", [3.0, "ab", [(1.0,)], [(1.0, 2.0, 3.0)], [1.0, 2.0]])
def test_a_curve_that_is_not_made_of_pairs_is_refused(points: Any) -> None:
    with pytest.raises(RangeError) as caught:
        Thing(bore=0.019, points=points)
    assert "pairs of numbers: what it costs" in str(caught.value)


def test_a_curve_needs_enough_points_and_good_numbers() -> None:
    with pytest.raises(RangeError) as caught:
        Thing(bore=0.019, points=((-1.0, math.nan),))
    told = str(caught.value)
    assert "found 1 point, expected at least 2 points: what it costs" in told
    assert "found -1 m^3/s, expected at least 0 m^3/s (flow)" in told
    assert "found nan Pa, expected a finite number (drop)" in told


def test_a_curve_may_have_a_greatest_number_of_points() -> None:
    with pytest.raises(RangeError, match="found 2 points, expected one pair: one pair"):
        Thing(bore=0.019, end=((0.0, 1.0), (1.0, 2.0)))


def test_a_curve_given_as_a_list_or_array_becomes_tuples() -> None:
    assert Thing(bore=0.019, points=[[0.0, 1.0], [1.0, 2.0]]).points == ((0.0, 1.0), (1.0, 2.0))
    assert Thing(bore=0.019, points=np.array([[0.0, 1.0], [1.0, 2.0]])).points == ((0.0, 1.0), (1.0, 2.0))


def test_a_wrong_word_is_told_with_the_nearest_right_one() -> None:
    with pytest.raises(RangeError, match="found 'gren', expected one of red, green; write green"):
        Thing(bore=0.019, colour="gren")  # type: ignore[arg-type]


def test_a_flag_is_true_or_false_and_a_note_is_text() -> None:
    with pytest.raises(RangeError) as caught:
        Thing(bore=0.019, treated="yes", note=3)  # type: ignore[arg-type]
    assert str(caught.value).splitlines() == [
        "thing.note: found 3, expected text: anything",
        "thing.treated: found 'yes', expected True or False: fit to drink",
    ]


def test_every_wrong_field_is_told_at_once() -> None:
    with pytest.raises(RangeError) as caught:
        Thing(bore=-1.0, length=-1.0, colour="blue")  # type: ignore[arg-type]
    assert places(caught.value) == ["thing.bore", "thing.length", "thing.colour"]
    assert str(caught.value).splitlines()[0] == (
        'thing.bore: found -1 m, expected 0.0001 to 10 m (inside diameter); write "19 mm"'
    )


@pytest.mark.parametrize("value", [0.0, 1.0, np.array([0.0, 0.5, 1.0]), np.array([])])
def test_require_lets_both_ends_pass(value: Any) -> None:
    require("share", value, 0.0, 1.0)


@pytest.mark.parametrize("value", [-0.1, 1.1, math.nan, math.inf, np.array([0.5, 1.1]), np.array([0.5, math.nan])])
def test_require_refuses_any_element_outside(value: Any) -> None:
    with pytest.raises(RangeError, match=r"share: found .*, expected 0 to 1"):
        require("share", value, 0.0, 1.0)


@pytest.mark.parametrize("value", ["19 mm", [1.0, "x"], {"a": 1}, HUGE], ids=lambda value: repr(value)[:20])
def test_require_turns_what_is_no_number_into_an_error_of_ours(value: Any) -> None:
    with pytest.raises(RangeError, match="expected a number, or an array of numbers"):
        require("bore", value, 0.0, 1.0)


@pytest.mark.parametrize(
    ("low", "high", "text"),
    [(0.0, math.inf, "at least 0 Pa"), (-math.inf, 5.0, "at most 5 Pa"), (-math.inf, math.inf, "a finite number")],
)
def test_limits_are_said_as_they_are(low: float, high: float, text: str) -> None:
    with pytest.raises(RangeError, match=f"expected {text}"):
        require("pressure", math.nan, low, high, "Pa")


@pytest.mark.parametrize("unit", ["", "1"])
def test_a_plain_number_is_said_without_a_unit(unit: str) -> None:
    with pytest.raises(RangeError) as caught:
        require("share", 1.1, 0.0, 1.0, unit)
    assert str(caught.value) == "share: found 1.1, expected 0 to 1"


def test_a_fraction_in_a_field_is_said_without_a_unit() -> None:
    @dataclass(frozen=True)
    class Part:
        share: Annotated[float, Spec(Dimension.FRACTION, "of it", low=0.0, high=1.0)]

    with pytest.raises(RangeError, match=r"share: found 2, expected 0 to 1 \(of it\)"):
        check_fields(Part(share=2.0))


@pytest.mark.parametrize(
    ("dimension", "unit"),
    [
        (Dimension.LENGTH, "m"),
        (Dimension.FLOW, "m^3/s"),
        (Dimension.GAUGE_PRESSURE, "Pa"),
        (Dimension.TEMPERATURE, "K"),
        (Dimension.RESISTANCE, "ohm"),
        (Dimension.NUMBER, "1"),
    ],
)
def test_si_units(dimension: Dimension, unit: str) -> None:
    """BIPM, The International System of Units, 9th edition 2019, tables 2 to 5."""
    assert dimension.si_unit == unit


def test_every_dimension_has_its_unit() -> None:
    assert all(dimension.si_unit for dimension in Dimension)


def test_the_collector_raises_once_with_everything_of_the_class_asked_for() -> None:
    mistakes = Mistakes()
    mistakes.settle()
    mistakes.add("a", "x", "y")
    mistakes.extend(InputError([*mistakes.found, *mistakes.found]))
    with pytest.raises(NetworkError) as caught:
        mistakes.settle(NetworkError)
    assert places(caught.value) == ["a", "a", "a"]


def test_the_nearest_word_is_found_whatever_its_case_and_none_where_none_is_close() -> None:
    assert nearest("Membran", ("sediment", "membrane")) == "membrane"
    assert nearest("xyz", ("sediment", "membrane")) == ""
    assert nearest("anything", []) == ""


@pytest.mark.parametrize(
    ("typed", "words", "found"),
    [
        ("frobnicate", ["front", "carbonate"], []),  # two letters in three in common, by chance
        ("strainer", ["drain"], []),
        ("pompe", ["pump", "lamp"], ["pump"]),
        ("lenght", ["length", "height"], ["length"]),
        ("pressure", ["bore", "pressure_rating", "pressure_drop"], ["pressure_drop", "pressure_rating"]),
    ],
)
def test_long_words_must_agree_in_more_letters_and_a_word_held_whole_is_close(
    typed: str, words: list[str], found: list[str]
) -> None:
    assert nearest_few(typed, words, 3) == found
    assert nearest(typed, words) == (found[0] if found else "")


@pytest.mark.parametrize("pair", [(0.0,), (0.0, 1.0, 2.0), 0.0, "ab", (0.0, None), ("0", "1"), (0.0, 1j), (True, 1.0)])
def test_what_is_no_pair_of_numbers_is_refused(pair: object) -> None:
    with pytest.raises(RangeError) as caught:
        pairs_of_numbers("points", [pair, (1.0, 2.0)])
    assert [(each.place, each.expected) for each in caught.value.mistakes] == [("points", "a pair of numbers")]


def test_pairs_pass_what_only_the_caller_can_judge() -> None:
    assert np.array_equal(
        pairs_of_numbers("points", [[0, math.nan], (1, 10**400)]), [[0.0, math.nan], [1.0, math.inf]], equal_nan=True
    )
    assert pairs_of_numbers("points", []).shape == (0, 2)
