"""The command ``diagnose``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from hydrokit.files import load_readings
from hydrokit.rig import GAUGES, Reading
from hydrokit.studies import diagnose, expected_readings
from hydrokit_cli.quantities import UncertainQuantity
from hydrokit_cli.question import asks_rig, naming_file

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hydrokit_cli.question import Question

__all__ = ["command"]

_OPTIONS = {
    "flow": ("flow", ""),
    "vacuum": ("vacuum", ""),
    "before_filters": ("pressure", "before"),
    "after_filters": ("pressure", "after"),
    "dead_head": ("dead_head", ""),
    "volts": ("volts", ""),
    "battery_volts": ("battery_volts", ""),
    "amps": ("amps", ""),
}
"""Kind of reading, and its side of the filters, by option."""


def _type(kind: str) -> UncertainQuantity:
    return UncertainQuantity(GAUGES[kind].spec)


def _stated(options: Mapping[str, Any]) -> list[Reading]:
    """Return the readings that the options state."""
    found = [
        Reading(
            kind=kind, value=number.value, uncertainty=number.tolerance or None, at="filters" if side else "", side=side
        )
        for option, (kind, side) in _OPTIONS.items()
        if (number := options[option]) is not None
    ]
    if options["bubbles"] is not None:
        found.append(Reading(kind="bubbles", value=float(options["bubbles"])))
    return found


@click.command(
    "diagnose",
    epilog="\b\nExample:\n  hydrokit diagnose rig.toml --flow '5 L/min' --vacuum '35 ± 1 kPa' --before-filters '1.2 bar'",
)
@asks_rig
@click.option("--readings", "readings_file", type=click.Path(), metavar="FILE", help="Readings in a file; see --blank.")
@click.option("--flow", type=_type("flow"), metavar="FLOW", help="By bucket and watch, all that arrives.")
@click.option("--vacuum", type=_type("vacuum"), metavar="VACUUM", help="At the pump's inlet.")
@click.option("--before-filters", type=_type("pressure"), metavar="PRESSURE", help="Before the first filter.")
@click.option("--after-filters", type=_type("pressure"), metavar="PRESSURE", help="After the last filter.")
@click.option("--dead-head", type=_type("dead_head"), metavar="PRESSURE", help="After the pump, shut for a moment.")
@click.option("--volts", type=_type("volts"), metavar="VOLTS", help="At the motor, running.")
@click.option("--battery-volts", type=_type("battery_volts"), metavar="VOLTS", help="At the battery, pump running.")
@click.option("--amps", type=_type("amps"), metavar="AMPS", help="That the pump takes.")
@click.option("--bubbles/--no-bubbles", default=None, help="Seen, or not seen, in the water behind the pump.")
@click.option("--blank", is_flag=True, help="Print the readings to expect of the rig as stated, to be filled in.")
def command(question: Question, *, readings_file: str | None, blank: bool, **options: Any) -> int:
    """Say from bench readings what is wrong with a rig, and what to read next.

    Without FILE, of the built-in demonstration rig. A value may have its uncertainty behind ±, one standard deviation.
    Exit code 1 if the readings are not those of the rig as stated.
    """
    if blank:
        return question.answer(expected_readings(question.rig, question.mode, changed=question.settings))
    read = None if readings_file is None else naming_file(load_readings, readings_file)
    readings = [*(read.readings if read else ()), *_stated(options)]
    mode = question.mode or (read.mode if read else None)
    return question.answer(diagnose(question.rig, readings, mode, changed=question.settings))
