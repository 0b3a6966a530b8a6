"""The command ``spread``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import click

from hydrokit.bounds import Dimension, Spec
from hydrokit.studies import spread
from hydrokit.studies.chance.uncertain import METHODS, SHAPES
from hydrokit_cli.plotting import takes_plot
from hydrokit_cli.progress import progress_bar
from hydrokit_cli.quantities import Quantity, Word
from hydrokit_cli.question import asks_rig, uncertain_of

if TYPE_CHECKING:
    from hydrokit_cli.question import Question

__all__ = ["command"]

_CHANCE: Final = Quantity(Spec(Dimension.FRACTION, "chance of failing", low=0.0, high=1.0, example='"5 %"'))


@click.command(
    "spread", epilog="\b\nExample:\n  hydrokit spread rig.toml --vary 'lines.filling.hose-1.length=6 ± 0.3 m'"
)
@asks_rig
@takes_plot
@click.option(
    "--vary",
    "texts",
    metavar="ADDRESS=VALUE±",
    multiple=True,
    help="Another value with its ±, or held where it has none; may be repeated.",
)
@click.option("--samples", type=int, default=4096, show_default=True, help="How many to draw.")
@click.option("--seed", type=int, default=1, show_default=True, help="Of the random numbers; the same gives the same.")
@click.option(
    "--shape",
    type=Word(SHAPES),
    metavar=f"[{'|'.join(SHAPES)}]",
    default=SHAPES[0],
    help="What ± means: any value alike, the middle likelier, or two standard deviations.",
)
@click.option(
    "--method",
    type=Word(METHODS),
    metavar=f"[{'|'.join(METHODS)}]",
    default=METHODS[0],
    help="How samples are drawn evenly.",
)
@click.option(
    "--risk",
    type=_CHANCE,
    metavar="SHARE",
    default="5 %",
    show_default=True,
    help="Chance beyond which a limit counts as failing.",
)
@click.option("--all", "every", is_flag=True, help="List every limit and every value that is varied.")
def command(question: Question, *, texts: tuple[str, ...], every: bool, **options: Any) -> int:
    """Say how sure the figures of a rig are, how likely limits fail, and what to measure first.

    Varies all that is stated with ±. Without FILE, of the built-in demonstration rig. Exit code 1 if a limit fails as
    stated, or more often than --risk.
    """
    values, widths = uncertain_of(question.rig, texts)
    with progress_bar("Solving samples") as progress:
        answer = spread(
            question.rig, question.mode, changed={**question.settings, **values}, tolerances=widths,
            progress=progress, **options,
        )  # fmt: skip
    return question.answer(answer, ["findings"] * every)
