"""The command ``new``."""

from __future__ import annotations

import click

from hydrokit.files import save_text, starter
from hydrokit.files.saving import target_of
from hydrokit_cli.printing import note

__all__ = ["command"]


def _asked() -> str:
    """Return the text of a rig file that a builder's answers make."""
    from hydrokit.files.composing import composed
    from hydrokit.files.questions import following
    from hydrokit.files.reading import read_rig
    from hydrokit_cli.asking import asked

    text = composed(asked(following))
    read_rig(text, place="your answers")
    return text


@click.command("new", epilog="\b\nExample:\n  hydrokit new my-rig.toml")
@click.argument("file", type=click.Path())
@click.option("--ask", is_flag=True, help="Ask for your values one by one, and write those.")
@click.option("--force", is_flag=True, help="Write over a file that is there.")
def command(file: str, *, ask: bool, force: bool) -> None:
    """Write a rig file to start from, with every line explained.

    With --ask it is made of your answers: water, pump, hoses, filters, tanks and tap, some forty questions, each with an
    answer suggested. Nothing is written before the last one.
    """
    target_of(file, force=force)
    save_text(_asked() if ask else starter(), file, force=force)
    told = "from your answers. Next" if ask else "and all its values are invented. Put in yours, then"
    note(f"{file} is written {told}: hydrokit check {file}")
