"""The error tree: what is caught by what, what a message says, what survives pickling."""

from __future__ import annotations

import pickle

import pytest

from hydrokit.errors import (
    HydrokitError,
    InputError,
    MissingExtra,
    Mistake,
    NetworkError,
    OutputError,
    RangeError,
    SolverError,
    UnitError,
)

FIRST = Mistake("lines.intake.hose-1.bore", "'-19 mm'", "0.1 mm to 10 m", "19 mm", 12)
SECOND = Mistake("mode", "'filing'", "one of filling, tap", "filling")


@pytest.mark.parametrize("kind", [UnitError, RangeError, NetworkError])
def test_every_bad_question_is_an_input_error_and_a_value_error(kind: type[InputError]) -> None:
    assert issubclass(kind, InputError)
    assert issubclass(kind, ValueError)


@pytest.mark.parametrize("kind", [InputError, SolverError, MissingExtra, OutputError])
def test_everything_raised_on_purpose_has_one_base(kind: type[Exception]) -> None:
    assert issubclass(kind, HydrokitError)


def test_an_unconverged_solve_is_no_bad_question() -> None:
    assert not issubclass(SolverError, ValueError)


def test_which_variants_did_not_settle_comes_through_from_another_process() -> None:
    error = pickle.loads(pickle.dumps(SolverError("the network did not settle", variants=(3, 17))))
    assert (str(error), error.variants) == ("the network did not settle", (3, 17))
    assert SolverError("the network did not settle").variants == ()


def test_a_mistake_says_where_what_and_what_instead() -> None:
    assert str(FIRST) == ("line 12: lines.intake.hose-1.bore: found '-19 mm', expected 0.1 mm to 10 m; write 19 mm")


def test_a_mistake_without_place_line_or_hint_says_only_what_it_knows() -> None:
    assert str(Mistake("", "none", "one line")) == "found none, expected one line"


def test_all_mistakes_stand_in_one_message() -> None:
    assert str(InputError([FIRST, SECOND])).splitlines() == [str(FIRST), str(SECOND)]


@pytest.mark.parametrize("kind", [InputError, UnitError, RangeError, NetworkError])
def test_mistakes_survive_pickling(kind: type[InputError]) -> None:
    again = pickle.loads(pickle.dumps(kind([FIRST, SECOND])))
    assert type(again) is kind
    assert again.mistakes == (FIRST, SECOND)
    assert str(again) == str(kind([FIRST, SECOND]))


def test_mistakes_may_come_from_any_iterable() -> None:
    assert InputError(mistake for mistake in (FIRST, SECOND)).mistakes == (FIRST, SECOND)


def test_a_missing_extra_says_what_to_install_and_survives_pickling() -> None:
    again = pickle.loads(pickle.dumps(MissingExtra("frames", "pandas")))
    assert str(again) == "this needs pandas: pip install 'hydrokit[frames]'"
    assert (again.extra, again.library, again.reason) == ("frames", "pandas", "")


def test_an_extra_that_does_not_load_says_why_on_one_line() -> None:
    again = pickle.loads(pickle.dumps(MissingExtra("frames", "pandas", "built for\n  another numpy")))
    told = "this needs pandas, which is installed but does not load (built for another numpy)"
    assert str(again) == f"{told}: pip install 'hydrokit[frames]'"
