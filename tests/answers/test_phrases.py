"""Sentences with quantities in them, said in any system of units."""

from __future__ import annotations

import pickle

import pytest

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.errors import RangeError

LIFT = phrase("It stands {lift} up at {flow}.", lift=(2.0, Dimension.LENGTH), flow=(8.0 / 60e3, Dimension.FLOW))


@pytest.mark.parametrize(
    ("system", "text"),
    [  # 2 m is 6.56 ft; 8 L/min is 2.11 US and 1.76 imperial gallons a minute
        ("metric", "It stands 2 m up at 8 L/min."),
        ("US", "It stands 6.56 ft up at 2.11 US gpm."),
        ("imperial", "It stands 6.56 ft up at 1.76 imperial gpm."),
    ],
)
def test_one_sentence_in_three_systems(system: str, text: str) -> None:
    assert LIFT.said(system) == text


def test_text_is_metric_unless_asked_otherwise() -> None:
    assert str(LIFT) == LIFT.said("metric")


def test_two_values_that_differ_do_not_look_the_same() -> None:
    told = phrase("{up} up, it draws {to}.", up=(1.524, Dimension.LENGTH), to=(1.5232, Dimension.LENGTH))
    assert told.said() == "1.524 m up, it draws 1.523 m."
    assert told.said("US") == "5 ft up, it draws 4.997 ft."


def test_two_values_that_are_the_same_or_of_two_kinds_keep_their_digits() -> None:
    same = phrase("{one} and {other}", one=(1.0, Dimension.LENGTH), other=(1.0 + 1e-12, Dimension.LENGTH))
    assert same.said() == "1 m and 1 m"
    near = phrase("{one} and {other}", one=(1.0, Dimension.LENGTH), other=(1.0 + 1e-7, Dimension.LENGTH))
    assert near.said() == "1 m and 1 m"
    kinds = phrase("{share} of {volume}", share=(1.0, Dimension.FRACTION), volume=(1.0004, Dimension.VOLUME))
    assert kinds.said() == "100 % of 1000 L"


def test_a_sentence_without_quantities_is_itself() -> None:
    assert phrase("Fit a foot valve.").said("US") == "Fit a foot valve."


def test_only_an_empty_sentence_is_false() -> None:
    assert phrase("x")
    assert not phrase("")


def test_what_is_not_known_cannot_be_said() -> None:
    with pytest.raises(RangeError):
        phrase("{lift}", lift=(float("nan"), Dimension.LENGTH)).said()


def test_sentences_compare_by_value_hash_and_survive_pickling() -> None:
    again = pickle.loads(pickle.dumps(LIFT))
    assert again == LIFT
    assert hash(again) == hash(LIFT)
    assert Phrase(LIFT.text, ()) != LIFT
