"""Answers of many rigs, reached once, and what may be asked of a figure."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

import pytest

import hydrokit
from hydrokit.errors import InputError
from hydrokit.sheets.pictures import figures_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit import Answer, Rig

CURVED = ("check", "lift")


@pytest.fixture(scope="session")
def answers(ten_rigs: dict[str, Rig]) -> Callable[..., Answer | None]:
    """Return what answers a question about one of ten rigs, None where it cannot be asked of it."""

    @cache
    def answer(question: str, name: str, mode: str | None = None) -> Answer | None:
        more = {"curves": True} if question in CURVED else {}
        try:
            return getattr(hydrokit, question)(ten_rigs[name], mode, **more)
        except InputError:  # no pump in it, or too many hoses
            return None

    return answer


@pytest.fixture(scope="session")
def figures(answers: Callable[..., Answer | None]) -> Callable[..., dict[str, Any]]:
    """Return what draws an answer about one of ten rigs, each drawn once."""

    @cache
    def drawn(question: str, name: str, mode: str | None = None, **look: Any) -> dict[str, Any]:
        answer = answers(question, name, mode)
        return {} if answer is None else figures_of(answer, **look)

    return drawn


def _ticks(figure: Any) -> tuple[set[int], list[Any]]:
    """Return the identities of all words beside ticks, and those of them that are seen."""
    known, seen = set(), []
    axes = figure.get_axes()
    for each in [*axes, *(child for one in axes for child in one.child_axes)]:
        for axis in (each.xaxis, each.yaxis):
            shown = {id(tick) for tick in axis._update_ticks()}
            for tick in (*axis.get_major_ticks(), *axis.get_minor_ticks()):
                for word in (tick.label1, tick.label2):
                    known.add(id(word))
                    if id(tick) in shown and word.get_visible() and word.get_text():
                        seen.append(word)
    return known, seen


@pytest.fixture(scope="session")
def words_of() -> Callable[[Any], list[tuple[str, Any]]]:
    """Return what lists every text that is seen in a figure, with its box in pixels."""
    from matplotlib.text import Text

    def words(figure: Any) -> list[tuple[str, Any]]:
        renderer = figure.canvas.get_renderer()
        figure.draw(renderer)
        of_ticks, seen = _ticks(figure)
        others = [
            text
            for text in figure.findobj(Text)
            if id(text) not in of_ticks and text.get_visible() and text.get_text().strip()
        ]
        return [(text.get_text(), Text.get_window_extent(text, renderer)) for text in (*seen, *others)]

    return words
