"""The three streams that a command has: kept in memory, or full, closed, or with nobody at the other end, as a shell may hand them over."""

from __future__ import annotations

import os
import sys
from contextlib import contextmanager, suppress
from io import BytesIO, TextIOWrapper
from typing import TYPE_CHECKING, Final, TextIO

from hydrokit_cli.printing import settle_streams

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["ENDS", "streams"]

ENDS: Final = ("full", "closed", "gone")
"""What may be the matter with a stream."""


def _unread() -> int:
    """Return where to write to a pipe that nobody reads any more."""
    reader, writer = os.pipe()
    os.close(reader)
    return writer


def _stream(end: str, kept: BytesIO) -> TextIO | None:
    if end == "closed":
        return None
    if not end:
        return TextIOWrapper(kept, "utf-8", write_through=True)
    file = os.open("/dev/full", os.O_WRONLY) if end == "full" else _unread()
    return os.fdopen(file, "w", encoding="utf-8")


def _put_away(stream: TextIO | None, kept: BytesIO) -> None:
    if isinstance(stream, TextIOWrapper) and stream.buffer is kept:
        stream.detach()
    elif stream is not None:
        with suppress(OSError):  # what it never took is thrown away, as it is when a process ends
            stream.close()


@contextmanager
def streams(typed: bytes, ends: tuple[str, str] = ("", "")) -> Iterator[tuple[BytesIO, BytesIO]]:
    """Give a command its streams, and those that read them what is written to standard output and standard error.

    Parameters
    ----------
    typed : bytes
        What standard input holds.
    ends : pair of str
        What is the matter with standard output and standard error: one of ``ENDS``, or nothing.
    """
    kept, out, err = (sys.stdin, sys.stdout, sys.stderr), BytesIO(), BytesIO()
    sys.stdin = TextIOWrapper(BytesIO(typed), "utf-8")
    made_out, made_err = _stream(ends[0], out), _stream(ends[1], err)
    sys.stdout, sys.stderr = made_out, made_err  # type: ignore[assignment]
    try:
        settle_streams()
        yield out, err
    finally:
        _put_away(sys.stdout, out)
        _put_away(sys.stderr, err)
        sys.stdin, sys.stdout, sys.stderr = kept
