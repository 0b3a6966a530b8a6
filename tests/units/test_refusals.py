"""Every refusal says what was found, what was expected and, where it can, what to write instead."""

from __future__ import annotations

import pickle

import pytest

from hydrokit.bounds import Dimension
from hydrokit.errors import InputError, Mistake, RangeError, UnitError
from hydrokit.units import measured, si
from hydrokit.units.refusals import EXAMPLES

LENGTH = Dimension.LENGTH
LENGTHS = "expected a length, such as 19 mm, 6 m or 3/4 in"


@pytest.mark.parametrize(
    ("text", "dimension", "told"),
    [
        ("3", LENGTH, f"found '3', a number without a unit, {LENGTHS}; write 3 m, 3 mm or 3 cm, whichever is meant"),
        ("3 kg", LENGTH, f"found '3 kg', where kg is a unit of mass, {LENGTHS}"),
        ("3 bar", LENGTH, f"found '3 bar', where bar is a unit of pressure, {LENGTHS}"),
        ("3 psig", LENGTH, f"found '3 psig', where psig is a unit of pressure, {LENGTHS}"),
        ("3 gpm", LENGTH, f"found '3 gpm', where gpm is a unit of flow, {LENGTHS}"),
        ("3 metrs", LENGTH, f"found '3 metrs', where 'metrs' is no listed unit, {LENGTHS}; write 3 m"),
        ("3 furlongs", LENGTH, f"found '3 furlongs', where 'furlongs' is no listed unit, {LENGTHS}"),
        ("", LENGTH, f"found '', an empty text, {LENGTHS}"),
        ("nan", LENGTH, f"found 'nan', which is no finite number, {LENGTHS}"),
        ("six m", LENGTH, f"found 'six m', in which no number can be read, {LENGTHS}"),
        ("3 - 4 m", LENGTH, f"found '3 - 4 m', a range, {LENGTHS}; write 3.5 ± 0.5 m"),
        ("3 to 4 m", LENGTH, f"found '3 to 4 m', a range, {LENGTHS}; write 3.5 ± 0.5 m"),
        ("3 m to 4 m", LENGTH, f"found '3 m to 4 m', a range, {LENGTHS}; write 3.5 ± 0.5 m"),
        ("1 000 m", LENGTH, f"found '1 000 m', with a space inside the number, {LENGTHS}; write 1000 m"),
        ("1/0 m", LENGTH, f"found '1/0 m', a division by zero, {LENGTHS}"),
        ("3 m ± 0.5", LENGTH, f"found '3 m ± 0.5', with a tolerance that has no unit, {LENGTHS}; write 3 m ± 0.5 m"),
        ("1e40 m", LENGTH, "found '1e40 m', expected a finite number between 1e-30 and 1e30 in size"),
        (
            "6",
            Dimension.TURBIDITY,
            "found '6', a number without a unit, expected a turbidity, such as 6 NTU; write 6 NTU",
        ),
    ],
)
def test_message(text: str, dimension: Dimension, told: str) -> None:
    with pytest.raises(InputError) as caught:
        si(text, dimension)
    assert str(caught.value) == told


@pytest.mark.parametrize(
    ("text", "instead"),
    [
        ("1,5 bar", "1.5 bar"),
        ("1,50 bar", "1.50 bar"),
        ("0,125 bar", "0.125 bar"),
        ("-0,3 bar", "-0.3 bar"),
        ("1,2345 bar", "1.2345 bar"),
        ("1,000 bar", "1000 bar or 1.000 bar, whichever is meant"),
        ("1,000.5 bar", "1000.5 bar"),
        ("1,000,000 bar", "1000000 bar"),
    ],
)
def test_commas(text: str, instead: str) -> None:
    with pytest.raises(UnitError, match="a decimal point is a dot") as caught:
        si(text, Dimension.PRESSURE_DROP)
    assert caught.value.mistakes[0].instead == instead


def test_place_and_line_are_kept() -> None:
    with pytest.raises(UnitError) as caught:
        si("3 kg", LENGTH, place="lines.intake.hose-1.bore", line=12)
    (mistake,) = caught.value.mistakes
    assert (mistake.place, mistake.line) == ("lines.intake.hose-1.bore", 12)
    assert str(caught.value).startswith("line 12: lines.intake.hose-1.bore: found '3 kg'")


@pytest.mark.parametrize(("text", "kind"), [("3 kg", UnitError), ("1e40 m", RangeError)])
def test_errors_survive_pickling(text: str, kind: type[InputError]) -> None:
    with pytest.raises(kind) as caught:
        measured(text, LENGTH, place="bore", line=3)
    copy = pickle.loads(pickle.dumps(caught.value))
    assert type(copy) is kind
    assert copy.mistakes == caught.value.mistakes
    assert isinstance(copy.mistakes[0], Mistake)
    assert str(copy) == str(caught.value)


def test_long_text_is_cut_in_the_message() -> None:
    with pytest.raises(UnitError) as caught:
        si("x" * 100_000, LENGTH)
    assert len(str(caught.value)) < 250


@pytest.mark.parametrize("dimension", Dimension)
def test_examples_can_be_read(dimension: Dimension) -> None:
    for example in EXAMPLES[dimension].replace(" or ", ", ").split(", "):
        assert si(example, dimension) > 0
