"""The command ``sweep``."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from hydrokit.errors import InputError, Mistake
from hydrokit.studies import sweep
from hydrokit_cli.printing import note
from hydrokit_cli.progress import progress_bar
from hydrokit_cli.question import asks_rig
from hydrokit_cli.workers import processes

if TYPE_CHECKING:
    from hydrokit_cli.question import Question

__all__ = ["command"]


def _variation(texts: tuple[str, ...]) -> dict[str, str]:
    found: dict[str, str] = {}
    wrong: list[Mistake] = []
    for text in texts:
        address, equals, values = (each.strip() for each in text.partition("="))
        if not equals or not address:
            wrong.append(Mistake("--vary", repr(text), "ADDRESS=VALUES", "lines.intake.hose-1.bore='13 mm, 16 mm'"))
        elif address in found:
            wrong.append(Mistake(address, "values to try, twice", "all of them once, with commas between"))
        found[address] = values
    if wrong:
        raise InputError(wrong)
    return found


@click.command(
    "sweep",
    epilog="\b\nExample:\n  hydrokit sweep rig.toml --vary 'lines.filling.hose-1.bore=13 mm, 16 mm, 19 mm'"
    " --vary 'lines.filling.diaphragm-pump-11.height=0.5 m to 3 m step 0.5 m'",
)
@asks_rig
@click.option(
    "--vary",
    "variation",
    metavar="ADDRESS=VALUES",
    multiple=True,
    required=True,
    help="Values to try, with commas between; ranges as '0.5 m to 3 m step 0.25 m' or '0.5 m to 3 m in 11'.",
)
@click.option("--fill-time", is_flag=True, help="Work out the time to fill as well.")
@click.option(
    "--out", type=click.Path(), metavar="FILE", help="Write every variant to a .csv, .jsonl or .parquet file."
)
@click.option(
    "--best", "shown", type=click.IntRange(1, 1000), metavar="N", default=10, help="How many to list; else 10."
)
@click.option("--workers", type=click.IntRange(1, 1000), metavar="N", default=1, help="Processes to use; else 1.")
@click.option("--force", is_flag=True, help="Write over FILE if it is there.")
@click.option("--restart", is_flag=True, help="Throw away what an interrupted sweep has left, and start anew.")
@click.option("--all", "every", is_flag=True, help="List every limit of the best variant that holds.")
def command(  # noqa: PLR0913  each is an option
    question: Question,
    *,
    variation: tuple[str, ...],
    fill_time: bool,
    out: str | None,
    shown: int,
    workers: int,
    force: bool,
    restart: bool,
    every: bool,
) -> int:
    """Try every combination of some values, and list the best or write all to a file.

    The last --vary changes from each variant to the next. The same command goes on with an interrupted sweep. Exit code
    1 if some limit fails in every variant.
    """
    values = _variation(variation)
    try:
        with progress_bar("Trying variants") as progress, processes(workers) as executor:
            answer = sweep(
                question.rig, values, question.mode, changed=question.settings, fill_time=fill_time, out=out,
                shown=shown, executor=executor, ahead=2 * workers, force=force, restart=restart, progress=progress,
            )  # fmt: skip
    except KeyboardInterrupt:
        if out is not None:
            note(f"Stopped. What is done is kept in {out}.unfinished; the same command goes on from there.")
        raise
    return question.answer(answer, ["findings"] * every)
