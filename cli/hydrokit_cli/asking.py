"""Asking a builder one question after the other; all of it on standard error, so that a pipe stays clean."""

from __future__ import annotations

import sys
from textwrap import fill
from typing import TYPE_CHECKING, Final

from hydrokit.errors import InputError, Mistake
from hydrokit.sheets import render_mistake
from hydrokit_cli.printing import note, prompt, screen

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.files.asking import Answers, Question

__all__ = ["asked"]

_HOW: Final = "Enter takes the answer in brackets, ? explains, < goes back, - leaves out what you do not know."


def _typed(text: str) -> str:
    """Return a line from standard input; shown where nobody typed it.

    Raises
    ------
    InputError
        If there is none left.
    """
    prompt(text)
    line = sys.stdin.readline()
    if not line.endswith("\n"):
        note("")
    if not line:
        raise InputError([Mistake("the questions", "the end of the input", "an answer to each question")])
    if not sys.stdin.isatty():
        note(line.rstrip("\n"))
    return line.strip()


def _prompt(question: Question, answers: Answers, width: int) -> str:
    suggested = question.suggest(answers) or ("not known" if question.optional else "")
    text = f"{question.ask} [{suggested}]" if suggested else question.ask
    folded = fill(  # names of parts have hyphens
        f"{text}:", width - 1, initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False
    )
    return folded + " "


def asked(following: Callable[[Answers], Question | None]) -> dict[str, str]:
    """Return the answer to each question by its key, asked again until it will do.

    Parameters
    ----------
    following : callable
        Takes the answers so far; returns the next question, None when all is known.

    Raises
    ------
    InputError
        If standard input ends before.
    """
    width, colour = screen(sys.stderr)
    answers: dict[str, str] = {}
    subject = ""
    note(fill(_HOW, width))
    while (question := following(answers)) is not None:
        if question.subject != subject:
            subject = question.subject
            note("\n" + fill(subject, width))
        typed = _typed(_prompt(question, answers, width))
        if typed == "?":
            note(fill(question.more, width - 1, initial_indent="  ", subsequent_indent="  ", break_on_hyphens=False))
        elif typed == "<":
            answers.pop(next(reversed(answers), ""), None)
        else:
            try:
                answers[question.key] = question.accept(typed, answers)
            except InputError as error:
                for mistake in error.mistakes:
                    prompt(render_mistake(mistake, width=width, colour=colour))
    return answers
