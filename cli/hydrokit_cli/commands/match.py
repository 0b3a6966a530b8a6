"""The command ``match``."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from hydrokit.files import load_pumps
from hydrokit.studies import match
from hydrokit_cli import completing
from hydrokit_cli.plotting import takes_plot
from hydrokit_cli.progress import progress_bar
from hydrokit_cli.question import asks_rig, naming_file

if TYPE_CHECKING:
    from hydrokit_cli.question import Question

__all__ = ["command"]


@click.command("match", epilog="\b\nExample:\n  hydrokit match rig.toml --place lines.filling.diaphragm-pump-11")
@asks_rig
@takes_plot
@click.option("--pumps", "list_", type=click.Path(), metavar="FILE", help="Pumps to try: [parts.NAME] of a TOML file.")
@click.option(
    "--place",
    metavar="ADDRESS",
    shell_complete=completing.pumps,
    help="Pump to replace; may be left out where one runs.",
)
@click.option("--all", "every", is_flag=True, help="List every limit with the first in rank.")
def command(question: Question, *, list_: str | None, place: str | None, every: bool) -> int:
    """Rank pumps for a rig, and say why those that fail do.

    Without --pumps, those of the catalogue; the rig's own pump is always among them. Exit code 1 if none suits.
    """
    pumps = None if list_ is None else naming_file(load_pumps, list_)
    with progress_bar("Trying pumps") as progress:
        answer = match(
            question.rig, question.mode, pumps=pumps, place=place, changed=question.settings, progress=progress
        )
    return question.answer(answer, ["findings"] * every)
