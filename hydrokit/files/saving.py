"""Text or bytes to a file, whole or not at all."""

from __future__ import annotations

import os
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from hydrokit.errors import OutputError

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["save_bytes", "save_text", "saving", "target_of"]


def save_text(text: str, path: str | Path, *, force: bool = False) -> None:
    """Write a text in UTF-8; the file is the new one or the old one, never a piece.

    Parameters
    ----------
    text : str
        The whole.
    path : str or Path
        In a folder that exists.
    force : bool
        Write over a file that is there.

    Raises
    ------
    OutputError
        If the file is there and ``force`` is not given, or if it cannot be written.

    Notes
    -----
    The text goes to a new file in the same folder, which then takes the place of the old one in one step.
    """
    try:
        data = text.encode()
    except ValueError as error:
        raise OutputError(f"{str(path)!r} cannot be written: {error}") from error
    save_bytes(data, path, force=force)


def save_bytes(data: bytes, path: str | Path, *, force: bool = False) -> None:
    """Write bytes as :func:`save_text` writes a text.

    Parameters
    ----------
    data : bytes
        The whole.
    path : str or Path
        In a folder that exists.
    force : bool
        Write over a file that is there.

    Raises
    ------
    OutputError
        If the file is there and ``force`` is not given, or if it cannot be written.
    """
    with saving(path, force=force) as file:
        file.write(data)


def target_of(path: str | Path, *, force: bool = False) -> Path:
    """Return where a file is to be written, links followed.

    Parameters
    ----------
    path : str or Path
        In a folder that exists.
    force : bool
        Write over a file that is there.

    Raises
    ------
    OutputError
        If it is a directory, or is there and ``force`` is not given; or if its folder is not there or cannot be written.
    """
    try:
        target = Path(path).resolve()  # through a link, so that the link stays one
        directory, exists = target.is_dir(), target.exists()
    except (OSError, RuntimeError, ValueError) as error:
        raise OutputError(f"{str(path)!r} cannot be written: {error}") from error
    if directory:
        raise OutputError(f"{path} is a directory; give the name of a file")
    if exists and not force:
        raise OutputError(f"{path} exists already; it is written over only if forced")
    if exists and not target.is_file():
        raise OutputError(f"{path} is no ordinary file, and stays what it is; give the name of one")
    if not target.parent.is_dir():
        raise OutputError(f"{path} cannot be written: there is no directory {target.parent}")
    if not os.access(target.parent, os.W_OK | os.X_OK):
        raise OutputError(f"{path} cannot be written: nothing may be written in {target.parent}")
    return target


def _nameless(folder: Path) -> int | None:
    """Return a new file without a name, which is gone by itself if this process is; None where there is no such thing."""
    try:
        return os.open(folder, os.O_TMPFILE | os.O_WRONLY, 0o666)
    except (AttributeError, OSError):  # not every system, nor every file system, has them
        return None


def _name(file: BinaryIO, target: Path) -> None:
    """Give a nameless file a name that nothing has yet."""
    folder = os.open(target.parent, os.O_RDONLY)
    try:
        os.link(f"/proc/self/fd/{file.fileno()}", target.name, dst_dir_fd=folder)
    finally:
        os.close(folder)


@contextmanager
def saving(path: str | Path, *, force: bool = False) -> Iterator[BinaryIO]:
    """Give a file to write bytes to; it takes its place, in one step, when all is written, and goes where that fails.

    Parameters
    ----------
    path : str or Path
        In a folder that exists.
    force : bool
        Write over a file that is there.

    Raises
    ------
    OutputError
        If the file is there and ``force`` is not given, or if it cannot be written.

    Notes
    -----
    Where the system has files without a name, nothing is left behind even if the process is killed while it writes.
    """
    target = target_of(path, force=force)
    part = target.with_name(f".{target.name[:40]}.{os.urandom(4).hex()}.part")
    try:
        nameless = _nameless(target.parent)
        with part.open("xb") if nameless is None else os.fdopen(nameless, "wb") as file:
            if target.exists():
                os.chmod(file.fileno(), target.stat().st_mode & 0o777)  # noqa: PTH101  it may have no name
            yield file
            file.flush()
            os.fsync(file.fileno())
            if nameless is not None:
                _name(file, part)
        part.replace(target)
    except OSError as error:
        raise OutputError(f"{path} cannot be written: {(error.strerror or str(error)).lower()}") from error
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)
