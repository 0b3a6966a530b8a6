"""Options of commands that have pictures: where to write them, and which."""

from __future__ import annotations

from dataclasses import dataclass
from functools import wraps
from typing import TYPE_CHECKING, Any, Final

import click

from hydrokit_cli.printing import note

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.answers import Answer

__all__ = ["draw_if_asked", "is_plotted", "takes_plot"]

_WANTED: Final = "hydrokit_cli.plotting"


@dataclass(slots=True)
class _Wanted:
    """What is to be drawn; kept with the command that is run."""

    path: str | None = None
    picture: str | None = None


def _wanted(context: click.Context) -> _Wanted:
    found: _Wanted = context.meta.setdefault(_WANTED, _Wanted())
    return found


def _keep_path(context: click.Context, _: click.Parameter, value: str | None) -> None:
    if value is not None:
        from hydrokit.sheets.pictures import check_destination

        check_destination(value)  # before anything is worked out
        _wanted(context).path = value


def _keep_picture(context: click.Context, _: click.Parameter, value: str | None) -> None:
    if value is not None:
        from hydrokit.sheets.pictures import check_picture

        check_picture(context.command.name or "", value)
        _wanted(context).picture = value


def takes_plot(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command ``--plot`` and ``--picture``; what they say is kept for :func:`draw_if_asked`."""
    which = click.option(
        "--picture", metavar="NAME", expose_value=False, callback=_keep_picture, help="Only this picture; else all."
    )
    where = click.option(
        "--plot", metavar="FILE", type=click.Path(), expose_value=False, callback=_keep_path,
        help="Write pictures as well, as PNG, SVG or PDF by FILE's ending.",
    )  # fmt: skip

    @wraps(command)
    def checked(*arguments: Any, **options: Any) -> Any:
        wanted = _wanted(click.get_current_context())
        if wanted.path is None and wanted.picture is not None:
            raise click.UsageError("--picture says which picture --plot FILE is to write; give that as well.")
        return command(*arguments, **options)

    return where(which(checked))


def is_plotted() -> bool:
    """Return whether the command that runs is to draw."""
    return _wanted(click.get_current_context()).path is not None


def draw_if_asked(answer: Answer, system: str) -> None:
    """Write the pictures of an answer where ``--plot`` says, if it was given and they are not written yet."""
    wanted = _wanted(click.get_current_context())
    if wanted.path is None:
        return
    from hydrokit.sheets.pictures import save_plot

    save_plot(answer, wanted.path, wanted.picture, system=system)
    note(f"{wanted.path} is written.")
    wanted.path = None
