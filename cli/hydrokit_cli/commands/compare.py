"""The command ``compare``."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from hydrokit.bounds import Mistakes
from hydrokit.errors import InputError
from hydrokit.files import load_rig
from hydrokit.studies import compare
from hydrokit_cli import completing
from hydrokit_cli.plotting import takes_plot
from hydrokit_cli.question import print_answer, settings_of, shows_brief, shows_json, takes_settings, takes_units

if TYPE_CHECKING:
    from hydrokit.rig import Rig

__all__ = ["command"]


def _loaded(files: tuple[str, ...]) -> list[Rig]:
    """Return the rigs of all files; what is wrong with any of them is told at once, behind the name of its file."""
    rigs, mistakes = [], Mistakes()
    for file in files:
        try:
            rigs.append(load_rig(file))
        except InputError as error:
            mistakes.found += [
                each if each.place == file else replace(each, place=f"{file}: {each.place}") for each in error.mistakes
            ]
    mistakes.settle()
    return rigs


def _names(files: tuple[str, ...]) -> list[str]:
    """Return what to call the rigs: the names of the files, with folder and number only where needed."""
    for names in ([Path(file).stem for file in files], list(files)):
        if len(set(names)) == len(names):
            return names
    return [f"{file} ({number})" for number, file in enumerate(files, start=1)]


@click.command("compare", epilog="\b\nExample:\n  hydrokit compare rig.toml other.toml --set 'site.altitude=2000 m'")
@click.argument("files", nargs=-1, required=True, type=click.Path())
@click.option(
    "--mode",
    metavar="NAME",
    shell_complete=completing.modes,
    help="Mode that all of them have; the first of each where none is named.",
)
@takes_settings
@takes_units
@takes_plot
@shows_brief
@shows_json
@click.option("--all", "every", is_flag=True, help="List every stated value that differs, however many.")
def command(
    *,
    files: tuple[str, ...],
    mode: str | None,
    changes: tuple[str, ...],
    system: str,
    as_json: bool,
    brief: bool,
    every: bool,
) -> int:
    """Put several rig files side by side, and mark what differs.

    Exit code 1 if a limit fails in any of them.
    """
    rigs = _loaded(files)
    settings = settings_of(rigs[0], changes, mode)
    answer = compare(*rigs, names=_names(files), mode=mode, changed=settings)
    return print_answer(answer, system=system, as_json=as_json, brief=brief, also=["findings"] * every)
