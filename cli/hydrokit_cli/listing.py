"""The commands by name, each loaded only when it is called, so that help comes at once."""

from __future__ import annotations

from importlib import import_module
from typing import Any, Final, NoReturn

import click
from click.shell_completion import CompletionItem

from hydrokit.errors import InputError, Mistake
from hydrokit_cli.mistyped import under_options, unpaired
from hydrokit_cli.printing import emit

__all__ = ["COMMANDS", "GROUPS", "Commands"]

GROUPS: Final = {
    "Will it work?": {
        "check": "Say whether a rig works as drawn, what limits it, what to change first.",
        "lift": "Say whether a pump lifts from its depth, how deep the water could go, and what limits it.",
        "fill": "Say how long the tanks take to fill, how evenly, and what spills.",
        "draw": "Say what comes out of the tap, for how long, and how many days the water lasts.",
        "wear": "Say how a rig does as its filters load up, which goes first and when.",
        "envelope": "Say whether a rig holds in every condition it meets, and which corner fails first.",
        "spread": "Say how sure the figures of a rig are, how likely limits fail, and what to measure first.",
        "report": "Write all about a rig into one HTML file, for the workshop wall.",
    },
    "What to choose?": {
        "bore": "Choose hose bore: the smallest standard size that delivers enough and breaks no rule.",
        "match": "Rank pumps for a rig, and say why those that fail do.",
        "compare": "Put several rig files side by side, and mark what differs.",
        "sweep": "Try every combination of some values, and list the best or write all to a file.",
    },
    "Why does it disappoint?": {
        "diagnose": "Say from bench readings what is wrong with a rig, and what to read next.",
    },
    "No rig file yet?": {
        "limit": "Say how high a pump may stand above this water, here and today, and what limits it.",
        "hose": "Give two of flow, bore and drop of one level hose, and get the third.",
        "new": "Write a rig file to start from, with every line explained.",
    },
    "What may a rig file hold, and by what is it judged?": {
        "schema": "Print the JSON Schema of a rig file, for editors.",
        "catalogue": "List the generic parts, or show one.",
        "explain": "Say what a word means, with its formula and its source.",
        "rules": "List every rule, what it needs and where its limit comes from.",
    },
}
"""The commands by the question that they answer."""
COMMANDS: Final = {name: line for group in GROUPS.values() for name, line in group.items()}
"""The first line of each command's help, here so that listing them loads none."""


class _Helped(click.Context):
    """A context that writes help as answers are written: click's own way with a full disk is a traceback, with a closed pipe exit 1."""

    def get_help(self) -> NoReturn:
        """Write the help, and end the command."""
        emit(f"{super().get_help()}\n")
        self.exit()


class Commands(click.Group):
    """A group whose commands stand one to a file of ``hydrokit_cli.commands``."""

    context_class = _Helped

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names in the order of the list."""
        del ctx
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Return a command, loading its file; None where there is none of that name."""
        del ctx
        if cmd_name not in COMMANDS:
            return None
        found: click.Command = import_module(f"hydrokit_cli.commands.{cmd_name}").command
        found.context_class = _Helped
        return found

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Return the command that the arguments call; names the nearest where there is none."""
        from hydrokit.bounds import nearest  # with numpy behind it, which help does not need

        word = args[0]
        if word not in COMMANDS and not word.startswith("-"):
            close = f"check {word}" if word.endswith(".toml") else nearest(word, list(COMMANDS))
            wanted = f"one of the commands {', '.join(COMMANDS)}"
            raise InputError([Mistake("hydrokit", repr(word), wanted, f"hydrokit {close}" if close else "")])
        return super().resolve_command(ctx, args)

    def shell_complete(self, ctx: click.Context, incomplete: str) -> list[CompletionItem]:
        """Return the commands that go on from what was typed, without loading one; options where a dash was typed."""
        if incomplete.startswith("-"):
            return super().shell_complete(ctx, incomplete)
        return [CompletionItem(name, help=line) for name, line in COMMANDS.items() if name.startswith(incomplete)]

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command that was typed; what is wrong with its options is told under their names."""
        try:
            return super().invoke(ctx)
        except InputError as error:
            raise under_options(error, self._typed(ctx)) from error
        except click.BadOptionUsage as error:
            raise InputError([unpaired(error, self._typed(ctx))]) from error

    def _typed(self, ctx: click.Context) -> click.Command | None:
        return self.get_command(ctx, ctx.invoked_subcommand or "")

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the commands under the questions that they answer."""
        del ctx
        widest = max(map(len, COMMANDS))
        for question, commands in GROUPS.items():
            formatter.write_paragraph()
            formatter.write_text(question)
            with formatter.indentation():
                formatter.write_dl([(name.ljust(widest), line) for name, line in commands.items()])
