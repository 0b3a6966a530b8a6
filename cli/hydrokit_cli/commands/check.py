"""The command ``check``."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from hydrokit.studies import check
from hydrokit_cli.plotting import draw_if_asked, is_plotted, takes_plot
from hydrokit_cli.printing import note
from hydrokit_cli.question import asks_rig

if TYPE_CHECKING:
    from hydrokit_cli.question import Question

__all__ = ["command"]


@click.command(
    "check",
    epilog="\b\nExample:\n  hydrokit check rig.toml --set 'lines.filling.diaphragm-pump-11.height=2.5 m'",
)
@asks_rig
@takes_plot
@click.option("--all", "every", is_flag=True, help="List every limit that holds, not only the tightest of each rule.")
@click.option("--walk", is_flag=True, help="Add head, pressure and velocity at every stop along the lines.")
@click.option(
    "--drawing", type=click.Path(), metavar="FILE", help="Draw the rig as well, heights to scale: an SVG file."
)
@click.option(
    "--verify", is_flag=True, help="Solve it a second time by another method and tell the largest difference."
)
def command(question: Question, *, every: bool, walk: bool, drawing: str | None, verify: bool) -> int:
    """Say whether a rig works as drawn, what limits it, what to change first.

    Without FILE, of the built-in demonstration rig. Exit code 1 if a limit fails.
    """
    if drawing is not None:
        from hydrokit.sheets.schematic import check_destination, save_drawing

        check_destination(drawing)
    rig, changed = question.rig, question.settings
    answer = check(rig, question.mode, changed=changed, curves=is_plotted(), verify=verify)
    if drawing is not None:
        draw_if_asked(answer, question.system)  # what is refused there is refused before anything is written
        save_drawing(rig, answer, drawing, changed=changed, system=question.system)
        note(f"{drawing} is written.")
    return question.answer(answer, ["findings"] * every + ["walk"] * walk)
