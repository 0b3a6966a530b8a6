"""A bar on standard error for long work, where that is a terminal."""

from __future__ import annotations

import sys
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

__all__ = ["progress_bar"]


@contextmanager
def progress_bar(what: str) -> Iterator[Callable[[float], None] | None]:
    """Give what is to be told the share that is done; None where nobody watches.

    Parameters
    ----------
    what : str
        What is being done, shown before the bar.
    """
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as bars:
        task = bars.add_task(what, total=1.0)
        yield lambda share: bars.update(task, completed=share)
