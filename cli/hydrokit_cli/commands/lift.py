"""The command ``lift``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import click

from hydrokit.bounds import Dimension, Spec
from hydrokit.studies import lift
from hydrokit_cli import completing
from hydrokit_cli.plotting import is_plotted, takes_plot
from hydrokit_cli.quantities import Quantity
from hydrokit_cli.question import asks_rig

if TYPE_CHECKING:
    from hydrokit_cli.question import Question

__all__ = ["command"]

_FLOW: Final = Quantity(Spec(Dimension.FLOW, "flow wanted", low=1e-9, high=1e3, example='"6 L/min"'))


@click.command("lift", epilog="\b\nExample:\n  hydrokit lift rig.toml --flow '6 L/min' --set 'site.altitude=1800 m'")
@asks_rig
@takes_plot
@click.option(
    "--pump",
    metavar="NAME",
    shell_complete=completing.pumps,
    help="Name or address of the pump, where several draw from open water.",
)
@click.option("--flow", "wanted_flow", type=_FLOW, metavar="FLOW", help="Flow that it is still to lift; else any.")
@click.option("--all", "every", is_flag=True, help="List every limit that holds, not only the tightest of each rule.")
def command(question: Question, *, pump: str | None, wanted_flow: float | None, every: bool) -> int:
    """Say whether a pump lifts from its depth, how deep the water could go, and what limits it.

    Without FILE, of the built-in demonstration rig. Exit code 1 if a limit of the suction side fails.
    """
    answer = lift(
        question.rig,
        question.mode,
        pump=pump,
        wanted_flow=wanted_flow,
        changed=question.settings,
        curves=is_plotted(),
        system=question.system,  # type: ignore[arg-type]
    )
    return question.answer(answer, ["findings"] * every)
