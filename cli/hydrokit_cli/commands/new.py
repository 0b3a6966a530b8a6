"""The command ``new``."""

from __future__ import annotations

import click

from hydrokit.files import save_text, starter
from hydrokit_cli.printing import note

__all__ = ["command"]


@click.command("new", epilog="\b\nExample:\n  hydrokit new my-rig.toml")
@click.argument("file", type=click.Path())
@click.option("--force", is_flag=True, help="Write over a file that is there.")
def command(file: str, *, force: bool) -> None:
    """Write a rig file to start from, with every line explained."""
    save_text(starter(), file, force=force)
    note(f"{file} is written; all its values are invented. Put in yours, then: hydrokit check {file}")
