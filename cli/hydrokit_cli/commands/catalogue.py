"""The command ``catalogue``."""

from __future__ import annotations

import sys

import click

from hydrokit.catalogue import entry, generic_parts
from hydrokit.sheets import catalogue_json, render_catalogue, render_part
from hydrokit_cli import completing
from hydrokit_cli.printing import emit, emit_json, screen
from hydrokit_cli.question import shows_json

__all__ = ["command"]


@click.command("catalogue", epilog="\b\nExample:\n  hydrokit catalogue suction-hose-25")
@click.argument("name", required=False, shell_complete=completing.generic)
@shows_json
def command(name: str | None, *, as_json: bool) -> None:
    """List the generic parts, or show one.

    No part is a product; every figure has its source or is marked invented. A rig file names one by use = "NAME".
    """
    entries = list(generic_parts().values()) if name is None else [entry(name)]
    shown = screen(sys.stdout)._asdict()
    if as_json:
        emit_json(catalogue_json(entries))
    else:
        emit(render_catalogue(entries, **shown) if name is None else render_part(entries[0], **shown))
