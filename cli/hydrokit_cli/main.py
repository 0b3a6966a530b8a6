"""Run a command: errors become messages and exit codes here and nowhere else."""

from __future__ import annotations

from itertools import takewhile
from shlex import join
from typing import TYPE_CHECKING, Final

import click

from hydrokit.errors import InputError, MissingExtra, OutputError, SolverError
from hydrokit_cli import exits
from hydrokit_cli.listing import COMMANDS, Commands
from hydrokit_cli.mistyped import mistakes_of
from hydrokit_cli.printing import Unprinted, emit, note, tell_mistakes

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["main"]


_EPILOG: Final = """\b
The Tab key completes commands, options, files, modes and addresses, once your
shell's start-up file says (zsh_source for zsh):
  eval "$(_HYDROKIT_COMPLETE=bash_source hydrokit)"

\b
Example:
  hydrokit check rig.toml --units US
"""


def _tell_version(context: click.Context, _: click.Parameter, wanted: bool) -> None:  # noqa: FBT001  as click calls it
    if wanted and not context.resilient_parsing:
        from importlib.metadata import version  # 20 ms that nothing else needs

        emit(f"hydrokit {version('hydrokit')}\n")
        context.exit()


@click.group(
    cls=Commands,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog=_EPILOG,
)
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_tell_version,
    help="Show the version and exit.",
)
@click.pass_context
def hydrokit(context: click.Context) -> None:
    """Say whether a portable filtration rig will work: does it lift, what flows, what limits it.

    A calculation can show that a rig cannot work. It never shows that water is safe to drink.
    """
    if context.invoked_subcommand is None:
        context.get_help()


def _command(arguments: Sequence[str]) -> str:
    """Return the command that was typed, without its arguments."""
    return next((f"hydrokit {word}" for word in arguments if word in COMMANDS), "hydrokit")


def main(arguments: Sequence[str]) -> int:
    """Run one command.

    Parameters
    ----------
    arguments : sequence of str
        As typed after the program's name.

    Returns
    -------
    int
        One of ``hydrokit_cli.exits``.
    """
    try:
        code = hydrokit.main(list(arguments), prog_name="hydrokit", standalone_mode=False) or exits.HOLDS
    except click.Abort:
        code = exits.INTERRUPTED
    except (click.ClickException, InputError, MissingExtra, OutputError) as error:
        file = ", ".join(getattr(error, "__notes__", []))  # left by whoever read the file
        command = _command(arguments)
        undone = "written" if isinstance(error, OutputError) or command.endswith(" new") else "computed"
        found = mistakes_of(error, command)
        try:
            tell_mistakes(found, file=file, undone=undone, as_json="--json" in takewhile("--".__ne__, arguments))
        except Unprinted as full:
            tell_mistakes(mistakes_of(full, command), file="", undone="written", as_json=False)
        code = exits.WRONG_INPUT
    except SolverError as error:
        note(f"No answer was reached: {error}")
        code = exits.FAULT
    except Exception as fault:  # noqa: BLE001  the one place that catches everything: no builder can use a traceback
        what = f"{type(fault).__name__}: {fault}".partition("\n")[0]
        note(f"Internal fault, not yours: {what}. Please report it with the command: {join(['hydrokit', *arguments])}")
        code = exits.FAULT
    return int(code)
