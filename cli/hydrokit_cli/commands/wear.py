"""The command ``wear``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import click

from hydrokit.bounds import Dimension, Spec
from hydrokit.studies import wear
from hydrokit_cli import completing
from hydrokit_cli.plotting import takes_plot
from hydrokit_cli.progress import progress_bar
from hydrokit_cli.quantities import Quantity
from hydrokit_cli.question import asks_rig

if TYPE_CHECKING:
    from hydrokit_cli.question import Question

__all__ = ["command"]

_FLOW: Final = Quantity(Spec(Dimension.FLOW, "wanted flow", low=1e-9, high=1e3, example='"6 L/min"'))
_LITRES: Final = Quantity(Spec(Dimension.VOLUME, "between two flushes", low=1e-6, high=1e9, example='"500 L"'))


@click.command("wear", epilog="\b\nExample:\n  hydrokit wear rig.toml --until '6 L/min' --prefilter filter-pleated-20")
@asks_rig
@takes_plot
@click.option("--until", "until_flow", type=_FLOW, metavar="FLOW", help="Least flow wanted: when does it stop coming?")
@click.option(
    "--prefilter",
    metavar="NAME",
    shell_complete=completing.filters,
    help="Filter of the catalogue to try in front of the others.",
)
@click.option("--flush", type=_LITRES, metavar="VOLUME", help="Flush what can be flushed after every so many litres.")
@click.option("--all", "every", is_flag=True, help="List every limit, not only what gives way.")
def command(
    question: Question, *, until_flow: float | None, prefilter: str | None, flush: float | None, every: bool
) -> int:
    """Say how a rig does as its filters load up, which goes first and when.

    Without FILE, of the built-in demonstration rig. Exit code 1 if a limit fails as the rig stands.
    """
    with progress_bar("Loading filters") as progress:
        answer = wear(
            question.rig, question.mode, until_flow=until_flow, prefilter=prefilter, flush=flush,
            changed=question.settings, progress=progress,
        )  # fmt: skip
    return question.answer(answer, ["findings"] * every)
