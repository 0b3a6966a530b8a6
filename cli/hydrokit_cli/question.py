"""What all rig commands share: which rig, in which mode, with what set differently, shown how."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from functools import wraps
from textwrap import fill
from typing import TYPE_CHECKING, Any, Final, TypeVar

import click

from hydrokit.answers import Answer, Verdict
from hydrokit.bounds import Mistakes
from hydrokit.errors import InputError, Mistake
from hydrokit.files import demonstration, load_rig
from hydrokit.parts.reading import read_number
from hydrokit.rig import Rig, spec_at
from hydrokit.units import SYSTEMS
from hydrokit_cli import completing, exits
from hydrokit_cli.plotting import draw_if_asked
from hydrokit_cli.printing import emit, emit_json, note, screen
from hydrokit_cli.quantities import Word

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable

    from hydrokit.units import Measured

__all__ = [
    "BUILT_IN",
    "Question",
    "asks_rig",
    "naming_file",
    "print_answer",
    "settings_of",
    "shows_brief",
    "shows_json",
    "takes_settings",
    "takes_units",
    "uncertain_of",
]

_Read = TypeVar("_Read")
BUILT_IN: Final = "Built-in demonstration rig, all data invented; name a file to ask about yours."

shows_json = click.option("--json", "as_json", is_flag=True, help="Print JSON: SI, the unit beside each value.")
shows_brief = click.option("--brief", is_flag=True, help="Print the answer's sentences alone; JSON is always whole.")
takes_settings = click.option(
    "--set",
    "changes",
    metavar="ADDRESS=VALUE",
    multiple=True,
    shell_complete=completing.addresses,
    help="Another value for this time; may be repeated.",
)
takes_units = click.option(
    "--units",
    "system",
    type=Word(SYSTEMS),
    metavar=f"[{'|'.join(SYSTEMS)}]",
    default="metric",
    help="Units to show.",
)


def print_answer(
    answer: Answer,
    *,
    system: str,
    as_json: bool,
    brief: bool = False,
    built_in: bool = False,
    also: Collection[str] = (),
) -> int:
    """Print an answer, its pictures drawn first where they were asked for; return the exit code of its verdict."""
    draw_if_asked(answer, system)
    if as_json:
        if built_in:
            note(BUILT_IN)
        emit_json(answer.to_json())
    else:
        from hydrokit.sheets import render

        width, colour = screen(sys.stdout)
        first = f"{fill(BUILT_IN, width)}\n\n" if built_in else ""
        emit(first + render(answer, system=system, width=width, colour=colour, also=also, brief=brief))
    return exits.FAILS if answer.verdict is Verdict.FAILS else exits.HOLDS


@dataclass(frozen=True, slots=True)
class Question:
    """A rig, and what is asked of it."""

    rig: Rig
    mode: str | None
    settings: dict[str, float]
    system: str
    as_json: bool
    built_in: bool
    brief: bool = False

    def answer(self, answer: Answer, also: Collection[str] = ()) -> int:
        """Print an answer; return the exit code of its verdict."""
        return print_answer(
            answer, system=self.system, as_json=self.as_json, brief=self.brief, built_in=self.built_in, also=also
        )


def naming_file(load: Callable[[str], _Read], file: str) -> _Read:
    """Return what is read from a file; what is wrong with it is told under the file's name."""
    try:
        return load(file)
    except InputError as error:
        error.add_note(file)
        raise


def _measured_at(rig: Rig, text: str, option: str, form: str, example: str) -> tuple[str, Measured]:
    address, equals, value = text.partition("=")
    address, value = address.strip(), value.strip()
    if not equals or not address:
        raise InputError([Mistake(option, repr(text), form, _as_setting(rig, address, example))])
    spec = spec_at(rig, address)
    try:
        return address, read_number(spec, value)
    except InputError as error:
        wrong = [Mistake(address, each.found, each.expected, each.instead.replace('"', "")) for each in error.mistakes]
        raise InputError(wrong) from error


def _as_setting(rig: Rig, address: str, example: str) -> str:
    """Return how to write a setting of what was typed, where that is an address; else of one."""
    try:
        known = spec_at(rig, address).example.strip('"')
    except InputError:
        return f"lines.intake.hose-1.bore='{example}'"
    return f"{address}='{known or example}'"


def _setting(rig: Rig, text: str) -> tuple[str, float]:
    address, number = _measured_at(rig, text, "--set", "ADDRESS=VALUE", "25 mm")
    if number.tolerance:
        raise InputError([Mistake(address, f"a tolerance in {text.partition('=')[2].strip()!r}", "a value without ±")])
    return address, number.value


def uncertain_of(rig: Rig, texts: Iterable[str]) -> tuple[dict[str, float], dict[str, float]]:
    """Return values and what stands behind their ±, both SI by address; every mistake at once."""
    mistakes = Mistakes()
    found: dict[str, Measured] = {}
    for text in texts:
        try:
            address, number = _measured_at(rig, text, "--vary", "ADDRESS='VALUE ± HOW MUCH'", "25 ± 0.5 mm")
        except InputError as error:
            mistakes.extend(error)
        else:
            found[address] = number
    mistakes.settle()
    values = {address: number.value for address, number in found.items()}
    return values, {address: number.tolerance for address, number in found.items()}


def settings_of(rig: Rig, texts: Iterable[str], mode: str | None) -> dict[str, float]:
    """Return SI values by address; every mistake at once, that of the mode included."""
    mistakes = Mistakes()
    settings: dict[str, float] = {}
    try:
        rig.mode(mode)
    except InputError as error:
        mistakes.extend(error)
    for text in texts:
        try:
            address, value = _setting(rig, text)
        except InputError as error:
            mistakes.extend(error)
        else:
            settings[address] = value
    mistakes.settle()
    return settings


def asks_rig(command: Callable[..., int]) -> Callable[..., int]:
    """Give a command the arguments of every rig command, and hand it a ``Question`` made of them."""

    @click.argument("file", required=False, type=click.Path())
    @click.option(
        "--mode",
        metavar="NAME",
        shell_complete=completing.modes,
        help="Mode of the rig; its first where none is named.",
    )
    @takes_settings
    @takes_units
    @shows_brief
    @shows_json
    @wraps(command)
    def with_question(
        *,
        file: str | None,
        mode: str | None,
        changes: tuple[str, ...],
        system: str,
        as_json: bool,
        brief: bool,
        **own: Any,
    ) -> int:
        rig = demonstration() if file is None else naming_file(load_rig, file)
        settings = settings_of(rig, changes, mode)
        question = Question(rig, mode, settings, system, as_json, file is None, brief)
        return command(question, **own)

    return with_question
