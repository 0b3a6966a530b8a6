"""The command ``fill``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import click

from hydrokit.bounds import Dimension, Spec
from hydrokit.studies import fill
from hydrokit_cli import completing
from hydrokit_cli.plotting import takes_plot
from hydrokit_cli.progress import progress_bar
from hydrokit_cli.quantities import Quantity
from hydrokit_cli.question import asks_rig

if TYPE_CHECKING:
    from hydrokit_cli.question import Question

__all__ = ["command"]

_TIME: Final = Quantity(Spec(Dimension.TIME, "longest time to follow", low=1e-3, high=1e10, example='"2 h"'))


@click.command("fill", epilog="\b\nExample:\n  hydrokit fill --order near --order far")
@asks_rig
@takes_plot
@click.option(
    "--order",
    metavar="TANK",
    multiple=True,
    shell_complete=completing.tanks,
    help="Tanks to be filled one after the other, with commas between or repeated; else all at once.",
)
@click.option("--first", is_flag=True, help="Stop when the first tank is full, not the last.")
@click.option("--for", "time_limit", type=_TIME, metavar="TIME", help="Longest time to follow; else 30 days.")
@click.option("--all", "every", is_flag=True, help="List every limit that holds, not only the tightest of each rule.")
def command(question: Question, *, order: tuple[str, ...], first: bool, time_limit: float | None, every: bool) -> int:
    """Say how long the tanks take to fill, how evenly, and what spills.

    Without FILE, of the built-in demonstration rig. Exit code 1 if a limit fails.
    """
    given: dict[str, Any] = {} if time_limit is None else {"time_limit": time_limit}
    until: Any = "first" if first else "all"
    names = [name.strip() for text in order for name in text.split(",")]
    with progress_bar("filling") as progress:
        answer = fill(
            question.rig, question.mode, changed=question.settings, order=names, until=until, progress=progress, **given
        )
    return question.answer(answer, ["findings"] * every)
