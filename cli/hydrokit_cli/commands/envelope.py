"""The command ``envelope``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import click

from hydrokit.bounds import Dimension, Spec
from hydrokit.studies import envelope
from hydrokit_cli.plotting import takes_plot
from hydrokit_cli.quantities import Quantity
from hydrokit_cli.question import asks_rig

if TYPE_CHECKING:
    from hydrokit_cli.question import Question

__all__ = ["command"]

_LOADING: Final = Quantity(Spec(Dimension.FRACTION, "how far a filter is loaded", low=0.0, high=2.0, example='"50 %"'))
_WATER: Final = Quantity(Spec(Dimension.TEMPERATURE, "of the water", low=273.15, high=372.0, example='"9 °C"'))
_LEVEL: Final = Quantity(Spec(Dimension.LENGTH, "from the level as stated", low=-1e3, high=1e3, example='"-0.5 m"'))
_SITE: Final = Quantity(Spec(Dimension.LENGTH, "above the sea", low=-500.0, high=9000.0, example='"1500 m"'))

_CHARGE: Final = Quantity(Spec(Dimension.FRACTION, "of a battery's charge", low=0.0, high=1.0, example='"50 %"'))


@click.command(
    "envelope", epilog="\b\nExample:\n  hydrokit envelope rig.toml --altitude '0 m' '2000 m' --water '2 °C' '24 °C'"
)
@asks_rig
@takes_plot
@click.option(
    "--loading",
    "loadings",
    type=_LOADING,
    metavar="SHARE",
    multiple=True,
    help="Of filters; may be repeated; else new, half, worn.",
)
@click.option("--water", "temperatures", type=_WATER, nargs=2, metavar="COLD WARM", help="Coldest and warmest water.")
@click.option(
    "--level", "levels", type=_LEVEL, nargs=2, metavar="LOW HIGH", help="Lowest and highest, from the level as stated."
)
@click.option("--altitude", "altitudes", type=_SITE, nargs=2, metavar="LOW HIGH", help="Lowest and highest site.")
@click.option("--charge", "charges", type=_CHARGE, nargs=2, metavar="LOW HIGH", help="Flattest and fullest battery.")
@click.option("--all", "every", is_flag=True, help="List every limit that holds, not only the tightest of each rule.")
def command(question: Question, *, every: bool, **ranges: Any) -> int:
    """Say whether a rig holds in every condition it meets, and which corner fails first.

    Without FILE, of the built-in demonstration rig. Exit code 1 if a limit fails in any corner.
    """
    given = {name: value for name, value in ranges.items() if value}
    answer = envelope(question.rig, question.mode, changed=question.settings, **given)
    return question.answer(answer, ["findings"] * every)
