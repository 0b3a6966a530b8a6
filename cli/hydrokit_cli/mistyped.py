"""What was typed wrong, told as every other mistake is: where, what was found, what was expected, what to write."""

from __future__ import annotations

import re
import shlex
from typing import TYPE_CHECKING, Final

import click

from hydrokit.errors import InputError, MissingExtra, Mistake, OutputError
from hydrokit_cli.printing import Unprinted

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

__all__ = ["mistakes_of", "under_options", "unpaired"]

_BRACKETED: Final = re.compile(r"\((.*)\)\.?$")


def _options(context: click.Context) -> list[str]:
    """Return the long names of a command's options, those of the help included."""
    names = [name for parameter in context.command.get_params(context) for name in parameter.opts]
    return [name for name in names if name.startswith("--")]


def _unknown_option(error: click.NoSuchOption, place: str) -> Mistake:
    from hydrokit.bounds import nearest  # with numpy behind it, which help does not need

    options = _options(error.ctx) if error.ctx else []
    expected = f"one of {', '.join(options)}" if options else f"what {place} --help lists"
    alike = nearest(error.option_name.lstrip("-"), [name.lstrip("-") for name in options])  # all begin with dashes
    return Mistake(place, f"the option {error.option_name}", expected, f"--{alike}" if alike else "")


def _described(option: click.Option) -> str:
    """Return an option as it is to be written, and what it means."""
    help_text = f" ({option.help.partition(';')[0].rstrip('.')})" if option.help else ""
    return f"{option.opts[0]} {option.metavar or ''}".rstrip() + help_text


def _example(option: click.Option, command: click.Command | None) -> str:
    """Return an option as it may be written, or as the example of the command has it; nothing where neither is known."""
    if example := getattr(option.type, "example", ""):
        return " ".join([option.opts[0], *[f"'{example}'"] * option.nargs])
    words = shlex.split((command.epilog or "") if command else "")
    if option.opts[0] not in words:
        return ""
    place = words.index(option.opts[0])
    return shlex.join(words[place : place + 1 + option.nargs])


def _usage(error: click.UsageError, place: str, *, options: bool) -> str:
    pieces = error.ctx.command.collect_usage_pieces(error.ctx) if error.ctx else []
    return " ".join([place, *(piece for piece in pieces if options or piece != "[OPTIONS]")])


def _missing(error: click.MissingParameter, place: str) -> Mistake:
    parameter = error.param
    if isinstance(parameter, click.Option):
        example = _example(parameter, error.ctx.command if error.ctx else None)
        return Mistake(place, f"no {parameter.opts[0]}", _described(parameter), example)
    name = parameter.human_readable_name if parameter else "more"
    return Mistake(place, "nothing behind it", name, _usage(error, place, options=False))


def unpaired(error: click.BadOptionUsage, command: click.Command | None) -> Mistake:
    """Return what is wrong with an option of a command that has too few values, or one where it takes none."""
    options = [each for each in command.params if error.option_name in each.opts] if command else []
    if not options or not isinstance(option := options[0], click.Option):
        return Mistake(error.option_name, error.format_message().rstrip("."), "what --help says of it")
    if option.is_flag:
        return Mistake(error.option_name, "a value", f"{error.option_name} alone")
    found = "nothing behind it" if option.nargs == 1 else f"fewer than {option.nargs} values behind it"
    return Mistake(error.option_name, found, _described(option), _example(option, command))


def _one(error: click.ClickException, place: str) -> Mistake:
    message = error.format_message().rstrip(".")
    if isinstance(error, click.NoSuchOption):
        return _unknown_option(error, place)
    if isinstance(error, click.MissingParameter):
        return _missing(error, place)
    if isinstance(error, click.BadOptionUsage):
        return unpaired(error, error.cmd)
    if isinstance(error, click.BadParameter) and error.param is not None:
        return Mistake(error.param.opts[0], error.message.rstrip("."), f"what {place} --help says of it")
    if isinstance(error, click.UsageError) and (extra := _BRACKETED.search(message)):
        return Mistake(place, f"{extra[1]}, more than it takes", _usage(error, place, options=True))
    return Mistake(place, message, f"what {place} --help lists")


def mistakes_of(error: Exception, command: str) -> Sequence[Mistake]:
    """Return what was wrong with what was typed, with the input, or with where the answer was to go.

    Parameters
    ----------
    error : Exception
        As raised by click or by hydrokit.
    command : str
        As typed, without arguments: ``hydrokit check``.
    """
    if isinstance(error, InputError):
        return error.mistakes
    if isinstance(error, click.ClickException):
        return [_one(error, command)]
    if isinstance(error, MissingExtra):
        found = f"{error.library} that does not load: {error.reason}" if error.reason else f"no {error.library}"
        return [Mistake(command, found, f"the extra {error.extra}", f"pip install 'hydrokit[{error.extra}]'")]
    assert isinstance(error, OutputError)
    if isinstance(error, Unprinted):
        return [Mistake(command, str(error), "standard output to have room, or to go elsewhere")]
    return [Mistake(command, str(error), "a file that can be written; --force writes over one that is there")]


def under_options(error: InputError, command: click.Command | None) -> InputError:
    """Return an error whose mistakes stand under the options that were typed, not under arguments of a function."""
    if command is None or getattr(error, "__notes__", None):  # those of a file have their places there
        return error
    names = {each.name: each.opts[0] for each in command.params if isinstance(each, click.Option) and each.name}
    return type(error)(list(_renamed(error, names)))


def _renamed(error: InputError, names: dict[str, str]) -> Iterator[Mistake]:
    from dataclasses import replace

    for mistake in error.mistakes:
        places = [names.get(each, each) for each in mistake.place.split(", ")]
        yield mistake if mistake.line else replace(mistake, place=", ".join(places))
