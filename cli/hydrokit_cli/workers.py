"""Processes that share long work; they end with whoever started them, and leave Ctrl-C to it."""

from __future__ import annotations

import os
import signal
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import connection, get_context, parent_process
from threading import Thread
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["processes"]


def _end_with_parent() -> None:
    parent = parent_process()
    if parent is not None:
        connection.wait([parent.sentinel])
        os._exit(1)


def _begin() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the one who started it hears Ctrl-C, and stops all in good order
    Thread(target=_end_with_parent, daemon=True).start()


@contextmanager
def processes(count: int) -> Iterator[ProcessPoolExecutor | None]:
    """Give what runs work in so many processes; None for one, which is this one.

    Parameters
    ----------
    count : int
        At least 1.
    """
    if count == 1:
        yield None
        return
    pool = ProcessPoolExecutor(count, mp_context=get_context("spawn"), initializer=_begin)
    try:
        yield pool
    finally:
        pool.shutdown(cancel_futures=True)
