"""The command ``draw``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import click

from hydrokit.bounds import Dimension, Spec
from hydrokit.studies import draw
from hydrokit_cli.plotting import takes_plot
from hydrokit_cli.progress import progress_bar
from hydrokit_cli.quantities import Quantity
from hydrokit_cli.question import asks_rig

if TYPE_CHECKING:
    from hydrokit_cli.question import Question

__all__ = ["command"]

_TIME: Final = Quantity(Spec(Dimension.TIME, "longest time to follow", low=1e-3, high=1e10, example='"2 h"'))
_USE: Final = Quantity(Spec(Dimension.FLOW, "water that one person uses", low=1e-15, high=1e3, example='"10 L/day"'))
_PERSONS: Final = Quantity(Spec(Dimension.NUMBER, "how many use it", low=1e-3, high=1e6, example="4"))


@click.command("draw", epilog="\b\nExample:\n  hydrokit draw rig.toml --use '10 L/day' --persons 4")
@asks_rig
@takes_plot
@click.option("--use", type=_USE, metavar="FLOW", help="Water that each person uses; tells how many days it lasts.")
@click.option("--persons", type=_PERSONS, default=1.0, metavar="NUMBER", help="How many use it.")
@click.option("--for", "time_limit", type=_TIME, metavar="TIME", help="Longest time to follow; else 30 days.")
@click.option("--all", "every", is_flag=True, help="List every limit that holds, not only the tightest of each rule.")
def command(question: Question, *, use: float | None, persons: float, time_limit: float | None, every: bool) -> int:
    """Say what comes out of the tap, for how long, and how many days the water lasts.

    Without FILE, of the built-in demonstration rig. Where no mode is named, of the first that draws from a tank. Exit code
    1 if a limit fails.
    """
    given: dict[str, Any] = {} if time_limit is None else {"time_limit": time_limit}
    with progress_bar("drawing") as progress:
        answer = draw(
            question.rig, question.mode, changed=question.settings, use=use, persons=persons, progress=progress, **given
        )
    return question.answer(answer, ["findings"] * every)
