"""The command ``explain``."""

from __future__ import annotations

import sys

import click

from hydrokit.sheets.explaining import explanation_json, render_explanation, render_words, words_json
from hydrokit.terms import explain, words_by_group
from hydrokit_cli.printing import emit, emit_json, screen
from hydrokit_cli.question import shows_json

__all__ = ["command"]


@click.command("explain", epilog="\b\nExample:\n  hydrokit explain dry lift")
@click.argument("term", nargs=-1)
@shows_json
def command(term: tuple[str, ...], *, as_json: bool) -> None:
    """Say what a word means, with its formula and its source.

    TERM is a word of the trade, a rule by its name, a kind of part, or a field such as filter.rated_flow. Without one, all
    are listed.
    """
    shown = screen(sys.stdout)._asdict()
    if not term:
        groups = words_by_group()
        emit_json(words_json(groups)) if as_json else emit(render_words(groups, **shown))
        return
    explanation = explain(" ".join(term))
    emit_json(explanation_json(explanation)) if as_json else emit(render_explanation(explanation, **shown))
