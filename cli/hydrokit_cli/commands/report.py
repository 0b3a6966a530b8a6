"""The command ``report``."""

from __future__ import annotations

import click

from hydrokit.answers import Verdict
from hydrokit.files import demonstration, load_rig, save_text
from hydrokit.files.saving import target_of
from hydrokit.sheets.pages import gathered, written
from hydrokit_cli import completing, exits
from hydrokit_cli.printing import note
from hydrokit_cli.progress import progress_bar
from hydrokit_cli.question import BUILT_IN, naming_file, settings_of, takes_settings, takes_units

__all__ = ["command"]


@click.command("report", epilog="\b\nExample:\n  hydrokit report rig.toml --out rig.html --units US")
@click.argument("file", required=False, type=click.Path())
@click.option("--out", type=click.Path(), metavar="FILE", required=True, help="HTML file to write.")
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@click.option("--mode", metavar="NAME", shell_complete=completing.modes, help="Mode to judge; else the rig's first.")
@takes_settings
@takes_units
def command(*, file: str | None, out: str, force: bool, mode: str | None, changes: tuple[str, ...], system: str) -> int:
    """Write all about a rig into one HTML file, for the workshop wall.

    Verdict, drawing, findings, suction side, filling and drawing, wear, hoses to cut, parts, data with their origin, cautions.
    It needs no network, and prints on A4 and Letter. Without a rig FILE, of the built-in demonstration rig. Exit code 1 if
    a limit fails.
    """
    target_of(out, force=force)
    rig = demonstration() if file is None else naming_file(load_rig, file)
    with progress_bar("Asking all about it") as progress:
        material = gathered(rig, mode, settings_of(rig, changes, mode), progress, system=system)
    if file is None:
        note(BUILT_IN)
    save_text(written(material, system=system), out, force=force)
    note(f"{out} is written.")
    return exits.FAILS if material.check.verdict is Verdict.FAILS else exits.HOLDS
