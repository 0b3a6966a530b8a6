"""The command ``limit``."""

from __future__ import annotations

from typing import Any, Final

import click

from hydrokit.bounds import Dimension, Spec, choices_of
from hydrokit.parts import FootValve
from hydrokit.studies import limit
from hydrokit_cli.one_hose import takes_material, takes_multiplier, takes_water
from hydrokit_cli.quantities import Quantity, Word, length
from hydrokit_cli.question import print_answer, shows_brief, shows_json, takes_units

__all__ = ["command"]


_FLOW: Final = Quantity(Spec(Dimension.FLOW, "to be drawn up", low=1e-9, high=10.0, example='"8 L/min"'))
_K: Final = Quantity(Spec(Dimension.NUMBER, "loss in velocity heads", low=0.0, high=1e6, example="2"))
_VACUUM: Final = Quantity(
    Spec(Dimension.VACUUM, "at the pump's inlet", low=0.0, high=101_325.0, example='"0.45 bar vacuum"')
)
_HOSE_VACUUM: Final = Quantity(
    Spec(Dimension.VACUUM, "in the hose", low=0.0, high=101_325.0, example='"0.8 bar vacuum"')
)
_VALVES: Final = choices_of(FootValve, "pattern")


@click.command(
    "limit",
    epilog="\b\nExample:\n  hydrokit limit --altitude 1500m --water 12C --flow 8L/min --bore 19mm --length 6m --dry-lift 2.4m",
)
@click.option("--flow", type=_FLOW, metavar="FLOW", required=True, help="To be drawn up.")
@click.option(
    "--bore",
    type=length("of the hose", 1e-4, 10.0, "19 mm"),
    metavar="BORE",
    required=True,
    help="Of the suction hose, inside.",
)
@click.option(
    "--length",
    type=length("of the hose", 1e-3, 1e4, "6 m"),
    metavar="LENGTH",
    required=True,
    help="Of the suction hose.",
)
@click.option(
    "--altitude",
    type=length("of the site", -500.0, 9000.0, "1500 m"),
    metavar="HEIGHT",
    help="Of the site; else sea level.",
)
@takes_water
@click.option("--k", type=_K, metavar="NUMBER", help="Loss of a strainer at the hose end, in velocity heads.")
@click.option(
    "--foot-valve",
    type=Word(_VALVES),
    metavar=f"[{'|'.join(_VALVES)}]",
    help="A foot valve at the hose end instead.",
)
@takes_material
@takes_multiplier
@click.option(
    "--npsh",
    "npsh_required",
    type=length("NPSH required", 0.0, 100.0, "3 m"),
    metavar="HEIGHT",
    help="That the pump requires at this flow.",
)
@click.option(
    "--dry-lift", type=length("dry lift", 0.0, 10.4, "2.4 m"), metavar="HEIGHT", help="That is stated for the pump."
)
@click.option("--vacuum", "vacuum_rating", type=_VACUUM, metavar="VACUUM", help="That the pump's inlet is rated for.")
@click.option(
    "--hose-vacuum", "hose_vacuum_rating", type=_HOSE_VACUUM, metavar="VACUUM", help="That the hose is rated for."
)
@click.option(
    "--lift",
    type=length("meant lift", -100.0, 100.0, "2 m"),
    metavar="HEIGHT",
    help="At which the pump is meant to stand.",
)
@takes_units
@shows_brief
@shows_json
def command(*, system: str, as_json: bool, brief: bool, **stated: Any) -> int:
    """Say how high a pump may stand above this water, here and today, and what limits it.

    Needs no rig file. Exit code 1 if a limit fails at the height given by --lift.
    """
    given = {name: value for name, value in stated.items() if value is not None} | {"system": system}
    return print_answer(limit(**given), system=system, as_json=as_json, brief=brief)
