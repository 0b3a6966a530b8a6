"""The command ``rules``."""

from __future__ import annotations

import sys

import click

from hydrokit.rules import RULES
from hydrokit.sheets import render_rules, rules_json
from hydrokit_cli.printing import emit, emit_json, screen
from hydrokit_cli.question import shows_json

__all__ = ["command"]


@click.command("rules", epilog="\b\nExample:\n  hydrokit rules")
@shows_json
def command(*, as_json: bool) -> None:
    """List every rule, what it needs and where its limit comes from."""
    if as_json:
        emit_json(rules_json(RULES))
    else:
        emit(render_rules(RULES, **screen(sys.stdout)._asdict()))
