"""The command ``schema``."""

from __future__ import annotations

from json import dumps

import click

from hydrokit.files import schema
from hydrokit_cli.printing import emit_json

__all__ = ["command"]


@click.command("schema", epilog="\b\nExample:\n  hydrokit schema > rig-schema.json")
def command() -> None:
    """Print the JSON Schema of a rig file, for editors."""
    emit_json(dumps(schema(), indent=2, ensure_ascii=False))
