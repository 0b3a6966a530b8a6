"""Answers as data, JSON, frames, and what a notebook shows."""

from __future__ import annotations

import json
import math
import pickle
from dataclasses import FrozenInstanceError, dataclass, is_dataclass, replace
from enum import StrEnum
from typing import Annotated, Any, ClassVar

import numpy as np
import pytest

from hydrokit import studies
from hydrokit.answers import FORMAT, Answer, Finding, Trust, Verdict, as_data, phrase, worst
from hydrokit.bounds import Dimension, Spec
from hydrokit.errors import InputError

TRUST = Trust(steps=3, mass_residual=1e-14, energy_residual=1e-15, assumed=("tank near is half full",))
LEFT = ' style="text-align:left"'
FINDING = Finding(
    rule="pump primes",
    place="lines.intake.pump",
    verdict=Verdict.FAILS,
    dimension=Dimension.LENGTH,
    value=9.0,
    limit=2.4,
    margin=-0.73,
    reason=phrase("It stands {lift} up.", lift=(9.0, Dimension.LENGTH)),
    advice=phrase("Lower it."),
    source="data sheet",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    place: str
    flow: Annotated[float, Spec(Dimension.FLOW, "that arrives")]
    height: Annotated[float | None, Spec(Dimension.LENGTH, "of it")] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Many:
    places: tuple[str, ...]
    levels: Annotated[tuple[float, ...], Spec(Dimension.LENGTH, "of few tanks")]
    curve: Annotated[tuple[float, ...], Spec(Dimension.LENGTH, "in time")]
    wanted: bool


@dataclass(frozen=True, kw_only=True, repr=False)
class Told(Answer):
    question: ClassVar[str] = "tell"

    flow: Annotated[float, Spec(Dimension.FLOW, "delivered")]
    levels: Annotated[Any, Spec(Dimension.LENGTH, "in time")] = (0.0, 0.1)
    rows: tuple[Row | Many, ...] = ()


@dataclass(frozen=True, kw_only=True, repr=False)
class ToldByRows(Told):
    table: ClassVar[str] = "rows"


def told_fields(**more: Any) -> dict[str, Any]:
    given: dict[str, Any] = {
        "title": "trailer",
        "mode": "filling",
        "findings": (FINDING,),
        "trust": TRUST,
        "flow": 1e-4,
    }
    return {**given, **more}


def told(**more: Any) -> Told:
    return Told(**told_fields(**more))


def test_the_worst_of_verdicts_and_silence_is_not_known() -> None:
    holds, close, fails, unknown = Verdict.HOLDS, Verdict.CLOSE, Verdict.FAILS, Verdict.UNKNOWN
    assert worst([holds, unknown, close, fails]) is fails
    assert worst([holds, unknown, close]) is close
    assert worst([unknown, holds]) is unknown
    assert worst([holds, holds]) is holds
    assert worst([]) is unknown


def test_an_answer_has_the_gravest_verdict_of_its_findings() -> None:
    assert told().verdict is Verdict.FAILS
    assert told(findings=()).verdict is Verdict.UNKNOWN


def test_keys_stand_in_the_order_of_the_fields_after_format_question_and_verdict() -> None:
    assert list(told().to_dict()) == [
        "format", "question", "verdict", "title", "mode", "findings", "trust", "flow", "levels", "rows",
    ]  # fmt: skip
    assert (told().to_dict()["format"], FORMAT) == (1, 1)
    assert told().to_dict()["question"] == "tell"
    assert told().to_dict()["verdict"] == "fails"


def test_every_value_is_si_with_its_unit_beside_it() -> None:
    data = told(rows=(Row(place="tap", flow=2e-4),)).to_dict()
    assert data["flow"] == {"value": 1e-4, "unit": "m^3/s"}
    assert data["levels"] == {"value": [0.0, 0.1], "unit": "m"}
    assert data["rows"] == [
        {"place": "tap", "flow": {"value": 2e-4, "unit": "m^3/s"}, "height": {"value": None, "unit": "m"}}
    ]


def test_a_finding_has_the_unit_of_its_own_dimension() -> None:
    (finding,) = told().to_dict()["findings"]
    assert finding["value"] == {"value": 9.0, "unit": "m"}
    assert finding["limit"] == {"value": 2.4, "unit": "m"}
    assert (finding["dimension"], finding["verdict"], finding["margin"]) == ("length", "fails", -0.73)
    assert finding["reason"] == "It stands 9 m up."


@pytest.mark.parametrize(
    "value", [math.nan, math.inf, -math.inf, np.float64("nan")], ids=["nan", "inf", "-inf", "nan of numpy"]
)
def test_json_has_no_nan(value: float) -> None:
    made = told(flow=value, levels=np.array([0.1, value]))
    assert json.loads(made.to_json())["flow"] == {"value": None, "unit": "m^3/s"}
    assert json.loads(made.to_json())["levels"]["value"] == [0.1, None]
    assert "NaN" not in made.to_json()
    assert "Infinity" not in made.to_json()


def test_json_is_the_dictionary_and_keeps_letters_as_they_are() -> None:
    made = told(title="Mühlteich «é»")
    assert json.loads(made.to_json()) == made.to_dict()
    assert "Mühlteich «é»" in made.to_json()
    assert "\n" not in made.to_json(indent=None)


class Colour(StrEnum):
    RED = "red"


@pytest.mark.parametrize(
    ("value", "data"),
    [
        (np.float64(1.5), 1.5),
        (np.int64(3), 3),
        (np.array([[1.0, math.nan]]), [[1.0, None]]),
        ({"a": (1, True, None)}, {"a": [1, True, None]}),
        (Colour.RED, "red"),
        (phrase("It stands {lift} up.", lift=(9.0, Dimension.LENGTH)), "It stands 9 m up."),
    ],
)
def test_plain_data(value: Any, data: Any) -> None:
    found = as_data(value)
    assert found == data
    assert type(found) is type(data)


def test_a_frame_has_numbers_in_si_and_the_unit_of_findings_in_a_column() -> None:
    frame = told(findings=(FINDING, replace(FINDING, dimension=Dimension.FLOW, value=None, limit=None))).to_frame()
    assert list(frame["rule"]) == ["pump primes", "pump primes"]
    assert list(frame["unit"]) == ["m", "m^3/s"]
    assert frame["value"][0] == 9.0
    assert math.isnan(frame["value"][1])


def test_a_frame_of_another_table_has_units_in_its_column_names() -> None:
    frame = told(rows=(Row(place="tap", flow=2e-4, height=1.0), Row(place="tank", flow=1e-4))).to_frame("rows")
    assert list(frame.columns) == ["place", "flow [m^3/s]", "height [m]"]
    assert list(frame["flow [m^3/s]"]) == [2e-4, 1e-4]


@pytest.mark.parametrize("name", ["row", "flow", "title", "nothing"])
def test_an_unknown_table_is_told_with_those_there_are(name: str) -> None:
    with pytest.raises(InputError, match="expected one of findings, rows"):
        told(rows=(Row(place="tap", flow=2e-4),)).to_frame(name)


def test_what_is_printed_counts_the_verdicts() -> None:
    assert repr(told()) == "<Told of 'trailer', mode 'filling': fails (1 fails)>"
    assert repr(told(findings=())) == "<Told of 'trailer', mode 'filling'>"


def test_a_notebook_shows_a_table_and_nothing_in_it_is_markup() -> None:
    html = told(title="<script>alert(1)</script>", findings=(replace(FINDING, place="a<b>&c"),))._repr_html_()
    assert "<script>" not in html
    assert "&lt;script&gt;" in html
    assert f"<td{LEFT}>a&lt;b&gt;&amp;c</td>" in html
    assert html.count("<tr>") == 2


def test_a_notebook_shows_numbers_in_the_trades_units_and_few_digits() -> None:
    rows = (Row(place="tap", flow=2e-4, height=1.23456), Row(place="tank", flow=1 / 60_000, height=None))
    html = ToldByRows(**told_fields(rows=rows, flow=1.23456e-4))._repr_html_()
    assert "<p>flow 7.41 L/min</p>" in html
    assert f"<th{LEFT}>place</th><th>flow [L/min]</th><th>height [m]</th>" in html
    assert f"<td{LEFT}>tap</td><td>12.0</td><td>1.23</td>" in html
    assert f"<td{LEFT}>tank</td><td>1.0</td><td></td>" in html


def test_a_notebook_shows_each_finding_in_the_unit_of_its_own_dimension() -> None:
    html = told(findings=(FINDING, replace(FINDING, dimension=Dimension.FLOW, value=1e-4, limit=None)))._repr_html_()
    assert "<td>9 m</td><td>2.4 m</td><td>-0.73</td>" in html
    assert "<td>6 L/min</td><td></td><td>-0.73</td>" in html
    assert "dimension" not in html


def test_a_notebook_leaves_curves_to_frames() -> None:
    rows = (Many(places=("a", "b"), levels=(0.0, 0.1), curve=tuple(0.1 * each for each in range(50)), wanted=True),)
    html = ToldByRows(**told_fields(rows=rows))._repr_html_()
    assert "curve" not in html
    assert f"<td{LEFT}>a, b</td><td>0 m, 100 mm</td><td{LEFT}>yes</td>" in html


def test_a_notebook_leaves_out_empty_columns_sources_and_rows_beyond_forty() -> None:
    html = told(findings=(replace(FINDING, advice=phrase("")),) * 41)._repr_html_()
    assert html.count("<tr>") == 41  # with the head
    assert "<p>1 more: to_frame('findings')</p>" in html
    assert "advice" not in html
    assert "source" not in html


def test_a_notebook_runs_sentences_on() -> None:
    rows = (Many(places=("It fails.", "It leaks."), levels=(0.0,), curve=(0.0,) * 50, wanted=True),)
    assert ">It fails. It leaks.<" in ToldByRows(**told_fields(rows=rows))._repr_html_()
    rows = (Many(places=("It fails.",) * 99, levels=(0.0,), curve=(0.0,) * 50, wanted=True),)
    assert "It fails. and 77 more<" in ToldByRows(**told_fields(rows=rows))._repr_html_()


def test_a_notebook_shows_an_answer_without_rows() -> None:
    assert "<tbody></tbody>" in told(findings=())._repr_html_()


def test_every_answer_and_all_its_rows_are_frozen() -> None:
    things = (getattr(studies, name) for name in studies.__all__)
    classes = [thing for thing in things if isinstance(thing, type) and is_dataclass(thing)]
    assert len([cls for cls in classes if issubclass(cls, Answer)]) > 10
    assert [cls.__name__ for cls in classes if not cls.__dataclass_params__.frozen] == []  # type: ignore[attr-defined]


def test_answers_are_frozen_compare_by_value_and_survive_pickling() -> None:
    made = told()
    assert pickle.loads(pickle.dumps(made)) == made
    with pytest.raises(FrozenInstanceError):
        made.flow = 2.0  # type: ignore[misc]
