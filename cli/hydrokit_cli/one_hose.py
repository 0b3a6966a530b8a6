"""Options of the commands that are told one hose instead of a rig."""

from __future__ import annotations

from typing import Final

import click

from hydrokit.bounds import Dimension, Spec, choices_of
from hydrokit.parts import Hose
from hydrokit_cli.quantities import Quantity, Word

__all__ = ["takes_material", "takes_multiplier", "takes_water"]

_WATER: Final = Quantity(Spec(Dimension.TEMPERATURE, "of the water", low=273.15, high=372.0, example='"9 °C"'))
_MULTIPLIER: Final = Quantity(Spec(Dimension.NUMBER, "loss against a smooth bore", low=0.1, high=20.0, example="2"))

takes_water = click.option(
    "--water", "water_temperature", type=_WATER, metavar="TEMPERATURE", help="Of the water; else 15 °C."
)
takes_material = click.option(
    "--material",
    type=Word(choices_of(Hose, "material")),
    metavar="WORD",
    help="Of the hose; else smooth plastic. Corrugated needs --multiplier.",
)
takes_multiplier = click.option(
    "--multiplier",
    "friction_multiplier",
    type=_MULTIPLIER,
    metavar="NUMBER",
    help="Loss against a smooth bore; 2 for ribbed or corrugated hose.",
)
