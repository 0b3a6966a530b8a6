"""Run a command: errors become messages and exit codes here and nowhere else."""

from __future__ import annotations

import sys
from io import TextIOWrapper
from shlex import join
from typing import TYPE_CHECKING

import click

from hydrokit.errors import InputError, MissingExtra, Mistake, OutputError, SolverError
from hydrokit_cli import exits
from hydrokit_cli.listing import Commands
from hydrokit_cli.printing import note, tell_mistakes

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["main", "run"]


@click.group(
    cls=Commands,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="\b\nExample:\n  hydrokit check rig.toml --units US",
)
@click.version_option(package_name="hydrokit", message="%(package)s %(version)s")
@click.pass_context
def hydrokit(context: click.Context) -> None:
    """Say whether a portable filtration rig will work: does it lift, what flows, what limits it.

    A calculation can show that a rig cannot work. It never shows that water is safe to drink.
    """
    if context.invoked_subcommand is None:
        click.echo(context.get_help())


def _mistakes(error: Exception) -> Sequence[Mistake]:
    """Return what was wrong with the command, its input or where it was to write."""
    if isinstance(error, InputError):
        return error.mistakes
    if isinstance(error, click.ClickException):
        context = getattr(error, "ctx", None)
        command = context.command_path if context else "hydrokit"
        return [Mistake("the command", error.format_message(), f"what {command} --help lists")]
    wanted = "that library" if isinstance(error, MissingExtra) else "a file that can be written"
    return [Mistake("the command", str(error), wanted)]


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
        tell_mistakes(_mistakes(error), file=file, as_json="--json" in arguments)
        code = exits.WRONG_INPUT
    except SolverError as error:
        note(f"No answer was reached: {error}")
        code = exits.FAULT
    except Exception as fault:  # noqa: BLE001  the one place that catches everything: no builder can use a traceback
        what = f"{type(fault).__name__}: {fault}".partition("\n")[0]
        note(f"Internal fault, not yours: {what}. Please report it with the command: {join(['hydrokit', *arguments])}")
        code = exits.FAULT
    return int(code)


def run() -> None:
    """Run the command that was typed, and exit with its code."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal without ° shows ?, and does not stop
    sys.exit(main(sys.argv[1:]))
