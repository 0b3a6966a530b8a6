"""The command ``hose``."""

from __future__ import annotations

from typing import Any, Final

import click

from hydrokit.bounds import Dimension, Spec
from hydrokit.catalogue.bores import SERIES
from hydrokit.studies import hose
from hydrokit_cli.one_hose import takes_material, takes_multiplier, takes_water
from hydrokit_cli.quantities import Quantity, Word, length
from hydrokit_cli.question import print_answer, shows_brief, shows_json, takes_units

__all__ = ["command"]


_FLOW: Final = Quantity(Spec(Dimension.FLOW, "through the hose", low=1e-12, high=100.0, example='"8 L/min"'))
_DROP: Final = Quantity(Spec(Dimension.PRESSURE_DROP, "between its ends", low=1e-6, high=1e9, example='"10 kPa"'))
_DENSITY: Final = Quantity(Spec(Dimension.DENSITY, "of the liquid", low=1.0, high=2e4, example='"1020 kg/m3"'))
_VISCOSITY: Final = Quantity(Spec(Dimension.VISCOSITY, "of the liquid", low=1e-6, high=1e3, example='"2 mPa s"'))


@click.command("hose", epilog="\b\nExample:\n  hydrokit hose --flow 8L/min --drop 10kPa --length 6m --water 12C")
@click.option(
    "--length",
    type=length("along the hose", 1e-6, 1e6, "6 m"),
    metavar="LENGTH",
    required=True,
    help="Along the hose.",
)
@click.option("--flow", type=_FLOW, metavar="FLOW", help="Through it.")
@click.option("--bore", type=length("of the hose", 1e-4, 10.0, "19 mm"), metavar="BORE", help="Inside it.")
@click.option("--drop", type=_DROP, metavar="PRESSURE", help="Lost between its ends.")
@takes_water
@click.option("--density", type=_DENSITY, metavar="DENSITY", help="Of another liquid.")
@click.option("--viscosity", type=_VISCOSITY, metavar="VISCOSITY", help="Of another liquid, dynamic.")
@takes_material
@click.option(
    "--roughness", type=length("of the wall", 0.0, 0.1, "0.01 mm"), metavar="HEIGHT", help="Of its wall, instead."
)
@takes_multiplier
@click.option(
    "--tails",
    "tail_bore",
    type=length("of the tails", 1e-4, 10.0, "15 mm"),
    metavar="BORE",
    help="Of a hose tail at either end.",
)
@click.option(
    "--series",
    type=Word(SERIES),
    metavar=f"[{'|'.join(SERIES)}]",
    default="metric",
    help="Sizes to compare with.",
)
@takes_units
@shows_brief
@shows_json
def command(*, system: str, as_json: bool, brief: bool, **stated: Any) -> int:
    """Give two of flow, bore and drop of one level hose, and get the third.

    Needs no rig file.
    """
    given = {name: value for name, value in stated.items() if value is not None}
    return print_answer(hose(**given), system=system, as_json=as_json, brief=brief)
