"""Every picture of ten rigs: drawn without a warning, no words over words, none outside the paper."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit import check, demonstration, plot, spread

if TYPE_CHECKING:
    from collections.abc import Callable

RIGS = (
    "demonstration", "hand check", "gravity", "centrifugal", "hand pump", "looped", "quarantine", "balanced", "high", "wide",
)  # fmt: skip
DRAWN = [(question, name) for question in ("check", "fill") for name in RIGS] + [
    ("lift", "demonstration"), ("lift", "centrifugal"), ("lift", "high"), ("bore", "hand check"), ("bore", "gravity"),
    ("bore", "wide"), ("wear", "demonstration"), ("envelope", "balanced"), ("match", "centrifugal"),
]  # fmt: skip


def _faults(figure: Any, words: list[tuple[str, Any]]) -> list[str]:
    wide, high = figure.bbox.width, figure.bbox.height
    found = [
        f"outside: {text}"
        for text, box in words
        if box.x0 < -1 or box.y0 < -1 or box.x1 > wide + 1 or box.y1 > high + 1
    ]
    for place, (text, box) in enumerate(words):
        for other, its in words[:place]:
            across = min(box.x1, its.x1) - max(box.x0, its.x0)
            if across > 1 and min(box.y1, its.y1) - max(box.y0, its.y0) > 1:
                found.append(f"over each other: {text} and {other}")
    return found


@pytest.mark.slow
@pytest.mark.parametrize(("question", "name"), DRAWN)
def test_no_words_stand_over_words_or_outside_a_narrow_sheet(
    figures: Callable[..., dict[str, Any]], words_of: Callable[..., Any], question: str, name: str
) -> None:
    for picture, figure in figures(question, name, width=0.085, system="US").items():
        assert _faults(figure, words_of(figure)) == [], picture


@pytest.mark.slow
def test_no_words_stand_over_words_where_many_pictures_share_a_narrow_sheet(words_of: Callable[..., Any]) -> None:
    figure = plot(spread(demonstration(), samples=128), width=0.085)
    assert len(figure.get_axes()) == 4
    assert _faults(figure, words_of(figure)) == []


def test_a_scale_is_no_finer_than_meant_where_all_corners_have_about_as_much_in_hand(
    figures: Callable[..., dict[str, Any]],
) -> None:
    (axes,) = figures("envelope", "looped", width=0.085)["corners"].get_axes()
    low, high = axes.get_xlim()
    points = [x for line in axes.lines for x in line.get_xdata()]
    assert max(points) - min(points) < 5.0
    assert high - low >= 10.0  # per cent
    assert low < min(points) <= max(points) < high


def test_words_over_words_would_be_seen(figures: Callable[..., dict[str, Any]], words_of: Callable[..., Any]) -> None:
    words = words_of(figures("check", "gravity", width=0.085, system="US")["heads"])
    (text, box) = words[0]
    figure = figures("check", "gravity", width=0.085, system="US")["heads"]
    assert _faults(figure, [*words, ("second", box)])[0] == f"over each other: second and {text}"
    assert _faults(figure, [("far", box.translated(9e3, 0.0))]) == ["outside: far"]


@pytest.mark.parametrize(
    ("question", "name", "pictures"),
    [
        ("check", "centrifugal", ["pump", "way", "heads"]), ("check", "gravity", ["way", "heads"]),
        ("lift", "centrifugal", ["depth", "pump"]), ("fill", "centrifugal", ["levels"]),
        ("bore", "wide", ["sizes 1", "sizes 2"]), ("draw", "gravity", ["levels", "flows"]),
        ("wear", "gravity", []), ("wear", "demonstration", ["litres"]), ("envelope", "balanced", ["corners"]),
        ("match", "centrifugal", ["candidates"]),
    ],
)  # fmt: skip
def test_an_answer_has_the_pictures_of_its_question(
    figures: Callable[..., dict[str, Any]], question: str, name: str, pictures: list[str]
) -> None:
    assert list(figures(question, name, width=0.085, system="US")) == pictures


@pytest.mark.parametrize("width", [0.085, 0.095, 0.16])
def test_no_words_stand_over_the_line_of_the_pump(words_of: Callable[..., Any], width: float) -> None:
    figure = plot(check(demonstration(), curves=True), "pump", width=width)
    (axes,) = figure.get_axes()
    (pump,) = [line for line in axes.lines if line.get_label() == "pump"]
    x, y = (np.asarray(each, float) for each in pump.get_data())
    fine = np.linspace(0.0, len(x) - 1.0, 2000)
    places = np.arange(len(x))
    path = axes.transData.transform(np.column_stack([np.interp(fine, places, each) for each in (x, y)]))
    words = words_of(figure)
    assert any("L/min at" in text for text, _ in words)
    for text, box in words:
        over = (path[:, 0] > box.x0) & (path[:, 0] < box.x1) & (path[:, 1] > box.y0) & (path[:, 1] < box.y1)
        assert not over.any(), text
