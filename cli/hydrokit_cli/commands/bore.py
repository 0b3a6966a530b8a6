"""The command ``bore``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import click

from hydrokit.bounds import Dimension, Spec
from hydrokit.catalogue.bores import SERIES
from hydrokit.studies import bore
from hydrokit_cli import completing
from hydrokit_cli.plotting import takes_plot
from hydrokit_cli.progress import progress_bar
from hydrokit_cli.quantities import Quantity, Word
from hydrokit_cli.question import asks_rig

if TYPE_CHECKING:
    from hydrokit_cli.question import Question

__all__ = ["command"]

_FLOW: Final = Quantity(Spec(Dimension.FLOW, "wanted flow", low=1e-9, high=1e3, example='"8 L/min"'))
_BORE: Final = Quantity(Spec(Dimension.LENGTH, "bore", low=0.0, high=10.0, example='"19 mm"'))


@click.command(
    "bore", epilog="\b\nExample:\n  hydrokit bore rig.toml --hose lines.filling.hose-1 --flow '7 L/min' --series all"
)
@asks_rig
@takes_plot
@click.option(
    "--line",
    "lines",
    metavar="NAME",
    multiple=True,
    shell_complete=completing.lines,
    help="Line whose hose to choose; may be repeated.",
)
@click.option(
    "--hose",
    "hoses",
    metavar="ADDRESS",
    multiple=True,
    shell_complete=completing.hoses,
    help="Single hose to choose; may be repeated.",
)
@click.option("--flow", "wanted_flow", type=_FLOW, metavar="FLOW", help="Flow wanted; else 95 % of the most.")
@click.option(
    "--series", type=Word(SERIES), metavar=f"[{'|'.join(SERIES)}]", help="Sizes to try; else those of the hoses drawn."
)
@click.option("--least", type=_BORE, metavar="BORE", help="Narrowest bore to try.")
@click.option("--most", type=_BORE, metavar="BORE", help="Widest bore to try.")
@click.option("--change-tails", is_flag=True, help="Change the hose tails along with their hose.")
@click.option("--all", "every", is_flag=True, help="List everything that was tried, and every limit.")
def command(  # noqa: PLR0913  each is an option
    question: Question,
    *,
    lines: tuple[str, ...],
    hoses: tuple[str, ...],
    wanted_flow: float | None,
    series: str | None,
    least: float | None,
    most: float | None,
    change_tails: bool,
    every: bool,
) -> int:
    """Choose hose bore: the smallest standard size that delivers enough and breaks no rule.

    Without --line or --hose, of all open lines together. Exit code 1 if nothing passes.
    """
    with progress_bar("Trying bores") as progress:
        answer = bore(
            question.rig, question.mode, lines=lines or None, hoses=hoses or None, wanted_flow=wanted_flow,
            series=series, least=least, most=most, tails="changed" if change_tails else "kept",  # type: ignore[arg-type]
            changed=question.settings, progress=progress,
        )  # fmt: skip
    return question.answer(answer, ["findings"] * every)
